//! Points as a teacher types them.
//!
//! In: `2.5` or `2,5`. Out: the number. Refused: anything else.

use rust_decimal::Decimal;

/// A number with a point or a comma; nothing else is one, nor is `1,000`, which may be a thousand.
pub fn points(typed: &str) -> Option<Decimal> {
    let typed = typed.trim();
    let behind = typed.split_once(',').map_or("", |(_, behind)| behind);
    let perhaps_thousands = behind.len() == 3 && !typed.starts_with("0,");
    (!perhaps_thousands).then_some(())?;
    typed.replace(',', ".").parse().ok()
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
            ("1,000", None),
            ("0,125", Some("0.125")),
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
