//! Variants: which values each student gets.
//!
//! In: a checked assignment, student ids, issue numbers and what is taken already. Out: values, exact
//! and with their digits as written. A draw is a pure function of seed, code, student, issue and try
//! (`hash` freezes it); `space` knows which draws meet `[require]`; `allocate` gives each student the
//! first try that nobody holds, so that no two hold the same while the draws last, and after that
//! each is used equally often (`taken` counts). With a record, what it holds is what is taken, and a
//! student who joins late changes nobody. Without one the roster is the whole history, in the order
//! of a hash of the ids: the order of its rows changes nothing, but a late joiner may move others.
//!
//! Each problem of a sheet draws by itself, under its own code and seed: the same problem gives a student
//! the same first try alone and on a sheet. Where a file mixes kinds of draws, `mix` says which kind each is
//! to get. With `variants = N` there are N versions for each issue number, drawn in the same way; the try of
//! a student is then the version, 0 for A. `code` gives each paper a short code to find it by.
//!
//! Refused, in words for the teacher: requirements that no draw, or hardly one, meets; more versions
//! than there are draws; a reissue to a student who had them all.

mod allocate;
mod code;
mod hash;
mod mix;
mod refusal;
mod search;
mod space;
mod taken;

pub use allocate::{Allocator, Tries, allocate};
pub use code::{CodeError, PaperCode};
pub use refusal::{NoDraw, TooLongCondition};
pub use space::{Draft, Space};
pub use taken::Taken;

/// Issue numbers from here on are for what is only practised; no paper that is handed out reaches them. It
/// is frozen as the hash is.
pub const PRACTICE: u32 = 1 << 31;
