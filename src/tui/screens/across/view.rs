//! Draws one part through all papers.
//!
//! In: the desk there. Out: a row a paper, without marks where these are not to be seen.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::super::super::model::Model;
use super::super::super::paint::{self, Role, Row, Side};
use super::super::{find, judged};

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
            .cell(11, Side::Left, Role::Plain, &find::id(stack, at))
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
