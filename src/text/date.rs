//! A day as files and people write it.
//!
//! In: a text. Out: the day. Refused: any other form, also one that means a day to somebody.

use chrono::NaiveDate;

use super::{QUOTED, excerpt};

/// `2026-11-25`, as in ISO 8601, and nothing like it.
pub fn date(text: &str) -> Option<NaiveDate> {
    let day = is_dated(text).then(|| NaiveDate::parse_from_str(text, "%Y-%m-%d").ok());
    day.flatten()
}

/// Whether a text has the form of a day, though there may be none such: `2026-02-30`.
pub fn is_dated(text: &str) -> bool {
    let is_written = |(at, byte): (usize, u8)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    };
    text.len() == 10 && text.bytes().enumerate().all(is_written)
}

/// What is wrong with a text that is no day, and what to do.
pub fn no_date(text: &str) -> (String, &'static str) {
    if is_dated(text) {
        return (format!("there is no day {text}"), "check month and day");
    }
    let found = excerpt(text, QUOTED);
    (
        format!("expected a date such as 2026-11-25, found '{found}'"),
        "write year, month and day with hyphens, all digits",
    )
}

#[cfg(test)]
mod tests {
    use super::{date, no_date};

    #[test]
    fn a_day_that_there_is_not_is_told_from_another_form() {
        assert!(date("2026-02-28").is_some());
        for (text, said) in [
            ("2026-02-30", "there is no day 2026-02-30"),
            ("2026-13-01", "there is no day 2026-13-01"),
            (
                "28.2.2026",
                "expected a date such as 2026-11-25, found '28.2.2026'",
            ),
        ] {
            assert_eq!((date(text), no_date(text).0.as_str()), (None, said));
        }
    }
}
