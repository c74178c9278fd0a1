//! Numbers and units as print has them, by the SI Brochure (9th edition, section 5.4).
//!
//! In: a numeral, a unit, a quantity, and the decimal mark of the reader. Out: text of one line with a
//! true minus, `× 10ⁿ`, a space between number and unit that never breaks, and groups of three digits
//! where there are more than four. The digits stay as they were written. Nothing is refused.

use super::exponent::superscript;
use super::{Numeral, Quantity, Unit};
use crate::text::DecimalMark;

/// Between a number and its unit, between groups of digits: narrow, and no line ends at it.
const SPACE: char = '\u{202F}';

/// Digits in a row that need no groups.
const UNGROUPED: usize = 4;

/// Units that stand right behind the number, as the SI Brochure has it for degree, minute and second.
const CLOSE: [&str; 3] = ["°", "′", "″"];

impl Numeral {
    /// The number as print has it: `−0.50`, `1.30 × 10³`, `12 500`.
    pub fn printed(&self, mark: DecimalMark) -> String {
        let text = self.to_string();
        let (digits, power) = match text.split_once(['e', 'E']) {
            Some((digits, power)) => (digits, Some(power)),
            None => (text.as_str(), None),
        };
        let (sign, digits) = match digits.strip_prefix('-') {
            Some(digits) => ("−", digits),
            None => ("", digits.strip_prefix('+').unwrap_or(digits)),
        };
        let (whole, decimals) = match digits.split_once('.') {
            Some((whole, decimals)) => (whole, Some(decimals)),
            None => (digits, None),
        };
        let mut out = sign.to_owned();
        // Groups are counted from the decimal mark to either side.
        push_groups(&mut out, whole, whole.len() % 3);
        if let Some(decimals) = decimals {
            out.push(mark.character());
            push_groups(&mut out, decimals, 0);
        }
        if let Some(power) = power.and_then(|power| power.parse().ok()) {
            let raised = superscript(power);
            out.extend([SPACE, '×', SPACE]);
            out.push_str("10");
            out.push_str(&raised);
        }
        out
    }
}

impl Unit {
    /// The unit as print has it; empty for the unit of a plain number.
    pub fn printed(&self) -> String {
        if self.is_one() {
            return String::new();
        }
        self.to_string().replace(' ', &SPACE.to_string())
    }

    /// The same as it stands behind a number, with the space between them.
    pub fn printed_behind(&self) -> String {
        let unit = self.printed();
        if unit.is_empty() || CLOSE.contains(&unit.as_str()) {
            return unit;
        }
        format!("{SPACE}{unit}")
    }
}

impl Quantity {
    /// Number and unit as print has them: `9.8 m/s²`, `48.0°`.
    pub fn printed(&self, mark: DecimalMark) -> String {
        self.numeral.printed(mark) + &self.unit.printed_behind()
    }
}

fn push_groups(out: &mut String, digits: &str, first: usize) {
    let grouped = digits.len() > UNGROUPED;
    for (at, digit) in digits.chars().enumerate() {
        if grouped && at > 0 && at % 3 == first % 3 {
            out.push(SPACE);
        }
        out.push(digit);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The SI Brochure's own examples are marked with its section.
    #[test]
    fn quantities_are_printed_as_the_si_brochure_has_them() {
        let cases = [
            ("9.8 m/s^2", "9.8_m/s²"),
            ("6.0 kg", "6.0_kg"),
            ("-0.50 m", "−0.50_m"),
            ("48.0 deg", "48.0°"),
            // 5.4.3: a space before the degree Celsius, none before the degree of an angle
            ("30.2 degC", "30.2_°C"),
            ("1.30e3 N", "1.30_×_10³_N"),
            ("1.6e-19 C", "1.6_×_10⁻¹⁹_C"),
            ("4.18e3 J/(kg K)", "4.18_×_10³_J/(kg_K)"),
            // 5.4.4: groups of three, none in a row of four
            ("43279.16829 m", "43_279.168_29_m"),
            ("3279.1683 m", "3279.1683_m"),
            ("1000000 m", "1_000_000_m"),
            ("0.25", "0.25"),
            ("30. N", "30._N"),
        ];
        for (text, expected) in cases {
            let quantity = Quantity::parse(text).unwrap();
            let shown = quantity.printed(DecimalMark::Point).replace(SPACE, "_");
            assert_eq!(shown, expected, "{text}");
        }
        let comma = Quantity::parse("2.50 kg")
            .unwrap()
            .printed(DecimalMark::Comma);
        assert_eq!(comma, format!("2,50{SPACE}kg"));
    }
}
