//! What the desk knows: the stack, where one is, what is being typed, what is saved.
//!
//! In: nothing by itself; [`super::update`] changes it, [`super::view`] draws it. Out: plain values.
//! No disk, no clock, no terminal.

use std::collections::VecDeque;

use chrono::{DateTime, FixedOffset, NaiveDate, Offset, Utc};

use crate::record::{ActId, Keying};
use crate::workflow::desk::Stack;

use super::paint::Theme;
use super::screens::import::Preview;
use super::screens::prompt::Prompt;
use super::screens::{across, class, course, find, paper, report};

/// The longest text that a field takes, in characters.
pub const LONGEST: usize = 200;

/// A screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// The course folder's assignments by class.
    Course,
    /// Finding a paper.
    Find,
    /// Marking a paper.
    Paper,
    /// One part through all papers.
    Across,
    /// The class at a glance.
    Class,
    /// What a file of answers would add or change.
    Import,
    /// How the class did.
    Report,
}

/// How a message is meant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// Something to know.
    #[default]
    Plain,
    /// Something to look at.
    Look,
    /// Something failed.
    Alarm,
}

/// One line at the bottom.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Message {
    /// How it is meant.
    pub tone: Tone,
    /// What it says.
    pub text: String,
}

/// Acts on their way into the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waiting {
    /// The provisional number of the first.
    pub first: ActId,
    /// What is being saved, in words.
    pub words: String,
}

/// How far saving is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Saving {
    /// Sent, not acknowledged.
    pub waiting: VecDeque<Waiting>,
    /// What was acknowledged last, in words.
    pub saved: Option<String>,
    /// Why the record took nothing the last time.
    pub failed: Option<String>,
    /// There is no record file: what is keyed lives as long as the program.
    pub in_memory: bool,
    /// The number of acts when the marks were written last.
    pub exported: Option<usize>,
}

/// Everything the desk knows.
#[derive(Clone, Debug)]
pub struct Model {
    /// The screen.
    pub place: Place,
    /// Where one came from, the last at the end.
    pub trail: Vec<Place>,
    /// The papers on the desk.
    pub stack: Option<Stack>,
    /// The start screen; absent if the desk was opened for one stack.
    pub course: course::State,
    /// Finding.
    pub find: find::State,
    /// Marking.
    pub paper: paper::State,
    /// Going across.
    pub across: across::State,
    /// The class.
    pub class: class::State,
    /// The preview of an import.
    pub preview: Preview,
    /// The report.
    pub report: report::State,
    /// A line that is asked for.
    pub prompt: Option<Prompt>,
    /// The line that was answered last, while what it asked for is done outside: it comes back if that fails.
    pub asked: Option<Prompt>,
    /// The page of keys, from that line on.
    pub help: Option<usize>,
    /// Whether verdicts are hidden.
    pub hide: bool,
    /// Which keying is on.
    pub keying: Keying,
    /// Whether the reckoning is open.
    pub panel: bool,
    /// The first line of the reckoning shown.
    pub panel_top: usize,
    /// The line at the bottom.
    pub message: Message,
    /// How far saving is.
    pub saving: Saving,
    /// Leaving was asked for though something would be lost; asked again, the desk closes.
    pub leaving: bool,
    /// Papers were handed out and nothing was done since: what undo reaches lies behind that.
    pub handed_out: bool,
    /// Who marks a second time, as the system names the user.
    pub marker: String,
    /// How far the teacher's clock is from UTC; the shell sets it.
    pub zone: FixedOffset,
    /// Whether there is colour.
    pub theme: Theme,
}

impl Model {
    /// A desk on which nothing lies yet.
    pub fn new(theme: Theme) -> Self {
        Self {
            place: Place::Course,
            trail: Vec::new(),
            stack: None,
            course: course::State::default(),
            find: find::State::default(),
            paper: paper::State::default(),
            across: across::State::default(),
            class: class::State::default(),
            preview: Preview::default(),
            report: report::State::default(),
            prompt: None,
            asked: None,
            help: None,
            hide: false,
            keying: Keying::First,
            panel: false,
            panel_top: 0,
            message: Message::default(),
            saving: Saving::default(),
            leaving: false,
            handed_out: false,
            marker: "second".to_owned(),
            zone: Utc.fix(),
            theme,
        }
    }

    /// The day on the teacher's calendar.
    pub fn today(&self, now: DateTime<Utc>) -> NaiveDate {
        now.with_timezone(&self.zone).date_naive()
    }

    /// Says something.
    pub fn say(&mut self, text: impl Into<String>) {
        self.tell(Tone::Plain, text);
    }

    /// Says something in a tone.
    pub fn tell(&mut self, tone: Tone, text: impl Into<String>) {
        self.message = Message {
            tone,
            text: text.into(),
        };
    }

    /// Goes to a screen, from which one comes back here.
    pub fn go(&mut self, place: Place) {
        if self.place != place {
            self.trail.retain(|&other| other != place);
            self.trail.push(self.place);
            self.place = place;
        }
    }

    /// Goes back to where one came from; `false` if that is nowhere.
    pub fn go_back(&mut self) -> bool {
        match self.trail.pop() {
            Some(place) => {
                self.place = place;
                true
            }
            None => false,
        }
    }

    /// Whether verdicts are not to be seen: hidden, or a second keying is on.
    pub fn hides(&self) -> bool {
        self.hide || self.keying == Keying::Second
    }

    /// Whether leaving now would lose something.
    pub fn would_lose(&self) -> bool {
        let acts = self.stack.as_ref().map_or(0, |stack| stack.acts().len());
        let unwritten = self.saving.exported.unwrap_or(0) != acts;
        self.saving.failed.is_some() || (self.saving.in_memory && acts > 0 && unwritten)
    }
}
