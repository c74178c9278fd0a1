//! The clock of the system.
//!
//! In: nothing. Out: now, and the teacher's day. Both shells ask here, and everything else takes the time as an
//! argument.

use chrono::{DateTime, Local, NaiveDate, Utc};

/// Now.
#[expect(
    clippy::disallowed_methods,
    reason = "a shell asks for the clock and hands it in"
)]
pub fn now() -> DateTime<Utc> {
    std::time::SystemTime::now().into()
}

/// The day on the teacher's calendar, by which papers are late.
pub fn today() -> NaiveDate {
    here().date_naive()
}

/// Now by the clock on the wall.
#[expect(
    clippy::disallowed_methods,
    reason = "a shell asks for the clock and hands it in"
)]
pub(super) fn here() -> DateTime<Local> {
    Local::now()
}
