//! What a diagnosis says of a paper.
//!
//! An explanation is a proposal: it charges nothing, and it earns only what the scheme or the teacher says.

/// How far the evidence goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strength {
    /// It explains two faulty answers or more, and hardly so by luck. Where several do, one of them.
    Strong,
    /// It alone explains one faulty answer, and rarely so by luck. Another cause may have the same number.
    Likely,
    /// It may be so.
    Possible,
}

impl Strength {
    /// In a word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Strong => "strong",
            Self::Likely => "likely",
            Self::Possible => "possible",
        }
    }
}

/// What kind of mistake it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// One that the teacher foresaw.
    Slip,
    /// Something altered in an equation.
    Alteration,
    /// Something about the numbers as they were written down or keyed.
    Entry,
}

impl Kind {
    /// In a word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Slip => "slip",
            Self::Alteration => "alteration",
            Self::Entry => "entry",
        }
    }
}

/// A mistake that explains faulty answers of a paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// How far the evidence goes.
    pub strength: Strength,
    /// What kind of mistake it is.
    pub kind: Kind,
    /// The equation it was made in, by name.
    pub equation: Option<String>,
    /// Which of all that may be done wrong in that equation, where it is that.
    pub alteration: Option<usize>,
    /// What was done, for the teacher.
    pub says: String,
    /// The same for the student: tentative, without a number or a formula. Empty for a foreseen slip,
    /// of which the file has the words.
    pub hint: &'static str,
    /// Places on the paper of the answers that it explains.
    pub explains: Vec<usize>,
    /// Its place among the different numbers that explain these answers, from 0 for the one that goes best with
    /// them: those of one place cannot be told apart.
    pub rank: usize,
    /// How many different mistakes were tried.
    pub tried: usize,
    /// How many were not, since solving for them would have taken too much work.
    pub untried: usize,
    /// The chance that luck brings a match with some mistake of those tried that is as telling, from 0 to 1.
    pub chance: f64,
    /// A given that was misread, and as what, where that is the mistake.
    pub misread: Option<(String, String)>,
}
