//! Names of the file as they are set on a board.
//!
//! In: a name that formulas may use. Out: its symbol; the answer of a part that asks for an expression has
//! none, and is called so.

use super::maths::Maths;
use crate::formula::Symbol;

/// A name of the file as it is set.
pub fn set(name: &str) -> Maths {
    // No name of a formula has a blank in it.
    let name = if name.contains(' ') { "answer" } else { name };
    let Symbol { letter, below } = Symbol::of(name);
    Maths::Name { letter, below }
}
