//! The desk: a stack of papers marked in a terminal.
//!
//! In: a course folder, or one sheet and one class. Out: acts in the record, and marks. The desk is a
//! loop: an event changes the [`model`] ([`update`], pure), what is to be done outside comes back as
//! effects that [`outside`] carries out, and the model is drawn ([`view`]). The record lives on a
//! thread of its own; "saved" is shown when that says so.
//!
//! `event` lists what comes in and what goes out, `keys` is the one table of keys, `paint` the one place
//! that draws text, `terminal` gives the terminal back whatever happens, `screens` has a file for each
//! screen.

mod acts;
mod clock;
pub mod event;
pub mod keys;
pub mod model;
mod news;
mod outside;
pub mod paint;
pub mod screens;
mod steady;
mod terminal;
mod told;
mod typing;
pub mod update;
pub mod view;
mod when;

use std::io::{self, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver};
use std::time::Duration;

use crossterm::event::{Event as Input, poll, read};

use crate::diagnostic::{Diagnostic, Place};
use crate::workflow::{Failure, Findings};

use clock::here;
pub use clock::{now, today};
use event::Event;
use model::Model;
pub use outside::Start;
use outside::{Next, Outside};
use paint::Theme;
use terminal::{Guard, Screen};
use update::update;

/// How long the desk waits for a key before it looks whether it is to end.
const IDLE: Duration = Duration::from_millis(100);

/// How long while something is being saved.
const SAVING: Duration = Duration::from_millis(2);

/// Opens the desk and works until it is left.
///
/// # Errors
/// No terminal, a record or a sheet that cannot be used.
pub fn run(start: Start, color: bool) -> Result<(), Failure> {
    if !terminal::is_there() {
        return Err(no_terminal());
    }
    let (tell, told) = mpsc::channel();
    let mut model = Model::new(Theme { color });
    model.zone = *here().offset();
    // What cannot be opened is said before the screen is taken.
    let mut outside = Outside::open(start, &mut model, now(), tell)?;
    let ended = ended().map_err(|error| failed(&error))?;
    let (guard, mut terminal) = Guard::take().map_err(|error| failed(&error))?;
    let worked = work(
        &mut model,
        &mut outside,
        &guard,
        &mut terminal,
        &told,
        &ended,
    );
    drop(guard);
    outside.close();
    match worked {
        Ok(()) => Ok(()),
        // A terminal that is gone ended the desk as it should.
        Err(_) if ended.load(Ordering::Relaxed) => Ok(()),
        Err(error) => Err(failed(&error)),
    }
}

/// Set when the system asks the program to end: the terminal was closed, or somebody stopped it.
fn ended() -> io::Result<Arc<AtomicBool>> {
    let flag = Arc::new(AtomicBool::new(false));
    #[cfg(unix)]
    for signal in [
        signal_hook::consts::SIGHUP,
        signal_hook::consts::SIGTERM,
        signal_hook::consts::SIGINT,
    ] {
        signal_hook::flag::register(signal, Arc::clone(&flag))?;
    }
    Ok(flag)
}

fn work(
    model: &mut Model,
    outside: &mut Outside,
    guard: &Guard,
    terminal: &mut Screen,
    told: &Receiver<Event>,
    ended: &AtomicBool,
) -> io::Result<()> {
    let mut changed = true;
    while !ended.load(Ordering::Relaxed) {
        if changed {
            terminal.draw(|frame| view::view(model, frame))?;
            changed = false;
        }
        let wait = if model.saving.waiting.is_empty() {
            IDLE
        } else {
            SAVING
        };
        let mut events: Vec<Event> = Vec::new();
        if poll(wait)? {
            events.extend(input(read()?));
        }
        events.extend(told.try_iter());
        for event in events {
            changed = true;
            for effect in update(model, event, now()) {
                match outside.carry_out(effect, model, now()) {
                    Next::GoOn => {}
                    Next::Ring => {
                        let mut out = io::stdout();
                        out.write_all(b"\x07")?;
                        out.flush()?;
                    }
                    Next::Suspend => guard.suspend(terminal)?,
                    Next::Leave => return Ok(()),
                }
            }
        }
    }
    Ok(())
}

/// What the terminal reports that the desk cares about.
fn input(input: Input) -> Option<Event> {
    match input {
        Input::Key(key) => Some(Event::Key(key)),
        Input::Paste(text) => Some(Event::Paste(text)),
        Input::Resize(..) => Some(Event::Resize),
        Input::Mouse(_) | Input::FocusGained | Input::FocusLost => None,
    }
}

fn no_terminal() -> Failure {
    let message = "expected a terminal for the desk, found a file or a pipe";
    let help = "open the desk in a terminal; `mark --answers` marks without one";
    let finding = Diagnostic::error("terminal", Place::File, message).help(help);
    Failure::of(finding)
}

fn failed(error: &io::Error) -> Failure {
    let message = format!("the terminal cannot be used: {error}");
    let help = "open the desk in a terminal; `mark --answers` marks without one";
    Failure::Machine(Findings {
        list: vec![Diagnostic::error("terminal", Place::File, message).help(help)],
        sources: Vec::new(),
    })
}
