//! What a line is asked for, and the line itself.
//!
//! In: nothing by itself; the desk holds one while it asks. Out: plain values.

use tui_input::Input;

use crate::record::Charge;
use crate::workflow::desk::HandOut;
use crate::workflow::desk::course::Line;

use super::super::super::model::{LONGEST, Model};

/// The longest message to a student, in characters.
const MESSAGE: usize = 1000;

/// What a line is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Points and a note for a part.
    Adjust {
        /// The paper.
        paper: usize,
        /// The part.
        part: usize,
    },
    /// A given and the number used.
    Misread,
    /// Where an entry goes.
    Move {
        /// The part it stands at.
        part: usize,
    },
    /// Which of these charges; with what each is.
    Waive {
        /// The part and charge, in words, and whether it is let go already.
        charges: Vec<Waivable>,
    },
    /// What the student is told.
    Tell {
        /// The paper.
        paper: usize,
        /// What the program would say.
        proposed: String,
    },
    /// Present, absent, excused, or a day.
    Attend {
        /// The paper.
        paper: usize,
    },
    /// Who gets another paper: the student of this one, or all who were absent.
    Reissue {
        /// The paper chosen.
        paper: usize,
    },
    /// Which class gets papers of this assignment.
    Issue {
        /// The assignment.
        line: Line,
    },
    /// Whether papers are handed out as shown.
    HandOut {
        /// What would be done.
        what: HandOut,
    },
    /// Where the marks go.
    Export,
    /// Which file of answers.
    Import,
}

impl Ask {
    /// The longest text that is taken, in characters.
    pub fn longest(&self) -> usize {
        match self {
            Self::Tell { .. } => MESSAGE,
            _ => LONGEST,
        }
    }

    /// The paper it is about, where it is about one that it names itself.
    pub(crate) fn paper_mut(&mut self) -> Option<&mut usize> {
        match self {
            Self::Adjust { paper, .. }
            | Self::Tell { paper, .. }
            | Self::Attend { paper }
            | Self::Reissue { paper } => Some(paper),
            Self::Misread
            | Self::Move { .. }
            | Self::Waive { .. }
            | Self::Issue { .. }
            | Self::HandOut { .. }
            | Self::Export
            | Self::Import => None,
        }
    }
}

/// A charge that may be let go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waivable {
    /// The part; none for a charge on the paper.
    pub part: Option<String>,
    /// Which.
    pub charge: Charge,
    /// In words.
    pub words: String,
    /// Whether it is let go already.
    pub waived: bool,
}

/// One line asked for.
#[derive(Clone, Debug)]
pub struct Prompt {
    /// What for.
    pub ask: Ask,
    /// What was typed.
    pub input: Input,
    /// What stands there was offered: the first letter typed takes its place.
    pub offered: bool,
    /// What is wrong with it.
    pub fault: Option<String>,
}

impl Model {
    /// Asks, with a text to go on from.
    pub(super) fn ask(&mut self, ask: Ask, text: String) {
        self.prompt = Some(Prompt {
            ask,
            offered: false,
            input: Input::new(text),
            fault: None,
        });
    }

    /// Asks, with a text that stands if nothing is typed and gives way to the first letter.
    pub(super) fn offer(&mut self, ask: Ask, text: String) {
        self.ask(ask, text);
        if let Some(prompt) = &mut self.prompt {
            prompt.offered = true;
        }
    }
}
