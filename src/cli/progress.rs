//! How far long work is, on standard error.
//!
//! In: how much of all is done. Out: a line now and then, where a person may watch.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

/// A line on standard error for work that takes longer than a second.
pub(super) struct Progress {
    started: Instant,
    told: Option<Instant>,
}

impl Default for Progress {
    fn default() -> Self {
        Self {
            started: Instant::now(),
            told: None,
        }
    }
}

impl Progress {
    /// Told how many of all are done; shows it now and then where a person may watch.
    pub(super) fn teller(mut self) -> impl FnMut(usize, usize) {
        let watched = io::stderr().is_terminal();
        move |done, all| {
            if !watched || self.started.elapsed() < Duration::from_secs(1) {
                return;
            }
            let due = self
                .told
                .is_none_or(|told| told.elapsed() > Duration::from_millis(100));
            if done == all && self.told.is_some() {
                let _ = write!(io::stderr(), "\r\x1b[K");
            } else if due {
                self.told = Some(Instant::now());
                let _ = write!(io::stderr(), "\rmarking: {done} of {all} students");
            }
        }
    }
}
