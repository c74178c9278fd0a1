//! Paperweight: own numbers for every student, and fair marks for what they wrote on paper.
//!
//! The way through, each stage a pure function with a named input and output:
//!
//! `assignment file -> check -> variant -> paper -> entry -> reading -> mark -> gradebook, feedback`
//!
//! Modules stand in the order of that way; a module uses only those above it
//! (`tests/suite/layering.rs` holds this). Clock, seed, paths and bytes are arguments;
//! disk and terminal are touched in `files`, `record`, `workflow`, `tui` and `cli` alone.

pub mod text;

pub mod diagnostic;

pub mod quantity;

pub mod formula;

pub mod headings;

pub mod table;

pub mod roster;

pub mod course;

pub mod shelf;

pub mod assignment;

pub mod figure;

pub mod plan;

pub mod variant;

pub mod answer;

pub mod marking;

pub mod diagnosis;

pub mod lint;

pub mod feedback;

pub mod worked;

pub mod explain;

pub mod statistics;

pub mod gradebook;

pub mod paper;

pub mod files;

pub mod record;

pub mod workflow;

pub mod tui;

pub mod cli;
