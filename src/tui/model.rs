//! What the desk knows: the stack, where one is, what is being typed, what is saved.
//!
//! In: nothing by itself; [`super::update`] changes it, [`super::view`] draws it. Out: plain values.
//! No disk, no clock, no terminal.

use std::collections::VecDeque;

use chrono::{DateTime, FixedOffset, NaiveDate, Offset, Utc};
use tui_input::Input;

use crate::record::{ActId, Keying};
use crate::workflow::desk::course::Line;
use crate::workflow::desk::{Change, HandOut, Stack};

use super::paint::Theme;
use super::screens::{across, class, course, find, paper, report};

/// The longest text that a field takes, in characters.
pub const LONGEST: usize = 200;

/// The longest message to a student, in characters.
const MESSAGE: usize = 1000;

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
    /// The paper it is about, where it is about one that it names itself.
    pub(super) fn paper_mut(&mut self) -> Option<&mut usize> {
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
    pub charge: crate::record::Charge,
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

/// A preview of a file of answers.
#[derive(Clone, Debug, Default)]
pub struct Preview {
    /// The file's name.
    pub file: String,
    /// What would be keyed.
    pub changes: Vec<Change>,
    /// What was assumed, or belongs to nobody.
    pub findings: Vec<String>,
    /// The first line shown.
    pub top: usize,
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

impl Ask {
    /// The longest text that is taken, in characters.
    pub fn longest(&self) -> usize {
        match self {
            Self::Tell { .. } => MESSAGE,
            _ => LONGEST,
        }
    }
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

    /// Whether papers lie on the desk.
    pub fn has_stack(&self) -> bool {
        self.stack.is_some()
    }

    /// Whether something can be taken back.
    pub fn can_undo(&self) -> bool {
        self.stack.as_ref().is_some_and(Stack::can_undo)
    }

    /// Whether something is being typed that is not kept yet.
    pub fn is_typing(&self) -> bool {
        let holds = |input: &Input| !input.value().is_empty();
        match self.place {
            Place::Course => holds(&self.course.input),
            Place::Find => holds(&self.find.input),
            Place::Paper => !self.paper.fresh,
            Place::Across => holds(&self.across.input),
            Place::Class | Place::Import | Place::Report => false,
        }
    }

    /// Whether a preview shows something to be keyed.
    pub fn can_import(&self) -> bool {
        !self.preview.changes.is_empty()
    }

    /// Whether the field asks for a number with a unit, and holds something.
    pub fn at_unit(&self) -> bool {
        let stack = self.stack.as_ref();
        self.paper.column == paper::Column::Entry
            && !self.paper.input.value().trim().is_empty()
            && stack.is_some_and(|stack| stack.unit(self.paper.field).is_some())
    }

    /// Whether the field is an empty one for an entry.
    pub fn at_empty_entry(&self) -> bool {
        let stack = self.stack.as_ref();
        self.paper.column == paper::Column::Entry
            && (self.paper.fresh || self.paper.input.value().is_empty())
            && stack.is_some_and(|stack| !stack.is_by_eye(self.paper.field))
    }

    /// Whether the cursor stands at the end of an entry whose part has points for working.
    pub fn at_working_edge(&self) -> bool {
        let input = &self.paper.input;
        let stack = self.stack.as_ref();
        self.paper.column == paper::Column::Entry
            && input.cursor() == input.value().chars().count()
            && self.keying == Keying::First
            && stack.is_some_and(|stack| {
                !stack.is_by_eye(self.paper.field) && stack.most_by_eye(self.paper.field) > 0
            })
    }

    /// Whether the cursor is at points for working.
    pub fn in_working(&self) -> bool {
        self.paper.column == paper::Column::Working
    }

    /// Whether an entry is keyed where the cursor is.
    pub fn at_keyed(&self) -> bool {
        let Some(stack) = &self.stack else {
            return false;
        };
        let paper = stack.papers().get(self.paper.paper);
        let id = &stack.plan().parts[self.paper.field].id;
        paper.is_some_and(|paper| paper.standing.entry(id).is_some())
    }

    /// Whether leaving now would lose something.
    pub fn would_lose(&self) -> bool {
        let acts = self.stack.as_ref().map_or(0, |stack| stack.acts().len());
        let unwritten = self.saving.exported.unwrap_or(0) != acts;
        self.saving.failed.is_some() || (self.saving.in_memory && acts > 0 && unwritten)
    }
}
