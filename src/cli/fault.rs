//! Faults of the program itself, told as such.
//!
//! In: a piece of work. Out: its exit code; where it broke off by a fault of ours, that of the
//! machine and a message a teacher can pass on. Nothing is refused.

use std::io::{self, Write as _};
use std::panic::{self, AssertUnwindSafe, PanicHookInfo};

use crate::diagnostic::{self, Diagnostic, Place};
use crate::text;

use super::{Exit, is_coloured};

/// From here on a fault, on whatever thread, is told in our words.
pub(super) fn tell() {
    panic::set_hook(Box::new(|fault| {
        let place = fault.location().map(ToString::to_string);
        let told = told(place.as_deref(), said(fault));
        let drawn = diagnostic::render(&[told], &[], is_coloured());
        // That nobody reads messages is no failure.
        let _ = write!(io::stderr(), "{drawn}");
    }));
}

/// Does the work; a fault ends it, and not the whole process.
pub(super) fn caught(work: impl FnOnce() -> Exit) -> Exit {
    // Nothing of the work is looked at after it broke off.
    panic::catch_unwind(AssertUnwindSafe(work)).unwrap_or(Exit::Machine)
}

fn said<'a>(fault: &'a PanicHookInfo<'_>) -> &'a str {
    let payload = fault.payload();
    let said = payload.downcast_ref::<&str>().copied();
    said.or_else(|| payload.downcast_ref::<String>().map(String::as_str))
        .unwrap_or("no reason given")
}

fn told(place: Option<&str>, said: &str) -> Diagnostic {
    let place = place.unwrap_or("an unknown place");
    let said = text::excerpt(said, 200);
    let message = format!("a fault of the program, at {place}: {said}");
    Diagnostic::error("paperweight", Place::File, message)
        .help("no file was left half written; please report this with the files that lead to it")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_the_machines_failure() {
        assert_eq!(caught(|| Exit::Findings), Exit::Findings);
        assert_eq!(caught(|| panic!("made by a test")), Exit::Machine);
    }

    #[test]
    fn a_fault_is_told_where_and_why_and_cannot_work_on_the_terminal() {
        let told = told(Some("src/marking/x.rs:7:5"), "index \u{1b}[2J");
        assert_eq!(
            told.message,
            "a fault of the program, at src/marking/x.rs:7:5: index ␛[2J"
        );
    }
}
