//! What is fuzzed: one module a target, each with a function `run` that takes any bytes, makes input of
//! them, gives it to the program and panics where something does not hold that must.
//!
//! The fuzz targets call them, and so does `tests/suite/fuzzed.rs` with the files of `corpus`: an input
//! that was once found to fail is kept there. Nothing in here depends on the clock, so that a slow
//! machine fails no test; the fuzzer has a limit for the time that one input may take.

pub mod assignment;
pub mod csv_in;
mod feed;
pub mod formulas;
pub mod gradebook_fill;
pub mod oneroster;
pub mod readings;
pub mod record;
mod told;
pub mod units;

/// A target: the name of its corpus, and what is made of an input.
pub type Target = (&'static str, fn(&[u8]));

/// All targets.
pub const TARGETS: [Target; 8] = [
    ("assignment", assignment::run),
    ("csv_in", csv_in::run),
    ("formulas", formulas::run),
    ("gradebook_fill", gradebook_fill::run),
    ("oneroster", oneroster::run),
    ("readings", readings::run),
    ("record", record::run),
    ("units", units::run),
];
