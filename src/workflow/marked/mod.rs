//! Papers of a class, marked one after the other.
//!
//! In: a prepared sheet, entries or what the record holds. Out: each paper's marks, what its wrong answers may
//! come from and whose they may be (`class`, `diagnosed`, `classmates`), its row (`row`), counts over the class
//! (`tally`), and whether the answers were given to these numbers at all (`misfit`). Nothing is refused but a
//! paper that today's file cannot solve.

pub(super) mod class;
pub(super) mod classmates;
pub(super) mod diagnosed;
pub(super) mod misfit;
pub(super) mod row;
pub(super) mod tally;
