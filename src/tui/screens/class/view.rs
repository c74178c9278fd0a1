//! Draws the class: a line a paper on the left; on the right how totals lie and how the parts went.
//!
//! In: the desk at a class. Out: rows; mistakes as far as there is room. With verdicts hidden nothing tells of marks.

use ratatui::Frame;
use ratatui::layout::Rect;
use rust_decimal::Decimal;

use crate::workflow::desk::{Counts, PartCounts, Progress, Stack};

use super::super::super::model::Model;
use super::super::super::paint::{self, Role, Row, Side};
use super::super::find;

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
