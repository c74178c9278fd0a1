//! A day as files and people write it.
//!
//! In: a text. Out: the day. Refused: any other form, also one that means a day to somebody.

use chrono::NaiveDate;

/// `2026-11-25`, as in ISO 8601, and nothing like it.
pub fn date(text: &str) -> Option<NaiveDate> {
    let is_written = |(at, byte): (usize, u8)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    };
    let written = text.len() == 10 && text.bytes().enumerate().all(is_written);
    let day = written.then(|| NaiveDate::parse_from_str(text, "%Y-%m-%d").ok());
    day.flatten()
}
