//! Drawing: the one place where text becomes cells of the screen.
//!
//! In: any text, with the role it plays. Out: lines for ratatui, each text made safe, cut to its
//! column and padded. Roles become colours and, without colour, weights; a meaning is always in
//! the words too. No other file of the desk makes spans, so nothing foreign reaches the terminal
//! unseen.

use ratatui::Frame;
use ratatui::layout::{Position, Rect};
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::text::{self, excerpt, padded, safe, width};

/// What a text is on the screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Role {
    /// Text.
    #[default]
    Plain,
    /// Of less weight.
    Dim,
    /// Of more weight: headings, what is chosen.
    Strong,
    /// The line or field one is at.
    Here,
    /// Right, saved.
    Good,
    /// Credited, though not right.
    Half,
    /// Wrong.
    Bad,
    /// Needs the teacher.
    Look,
    /// Something failed, and must be seen.
    Alarm,
}

/// Whether roles may be told by colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Colours are used.
    pub color: bool,
}

impl Theme {
    /// The style of a role. Only the sixteen colours that every terminal lets its user choose.
    pub fn style(self, role: Role) -> Style {
        let plain = Style::new();
        let colored = |color: Color| if self.color { plain.fg(color) } else { plain };
        match role {
            Role::Plain => plain,
            Role::Dim => plain.add_modifier(Modifier::DIM),
            Role::Strong => plain.add_modifier(Modifier::BOLD),
            Role::Here => plain.add_modifier(Modifier::REVERSED),
            Role::Good => colored(Color::Green),
            Role::Half => colored(Color::Cyan),
            Role::Bad => colored(Color::Red),
            Role::Look => colored(Color::Yellow).add_modifier(Modifier::BOLD),
            Role::Alarm => colored(Color::Red).add_modifier(Modifier::BOLD | Modifier::REVERSED),
        }
    }
}

/// On which side of its column a text stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The left.
    Left,
    /// The right, for numbers.
    Right,
}

/// One line of the screen, written from the left.
#[derive(Clone, Debug)]
pub struct Row {
    theme: Theme,
    spans: Vec<Span<'static>>,
    used: usize,
}

impl Row {
    /// An empty line.
    pub fn new(theme: Theme) -> Self {
        Self {
            theme,
            spans: Vec::new(),
            used: 0,
        }
    }

    /// Columns written so far.
    pub fn used(&self) -> usize {
        self.used
    }

    /// Text as long as it is.
    #[must_use]
    pub fn text(mut self, role: Role, text: &str) -> Self {
        let text = safe(text).into_owned();
        self.used += width(&text);
        self.spans.push(Span::styled(text, self.theme.style(role)));
        self
    }

    /// Text in a column of so many cells: cut with `…` or padded.
    #[must_use]
    pub fn cell(mut self, columns: usize, side: Side, role: Role, text: &str) -> Self {
        if columns == 0 {
            return self;
        }
        let text = excerpt(text, columns);
        let style = self.theme.style(role);
        let span = match side {
            Side::Left => padded(&text, columns),
            Side::Right => " ".repeat(columns.saturating_sub(width(&text))) + &text,
        };
        self.spans.push(Span::styled(span, style));
        self.used += columns;
        self
    }

    /// So many blanks.
    #[must_use]
    pub fn gap(mut self, columns: usize) -> Self {
        self.spans.push(Span::raw(" ".repeat(columns)));
        self.used += columns;
        self
    }

    /// Blanks up to a column, at least none.
    #[must_use]
    pub fn to(self, column: usize) -> Self {
        let columns = column.saturating_sub(self.used);
        self.gap(columns)
    }

    /// A text that ends at column `end`, as far from what stands before as there is room.
    #[must_use]
    pub fn ending(self, end: usize, role: Role, text: &str) -> Self {
        let room = end.saturating_sub(self.used);
        if room < 2 {
            return self;
        }
        let shown = excerpt(text, room - 1).into_owned();
        let gap = room - width(&shown);
        self.gap(gap).text(role, &shown)
    }

    /// The whole line in reverse, for what one is at.
    #[must_use]
    pub fn here(mut self, is_here: bool) -> Self {
        if is_here {
            for span in &mut self.spans {
                span.style = span.style.add_modifier(Modifier::REVERSED);
            }
        }
        self
    }

    fn line(self) -> Line<'static> {
        Line::from(self.spans)
    }
}

/// Draws rows from the top of an area; what does not fit is left out.
pub fn rows(frame: &mut Frame<'_>, area: Rect, rows: impl IntoIterator<Item = Row>) {
    let area = area.intersection(frame.area());
    for (at, row) in rows.into_iter().take(usize::from(area.height)).enumerate() {
        let line = Rect {
            y: area.y + at as u16,
            height: 1,
            ..area
        };
        frame.render_widget(Paragraph::new(row.line()), line);
    }
}

/// A thin line across an area.
pub fn rule(theme: Theme, columns: u16) -> Row {
    Row::new(theme).text(Role::Dim, &"─".repeat(usize::from(columns)))
}

/// A thin line across an area with words in it, if there are any.
pub fn rule_with(theme: Theme, columns: u16, words: &str) -> Row {
    if words.is_empty() {
        return rule(theme, columns);
    }
    let row = Row::new(theme)
        .text(Role::Dim, "── ")
        .text(Role::Strong, words)
        .gap(1);
    let rest = usize::from(columns).saturating_sub(row.used());
    row.text(Role::Dim, &"─".repeat(rest))
}

/// A text that is being typed, in a column of so many cells: the part around the cursor, and the
/// cell in which the cursor stands.
pub fn typed(input: &tui_input::Input, columns: usize) -> (String, usize) {
    let value = input.value();
    let before: String = value.chars().take(input.cursor()).collect();
    let shown = safe(value).into_owned();
    let cursor = width(&safe(&before));
    if cursor < columns && width(&shown) <= columns {
        return (shown, cursor);
    }
    // Cut off in front what keeps the cursor from being seen.
    let drop = cursor.saturating_sub(columns.saturating_sub(2));
    let mut skipped = 0;
    let tail: String = shown
        .chars()
        .skip_while(|&c| {
            let skip = skipped < drop;
            skipped += if skip {
                width(c.encode_utf8(&mut [0; 4]))
            } else {
                0
            };
            skip
        })
        .collect();
    if drop == 0 {
        return (tail, cursor);
    }
    (format!("…{tail}"), (cursor - skipped + 1).min(columns))
}

/// Puts the terminal's cursor at a cell.
pub fn cursor(frame: &mut Frame<'_>, area: Rect, column: usize, row: usize) {
    let x = area.x.saturating_add(column.min(u16::MAX.into()) as u16);
    let y = area.y.saturating_add(row.min(u16::MAX.into()) as u16);
    if x < area.right() && y < area.bottom() {
        frame.set_cursor_position(Position { x, y });
    }
}

/// Breaks a text at blanks into lines of so many columns; line breaks in it hold.
pub fn wrapped(text: &str, columns: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for line in text.lines() {
        let line = safe(line);
        if width(&line) <= columns {
            lines.push(line.into_owned());
            continue;
        }
        let indent = line.len() - line.trim_start_matches(' ').len();
        let indent = " ".repeat(indent.min(columns / 2));
        let words: Vec<&str> = line.split_ascii_whitespace().collect();
        let parts = text::wrapped(&words.join(" "), columns - indent.len());
        lines.extend(parts.iter().map(|part| format!("{indent}{part}")));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use tui_input::Input;

    #[test]
    fn the_cursor_is_seen_in_a_long_text() {
        for (text, cursor, columns, expected) in [
            ("3.27", 4, 10, ("3.27", 4)),
            ("3.27", 0, 10, ("3.27", 0)),
            ("123456789", 9, 6, ("…6789", 5)),
            ("王秀英王秀英", 6, 6, ("…秀英", 5)),
        ] {
            let input = Input::new(text.to_owned()).with_cursor(cursor);
            let (shown, at) = typed(&input, columns);
            assert_eq!((shown.as_str(), at), expected, "{text} at {cursor}");
            assert!(width(&shown) <= columns, "{shown}");
        }
    }

    #[test]
    fn lines_break_at_blanks_and_keep_their_indent() {
        assert_eq!(wrapped("  one two three", 9), ["  one two", "  three"]);
        assert_eq!(wrapped("short\nlines", 9), ["short", "lines"]);
    }

    #[test]
    fn roles_are_told_apart_without_colour_where_words_do_not() {
        let theme = Theme { color: false };
        for role in [Role::Here, Role::Strong, Role::Look, Role::Alarm] {
            assert_ne!(theme.style(role), theme.style(Role::Plain), "{role:?}");
            assert_eq!(theme.style(role).fg, None, "{role:?}");
        }
    }
}
