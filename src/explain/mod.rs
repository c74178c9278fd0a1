//! The whole reckoning for the teacher, step by step.

mod reason;

pub use reason::reason;
