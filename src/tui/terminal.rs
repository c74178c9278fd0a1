//! The terminal while the desk is open, and back to what it was.
//!
//! In: nothing. Out: raw mode, the other screen, bracketed paste; all taken back when the guard is
//! dropped, when the program panics, and before it is stopped by Ctrl-Z. Refused: a standard input
//! or output that is no terminal.

use std::io::{self, IsTerminal, Stdout, Write};
use std::sync::Once;

use crossterm::cursor::Show;
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::execute;
use crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::layout::{Position, Rect};

use super::steady::Steady;

/// The terminal of the desk.
pub(super) type Screen = Terminal<Steady<CrosstermBackend<Stdout>>>;

/// Keeps the terminal as the desk needs it, and gives it back.
#[derive(Debug)]
pub(super) struct Guard;

/// Whether there is a terminal to type at and to draw on.
pub(super) fn is_there() -> bool {
    io::stdin().is_terminal() && io::stdout().is_terminal()
}

impl Guard {
    /// Takes the terminal.
    ///
    /// # Errors
    /// The terminal does not obey.
    pub(super) fn take() -> io::Result<(Self, Screen)> {
        restore_on_panic();
        // From here on whatever fails gives the terminal back.
        let guard = Self;
        enter()?;
        let terminal = Terminal::new(Steady::new(CrosstermBackend::new(io::stdout())))?;
        Ok((guard, terminal))
    }

    /// Gives the terminal back, lets the shell stop the program, and takes it again when the user
    /// brings the program back.
    ///
    /// # Errors
    /// The terminal does not obey.
    pub(super) fn suspend(&self, terminal: &mut Screen) -> io::Result<()> {
        leave();
        #[cfg(unix)]
        signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
        enter()?;
        // Drawn anew, without asking the terminal where its cursor is: not all answer.
        let size = terminal.size()?;
        terminal.resize(Rect::from((Position::ORIGIN, size)))
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        leave();
    }
}

fn enter() -> io::Result<()> {
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen, EnableBracketedPaste)
}

/// Whatever can be given back is; a terminal that is gone needs nothing.
fn leave() {
    let mut out = io::stdout();
    let _ = execute!(out, DisableBracketedPaste, LeaveAlternateScreen, Show);
    let _ = disable_raw_mode();
    let _ = out.flush();
}

/// Before a panic says what happened, the terminal is given back, so that it can be read.
fn restore_on_panic() {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let told = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            // Another thread may fail while the desk goes on.
            if std::thread::current().name() == Some("main") {
                leave();
            }
            told(info);
        }));
    });
}
