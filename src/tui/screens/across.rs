//! One part through all papers.
//!
//! In: a part, a filter. Out: points for working, keyed one paper after the other; or a second
//! marking, which does not see the first and is compared with it at the end. Points are typed as
//! digits; Enter keeps them and goes on.

use std::str::FromStr;

use chrono::{DateTime, Utc};
use ratatui::Frame;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use tui_input::{Input, InputRequest};

use crate::marking::{Reason, Verdict};
use crate::record::Deed;
use crate::workflow::desk::{Progress, Stack};

use super::super::keys::Action;
use super::super::model::{Model, Place, Tone};
use super::super::paint::{self, Role, Row, Side};
use super::super::update::{Effect, deeds, edit};
use super::{find, judged, paper};

/// Which papers are gone through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filter {
    /// All on which the part is keyed.
    #[default]
    All,
    /// Points for working are still to be keyed.
    Open,
    /// The part needs a look.
    Look,
    /// Wrong, with no cause known.
    Wrong,
    /// A foreseen slip.
    Slip,
    /// It follows from the student's own answers.
    Followed,
    /// A fault of unit or figures.
    Units,
    /// With so many points for working, the number typed.
    Points(u8),
    /// With points the teacher set.
    Adjusted,
    /// The second marking gives other points than the first.
    Differs,
}

impl Filter {
    fn name(self) -> String {
        match self {
            Self::All => "all".to_owned(),
            Self::Open => "working open".to_owned(),
            Self::Look => "needs a look".to_owned(),
            Self::Wrong => "wrong, no cause known".to_owned(),
            Self::Slip => "foreseen slip".to_owned(),
            Self::Followed => "followed".to_owned(),
            Self::Units => "unit or figures".to_owned(),
            Self::Points(points) => format!("{points} for working"),
            Self::Adjusted => "adjusted".to_owned(),
            Self::Differs => "two markings differ".to_owned(),
        }
    }

    /// The next, with each number of points there may be for working.
    fn next(self, most: u8) -> Self {
        match self {
            Self::All => Self::Open,
            Self::Open => Self::Look,
            Self::Look => Self::Wrong,
            Self::Wrong => Self::Slip,
            Self::Slip => Self::Followed,
            Self::Followed => Self::Units,
            Self::Units if most > 0 => Self::Points(0),
            Self::Points(points) if points < most => Self::Points(points + 1),
            Self::Units | Self::Points(_) => Self::Adjusted,
            Self::Adjusted => Self::Differs,
            Self::Differs => Self::All,
        }
    }

    fn holds(self, stack: &Stack, at: usize, part: usize) -> bool {
        let paper = &stack.papers()[at];
        let plan = stack.plan();
        let away = matches!(
            paper.progress(plan),
            Progress::ToDo | Progress::Absent | Progress::Excused
        );
        let Some(mark) = paper.mark(part).filter(|_| !away) else {
            return false;
        };
        let id = &plan.parts[part].id;
        match self {
            Self::All => true,
            Self::Open => mark.reasons.contains(&Reason::WorkingOpen),
            Self::Look => mark.look && !paper.is_adjusted(plan, part),
            Self::Wrong => matches!(mark.verdict, Verdict::Wrong | Verdict::Several),
            Self::Slip => matches!(mark.verdict, Verdict::Slip | Verdict::WrongSign),
            Self::Followed => mark.verdict == Verdict::Followed,
            Self::Units => {
                mark.unit.is_some_and(|unit| unit.is_fault())
                    || mark.figures.is_some_and(|figures| figures.is_fault())
            }
            Self::Points(points) => paper.standing.working(id) == Some(points),
            Self::Adjusted => paper.is_adjusted(plan, part),
            Self::Differs => {
                let first = paper.points.parts.get(part);
                let second = paper
                    .standing
                    .get(id)
                    .and_then(|part| part.opinions.values().next_back());
                second.is_some_and(|second| Some(&second.points) != first)
            }
        }
    }
}

/// What the screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The part.
    pub part: usize,
    /// The papers gone through.
    pub found: Vec<usize>,
    /// Which is chosen.
    pub at: usize,
    /// Which papers are gone through.
    pub filter: Filter,
    /// A second marking is on.
    pub second: bool,
    /// What was typed.
    pub input: Input,
}

/// Opens the screen, at the part one is at.
pub fn open(model: &mut Model) {
    if model.stack.is_none() {
        return;
    }
    let from = (model.place == Place::Paper).then_some((model.paper.paper, model.paper.field));
    if let Some((_, part)) = from {
        model.across.part = part;
    }
    list(model);
    if let Some((paper, _)) = from {
        let at = model.across.found.iter().position(|&at| at == paper);
        model.across.at = at.unwrap_or(0);
    }
    model.go(Place::Across);
}

/// Lists the papers again, and stays at one.
pub fn list_again(model: &mut Model, chosen: Option<usize>) {
    let typed = std::mem::take(&mut model.across.input);
    list(model);
    let state = &mut model.across;
    state.at = find::place_of(&state.found, chosen);
    state.input = typed;
}

fn list(model: &mut Model) {
    if let Some(stack) = &model.stack {
        let state = &mut model.across;
        state.part = state.part.min(stack.plan().parts.len().saturating_sub(1));
        let holds = |&at: &usize| state.filter.holds(stack, at, state.part);
        state.found = (0..stack.papers().len()).filter(holds).collect();
        state.at = state.at.min(state.found.len().saturating_sub(1));
        state.input.reset();
    }
}

/// Digits typed for the paper one is at; a point or comma in a second marking.
pub fn typed(model: &mut Model, request: InputRequest) {
    let takes = match request {
        InputRequest::InsertChar(c) => {
            c.is_ascii_digit() || (model.across.second && matches!(c, '.' | ','))
        }
        _ => true,
    };
    if takes {
        edit(&mut model.across.input, request);
    }
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    let parts = model
        .stack
        .as_ref()
        .map_or(1, |stack| stack.plan().parts.len());
    let most = model
        .stack
        .as_ref()
        .map_or(0, |stack| stack.most_by_eye(model.across.part));
    let last = model.across.found.len().saturating_sub(1);
    let here = model.across.at;
    let mut to = |at: usize| {
        model.across.at = at.min(last);
        model.across.input.reset();
    };
    match action {
        Action::Up => to(here.saturating_sub(1)),
        Action::Down => to(here + 1),
        Action::PageUp => to(here.saturating_sub(10)),
        Action::PageDown => to(here + 10),
        Action::NextPart | Action::PreviousPart => {
            let step = if action == Action::NextPart {
                1
            } else {
                parts - 1
            };
            model.across.part = (model.across.part + step) % parts;
            model.across.at = 0;
            list(model);
        }
        Action::Filter => {
            model.across.filter = model
                .across
                .filter
                .next(u8::try_from(most).unwrap_or(u8::MAX));
            model.across.at = 0;
            list(model);
        }
        Action::Second => {
            model.across.second = !model.across.second;
            model.across.input.reset();
            model.say(if model.across.second {
                "second marking: type the points that you would give; the first is not shown"
            } else {
                "second marking closed; the filter `two markings differ` shows where they do"
            });
        }
        Action::Enter => return keep(model, now),
        Action::Find => {
            if let Some(&at) = model.across.found.get(model.across.at) {
                let part = model.across.part;
                paper::open(model, at, part);
                model.go(Place::Paper);
            }
        }
        Action::Back if !model.go_back() => model.place = Place::Find,
        _ => {}
    }
    Vec::new()
}

/// Keeps the points typed and goes on.
fn keep(model: &mut Model, now: DateTime<Utc>) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let state = &model.across;
    let Some(&at) = state.found.get(state.at) else {
        return Vec::new();
    };
    let text = state.input.value().trim().replace(',', ".");
    let part = stack.plan().parts[state.part].id.clone();
    let deed = if text.is_empty() {
        None
    } else if state.second {
        let most = stack.part(state.part).points;
        let points = Decimal::from_str(&text)
            .ok()
            .filter(|points| *points <= most);
        let Some(points) = points else {
            model.tell(
                Tone::Look,
                format!(
                    "({part}) expected points from 0 to {}, found `{text}`",
                    most.normalize()
                ),
            );
            return vec![Effect::Ring];
        };
        let marker = model.marker.clone();
        Some(Deed::Opinion {
            part,
            points,
            note: String::new(),
            marker,
        })
    } else {
        let most = stack.most_by_eye(state.part);
        match crate::answer::points(&text, most) {
            Ok(points) => Some(Deed::Working { part, points }),
            Err(_) if most == 0 => {
                model.tell(
                    Tone::Look,
                    format!("({part}) has no points for working; ^A on the paper sets its points"),
                );
                return vec![Effect::Ring];
            }
            Err(_) => {
                model.tell(
                    Tone::Look,
                    format!("({part}) expected points from 0 to {most}, found `{text}`"),
                );
                return vec![Effect::Ring];
            }
        }
    };
    let effects = deed.map_or_else(Vec::new, |deed| deeds(model, at, vec![deed], now));
    let state = &mut model.across;
    state.at = (state.at + 1).min(state.found.len().saturating_sub(1));
    state.input.reset();
    effects
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let Some(stack) = &model.stack else {
        return;
    };
    let state = &model.across;
    let theme = model.theme;
    let columns = usize::from(area.width);
    let id = &stack.plan().parts[state.part].id;
    let count = format!("{} ({})", state.filter.name(), state.found.len());
    let title = if state.second {
        "second marking of"
    } else {
        "part"
    };
    let mut rows = vec![
        Row::new(theme)
            .gap(2)
            .text(Role::Dim, title)
            .gap(1)
            .text(Role::Strong, &format!("({id})"))
            .ending(columns, Role::Dim, &count),
        Row::new(theme),
    ];
    let hides = model.hides() || state.second;
    let fixed = 2 + 11 + 6 + 8 + 3;
    let rest = columns.saturating_sub(fixed);
    let entry = (rest * 26 / 100).clamp(8, 34);
    let verdict = if hides { 0 } else { (rest * 3 / 10).min(22) };
    let read = rest.saturating_sub(entry + verdict);
    let second = if state.second { "points" } else { "work" };
    rows.push(
        Row::new(theme)
            .gap(2)
            .cell(11, Side::Left, Role::Dim, "student")
            .cell(entry, Side::Left, Role::Dim, "entry")
            .gap(1)
            .cell(read, Side::Left, Role::Dim, "read as")
            .gap(1)
            .cell(verdict, Side::Left, Role::Dim, "verdict")
            .gap(1)
            .cell(6, Side::Left, Role::Dim, second)
            .cell(8, Side::Right, Role::Dim, if hides { "" } else { "points" }),
    );
    let table = rows.len();
    let height = usize::from(area.height).saturating_sub(table);
    let top = find::top(state.at, state.found.len(), height);
    for (index, &at) in state.found.iter().enumerate().skip(top).take(height) {
        let is_here = index == state.at;
        let on_desk = &stack.papers()[at];
        let mark = on_desk.mark(state.part);
        let adjusted = on_desk.is_adjusted(stack.plan(), state.part);
        let text = on_desk.entry(id).unwrap_or("");
        let most = stack.most_by_eye(state.part);
        let understood = stack.read_as(at, state.part).words;
        let judged = mark.filter(|_| !hides && on_desk.is_keyed(stack.plan(), state.part));
        let (role, words) = judged.map_or((Role::Plain, String::new()), |mark| {
            judged::verdict_in(verdict, mark, adjusted)
        });
        let points = judged.map_or_else(String::new, |_| {
            judged::points(stack.plan(), on_desk, state.part)
        });
        let typed = is_here
            .then(|| state.input.value())
            .filter(|text| !text.is_empty());
        let standing = on_desk.standing.get(id);
        let work = match typed {
            Some(text) => format!("{text}▏"),
            None if state.second => standing
                .and_then(|part| part.opinions.get(&model.marker))
                .map_or_else(
                    || format!("·/{}", stack.part(state.part).points.normalize()),
                    |given| given.points.normalize().to_string(),
                ),
            None if most == 0 => String::new(),
            None => standing
                .and_then(|part| part.working)
                .map_or_else(|| format!("·/{most}"), |points| format!("{points}/{most}")),
        };
        let row = Row::new(theme)
            .gap(2)
            .cell(11, Side::Left, Role::Plain, stack.student(at).id)
            .cell(entry, Side::Left, Role::Plain, text)
            .gap(1)
            .cell(read, Side::Left, Role::Dim, &understood)
            .gap(1)
            .cell(verdict, Side::Left, role, &words)
            .gap(1)
            .cell(6, Side::Left, Role::Plain, &work)
            .cell(8, Side::Right, Role::Plain, &points);
        rows.push(row.here(is_here));
    }
    if state.found.is_empty() {
        rows.push(
            Row::new(theme)
                .gap(2)
                .text(Role::Dim, "no paper fits; f goes to the next filter"),
        );
    }
    paint::rows(frame, area, rows);
}
