//! Draws the marking screen: whose paper, its numbers, the table, and below it the question or the
//! reckoning.
//!
//! In: the desk at a paper. Out: rows. With the reckoning open the table gives way to it, down to the
//! part one is at.

use ratatui::Frame;
use ratatui::layout::Rect;

use crate::record::Message;
use crate::text::counted;
use crate::workflow::desk::{OnDesk, Progress, Stack};

use super::super::super::model::Model;
use super::super::super::paint::{self, Role, Row};
use super::super::{find, judged};
use super::table::{Table, why};

/// Lines for the reckoning, before the table gets any beyond the part one is at.
const RECKONING: usize = 13;

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
    if !model.panel {
        rows.push(Row::new(model.theme));
    }
    let layout = Table::of(stack, columns);
    rows.push(layout.heading(model));
    let table = rows.len();
    // The part one is at stays on the screen, whatever the paper's length.
    let parts = stack.plan().parts.len();
    let below = if model.panel { 2 + RECKONING } else { 5 };
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
    if model.panel && !model.hides() {
        rows.extend(reckoning(model, stack, area.width, rest));
    } else {
        rows.push(paint::rule(model.theme, area.width));
        rows.extend(question(model, stack, paper, layout, columns, rest));
    }
    paint::rows(frame, area, rows);
    if model.prompt.is_none() && model.help.is_none() {
        let (start, width) = layout.field(model.paper.column);
        let (_, cursor) = paint::typed(&model.paper.input, width);
        paint::cursor(frame, area, start + cursor.min(width), at_row);
    }
}

/// Whose paper it is, and which of several.
fn who(model: &Model, stack: &Stack, columns: usize) -> Row {
    let at = model.paper.paper;
    let student = stack.student(at);
    let code = stack.papers()[at].issue.code;
    let mut right = format!("{}  {}", student.section.unwrap_or(""), code.as_str());
    if let Some(which) = stack.which(at) {
        right.push_str(&format!("  {which}"));
    }
    let name = columns.saturating_sub(2 + crate::text::width(student.id) + 2 + right.len() + 2);
    let name = crate::text::excerpt(student.name, name.max(1)).into_owned();
    Row::new(model.theme)
        .gap(2)
        .text(Role::Strong, student.id)
        .gap(2)
        .text(Role::Strong, &name)
        .ending(
            columns,
            if stack.is_replaced(at) {
                Role::Look
            } else {
                Role::Dim
            },
            &right,
        )
}

/// The student's own numbers, to see that it is the right paper.
fn numbers(model: &Model, stack: &Stack, paper: &OnDesk, columns: usize) -> Vec<Row> {
    let key = match &paper.key {
        Ok(key) => key,
        Err(why) => return vec![Row::new(model.theme).gap(2).text(Role::Alarm, why)],
    };
    let sheet = &stack.plan().sheet;
    let problem = stack.plan().parts[model.paper.field].problem;
    let mut items = Vec::new();
    if !sheet.lone {
        items.push(format!("problem {}:", problem + 1));
    }
    let givens = sheet.problems[problem].givens.iter();
    let givens = givens.zip(&key.problems[problem].givens);
    items.extend(givens.map(|(given, value)| format!("{} = {value}", given.name)));
    let room = columns.saturating_sub(2);
    let mut text = items.join("   ");
    if crate::text::width(&text) > room {
        // Lines break between numbers, not within.
        let whole: Vec<String> = items
            .iter()
            .map(|item| item.replace(' ', "\u{a0}"))
            .collect();
        text = whole.join(" ");
    }
    lines(model, Role::Dim, &text, room)
}

/// Two lines of text at most.
fn lines(model: &Model, role: Role, text: &str, room: usize) -> Vec<Row> {
    let lines = paint::wrapped(text, room).into_iter().take(2);
    let row = |line: String| Row::new(model.theme).gap(2).text(role, &line);
    lines.map(row).collect()
}

/// What else was said of the paper.
fn remarks(model: &Model, stack: &Stack, paper: &OnDesk, columns: usize) -> Vec<Row> {
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
            format!("handed in {day}, {} late", counted(late, "day"))
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
    words.extend(standing.message.as_ref().map(|message| match message {
        Message::Words(_) => "told in your words".to_owned(),
        Message::Withheld => "told nothing".to_owned(),
    }));
    if standing.returned.is_some() {
        words.push("returned".to_owned());
    }
    words.extend(paper.faults.iter().cloned());
    // Verdicts hidden are not told by this way either.
    words.extend(
        stack
            .fits_other(model.paper.paper)
            .filter(|_| !model.hides()),
    );
    lines(
        model,
        Role::Look,
        &words.join(" · "),
        columns.saturating_sub(2),
    )
}

/// The reckoning of a part, wrapped to so many columns: the teacher's word first, then what the program
/// proposes.
pub(super) fn reckoned(stack: &Stack, paper: usize, part: usize, columns: usize) -> Vec<String> {
    let proposal = stack.reckoning(paper, part);
    let text = match judged::own_word(stack.plan(), &stack.papers()[paper], part) {
        Some(word) => format!("{word}\nThe program proposes:\n{proposal}"),
        None => proposal,
    };
    paint::wrapped(&text, columns.saturating_sub(4))
}

/// The reckoning of the part one is at, from the line on that was scrolled to; above it, which lines
/// these are.
fn reckoning(model: &Model, stack: &Stack, width: u16, rest: usize) -> Vec<Row> {
    let (paper, part) = (model.paper.paper, model.paper.field);
    let lines = reckoned(stack, paper, part, usize::from(width));
    let top = model.panel_top.min(lines.len().saturating_sub(rest));
    let end = (top + rest).min(lines.len());
    let mut words = format!("lines {} to {end} of {}", top + 1, lines.len());
    if end < lines.len() {
        words.push_str(", PgDn for more");
    } else if top > 0 {
        words.push_str(", PgUp for those above");
    }
    let words = if lines.len() > rest {
        words
    } else {
        String::new()
    };
    let mut rows = vec![paint::rule_with(model.theme, width, &words)];
    let shown = lines.into_iter().skip(top).take(rest);
    rows.extend(shown.map(|line| Row::new(model.theme).gap(2).text(Role::Plain, &line)));
    rows
}

/// Why the part one is at is marked as it is, where the table has no room for it, and the question.
fn question(
    model: &Model,
    stack: &Stack,
    paper: &OnDesk,
    layout: Table,
    columns: usize,
    rest: usize,
) -> Vec<Row> {
    let part = model.paper.field;
    let plan = stack.plan();
    let room = columns.saturating_sub(4);
    let mut rows = Vec::new();
    let mut push = |role, text: &str| {
        let lines = paint::wrapped(text, room).into_iter();
        rows.extend(lines.map(|line| Row::new(model.theme).gap(2).text(role, &line)));
    };
    if let Some(read) = layout.beyond(model, stack, paper) {
        push(Role::Dim, &format!("read as: {read}"));
    }
    let judgement = why(model, stack, paper, part).filter(|why| !layout.has_room_for(why));
    if let (Some(why), Some(mark)) = (judgement, paper.mark(part)) {
        let (role, words) = judged::verdict(mark, paper.is_adjusted(plan, part));
        let text = match judged::own_word(plan, paper, part) {
            Some(word) => {
                let (points, out_of) = (mark.points.normalize(), mark.out_of.normalize());
                let words = if words.is_empty() { "by eye" } else { &words };
                format!("{word}; proposed: {words}, {points} of {out_of}")
            }
            None if words.is_empty() => why,
            None => format!("{words}: {why}"),
        };
        push(role, &text);
    }
    let is_seen = !model.hides() && paper.is_keyed(plan, part);
    if let Some(words) = judged::counted_elsewhere(plan, paper, part).filter(|_| is_seen) {
        push(Role::Dim, &words);
    }
    let id = &plan.parts[part].id;
    let problem = plan.parts[part].problem;
    let ask = stack.part(part).ask.filled(|given| match &paper.key {
        Ok(key) => key.problems[problem].givens[given].to_string(),
        Err(_) => "…".to_owned(),
    });
    push(Role::Dim, &format!("({id}) {ask}"));
    if let Some(steps) = by_eye(stack, part) {
        push(Role::Plain, &steps);
    }
    rows.truncate(rest);
    rows
}

/// What earns points by eye in a part, a point each; nothing where nothing does.
fn by_eye(stack: &Stack, part: usize) -> Option<String> {
    let steps = stack.part(part).by_eye();
    (!steps.is_empty()).then(|| format!("by eye, a point each: {}", steps.join(" · ")))
}
