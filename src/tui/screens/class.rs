//! The class at a glance: who is done, absent, excused, late, needs a look; how totals lie, how the
//! parts went, and the commonest mistakes.
//!
//! In: the stack. Out: a paper to open, an export, an import, another paper for some. Marks stand beside
//! ids, not names: the screen may be seen by others.

use ratatui::Frame;
use ratatui::layout::Rect;
use rust_decimal::Decimal;

use crate::workflow::desk::{Counts, News, PartCounts, Progress, Stack};

use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place};
use super::super::news;
use super::super::paint::{self, Role, Row, Side};
use super::{find, paper, prompt};

/// Which papers are listed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filter {
    /// All.
    #[default]
    All,
    /// To do or begun.
    Open,
    /// Needs a look.
    Look,
    /// Absent or excused.
    Away,
    /// Handed in late.
    Late,
    /// With points the teacher set.
    Adjusted,
    /// Keyed twice, differently.
    Differs,
}

impl Filter {
    const ALL: [(Self, &'static str); 7] = [
        (Self::All, "all"),
        (Self::Open, "to do"),
        (Self::Look, "needs a look"),
        (Self::Away, "absent, excused"),
        (Self::Late, "late"),
        (Self::Adjusted, "adjusted"),
        (Self::Differs, "keyed differently"),
    ];

    fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(filter, _)| *filter == self)
            .map_or("", |(_, name)| name)
    }

    fn next(self) -> Self {
        let at = Self::ALL
            .iter()
            .position(|(filter, _)| *filter == self)
            .unwrap_or(0);
        Self::ALL[(at + 1) % Self::ALL.len()].0
    }

    fn holds(self, stack: &Stack, at: usize) -> bool {
        let paper = &stack.papers()[at];
        let plan = stack.plan();
        let progress = paper.progress(plan);
        match self {
            Self::All => true,
            Self::Open => matches!(progress, Progress::ToDo | Progress::Begun),
            Self::Look => progress == Progress::Look,
            Self::Away => matches!(progress, Progress::Absent | Progress::Excused),
            Self::Late => paper.paper.days_late > 0,
            Self::Adjusted => (0..plan.parts.len()).any(|part| paper.is_adjusted(plan, part)),
            Self::Differs => (0..plan.parts.len()).any(|part| stack.differs(at, part)),
        }
    }
}

/// What the screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The papers listed.
    pub found: Vec<usize>,
    /// Which is chosen.
    pub at: usize,
    /// Which papers are listed.
    pub filter: Filter,
}

/// Opens the screen.
pub fn open(model: &mut Model) {
    if model.stack.is_some() {
        list(model);
        model.go(Place::Class);
    }
}

/// Lists the papers again, and stays at one.
pub fn list_again(model: &mut Model, chosen: Option<usize>) {
    list(model);
    let state = &mut model.class;
    state.at = find::place_of(&state.found, chosen);
}

fn list(model: &mut Model) {
    if let Some(stack) = &model.stack {
        let state = &mut model.class;
        state.found = (0..stack.papers().len())
            .filter(|&at| state.filter.holds(stack, at))
            .collect();
        state.at = state.at.min(state.found.len().saturating_sub(1));
    }
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action) -> Vec<Effect> {
    let last = model.class.found.len().saturating_sub(1);
    let state = &mut model.class;
    match action {
        Action::Up => state.at = state.at.saturating_sub(1),
        Action::Down => state.at = (state.at + 1).min(last),
        Action::PageUp => state.at = state.at.saturating_sub(10),
        Action::PageDown => state.at = (state.at + 10).min(last),
        Action::Filter => {
            state.filter = state.filter.next();
            state.at = 0;
            list(model);
        }
        Action::Enter => {
            if let (Some(&at), Some(stack)) = (state.found.get(state.at), &model.stack) {
                let field = paper::first_look(stack, at);
                paper::open_found(model, at, field);
                model.go(Place::Paper);
            }
        }
        Action::Export => prompt::export(model),
        Action::Import => prompt::import(model),
        Action::Report => return vec![Effect::Report],
        Action::Reissue => prompt::reissue(model),
        Action::Back if !model.go_back() => model.place = Place::Find,
        _ => {}
    }
    Vec::new()
}

/// Papers were handed out to students of the stack.
pub fn reissued(model: &mut Model, students: &[String], lie: &str, news: News) {
    let Some(stack) = &mut model.stack else {
        return;
    };
    let came = stack.take_in(news);
    model.handed_out = true;
    news::stay(model, &came.places);
    let who = match students {
        [one] => format!("{one} has"),
        several => format!("{} students have", several.len()),
    };
    model.say(format!("{who} another paper with new numbers{lie}"));
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let Some(stack) = &model.stack else {
        return;
    };
    let counts = stack.counts();
    let columns = usize::from(area.width);
    paint::rows(frame, area, [summary(model, &counts)]);
    let left = (columns * 2 / 5).clamp(LIST, 60);
    let below = Rect {
        y: area.y + 2,
        height: area.height.saturating_sub(2),
        ..area
    };
    let list = Rect {
        width: left as u16,
        ..below
    };
    let state = &model.class;
    let height = usize::from(list.height).saturating_sub(1);
    let top = find::top(state.at, state.found.len(), height);
    let heading = Row::new(model.theme).gap(2).text(
        Role::Dim,
        &format!("{} ({})", state.filter.name(), state.found.len()),
    );
    let lines = state.found.iter().enumerate().skip(top).take(height);
    let lines = lines
        .map(|(index, &at)| line(model, stack, at, left.saturating_sub(2)).here(index == state.at));
    paint::rows(frame, list, std::iter::once(heading).chain(lines));
    let right = Rect {
        x: below.x + left as u16,
        width: below.width.saturating_sub(left as u16),
        ..below
    };
    let mut rows = totals(model, &counts, usize::from(right.width));
    rows.push(Row::new(model.theme));
    rows.extend(parts(
        model,
        stack,
        &counts,
        usize::from(right.width),
        usize::from(right.height).saturating_sub(rows.len()),
    ));
    paint::rows(frame, right, rows);
}

/// Columns of the narrowest list: ids, how far they are, late, totals.
const LIST: usize = 2 + 12 + 13 + 5 + 5 + 2;

fn summary(model: &Model, counts: &Counts) -> Row {
    let mut row = Row::new(model.theme).gap(1);
    let items = [
        (counts.done, "done", Role::Good),
        (counts.look, "to look at", Role::Look),
        (counts.begun, "begun", Role::Plain),
        (counts.to_do, "to do", Role::Plain),
        (counts.absent, "absent", Role::Plain),
        (counts.excused, "excused", Role::Plain),
        (counts.late, "late", Role::Plain),
    ];
    for (count, words, role) in items {
        let role = if count == 0 { Role::Dim } else { role };
        row = row.gap(1).text(role, &format!("{count} {words}")).gap(1);
    }
    row
}

fn line(model: &Model, stack: &Stack, at: usize, columns: usize) -> Row {
    let paper = &stack.papers()[at];
    let progress = paper.progress(stack.plan());
    let (role, words) = find::progress(model, stack, at);
    let total = match progress {
        Progress::Done | Progress::Look if !model.hides() => {
            paper.points.total.normalize().to_string()
        }
        _ => String::new(),
    };
    let late = if paper.paper.days_late > 0 {
        "late"
    } else {
        ""
    };
    Row::new(model.theme)
        .gap(2)
        .cell(
            columns.saturating_sub(2 + 13 + 5 + 5),
            Side::Left,
            Role::Plain,
            &find::id(stack, at),
        )
        .cell(13, Side::Left, role, words)
        .cell(5, Side::Left, Role::Look, late)
        .cell(5, Side::Right, Role::Plain, &total)
}

/// How the totals lie.
fn totals(model: &Model, counts: &Counts, columns: usize) -> Vec<Row> {
    let theme = model.theme;
    let mean = counts.mean().map_or_else(String::new, |mean| {
        format!(
            "mean {} of {}",
            mean.round_dp(1).normalize(),
            counts.out_of.normalize()
        )
    });
    let mut rows = vec![
        Row::new(theme)
            .gap(1)
            .text(Role::Strong, "totals")
            .gap(2)
            .text(Role::Dim, &mean),
    ];
    if model.hides() {
        return rows;
    }
    let step = counts.step();
    let bins = counts.histogram(step);
    let most = bins.iter().copied().max().unwrap_or(0).max(1);
    let steps = bins.len();
    let width = columns.saturating_sub(19).max(1);
    let bins = bins.iter().enumerate().rev();
    rows.extend(bins.map(|(at, &count)| {
        let edge = |at: usize| {
            let edge = (step * Decimal::from(at)).min(counts.out_of);
            edge.normalize().to_string()
        };
        let below = if at + 1 < steps { "<" } else { "" };
        let label = format!("{} to {below}{}", edge(at), edge(at + 1));
        let bar = "█".repeat((count * width).div_ceil(most).min(width));
        Row::new(theme)
            .gap(1)
            .cell(12, Side::Right, Role::Dim, &label)
            .gap(1)
            .text(Role::Plain, &bar)
            .gap(1)
            .text(
                Role::Dim,
                &if count > 0 {
                    count.to_string()
                } else {
                    String::new()
                },
            )
    }));
    rows
}

/// How the parts went, and the commonest mistakes as there is room.
fn parts(model: &Model, stack: &Stack, counts: &Counts, columns: usize, height: usize) -> Vec<Row> {
    let theme = model.theme;
    let mut rows = vec![
        Row::new(theme)
            .gap(1)
            .text(Role::Strong, "parts")
            .gap(2)
            .text(Role::Dim, "share of the points earned"),
    ];
    if model.hides() {
        return rows;
    }
    let bar_width = if columns < 60 { 4 } else { 10 };
    let before = 1 + 5 + 6 + 1 + bar_width + 2;
    let told = |part: &PartCounts| -> Vec<String> {
        let words = part.mistakes.iter();
        let words = words.map(|mistake| format!("{}× {}", mistake.count, mistake.words));
        let lines = words.flat_map(|words| paint::wrapped(&words, columns.saturating_sub(before)));
        lines.collect()
    };
    let told: Vec<Vec<String>> = counts.parts.iter().map(told).collect();
    // A line of mistakes each, then the next commonest from the first part on, until there is no room.
    let mut left = height.saturating_sub(1 + counts.parts.len());
    for ((place, part), told) in stack.plan().parts.iter().zip(&counts.parts).zip(&told) {
        let share = part.facility();
        let facility = share.map_or_else(
            || "–".to_owned(),
            |share| {
                let percent = (share * Decimal::ONE_HUNDRED).round_dp(0);
                format!("{} %", percent.normalize())
            },
        );
        let filled = share.map_or(0, |share| {
            usize::try_from((share * Decimal::from(bar_width)).round())
                .unwrap_or(0)
                .min(bar_width)
        });
        let more = told.len().saturating_sub(1).min(left);
        left -= more;
        let mut lines = told.iter().take(1 + more).enumerate();
        let mut row = Row::new(theme)
            .gap(1)
            .cell(5, Side::Left, Role::Plain, &place.id)
            .cell(6, Side::Right, Role::Plain, &facility)
            .gap(1)
            .text(Role::Dim, &"█".repeat(filled))
            .text(Role::Dim, &"·".repeat(bar_width - filled))
            .gap(2);
        if let Some((_, first)) = lines.next() {
            let cut = if more + 1 < told.len() { " …" } else { "" };
            let first = if more == 0 {
                first.clone() + cut
            } else {
                first.clone()
            };
            row = row.cell(
                columns.saturating_sub(before),
                Side::Left,
                Role::Dim,
                &first,
            );
        }
        rows.push(row);
        for (at, line) in lines {
            let cut = if at == more && more + 1 < told.len() {
                " …"
            } else {
                ""
            };
            let line = line.clone() + cut;
            let rest = columns.saturating_sub(before);
            rows.push(
                Row::new(theme)
                    .gap(before)
                    .cell(rest, Side::Left, Role::Dim, &line),
            );
        }
    }
    rows
}
