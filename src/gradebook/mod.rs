//! Marks on their way to the gradebook. Nothing here reckons a mark: rows come in as they were decided.
//!
//! `marks` and `lines` are files of our own, `mailing` and `pseudonyms` what is made of them for others.
//! `issued` lists what was handed out, `practice` what is practised, `term` how a term went; `fits`, whose
//! numbers an answer may be, is for the teacher alone. `fill` puts marks into a gradebook that someone else
//! keeps, as `settings` of the course have it and in the `style` they set; `links` remembers who is meant by
//! which id there. `oneroster` writes the open standard's
//! files.

pub mod fill;
pub mod fits;
pub mod issued;
pub mod lines;
pub mod links;
pub mod mailing;
pub mod marks;
pub mod oneroster;
pub mod practice;
pub mod pseudonyms;
pub mod settings;
pub mod spreadsheet;
pub mod style;
pub mod term;
