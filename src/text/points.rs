//! Points as a teacher types them.
//!
//! In: `2.5` or `2,5`. Out: the number. Refused: anything else.

use rust_decimal::Decimal;

/// A number with a point or a comma; nothing else is one.
pub fn points(typed: &str) -> Option<Decimal> {
    typed.trim().replace(',', ".").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_and_a_comma_are_one() {
        for (typed, expected) in [
            ("2", Some("2")),
            ("2.5", Some("2.5")),
            (" 2,5", Some("2.5")),
            ("-0,5", Some("-0.5")),
            ("1.000,5", None),
            ("2,5 pts", None),
            ("", None),
        ] {
            assert_eq!(
                points(typed),
                expected.map(|text| text.parse().unwrap()),
                "{typed}"
            );
        }
    }
}
