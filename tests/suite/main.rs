//! Checks against the outside and runs of the whole program, in one binary to keep builds short.

// Helpers of tests fail by panicking, as tests do; the lints know that of `#[test]` alone.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod assignment_errors;
mod at_the_desk;
mod bad_input;
mod classes;
mod csv_in;
mod diagnosis;
mod drawings;
mod draws;
mod explained;
mod figures;
mod fuzzed;
mod gradebooks;
mod guide;
mod hands;
mod judged;
mod kept;
mod keying;
mod layering;
mod lint;
mod marking;
mod marks_out;
mod no_network;
mod oneroster_rules;
#[cfg(feature = "paper")]
mod paper;
mod properties;
mod published;
mod readings;
mod readme;
#[cfg(feature = "paper")]
mod report_pages;
mod safe_text;
mod schema;
mod screens;
mod shelf;
mod spreadsheet;
mod starting;
mod tour;
mod units;
mod whole_program;
mod words;
mod worked;
#[cfg(feature = "paper")]
mod worked_pages;
