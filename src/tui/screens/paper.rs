//! Marking a paper: fields in the order of the paper, what was understood and the verdict on the
//! same line.
//!
//! In: entries as they are typed, one key each for the unit asked for, blank, unreadable, back.
//! Out: acts. After the last entry come the points for working that are still open; then the next
//! paper is looked for. Nothing is refused: what cannot be read is kept as typed, said at once, and
//! rings.

use chrono::{DateTime, Utc};
use ratatui::Frame;
use ratatui::layout::Rect;
use tui_input::{Input, InputRequest};

use crate::assignment::{Piece, Template};
use crate::explain;
use crate::marking::figures::FiguresVerdict;
use crate::marking::{PartMark, Reason, Verdict};
use crate::record::{Deed, Keyed, Keying};
use crate::workflow::desk::{OnDesk, Progress, Stack};

use super::super::keys::Action;
use super::super::model::{Model, Place, Tone};
use super::super::paint::{self, Role, Row, Side};
use super::super::update::{Effect, deeds, edit};
use super::{find, prompt};

/// Which field of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Column {
    /// What the student wrote.
    #[default]
    Entry,
    /// Points for the working.
    Working,
}

/// Where one is on the paper.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The paper.
    pub paper: usize,
    /// The part.
    pub field: usize,
    /// Its field.
    pub column: Column,
    /// What is being typed.
    pub input: Input,
    /// Nothing was typed since the field was entered: what stands there is kept by Enter, and
    /// replaced by the first letter typed.
    pub fresh: bool,
    /// The verdicts are being gone over for open points, so that Enter goes from one to the next.
    pub closing: bool,
}

/// Opens a paper at a field.
pub fn open(model: &mut Model, paper: usize, field: usize) {
    model.paper.paper = paper;
    model.paper.closing = false;
    model.panel_top = 0;
    enter(model, field, Column::Entry);
}

/// The first field that nobody keyed, or the first of all.
pub fn first_open(stack: &Stack, paper: usize) -> usize {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let open = (0..plan.parts.len()).find(|&part| !on_desk.is_keyed(plan, part));
    open.unwrap_or(0)
}

/// The first field that needs a look or is not keyed, or the first of all.
pub fn first_look(stack: &Stack, paper: usize) -> usize {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let looks = |&part: &usize| {
        let look =
            on_desk.mark(part).is_some_and(|mark| mark.look) && !on_desk.is_adjusted(plan, part);
        look || !on_desk.is_keyed(plan, part)
    };
    (0..plan.parts.len()).find(looks).unwrap_or(0)
}

/// Goes to a field, with what stands there.
fn enter(model: &mut Model, field: usize, column: Column) {
    let Some(stack) = &model.stack else {
        return;
    };
    let state = &mut model.paper;
    state.field = field;
    state.column = column;
    state.input = Input::new(stands(stack, state, model.keying));
    state.fresh = true;
    model.panel_top = 0;
}

/// Shows the field as it stands now.
pub fn refresh(model: &mut Model) {
    let (field, column) = (model.paper.field, model.paper.column);
    let column = match model.keying {
        Keying::First => column,
        Keying::Second => Column::Entry,
    };
    enter(model, field, column);
}

/// What stands in the field one is at, as it may be typed.
fn stands(stack: &Stack, state: &State, keying: Keying) -> String {
    let id = &stack.plan().parts[state.field].id;
    let Some(part) = stack.papers()[state.paper].standing.get(id) else {
        return String::new();
    };
    let by_eye = state.column == Column::Working || stack.is_by_eye(state.field);
    if by_eye {
        return part
            .working
            .map_or_else(String::new, |points| points.to_string());
    }
    let keyed = match keying {
        Keying::First => &part.first,
        Keying::Second => &part.second,
    };
    keyed
        .as_ref()
        .map_or_else(String::new, |keyed| keyed.as_entry().to_owned())
}

/// Text typed into the field.
pub fn typed(model: &mut Model, request: InputRequest) {
    let state = &mut model.paper;
    if state.fresh && matches!(request, InputRequest::InsertChar(_)) {
        state.input.reset();
    }
    state.fresh = false;
    edit(&mut state.input, request);
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    let fields = model
        .stack
        .as_ref()
        .map_or(0, |stack| stack.plan().parts.len());
    let (paper, field) = (model.paper.paper, model.paper.field);
    match action {
        Action::Enter => return keep(model, now, false),
        Action::WithUnit => return keep(model, now, true),
        Action::Unreadable => {
            let Some(stack) = &model.stack else {
                return Vec::new();
            };
            let deed = Deed::Unreadable {
                part: stack.plan().parts[field].id.clone(),
                keying: model.keying,
            };
            let mut effects = deeds(model, paper, vec![deed], now);
            effects.extend(next(model));
            return effects;
        }
        Action::Up => enter(model, field.saturating_sub(1), Column::Entry),
        Action::Down => enter(
            model,
            (field + 1).min(fields.saturating_sub(1)),
            Column::Entry,
        ),
        Action::ToWorking => {
            // What was typed is kept, as by any other way on.
            let effects = if model.paper.fresh {
                Vec::new()
            } else {
                keep_here(model, now, false).unwrap_or_default()
            };
            enter(model, field, Column::Working);
            return effects;
        }
        Action::ToEntry => enter(model, field, Column::Entry),
        Action::Reckoning => {
            model.panel = !model.panel;
            model.panel_top = 0;
        }
        Action::PageUp => model.panel_top = model.panel_top.saturating_sub(8),
        Action::PageDown => model.panel_top += 8,
        Action::Adjust => prompt::adjust(model),
        Action::Waive => return prompt::waive(model, now),
        Action::Misread => prompt::misread(model),
        Action::Move => prompt::r#move(model),
        Action::NextPaper | Action::PreviousPaper => {
            let count = model.stack.as_ref().map_or(0, |stack| stack.papers().len());
            let to = if action == Action::NextPaper {
                (paper + 1).min(count.saturating_sub(1))
            } else {
                paper.saturating_sub(1)
            };
            let field = model
                .stack
                .as_ref()
                .map_or(0, |stack| first_open(stack, to));
            open(model, to, field);
        }
        Action::Back => leave(model),
        _ => {}
    }
    Vec::new()
}

/// Back to where one came from; to the search if that is not the class or a part.
fn leave(model: &mut Model) {
    if !model.go_back() {
        model.place = Place::Find;
    }
    if model.place == Place::Find {
        find::open(model, Some(model.paper.paper));
    }
}

/// Keeps what was typed and goes on.
fn keep(model: &mut Model, now: DateTime<Utc>, with_unit: bool) -> Vec<Effect> {
    match keep_here(model, now, with_unit) {
        Ok(mut effects) => {
            effects.extend(next(model));
            effects
        }
        Err(effects) => effects,
    }
}

/// Keeps what was typed; points that cannot be are not kept, and told.
fn keep_here(
    model: &mut Model,
    now: DateTime<Utc>,
    with_unit: bool,
) -> Result<Vec<Effect>, Vec<Effect>> {
    let Some(stack) = &model.stack else {
        return Ok(Vec::new());
    };
    let state = &model.paper;
    let (paper, field) = (state.paper, state.field);
    let part = stack.plan().parts[field].id.clone();
    let by_eye = state.column == Column::Working || stack.is_by_eye(field);
    let mut text = state.input.value().to_owned();
    let mut effects = Vec::new();
    if by_eye {
        let most = stack.most_by_eye(field);
        match crate::answer::points(&text, most) {
            Ok(points) => {
                let standing = stack.papers()[paper].standing.working(&part);
                if points != standing {
                    effects = deeds(model, paper, vec![Deed::Working { part, points }], now);
                }
            }
            Err(_) => {
                model.paper.fresh = true;
                model.tell(
                    Tone::Look,
                    format!("({part}) expected points from 0 to {most}, found `{text}`"),
                );
                return Err(vec![Effect::Ring]);
            }
        }
    } else {
        if with_unit && let Some(unit) = stack.unit(field) {
            text = format!("{} {unit}", text.trim_end());
        }
        let standing = stack.papers()[paper].standing.get(&part);
        let (first, second) = standing.map_or((None, None), |part| {
            (part.first.as_ref(), part.second.as_ref())
        });
        let stands = match model.keying {
            Keying::First => first,
            Keying::Second => second,
        };
        let is_new = stands.is_none_or(|keyed| keyed.as_entry() != text);
        let unreadable = stack.understood(paper, field, &text).is_unreadable;
        let differs =
            model.keying == Keying::Second && first.is_some_and(|first| !same(first, &text));
        if is_new {
            let keying = model.keying;
            let deed = Deed::Entry {
                part: part.clone(),
                keying,
                text,
            };
            effects = deeds(model, paper, vec![deed], now);
        }
        if differs {
            model.tell(
                Tone::Look,
                format!("({part}) was keyed otherwise the first time: look at the paper again"),
            );
            effects.push(Effect::Ring);
        } else if unreadable && is_new {
            model.tell(
                Tone::Look,
                format!("({part}) cannot be read as typed; ↑ goes back to it"),
            );
            effects.push(Effect::Ring);
        } else {
            model.say("");
        }
    }
    Ok(effects)
}

/// Whether two keyings of one entry agree.
fn same(first: &Keyed, second: &str) -> bool {
    first.as_entry().trim() == second.trim()
}

/// To the next field; after the last one to points that are still open, then to the next paper.
fn next(model: &mut Model) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let state = &model.paper;
    let last = state.field + 1 == stack.plan().parts.len();
    if state.column == Column::Entry && !last && !state.closing {
        enter(model, state.field + 1, Column::Entry);
        return Vec::new();
    }
    let after = match (state.column, state.closing) {
        (Column::Working, true) => state.field + 1,
        (Column::Working, false) if !last => {
            enter(model, state.field + 1, Column::Entry);
            return Vec::new();
        }
        _ => 0,
    };
    let open = (!model.hides())
        .then(|| open_working(stack, state.paper, after))
        .flatten();
    if let Some(field) = open {
        let ring = !model.paper.closing;
        model.paper.closing = true;
        enter(model, field, Column::Working);
        model.say(
            "points for the working, where the answer does not show it; Enter leaves them open",
        );
        return if ring { vec![Effect::Ring] } else { Vec::new() };
    }
    close(model);
    Vec::new()
}

/// The first part from `from` on whose points for working are still to be keyed.
fn open_working(stack: &Stack, paper: usize, from: usize) -> Option<usize> {
    let on_desk = &stack.papers()[paper];
    (from..stack.plan().parts.len()).find(|&part| {
        !stack.is_by_eye(part)
            && !on_desk.is_adjusted(stack.plan(), part)
            && on_desk
                .mark(part)
                .is_some_and(|mark| mark.reasons.contains(&Reason::WorkingOpen))
    })
}

/// The paper is through: says how it stands and looks for the next.
fn close(model: &mut Model) {
    let at = model.paper.paper;
    let hides = model.hides();
    let text = model.stack.as_ref().map_or_else(String::new, |stack| {
        let paper = &stack.papers()[at];
        let id = stack.student(at).id;
        match paper.progress(stack.plan()) {
            Progress::Begun => format!("{id} is keyed in part"),
            _ if hides => format!("{id} is keyed"),
            progress => format!(
                "{id} is {}: {} of {}",
                if progress == Progress::Look {
                    "keyed and needs a look"
                } else {
                    progress.name()
                },
                paper.points.total.normalize(),
                paper.points.out_of.normalize()
            ),
        }
    });
    leave(model);
    model.say(text);
}

/// The verdict on a part in a word or two, with its role.
pub fn verdict(mark: &PartMark, adjusted: bool) -> (Role, String) {
    let role = match mark.verdict {
        Verdict::Right | Verdict::RightOtherConstant | Verdict::RightMisread => Role::Good,
        Verdict::Followed => Role::Half,
        Verdict::Unreadable => Role::Look,
        Verdict::Slip | Verdict::WrongSign | Verdict::Wrong | Verdict::Several => Role::Bad,
        Verdict::Blank | Verdict::ByEye => Role::Dim,
    };
    let role = if mark.look && !adjusted && !matches!(role, Role::Bad) {
        Role::Look
    } else {
        role
    };
    let mut words = match mark.verdict {
        Verdict::RightOtherConstant => "right, constant",
        Verdict::RightMisread => "right, misread",
        Verdict::ByEye => "",
        other => other.name(),
    }
    .to_owned();
    if mark.unit.is_some_and(|unit| unit.is_fault()) {
        words.push_str(" · unit");
    }
    if mark.figures.is_some_and(FiguresVerdict::is_fault) {
        words.push_str(" · figures");
    }
    (role, words)
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let Some(stack) = &model.stack else {
        return;
    };
    let Some(paper) = stack.papers().get(model.paper.paper) else {
        return;
    };
    let columns = usize::from(area.width);
    let mut rows = vec![who(model, stack, columns)];
    rows.extend(numbers(model, stack, paper, columns));
    rows.extend(remarks(model, stack, paper, columns));
    rows.push(Row::new(model.theme));
    let layout = Layout::of(columns);
    rows.push(layout.heading(model));
    let table = rows.len();
    // The part one is at stays on the screen, whatever the paper's length.
    let parts = stack.plan().parts.len();
    let below = if model.panel { 8 } else { 4 };
    let room = usize::from(area.height)
        .saturating_sub(table + below)
        .max(1)
        .min(parts);
    let top = find::top(model.paper.field, parts, room);
    for part in top..(top + room).min(parts) {
        rows.push(layout.part(model, stack, paper, part));
    }
    let at_row = table + model.paper.field - top;
    rows.push(layout.total(model, paper, parts - room.min(parts)));
    let rest = usize::from(area.height).saturating_sub(rows.len() + 1);
    rows.push(paint::rule(model.theme, area.width));
    rows.extend(foot(model, stack, paper, columns, rest));
    paint::rows(frame, area, rows);
    if model.prompt.is_none() && model.help.is_none() {
        let (start, width) = layout.field(model.paper.column);
        let (_, cursor) = paint::typed(&model.paper.input, width);
        paint::cursor(frame, area, start + cursor.min(width), at_row);
    }
}

/// Whose paper it is.
fn who(model: &Model, stack: &Stack, columns: usize) -> Row {
    let student = stack.student(model.paper.paper);
    let issue = &stack.papers()[model.paper.paper].issue;
    let mut right = format!("{}  {}", student.section.unwrap_or(""), issue.code.as_str());
    if issue.number > 1 {
        right.push_str(&format!("  issue {}", issue.number));
    }
    let name = columns.saturating_sub(2 + crate::text::width(student.id) + 2 + right.len() + 2);
    let name = crate::text::excerpt(student.name, name.max(1)).into_owned();
    Row::new(model.theme)
        .gap(2)
        .text(Role::Strong, student.id)
        .gap(2)
        .text(Role::Strong, &name)
        .ending(columns, Role::Dim, &right)
}

/// The student's own numbers, to see that it is the right paper.
fn numbers(model: &Model, stack: &Stack, paper: &OnDesk, columns: usize) -> Vec<Row> {
    let key = match &paper.key {
        Ok(key) => key,
        Err(why) => return vec![Row::new(model.theme).gap(2).text(Role::Alarm, why)],
    };
    let sheet = &stack.plan().sheet;
    let problem = stack.plan().parts[model.paper.field].problem;
    let mut text = if sheet.lone {
        String::new()
    } else {
        format!("problem {}:  ", problem + 1)
    };
    for (given, value) in sheet.problems[problem]
        .givens
        .iter()
        .zip(&key.problems[problem].givens)
    {
        text.push_str(&format!("{} = {value}   ", given.name));
    }
    let row = Row::new(model.theme).gap(2);
    vec![row.cell(
        columns.saturating_sub(2),
        Side::Left,
        Role::Dim,
        text.trim_end(),
    )]
}

/// What else was said of the paper.
fn remarks(model: &Model, stack: &Stack, paper: &OnDesk, columns: usize) -> Option<Row> {
    let standing = &paper.standing;
    let mut words = Vec::new();
    match paper.progress(stack.plan()) {
        Progress::Absent => words.push("absent".to_owned()),
        Progress::Excused => words.push("excused".to_owned()),
        _ => {}
    }
    words.extend(
        standing
            .misread
            .iter()
            .map(|(given, value)| format!("misread {given} = {value}")),
    );
    if let Some(day) = standing.handed_in {
        let late = paper.paper.days_late;
        words.push(if late > 0 {
            format!("handed in {day}, {late} days late")
        } else {
            format!("handed in {day}")
        });
    }
    words.extend(standing.waived.keys().map(|(part, charge)| {
        let what = charge.name();
        match part {
            Some(part) => format!("({part}) {what} let go"),
            None => format!("{what} let go"),
        }
    }));
    if standing.returned.is_some() {
        words.push("returned".to_owned());
    }
    words.extend(paper.faults.iter().cloned());
    let row = Row::new(model.theme).gap(2);
    (!words.is_empty()).then(|| {
        row.cell(
            columns.saturating_sub(2),
            Side::Left,
            Role::Look,
            &words.join(" · "),
        )
    })
}

/// Where the columns of the table begin.
#[derive(Clone, Copy, Debug)]
struct Layout {
    entry: usize,
    read: usize,
    verdict: usize,
    why: usize,
}

/// Columns before the entry: the mark of the line one is at, and the part's id.
const LEAD: usize = 7;
const WORKING: usize = 6;
const POINTS: usize = 9;

impl Layout {
    /// For so many columns: what is left goes to what was understood, then to reasons.
    fn of(columns: usize) -> Self {
        let fixed = LEAD + WORKING + POINTS + 4;
        let rest = columns.saturating_sub(fixed);
        let entry = (rest * 26 / 100).clamp(8, 28);
        let verdict = (rest * 3 / 10).min(22);
        let read = rest.saturating_sub(entry + verdict).min(34);
        let why = rest.saturating_sub(entry + verdict + read);
        Self {
            entry,
            read,
            verdict,
            why: if why < 12 { 0 } else { why },
        }
    }

    /// First column and width of a field.
    fn field(self, column: Column) -> (usize, usize) {
        match column {
            Column::Entry => (LEAD, self.entry),
            Column::Working => (
                LEAD + self.entry + 1 + self.read + 1 + self.verdict + 1,
                WORKING,
            ),
        }
    }

    fn row(self, cells: [(&str, Role); 6], why: &str, model: &Model) -> Row {
        let [lead, entry, read, verdict, working, points] = cells;
        let row = Row::new(model.theme)
            .cell(LEAD, Side::Left, lead.1, lead.0)
            .cell(self.entry, Side::Left, entry.1, entry.0)
            .gap(1)
            .cell(self.read, Side::Left, read.1, read.0)
            .gap(1)
            .cell(self.verdict, Side::Left, verdict.1, verdict.0)
            .gap(1)
            .cell(WORKING, Side::Left, working.1, working.0)
            .cell(POINTS, Side::Right, points.1, points.0);
        if self.why > 0 {
            row.gap(2)
                .cell(self.why.saturating_sub(2), Side::Left, Role::Dim, why)
        } else {
            row
        }
    }

    fn heading(self, model: &Model) -> Row {
        let dim = |text: &'static str| (text, Role::Dim);
        let second = model.keying == Keying::Second;
        let verdict = if second {
            "compared"
        } else if model.hide {
            ""
        } else {
            "verdict"
        };
        let points = if model.hides() { "" } else { "points" };
        let entry = if second { "entry, second" } else { "entry" };
        self.row(
            [
                dim("  part"),
                dim(entry),
                dim("read as"),
                dim(verdict),
                dim("work"),
                dim(points),
            ],
            if model.hides() { "" } else { "because" },
            model,
        )
    }

    fn part(self, model: &Model, stack: &Stack, paper: &OnDesk, part: usize) -> Row {
        let state = &model.paper;
        let is_here = state.field == part;
        let id = &stack.plan().parts[part].id;
        let standing = paper.standing.get(id);
        let by_eye = stack.is_by_eye(part);
        let (typing_entry, typing_working) = (
            is_here && state.column == Column::Entry,
            is_here && state.column == Column::Working,
        );
        let keyed = standing.and_then(|part| match model.keying {
            Keying::First => part.first.as_ref(),
            Keying::Second => part.second.as_ref(),
        });
        let points = standing.and_then(|part| part.working);
        let text = if typing_entry {
            state.input.value().to_owned()
        } else if by_eye {
            points.map_or_else(String::new, |points| points.to_string())
        } else {
            keyed.map_or_else(String::new, |keyed| keyed.as_entry().to_owned())
        };
        let entry = if typing_entry {
            paint::typed(&state.input, self.entry).0
        } else {
            text.clone()
        };
        let most = stack.most_by_eye(part);
        let read = if by_eye {
            format!("by eye, of {most}")
        } else if text.is_empty() {
            if keyed.is_some() && !typing_entry {
                "blank".to_owned()
            } else {
                String::new()
            }
        } else {
            stack.understood(self.paper(model), part, &text).words
        };
        let (verdict, points_shown) = self.judged(model, stack, paper, part);
        let working = if typing_working {
            paint::typed(&state.input, WORKING - 2).0 + &format!("/{most}")
        } else if by_eye || most == 0 {
            String::new()
        } else {
            points.map_or_else(|| format!("·/{most}"), |points| format!("{points}/{most}"))
        };
        let working_role = if typing_working {
            Role::Here
        } else {
            Role::Dim
        };
        let entry_role = if typing_entry && state.fresh && !entry.is_empty() {
            Role::Here
        } else {
            Role::Plain
        };
        let lead = format!("{} {id}", if is_here { "▸" } else { " " });
        let why = self.why(model, stack, paper, part);
        self.row(
            [
                (&lead, if is_here { Role::Strong } else { Role::Plain }),
                (&entry, entry_role),
                (&read, Role::Dim),
                (&verdict.1, verdict.0),
                (&working, working_role),
                (&points_shown.1, points_shown.0),
            ],
            &why,
            model,
        )
    }

    fn paper(self, model: &Model) -> usize {
        model.paper.paper
    }

    /// Verdict and points, as far as they are to be seen.
    fn judged(
        self,
        model: &Model,
        stack: &Stack,
        paper: &OnDesk,
        part: usize,
    ) -> ((Role, String), (Role, String)) {
        let nothing = (Role::Plain, String::new());
        let id = &stack.plan().parts[part].id;
        if model.keying == Keying::Second {
            let standing = paper.standing.get(id);
            let both = standing.is_some_and(|part| part.first.is_some() && part.second.is_some());
            let words = match (both, stack.differs(model.paper.paper, part)) {
                (true, true) => (Role::Look, "differs".to_owned()),
                (true, false) => (Role::Good, "the same".to_owned()),
                _ => nothing.clone(),
            };
            return (words, nothing);
        }
        if model.hide || !paper.is_keyed(stack.plan(), part) {
            return (nothing.clone(), nothing);
        }
        let Some(mark) = paper.mark(part) else {
            return (nothing.clone(), nothing);
        };
        let adjusted = paper.is_adjusted(stack.plan(), part);
        let points = paper
            .points
            .parts
            .get(part)
            .copied()
            .unwrap_or(mark.points)
            .normalize();
        let sign = if adjusted { "*" } else { "" };
        let points = format!("{points}{sign} /{}", mark.out_of.normalize());
        (verdict(mark, adjusted), (Role::Plain, points))
    }

    /// The first reason, where there is room for it.
    fn why(self, model: &Model, stack: &Stack, paper: &OnDesk, part: usize) -> String {
        if self.why == 0 || model.hides() || !paper.is_keyed(stack.plan(), part) {
            return String::new();
        }
        let id = &stack.plan().parts[part].id;
        if let Some(set) = paper
            .standing
            .get(id)
            .and_then(|part| part.adjustment.as_ref())
        {
            return format!("* {}", set.note);
        }
        let reason = paper.mark(part).and_then(|mark| mark.reasons.first());
        reason.map_or_else(String::new, |reason| {
            explain::reason(stack.plan(), part, reason)
        })
    }

    fn total(self, model: &Model, paper: &OnDesk, hidden: usize) -> Row {
        let more = if hidden > 0 {
            format!("  {hidden} parts more")
        } else {
            String::new()
        };
        if model.hides() || paper.marked.parts.is_empty() {
            return Row::new(model.theme).text(Role::Dim, &more);
        }
        let points = &paper.points;
        let end = LEAD + self.entry + self.read + self.verdict + WORKING + POINTS + 3;
        let mut words = Vec::new();
        for (name, amount) in [("paper", points.paper_cost), ("late", points.late)] {
            if !amount.is_zero() {
                words.push(format!("{name} {}", amount.normalize()));
            }
        }
        words.push(format!(
            "{} of {}",
            points.total.normalize(),
            points.out_of.normalize()
        ));
        Row::new(model.theme)
            .text(Role::Dim, &more)
            .ending(end, Role::Strong, &words.join("   "))
    }
}

/// Below the table: the question, or the reckoning if it is open.
fn foot(model: &Model, stack: &Stack, paper: &OnDesk, columns: usize, rest: usize) -> Vec<Row> {
    let theme = model.theme;
    let part = model.paper.field;
    let lines = if model.panel && !model.hides() {
        let text = stack.reckoning(model.paper.paper, part);
        let note = paper.standing.get(&stack.plan().parts[part].id);
        let note = note.and_then(|part| part.adjustment.as_ref());
        let note = note.map_or_else(String::new, |set| {
            format!("set to {} by you: {}\n", set.points.normalize(), set.note)
        });
        let lines = paint::wrapped(&(note + &text), columns.saturating_sub(4));
        let top = model.panel_top.min(lines.len().saturating_sub(rest));
        lines.into_iter().skip(top).collect()
    } else {
        let ask = filled(
            &stack.part(part).ask,
            paper,
            stack.plan().parts[part].problem,
        );
        let id = &stack.plan().parts[part].id;
        paint::wrapped(&format!("({id}) {ask}"), columns.saturating_sub(4))
    };
    let row = |line: String| Row::new(theme).gap(2).text(Role::Dim, &line);
    lines.into_iter().take(rest).map(row).collect()
}

/// A question with the student's numbers in it.
fn filled(template: &Template, paper: &OnDesk, problem: usize) -> String {
    let pieces = template.pieces.iter().map(|piece| match piece {
        Piece::Text(text) => text.clone(),
        Piece::Given(given) => paper.key.as_ref().map_or_else(
            |_| "…".to_owned(),
            |key| key.problems[problem].givens[*given].to_string(),
        ),
    });
    let text: String = pieces.collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
