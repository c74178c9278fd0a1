//! Draws the desk: a line of where one is, the screen, what is saved, the keys.
//!
//! In: the model. Out: one frame. A terminal too small to work in gets a sentence that says so.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::keys::{Action, In, KEYS, places};
use super::model::{Model, Place, Tone};
use super::paint::{self, Role, Row};
use crate::record::Keying;
use crate::workflow::desk::Twice;

use super::screens::{across, class, course, find, help, import, paper, prompt, report};

/// The smallest terminal that can be worked in.
pub const SMALLEST: (u16, u16) = (60, 14);

/// Draws the desk.
pub fn view(model: &Model, frame: &mut Frame<'_>) {
    let area = frame.area();
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return small(model, frame, area);
    }
    let columns = usize::from(area.width);
    let line = |y: u16, height: u16| Rect { y, height, ..area };
    paint::rows(
        frame,
        line(0, 2),
        [header(model, columns), paint::rule(model.theme, area.width)],
    );
    let foot = foot(model, columns, usize::from(area.height) / 3);
    let lines = foot.len().min(usize::from(area.height)) as u16;
    let body = line(2, area.height.saturating_sub(3 + lines));
    if model.help.is_some() {
        help::view(model, frame, body);
    } else {
        match model.place {
            Place::Course => course::view(model, frame, body),
            Place::Find => find::view(model, frame, body),
            Place::Paper => paper::view(model, frame, body),
            Place::Across => across::view(model, frame, body),
            Place::Class => class::view(model, frame, body),
            Place::Import => import::view(model, frame, body),
            Place::Report => report::view(model, frame, body),
        }
    }
    let below = line(area.height - 1 - lines, lines);
    paint::rows(frame, below, foot);
    if let Some(asked) = model.prompt.as_ref().filter(|_| model.help.is_none()) {
        prompt::cursor(model, asked, frame, line(area.height - 2, 1));
    }
    paint::rows(frame, line(area.height - 1, 1), [bar(model, columns)]);
}

/// What the desk has to say and whether all is saved, or the line that is asked for; as many lines as
/// that takes, up to a number.
fn foot(model: &Model, columns: usize, most: usize) -> Vec<Row> {
    match &model.prompt {
        Some(asked) if model.help.is_none() => prompt::rows(model, asked, columns, most),
        _ => {
            let mut rows = said(model, columns);
            rows.truncate(most.max(1));
            rows.extend(saved(model, columns));
            rows
        }
    }
}

fn small(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let (columns, lines) = SMALLEST;
    let text =
        format!("Too small a window: the desk needs {columns} by {lines}. All is kept; ^C leaves.");
    let lines = paint::wrapped(&text, usize::from(area.width).max(1));
    let rows = lines
        .iter()
        .map(|line| Row::new(model.theme).text(Role::Plain, line));
    paint::rows(frame, area, rows);
}

/// Where one is: the sheet, the class, how far it is.
fn header(model: &Model, columns: usize) -> Row {
    let row = Row::new(model.theme).gap(1);
    let Some(stack) = model
        .stack
        .as_ref()
        .filter(|_| model.place != Place::Course)
    else {
        let folder = model.course.folder.as_deref().unwrap_or("");
        return row
            .text(Role::Strong, "Paperweight")
            .gap(2)
            .text(Role::Dim, folder);
    };
    let sheet = &stack.plan().sheet;
    let counting = stack.counting();
    let is_done = |at: &&usize| match model.keying {
        Keying::First => stack.papers()[**at].progress(stack.plan()).is_settled(),
        Keying::Second => matches!(stack.twice(**at), Twice::Same | Twice::Differs),
    };
    let done = counting.iter().filter(is_done).count();
    let words = match model.keying {
        Keying::First if model.hide => "done   verdicts hidden",
        Keying::First => "done",
        Keying::Second => "keyed twice   SECOND KEYING",
    };
    let right = format!("{}   {done} of {} {words}", stack.class(), counting.len());
    let title =
        columns.saturating_sub(crate::text::width(&sheet.code) + crate::text::width(&right) + 7);
    let title = crate::text::excerpt(&sheet.title, title.max(1)).into_owned();
    row.text(Role::Strong, &sheet.code)
        .gap(2)
        .text(Role::Plain, &title)
        .ending(columns - 1, Role::Dim, &right)
}

/// What the desk has to say.
fn said(model: &Model, columns: usize) -> Vec<Row> {
    let role = match model.message.tone {
        Tone::Plain => Role::Plain,
        Tone::Look => Role::Look,
        Tone::Alarm => Role::Alarm,
    };
    let mut lines = paint::wrapped(&model.message.text, columns.saturating_sub(2));
    if lines.is_empty() {
        lines.push(String::new());
    }
    let row = |line: String| Row::new(model.theme).gap(1).text(role, &line);
    lines.into_iter().map(row).collect()
}

/// Whether what was keyed is in the record.
fn saved(model: &Model, columns: usize) -> Vec<Row> {
    let saving = &model.saving;
    let row = Row::new(model.theme).gap(1);
    let room = columns.saturating_sub(2);
    if let Some(why) = &saving.failed {
        let first = saving
            .waiting
            .front()
            .map_or("", |waiting| waiting.words.as_str());
        let more = saving.waiting.len().saturating_sub(1);
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        let text = format!("NOT SAVED: {first}{more}; kept here and tried again. {why}");
        let lines = paint::wrapped(&text, room).into_iter().take(3);
        let row = |line: String| Row::new(model.theme).gap(1).text(Role::Alarm, &line);
        return lines.map(row).collect();
    }
    let told = |role, word: &str, words: &str| {
        let rest = room.saturating_sub(10);
        let row = row.clone().cell(10, paint::Side::Left, role, word);
        vec![row.cell(rest, paint::Side::Left, Role::Dim, words)]
    };
    if let Some(waiting) = saving.waiting.back() {
        return told(Role::Dim, "saving", &waiting.words);
    }
    match &saving.saved {
        Some(words) if saving.in_memory => {
            let words = format!("{words}   (no record: export before you leave)");
            told(Role::Dim, "kept", &words)
        }
        Some(words) => told(Role::Good, "saved", words),
        None => vec![row],
    }
}

/// The keys that hold now, as many as fit; those that do nothing now are dim.
fn bar(model: &Model, columns: usize) -> Row {
    let mut row = Row::new(model.theme);
    let places = places(model);
    let shown = places
        .iter()
        .flat_map(|place| KEYS.iter().filter(move |binding| binding.place == *place));
    let always: Vec<String> = [Action::Undo, Action::Help]
        .into_iter()
        .filter(|action| *action == Action::Help || (model.help.is_none() && model.can_undo()))
        .filter_map(everywhere)
        .collect();
    let keys = always.join("  ");
    for binding in shown {
        let Some(key) = binding.keys.first().filter(|_| !binding.short.is_empty()) else {
            continue;
        };
        let name = key.name();
        let columns_needed = name.chars().count() + binding.short.chars().count() + 5 + keys.len();
        let is_at_the_end = matches!(binding.action, Action::Undo | Action::Help);
        if is_at_the_end || row.used() + columns_needed > columns {
            continue;
        }
        let is_on = (binding.when)(model);
        let (key_role, role) = if is_on {
            (Role::Strong, Role::Plain)
        } else {
            (Role::Dim, Role::Dim)
        };
        row = row
            .gap(1)
            .text(key_role, &name)
            .gap(1)
            .text(role, binding.short)
            .gap(1);
    }
    row.ending(columns.saturating_sub(1), Role::Strong, &keys)
}

/// A key that holds on every screen, as the line at the bottom says it.
fn everywhere(action: Action) -> Option<String> {
    let mut keys = KEYS.iter().filter(|known| known.place == In::Everywhere);
    let binding = keys.find(|known| known.action == action)?;
    let key = binding.keys.first()?;
    Some(format!("{} {}", key.name(), binding.short))
}
