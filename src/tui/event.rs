//! What comes to the desk, and what the desk wants done outside.
//!
//! In: keys, and what was found, done or saved outside. Out: acts to save, files to read and write, papers to hand
//! out. [`super::update`] makes the second of the first; `outside` carries it out.

use chrono::NaiveDate;
use crossterm::event::KeyEvent;

use crate::record::{Act, ActId};
use crate::table::encoding::Encoding;
use crate::workflow::FillRequest;
use crate::workflow::desk::{Change, HandOut, News, Stack, course::Line};

/// What comes in.
#[derive(Debug)]
pub enum Event {
    /// A key.
    Key(KeyEvent),
    /// Text pasted.
    Paste(String),
    /// The terminal has another size.
    Resize,
    /// A stack was laid on the desk.
    Opened(Box<Stack>),
    /// The assignments by class, read anew, and the classes of the folder.
    Course(Vec<Line>, Vec<String>),
    /// The record holds acts that waited: the provisional number of the first, and their real ones.
    Saved(ActId, Vec<ActId>),
    /// The record could not take acts; it is tried again.
    NotSaved(String),
    /// Somebody else wrote to the record.
    Came(News),
    /// What handing papers out would do.
    Considered(Box<HandOut>),
    /// Papers were handed out to these students of the stack; where they lie, in words, and what is new of
    /// the stack.
    Reissued(Vec<String>, String, News),
    /// Something was done outside, in words.
    Done(String),
    /// Marks were written somewhere, as these words say, as of so many acts; and what was found on the way.
    Exported(String, usize, Vec<String>),
    /// How the class did, as a page.
    Reported(String),
    /// What a file of answers would do.
    Previewed(String, Vec<Change>, Vec<String>),
    /// Something asked for outside failed.
    Failed(String),
}

/// What is to be done outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Save these acts; they carry provisional numbers.
    Save(Vec<Act>),
    /// Lay this line of the start screen on the desk.
    Open(Box<Line>),
    /// Read the course folder anew.
    Refresh,
    /// Write the marks to this file.
    Export(String),
    /// Fill the sheet's column of this gradebook; which course folder it is of is known outside.
    Fill(Box<FillRequest>),
    /// Read this file of answers, in this encoding if it is said, for a preview.
    Preview(String, Option<Encoding>),
    /// Find out how the class did.
    Report,
    /// Find out what handing papers of this line's assignment out to a class would do: due on a day, its roster
    /// in an encoding.
    Consider(Box<Line>, String, Option<NaiveDate>, Option<Encoding>),
    /// Hand papers out.
    HandOut(Box<HandOut>),
    /// Give these students of the stack another paper, due on a day.
    Reissue(Vec<String>, Option<NaiveDate>),
    /// Ring: something was typed that needs a look, and eyes may be on the paper.
    Ring,
    /// Let the shell have the terminal.
    Suspend,
    /// End.
    Leave,
}
