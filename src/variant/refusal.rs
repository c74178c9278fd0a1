//! Why nobody, or this student, can be given values, and how that is told.
//!
//! In: what drawing found out. Out: a diagnostic with its place in the assignment's file and a remedy.

use crate::assignment::Assignment;
use crate::diagnostic::{Diagnostic, Place, Span};
use crate::formula::tape::TooLong;

/// A condition that is too long once its derived names are put in; not the assignment's fault
/// alone, so it is told at the condition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TooLongCondition {
    /// Its place in the file.
    pub span: Span,
    /// Why.
    pub cause: TooLong,
}

/// Why nobody, or this student, can be given values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoDraw {
    /// A requirement or a kind of draw cannot be compiled.
    TooLong(TooLongCondition),
    /// So many draws in a row broke a requirement.
    Hard {
        /// How many were tried.
        tried: u32,
        /// Index of the requirement that most of them broke.
        requirement: usize,
        /// How many of all draws meet the requirements, and how many draws there are, where they
        /// are few enough to count.
        valid: Option<(u64, u64)>,
    },
    /// More versions are wanted, over all issues so far, than there are draws.
    TooFewForVersions {
        /// Versions wanted.
        wanted: u64,
        /// Draws there are.
        draws: u64,
    },
    /// A student held all draws already.
    AllHeld {
        /// How many there are.
        draws: u64,
    },
}

impl NoDraw {
    /// The same in words, with its place in the assignment's file.
    pub fn diagnostic(&self, assignment: &Assignment) -> Diagnostic {
        let file = assignment.source.name.as_str();
        let at = |requirement: usize| {
            let span = assignment
                .requirements
                .get(requirement)
                .map(|named| named.span);
            span.map_or(Place::File, Place::Span)
        };
        match self {
            Self::TooLong(TooLongCondition { span, cause }) => {
                Diagnostic::error(file, Place::Span(*span), cause.to_string())
                    .help("write it shorter")
            }
            Self::Hard {
                requirement,
                valid: Some((0, all)),
                ..
            } => {
                let message = format!("none of the {all} possible draws meets [require]");
                Diagnostic::error(file, at(*requirement), message)
                    .label("most of them break this")
                    .help("change the requirement, or the ranges under [given]")
            }
            Self::Hard {
                tried,
                requirement,
                valid,
            } => {
                let message = match valid {
                    Some((valid, all)) => format!(
                        "the draws are hard to satisfy: only {valid} of {all} meet [require]"
                    ),
                    None => format!("none of {tried} draws met [require]"),
                };
                Diagnostic::error(file, at(*requirement), message)
                    .label("most of them break this")
                    .help("loosen the requirement, or narrow the ranges under [given] to what meets it")
            }
            Self::TooFewForVersions { wanted, draws } => {
                let possible = if *draws == 1 {
                    "1 draw is"
                } else {
                    &format!("{draws} draws are")
                };
                let message =
                    format!("{wanted} different versions are wanted, but only {possible} possible");
                Diagnostic::error(file, Place::File, message)
                    .help("widen the ranges under [given], or ask for fewer `variants`")
            }
            Self::AllHeld { draws } => {
                let message = format!("the student has had all {draws} possible draws");
                Diagnostic::error(file, Place::File, message)
                    .help("widen the ranges under [given] before it is issued once more")
            }
        }
    }
}
