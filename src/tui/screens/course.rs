//! The start screen: the course folder's assignments by class, and how far each is.
//!
//! In: the lines found in the folder and the record. Out: the one to be opened, or whose papers are
//! handed out. Letters leave those lines that hold them.

use ratatui::Frame;
use ratatui::layout::Rect;
use tui_input::{Input, InputRequest};

use crate::workflow::desk::course::Line;

use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Tone};
use super::super::paint::{self, Role, Row, Side};
use super::super::typing::edit;
use super::{find, prompt};

/// What the start screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The folder's name, if the desk was opened on one.
    pub folder: Option<String>,
    /// All lines: those with papers out first.
    pub lines: Vec<Line>,
    /// The classes of the folder.
    pub classes: Vec<String>,
    /// What was typed.
    pub input: Input,
    /// The lines that fit it.
    pub found: Vec<usize>,
    /// Which of them is chosen.
    pub at: usize,
}

impl State {
    /// Whether there is a course folder to go back to.
    pub fn is_there(&self) -> bool {
        self.folder.is_some()
    }
}

/// Takes the lines as they are now, and stays at the one chosen.
pub fn take(model: &mut Model, lines: Vec<Line>, classes: Vec<String>) {
    let chosen = chosen(model).cloned();
    let state = &mut model.course;
    state.lines = lines;
    state.classes = classes;
    narrow(state);
    let of_code = |line: &Line| {
        chosen
            .as_ref()
            .is_some_and(|chosen| chosen.code == line.code)
    };
    let same = |line: &Line| {
        of_code(line)
            && chosen
                .as_ref()
                .is_some_and(|chosen| chosen.class == line.class)
    };
    // What had no papers yet may have a class now.
    let place =
        |is: &dyn Fn(&Line) -> bool| state.found.iter().position(|&at| is(&state.lines[at]));
    if let Some(at) = place(&same).or_else(|| place(&of_code)) {
        state.at = at;
    }
}

/// The line chosen.
pub fn chosen(model: &Model) -> Option<&Line> {
    let state = &model.course;
    state.lines.get(*state.found.get(state.at)?)
}

fn narrow(state: &mut State) {
    let words: Vec<String> = state
        .input
        .value()
        .split_whitespace()
        .map(str::to_lowercase)
        .collect();
    let fits = |line: &Line| {
        let text = format!("{} {} {}", line.code, line.title, line.class).to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    state.found = (0..state.lines.len())
        .filter(|&at| fits(&state.lines[at]))
        .collect();
    state.at = 0;
}

/// Text typed to find a line. Where nothing holds it, whoever typed it may take this for another
/// screen: that is said.
pub fn typed(model: &mut Model, request: InputRequest) -> Vec<Effect> {
    edit(&mut model.course.input, request);
    narrow(&mut model.course);
    if model.course.found.is_empty() && !model.course.lines.is_empty() {
        model.tell(
            Tone::Look,
            format!(
                "these are the assignments, and none holds `{}`: Esc clears it; Enter on an \
                 assignment opens its papers, where students are found",
                model.course.input.value()
            ),
        );
        return vec![Effect::Ring];
    }
    model.say("");
    Vec::new()
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action) -> Vec<Effect> {
    let state = &mut model.course;
    match action {
        Action::Up => state.at = state.at.saturating_sub(1),
        Action::Down => state.at = (state.at + 1).min(state.found.len().saturating_sub(1)),
        Action::Back => {
            state.input.reset();
            narrow(state);
        }
        Action::Enter | Action::HandOut => {
            if let Some(line) = chosen(model).cloned() {
                if action == Action::Enter && !line.class.is_empty() {
                    return vec![Effect::Open(Box::new(line))];
                }
                prompt::issue(model, line);
            }
        }
        _ => {}
    }
    Vec::new()
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let state = &model.course;
    let theme = model.theme;
    let columns = usize::from(area.width);
    let label = "  find an assignment  ";
    let (shown, cursor) = paint::typed(
        &state.input,
        columns.saturating_sub(label.len() + 20).max(4),
    );
    let count = format!("{} of {}", state.found.len(), state.lines.len());
    let mut rows = vec![
        Row::new(theme)
            .text(Role::Dim, label)
            .text(Role::Strong, &shown)
            .ending(columns, Role::Dim, &count),
        Row::new(theme),
    ];
    let layout = Layout::of(state, columns);
    if state.lines.is_empty() {
        let text = "no assignments here: put their files into assignments/ and the classes' CSV files into rosters/; `paperweight new --list` shows those that come with the program";
        rows.extend(
            paint::wrapped(text, columns.saturating_sub(4))
                .iter()
                .map(|line| Row::new(theme).gap(2).text(Role::Plain, line)),
        );
    }
    // The title chosen is told whole below the list where the list has no room for it.
    let cut = chosen(model).filter(|line| crate::text::width(&line.title) > layout.title);
    let below = cut.map_or_else(Vec::new, |line| {
        paint::wrapped(&line.title, columns.saturating_sub(4))
    });
    let height = usize::from(area.height).saturating_sub(rows.len() + below.len());
    let top = find::top(state.at, state.found.len(), height);
    let found = state.found.iter().enumerate().skip(top).take(height);
    rows.extend(found.map(|(index, &at)| {
        let is_here = index == state.at;
        layout.line(model, &state.lines[at]).here(is_here)
    }));
    rows.resize(
        usize::from(area.height).saturating_sub(below.len()),
        Row::new(theme),
    );
    rows.extend(
        below
            .iter()
            .map(|text| Row::new(theme).gap(2).text(Role::Dim, text)),
    );
    paint::rows(frame, area, rows);
    if model.prompt.is_none() {
        paint::cursor(frame, area, label.len() + cursor, 0);
    }
}

/// Columns of the list.
struct Layout {
    code: usize,
    title: usize,
    class: usize,
    bar: usize,
    words: usize,
}

impl Layout {
    /// Codes and classes as wide as they are, within reason; the bar where there is room for it.
    fn of(state: &State, columns: usize) -> Self {
        let widest = |of: fn(&Line) -> &str, least: usize, most: usize| {
            let widths = state.lines.iter().map(|line| crate::text::width(of(line)));
            widths.max().unwrap_or(0).clamp(least, most)
        };
        let code = widest(|line| &line.code, 6, 20);
        let class = widest(|line| &line.class, 5, 18);
        let bar = if columns >= 100 { 8 } else { 0 };
        let words = 16;
        let rest = 2 + code + 1 + 1 + class + 1 + bar + 1 + words + 1;
        Self {
            code,
            title: columns.saturating_sub(rest),
            class,
            bar,
            words,
        }
    }

    fn line(&self, model: &Model, line: &Line) -> Row {
        let (bar, words) = if line.issued == 0 {
            (String::new(), "not handed out".to_owned())
        } else {
            let full = (line.touched * self.bar)
                .div_ceil(line.issued)
                .min(self.bar);
            let full = if line.touched < line.issued {
                full.min(self.bar.saturating_sub(1))
            } else {
                full
            };
            (
                "█".repeat(full) + &"·".repeat(self.bar - full),
                format!("{} of {} begun", line.touched, line.issued),
            )
        };
        Row::new(model.theme)
            .gap(2)
            .cell(self.code, Side::Left, Role::Strong, &line.code)
            .gap(1)
            .cell(self.title, Side::Left, Role::Plain, &line.title)
            .gap(1)
            .cell(self.class, Side::Left, Role::Plain, &line.class)
            .gap(1)
            .cell(self.bar, Side::Left, Role::Dim, &bar)
            .gap(1)
            .cell(self.words, Side::Left, Role::Dim, &words)
            .gap(1)
    }
}
