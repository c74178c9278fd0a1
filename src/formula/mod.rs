//! Formulas: from the text of an equation to numbers.
//!
//! In: one-line texts from an assignment file. `token` splits them, `parse` builds the trees of `tree`
//! (the grammar stands there), `check` proves the dimensions, `tape` compiles trees over numbered
//! slots and evaluates them with exact derivatives, `condition` does the same for comparisons and
//! `exact` decides those that floating point cannot, `symbol` takes names apart for print,
//! `order` splits a set of equations into blocks that can be solved in turn, and `solve` solves
//! them. Refused: whatever is not in the grammar, and sums of unlike dimensions.

pub mod check;
pub mod condition;
pub mod exact;
pub mod order;
pub mod parse;
pub mod solve;
pub mod symbol;
pub mod tape;
pub mod token;
pub mod tree;

#[cfg(test)]
mod tests;

pub use parse::{condition, equation, expression};
pub use symbol::Symbol;
pub use tree::{Condition, Equation, Expr};

use crate::diagnostic::Span;

/// What is wrong with a formula, and where in its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormulaError {
    /// Bytes of the formula's own text (not of the file it stands in).
    pub span: Span,
    /// What was found and what was expected, lower case, one line.
    pub message: String,
    /// What to do about it, where that can be said.
    pub help: Option<String>,
}

impl FormulaError {
    /// An error without a remedy.
    pub fn new(span: Span, message: impl Into<String>) -> Self {
        Self {
            span,
            message: message.into(),
            help: None,
        }
    }

    /// The same error with a remedy.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}
