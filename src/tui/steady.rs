//! Lines that hold stacked marks are written anew as a whole.
//!
//! In: the cells that changed. Out: the same on the terminal, whatever it makes of marks that sit on
//! other letters. Terminals do not agree on which cell a vowel sign belongs to, and some leave it
//! behind when only the letter's own cell is written over. So a line in which such a letter stands or
//! stood is cleared first, and after each of them the cursor is put where we know it has to be.

use std::io;

use ratatui::backend::{Backend, ClearType, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};

use crate::text::width;

/// A terminal that is written to in this way.
#[derive(Debug)]
pub(super) struct Steady<B> {
    to: B,
    /// What stands on the terminal, line by line as far as it was written.
    shown: Vec<Vec<Cell>>,
}

impl<B: Backend<Error = io::Error>> Steady<B> {
    pub(super) fn new(to: B) -> Self {
        Self {
            to,
            shown: Vec::new(),
        }
    }

    /// Keeps a cell; whether its line has to be written anew because of what stood there or stands now.
    fn keep(&mut self, x: u16, y: u16, cell: &Cell) -> bool {
        let (x, y) = (usize::from(x), usize::from(y));
        if self.shown.len() <= y {
            self.shown.resize(y + 1, Vec::new());
        }
        let line = &mut self.shown[y];
        if line.len() <= x {
            line.resize(x + 1, Cell::EMPTY);
        }
        let stood = line.iter().any(is_stacked);
        line[x] = cell.clone();
        // What a wide letter covers is gone.
        for covered in line
            .iter_mut()
            .skip(x + 1)
            .take(width(cell.symbol()).saturating_sub(1))
        {
            covered.reset();
        }
        stood || is_stacked(cell)
    }

    /// Writes the whole line.
    fn anew(&mut self, y: u16) -> io::Result<()> {
        self.to.set_cursor_position(Position { x: 0, y })?;
        self.to.clear_region(ClearType::CurrentLine)?;
        let Some(line) = self.shown.get(usize::from(y)) else {
            return Ok(());
        };
        let mut run: Vec<(u16, u16, &Cell)> = Vec::new();
        let mut covered = 0;
        for (x, cell) in (0..).zip(line) {
            // The cell behind a wide letter is drawn by it.
            if covered > 0 {
                covered -= 1;
                continue;
            }
            covered = width(cell.symbol()).saturating_sub(1);
            run.push((x, y, cell));
            if is_stacked(cell) {
                // Each piece begins by putting the cursor to its place.
                self.to.draw(run.drain(..))?;
            }
        }
        self.to.draw(run.drain(..))
    }
}

/// Whether a cell holds more than one character.
fn is_stacked(cell: &Cell) -> bool {
    cell.symbol().chars().nth(1).is_some()
}

impl<B: Backend<Error = io::Error>> Backend for Steady<B> {
    type Error = io::Error;

    fn draw<'a, I>(&mut self, content: I) -> io::Result<()>
    where
        I: Iterator<Item = (u16, u16, &'a Cell)>,
    {
        let content: Vec<_> = content.collect();
        let mut anew: Vec<u16> = Vec::new();
        for &(x, y, cell) in &content {
            if self.keep(x, y, cell) && anew.last() != Some(&y) {
                anew.push(y);
            }
        }
        let plain = content.into_iter().filter(|(_, y, _)| !anew.contains(y));
        self.to.draw(plain)?;
        anew.into_iter().try_for_each(|y| self.anew(y))
    }

    fn append_lines(&mut self, lines: u16) -> io::Result<()> {
        self.to.append_lines(lines)
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        self.to.hide_cursor()
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        self.to.show_cursor()
    }

    fn get_cursor_position(&mut self) -> io::Result<Position> {
        self.to.get_cursor_position()
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.to.set_cursor_position(position)
    }

    fn clear(&mut self) -> io::Result<()> {
        self.shown.clear();
        self.to.clear()
    }

    fn clear_region(&mut self, region: ClearType) -> io::Result<()> {
        if region == ClearType::All {
            self.shown.clear();
        }
        self.to.clear_region(region)
    }

    fn size(&self) -> io::Result<Size> {
        self.to.size()
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        self.to.window_size()
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::paint::{Role, Row, Theme, rows};
    use ratatui::Terminal;
    use ratatui::backend::CrosstermBackend;
    use std::cell::RefCell;
    use std::io::Write;
    use std::num::NonZero;
    use std::rc::Rc;

    /// A terminal of its own that bytes are written to.
    #[derive(Clone)]
    struct Screen(Rc<RefCell<vt100::Parser>>);

    impl Write for Screen {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.borrow_mut().process(bytes);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn nothing_of_a_name_stays_behind() {
        const COLUMNS: u16 = 60;
        let size = (NonZero::new(4).unwrap(), NonZero::new(COLUMNS).unwrap());
        let screen = Screen(Rc::new(RefCell::new(vt100::Parser::new(size.0, size.1, 0))));
        let area = ratatui::layout::Rect::new(0, 0, COLUMNS, 4);
        let options = ratatui::TerminalOptions {
            viewport: ratatui::Viewport::Fixed(area),
        };
        let steady = Steady::new(CrosstermBackend::new(screen.clone()));
        let mut terminal = Terminal::with_options(steady, options).unwrap();
        let texts = [
            "  000512  अनन्या कुलश्रेष्ठ            A  Z0D7JVN",
            "  004118  Nguyễn Thị Ánh              A  BMBNERA",
            "",
            "  000512  अनन्या कुलश्रेष्ठ",
            "  004402  欧阳晓岚              B",
            "  ▸ c  44.9           44.9, 3 figures",
        ];
        for text in texts {
            terminal
                .draw(|frame| {
                    let row = Row::new(Theme { color: false }).text(Role::Plain, text);
                    rows(frame, frame.area(), [row]);
                })
                .unwrap();
            let parser = screen.0.borrow();
            let lines: Vec<String> = parser.screen().rows(0, COLUMNS).collect();
            let marks = |text: &str| {
                text.chars()
                    .filter(|c| !c.is_whitespace())
                    .collect::<String>()
            };
            assert_eq!(marks(&lines[0]), marks(text), "{lines:?}");
            assert!(
                lines[1..].iter().all(|row| row.trim().is_empty()),
                "{lines:?}"
            );
        }
    }
}
