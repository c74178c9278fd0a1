//! The screens of the desk, one file each: what it knows, what its actions do, how it is drawn.
//!
//! Adding a screen: a file here with its `State`, `act` and `view`; a [`super::model::Place`]; its
//! keys in [`super::keys::KEYS`]; a line each in [`super::update`] and [`super::view`].

pub mod across;
pub mod class;
pub mod course;
pub mod find;
pub mod help;
pub mod import;
pub mod judged;
pub mod paper;
pub mod prompt;
pub mod report;
