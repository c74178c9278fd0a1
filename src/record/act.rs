//! What a teacher does to papers, act by act.
//!
//! In and out: plain values. An act is appended and never changed; what stands on a paper follows
//! from the acts about it ([`super::Standing`]). Taking something back is an act too.

use chrono::{DateTime, NaiveDate, Utc};
use rust_decimal::Decimal;
use serde::de::{Deserializer, Error as _};
use serde::{Deserialize, Serialize};

/// The most points, up or down, that an act may hold: more than any paper has, and far from where a sum of
/// them overflows. A record that holds more is damaged.
pub const MOST_POINTS: u32 = 1_000_000;

/// Points of a record, which may be another's.
fn points<'de, D: Deserializer<'de>>(from: D) -> Result<Decimal, D::Error> {
    let points = <Decimal as Deserialize>::deserialize(from)?;
    if points.abs() > Decimal::from(MOST_POINTS) {
        return Err(D::Error::custom("more points than any paper has"));
    }
    Ok(points)
}

/// The same where there may be none.
fn some_points<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Decimal>, D::Error> {
    #[derive(Deserialize)]
    struct Points(#[serde(deserialize_with = "points")] Decimal);
    Ok(Option::<Points>::deserialize(from)?.map(|points| points.0))
}

/// One handing-out of one variant to one student, in one record.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct IssueId(pub i64);

/// One act in one record. Later acts have higher numbers, also across papers.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct ActId(pub i64);

/// An act that the record holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Act {
    /// Its number.
    pub id: ActId,
    /// The first act of those that were done in one go, and are undone in one.
    pub group: ActId,
    /// When it was done.
    pub at: DateTime<Utc>,
    /// The paper it is about.
    pub issue: IssueId,
    /// What was done.
    pub deed: Deed,
}

/// An act before the record has taken it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewAct {
    /// When it is done.
    pub at: DateTime<Utc>,
    /// The paper it is about.
    pub issue: IssueId,
    /// What is done.
    pub deed: Deed,
}

/// Which time a stack is keyed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Keying {
    /// The one that counts.
    First,
    /// The one that is compared with it.
    Second,
}

/// What costs points apart from a wrong value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Charge {
    /// A fault of the unit, on a part.
    Unit,
    /// A fault of the figures, on a part.
    Figures,
    /// Misread numbers, on the paper.
    Misread,
    /// Another constant, on the paper.
    Constant,
    /// Lateness, on the paper.
    Late,
}

impl Charge {
    /// What it is for, in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Unit => "unit",
            Self::Figures => "figures",
            Self::Misread => "misread numbers",
            Self::Constant => "another constant",
            Self::Late => "lateness",
        }
    }
}

/// Whether a student handed in a paper, as the teacher said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Attendance {
    /// There is a paper.
    Present,
    /// There is none.
    Absent,
    /// There is none, and none is wanted.
    Excused,
}

impl Attendance {
    /// In a word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Present => "present",
            Self::Absent => "absent",
            Self::Excused => "excused",
        }
    }
}

/// What a student is told in place of the program's words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Message {
    /// The teacher's own words.
    Words(String),
    /// Nothing.
    Withheld,
}

/// What was accepted as the mark of a part before any adjustment.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AcceptedPart {
    /// The part's id.
    pub part: String,
    /// What the program proposed.
    #[serde(deserialize_with = "points")]
    pub points: Decimal,
    /// The verdict's name, as in the files of marks.
    pub verdict: String,
}

/// What the program proposed for a paper when its marks were taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proposal {
    /// Its parts, in the order of the paper; none of a student without a paper.
    pub parts: Vec<AcceptedPart>,
    /// Costs of the paper as a whole; 0 or negative.
    #[serde(deserialize_with = "points")]
    pub paper_cost: Decimal,
    /// Taken off for lateness; 0 or negative.
    #[serde(deserialize_with = "points")]
    pub late: Decimal,
    /// Digest of the assignment's files as they were then.
    pub scheme: String,
    /// The program's version.
    pub program: String,
}

/// What a teacher does to one paper. Parts go by their ids, misread givens by their names in the
/// files of answers (`mA`, on a sheet of several problems `2mA`).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "deed", rename_all = "snake_case")]
pub enum Deed {
    /// Keys what a student wrote, verbatim; nothing but blanks for a part left blank.
    Entry {
        /// The part.
        part: String,
        /// The first time or the second.
        keying: Keying,
        /// What stands there.
        text: String,
    },
    /// Notes that something stands there which cannot be read.
    Unreadable {
        /// The part.
        part: String,
        /// The first time or the second.
        keying: Keying,
    },
    /// Takes away what was keyed, as if nobody had got there yet.
    Clear {
        /// The part.
        part: String,
        /// The first time or the second.
        keying: Keying,
    },
    /// Gives points for working, or all points of a part judged by eye; `None` takes them away.
    Working {
        /// The part.
        part: String,
        /// The points.
        points: Option<u8>,
    },
    /// Says which number a student used for a given; `None` takes that away.
    Misread {
        /// The given.
        given: String,
        /// The number, with or without its unit, verbatim.
        value: Option<String>,
    },
    /// Sets the points of a part; `None` leaves them to the program again.
    Adjust {
        /// The part.
        part: String,
        /// The points.
        #[serde(default, deserialize_with = "some_points")]
        points: Option<Decimal>,
        /// Why.
        note: String,
        /// What may have been done, for the student, where a diagnosis was taken as the reason.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        hint: Option<String>,
    },
    /// Lets a charge go, or charges it again.
    Waive {
        /// The part, for charges on a part.
        part: Option<String>,
        /// What is not charged.
        charge: Charge,
        /// Whether it is let go.
        waived: bool,
        /// Why.
        note: String,
    },
    /// Says whether there is a paper.
    Attend {
        /// Whether there is.
        attendance: Attendance,
    },
    /// Says when the paper was handed in; `None` takes that away.
    HandedIn {
        /// The day.
        day: Option<NaiveDate>,
    },
    /// Notes that the student has the marked paper back.
    Returned {
        /// When.
        on: DateTime<Utc>,
    },
    /// Keeps what the program proposed when the marks were taken.
    Accept {
        /// All of it.
        proposal: Proposal,
    },
    /// Keeps what a second marker would give, whom the first did not see.
    Opinion {
        /// The part.
        part: String,
        /// The points.
        #[serde(deserialize_with = "points")]
        points: Decimal,
        /// Why.
        note: String,
        /// Who.
        marker: String,
    },
    /// Says what the student is told; `None` leaves it to the program again.
    Tell {
        /// That.
        message: Option<Message>,
    },
    /// Takes back an earlier act about the same paper, which may itself have taken one back.
    TakeBack {
        /// That act.
        act: ActId,
    },
}

impl Deed {
    /// Whether it is the teacher's own doing, which undo is about, and not the program's.
    pub fn is_own(&self) -> bool {
        !matches!(self, Self::Accept { .. } | Self::TakeBack { .. })
    }

    /// Whether the mark proposed for the paper may depend on it.
    pub fn moves_proposal(&self) -> bool {
        match self {
            Self::Entry { keying, .. }
            | Self::Unreadable { keying, .. }
            | Self::Clear { keying, .. } => *keying == Keying::First,
            Self::Working { .. }
            | Self::Misread { .. }
            | Self::Attend { .. }
            | Self::HandedIn { .. } => true,
            Self::Adjust { .. }
            | Self::Waive { .. }
            | Self::Returned { .. }
            | Self::Accept { .. }
            | Self::Opinion { .. }
            | Self::Tell { .. }
            | Self::TakeBack { .. } => false,
        }
    }
}

impl NewAct {
    /// An act about a paper.
    pub fn new(at: DateTime<Utc>, issue: IssueId, deed: Deed) -> Self {
        Self { at, issue, deed }
    }
}
