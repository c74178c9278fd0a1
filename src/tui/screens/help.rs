//! The page of keys, written from the key table.
//!
//! In: the screen one came from. Out: its keys, then those that hold everywhere.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::super::keys::{Action, In, KEYS};
use super::super::model::Model;
use super::super::paint::{self, Role, Row, Side};

/// Columns for the names of keys.
const NAMES: usize = 16;

/// Lines that a page goes up or down.
const PAGE: usize = 12;

/// No page of keys begins further down.
const LAST: usize = 60;

/// What an action does here.
pub fn act(model: &mut Model, action: Action) {
    match (action, model.help) {
        (Action::Back, _) => model.help = None,
        (Action::Up, Some(top)) => model.help = Some(top.saturating_sub(1)),
        (Action::Down, Some(top)) => model.help = Some((top + 1).min(LAST)),
        (Action::PageUp, Some(top)) => model.help = Some(top.saturating_sub(PAGE)),
        (Action::PageDown, Some(top)) => model.help = Some((top + PAGE).min(LAST)),
        _ => {}
    }
}

/// Draws the page.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let columns = usize::from(area.width);
    let theme = model.theme;
    let mut rows = Vec::new();
    let here = In::Screen(model.place);
    for (place, title) in [
        (here, "on this screen"),
        (In::Prompt, "where a line is asked for"),
        (In::Everywhere, "everywhere"),
    ] {
        rows.push(Row::new(theme).gap(2).text(Role::Strong, title));
        for binding in KEYS.iter().filter(|binding| binding.place == place) {
            let names: Vec<String> = binding.keys.iter().map(|key| key.name()).collect();
            let text = paint::wrapped(binding.long, columns.saturating_sub(NAMES + 5).max(8));
            for (at, line) in text.iter().enumerate() {
                let names = if at == 0 {
                    names.join(" ")
                } else {
                    String::new()
                };
                rows.push(
                    Row::new(theme)
                        .gap(2)
                        .cell(NAMES, Side::Left, Role::Plain, &names)
                        .gap(1)
                        .text(Role::Dim, line),
                );
            }
        }
        rows.push(Row::new(theme));
    }
    rows.push(
        Row::new(theme)
            .gap(2)
            .text(Role::Dim, "^ stands for the control key: ^U is Ctrl and U."),
    );
    let most = rows.len().saturating_sub(usize::from(area.height));
    let top = model.help.unwrap_or(0).min(most);
    paint::rows(frame, area, rows.into_iter().skip(top));
}
