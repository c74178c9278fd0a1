//! What students wrote: the files it comes in.

mod reading;
pub mod sheet;
pub use reading::*;
