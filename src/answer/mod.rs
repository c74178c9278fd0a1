//! What students wrote: the files it comes in.

pub mod sheet;
