//! Numbers and quantities the way the SI Brochure prints them (section 5.4): a true minus, a space
//! before the unit that no line breaks at, none before the degree, a power of ten with its cross.
//!
//! In: a numeral and a unit, as written or reckoned. Out: text for paper. Nothing is rounded here, and
//! nothing is refused.

use super::measured::Quantity;
use super::numeral::Numeral;
use super::unit::Unit;

/// Between a number and its unit, and between the symbols of a unit.
pub const NARROW: char = '\u{202f}';

/// The true minus.
pub const MINUS: char = '\u{2212}';

impl Numeral {
    /// `−3.27`, `3.2 × 10⁴`, with the digits as written.
    pub fn printed(&self) -> String {
        let (minus, cross) = (MINUS.to_string(), format!("{NARROW}×{NARROW}"));
        self.pretty().replace('-', &minus).replace('×', &cross)
    }
}

impl Unit {
    /// What stands behind a number, with the space before it; nothing for a plain number.
    pub fn printed(&self) -> String {
        if self.is_one() {
            return String::new();
        }
        let narrow = NARROW.to_string();
        let text = self.to_string().replace(' ', &narrow);
        // Of all units the degree, the minute and the second of arc alone stand close.
        let close = text.chars().all(|letter| "°′″".contains(letter));
        if close { text } else { narrow + &text }
    }
}

impl Quantity {
    /// Number and unit.
    pub fn printed(&self) -> String {
        self.numeral.printed() + &self.unit.printed()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_printed_as_the_si_brochure_has_them() {
        for (written, printed) in [
            ("6.0 kg", "6.0\u{202f}kg"),
            ("-3.270 m/s^2", "\u{2212}3.270\u{202f}m/s²"),
            ("15.0 deg", "15.0°"),
            ("25 °C", "25\u{202f}°C"),
            ("0.320", "0.320"),
            (
                "3.2e-4 kg m^2",
                "3.2\u{202f}×\u{202f}10⁻⁴\u{202f}kg\u{202f}m²",
            ),
        ] {
            let found = Quantity::parse(written).unwrap().printed();
            assert_eq!(found, printed, "{written}");
        }
    }
}
