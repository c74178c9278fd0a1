//! What students wrote: the files it comes in.

pub mod choice;
mod reading;
pub mod sheet;
pub use choice::{Choice, choice, points};
pub use reading::*;
