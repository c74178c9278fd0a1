//! The unit table made ready: exact factors worked out, symbols and names to find units by.
//!
//! In: the rows of `table`. Out: entries, and the way from a symbol or a name to one. Built
//! once, when the first unit is read.

use std::sync::LazyLock;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Pow, ToPrimitive, Zero};
use rustc_hash::FxHashMap;

use super::table::{PLAIN, Prefixes, ROWS, Row};
use crate::quantity::dimension::Dimension;
use crate::quantity::exponent::Exponent;
use crate::quantity::numeral::Numeral;
use crate::quantity::prefix;

/// A unit's number in the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) struct UnitId(u8);

impl UnitId {
    /// A unit that fills unused room; never looked at.
    pub(crate) const FILLER: Self = Self(0);

    pub(crate) fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// A unit ready for use.
pub(crate) struct Entry {
    pub(crate) symbol: &'static str,
    /// The factor to coherent SI is `mantissa · 10^power`; both parts are exact where they can be.
    pub(crate) mantissa: f64,
    pub(crate) power: i32,
    /// The exact factor apart from `pi`, which comes to this power.
    pub(crate) ratio: BigRational,
    pub(crate) pi: i16,
    pub(crate) dimension: Dimension,
    pub(crate) prefixes: Prefixes,
    pub(crate) angle: bool,
    pub(crate) zero: BigRational,
    /// The same, as the nearest `f64`.
    pub(crate) offset: f64,
}

/// All units with the ways to find them.
pub(crate) struct Table {
    entries: Vec<Entry>,
    symbols: FxHashMap<&'static str, UnitId>,
    names: FxHashMap<&'static str, UnitId>,
    plain: FxHashMap<&'static str, &'static str>,
}

/// The table, built at first use.
pub(crate) static TABLE: LazyLock<Table> = LazyLock::new(Table::build);

impl Table {
    pub(crate) fn entry(&self, unit: UnitId) -> &Entry {
        &self.entries[unit.index()]
    }

    /// The unit with exactly this symbol.
    fn symbol(&self, text: &str) -> Option<UnitId> {
        self.symbols.get(text).copied()
    }

    /// The unit and the power of its prefix for a symbol as a whole, or a prefix and a symbol.
    pub(crate) fn find(&self, text: &str) -> Option<(UnitId, i8)> {
        if let Some(unit) = self.symbol(text) {
            return Some((unit, 0));
        }
        prefix::symbols_at(text).find_map(|(power, rest)| {
            let unit = self.symbol(rest)?;
            self.entry(unit)
                .prefixes
                .take(power)
                .then_some((unit, power))
        })
    }

    /// The same for a lower-case name, in the singular or with a plural s.
    pub(crate) fn find_name(&self, text: &str) -> Option<(UnitId, i8)> {
        if let Some(unit) = self.name(text) {
            return Some((unit, 0));
        }
        prefix::names_at(text).find_map(|(power, rest)| {
            let unit = self.name(rest)?;
            self.entry(unit)
                .prefixes
                .take(power)
                .then_some((unit, power))
        })
    }

    fn name(&self, text: &str) -> Option<UnitId> {
        let known = self
            .names
            .get(text)
            .or_else(|| self.names.get(text.strip_suffix('s')?));
        known.copied()
    }

    /// What a plain misspelling stands for.
    pub(crate) fn plain(&self, text: &str) -> Option<&'static str> {
        self.plain.get(text).copied()
    }

    fn build() -> Self {
        let mut table = Self {
            entries: Vec::with_capacity(ROWS.len()),
            symbols: FxHashMap::default(),
            names: FxHashMap::default(),
            plain: PLAIN.iter().copied().collect(),
        };
        for (index, row) in ROWS.iter().enumerate() {
            let unit = UnitId(index as u8);
            let measure = table.measure(row.is);
            let entry = Entry::new(row, measure);
            table.entries.push(entry);
            for symbol in row.symbols.split(' ') {
                table.symbols.entry(symbol).or_insert(unit);
            }
            for name in row.names.split(", ").filter(|name| !name.is_empty()) {
                table.names.entry(name).or_insert(unit);
            }
        }
        table
    }

    /// Multiplies what a row says its unit is.
    fn measure(&self, is: &str) -> Measure {
        let words = is.split(' ').map(|word| self.word(word));
        words.fold(Measure::one(), |product, word| product * word)
    }

    fn word(&self, word: &str) -> Measure {
        let (name, exponent) = word.split_once('^').unwrap_or((word, "1"));
        let exponent: i16 = exponent.parse().unwrap_or(1);
        let base = match BASE_WORDS.iter().position(|&base| base == name) {
            Some(index) => Measure {
                dimension: Dimension::base(index),
                ..Measure::one()
            },
            None if name == "pi" => Measure {
                pi: 1,
                ..Measure::one()
            },
            None => match self.symbol(name) {
                Some(unit) => self.entry(unit).measure(),
                None => Measure {
                    ratio: ratio(name),
                    ..Measure::one()
                },
            },
        };
        base.power(exponent)
    }
}

const BASE_WORDS: [&str; 7] = [
    "[length]",
    "[mass]",
    "[time]",
    "[current]",
    "[temperature]",
    "[amount]",
    "[luminous]",
];

impl Entry {
    fn new(row: &'static Row, measure: Measure) -> Self {
        let (mantissa, power) = split(&measure.ratio);
        let zero = ratio_or_zero(row.zero);
        let turned = (0..measure.pi.unsigned_abs()).fold(mantissa, |product, _| {
            if measure.pi < 0 {
                product / std::f64::consts::PI
            } else {
                product * std::f64::consts::PI
            }
        });
        Self {
            symbol: row.symbol(),
            mantissa: turned,
            power,
            ratio: measure.ratio,
            pi: measure.pi,
            dimension: measure.dimension,
            prefixes: row.prefixes,
            angle: row.angle,
            offset: zero.to_f64().unwrap_or(f64::NAN),
            zero,
        }
    }

    fn measure(&self) -> Measure {
        Measure {
            ratio: self.ratio.clone(),
            pi: self.pi,
            dimension: self.dimension,
        }
    }
}

fn ratio_or_zero(text: &str) -> BigRational {
    if text == "0" {
        BigRational::zero()
    } else {
        ratio(text)
    }
}

/// A ratio as mantissa and power of ten: 0.0254 is 254 and −4, both exact; a ratio that has no
/// finite decimal is its nearest `f64` and 0.
fn split(ratio: &BigRational) -> (f64, i32) {
    let exactly = (0..40u32).find_map(|places| {
        let shifted = ratio * BigInt::from(10).pow(places);
        shifted
            .is_integer()
            .then(|| (shifted.to_integer(), places as i32))
    });
    let Some((mut whole, places)) = exactly else {
        return (ratio.to_f64().unwrap_or(f64::NAN), 0);
    };
    let mut power = -places;
    while !whole.is_zero() && (&whole % 10) == BigInt::zero() {
        whole /= 10;
        power += 1;
    }
    (whole.to_f64().unwrap_or(f64::NAN), power)
}

/// `12`, `0.0254`, `1e-7`, `1/180`. Anything else is 1, which the tests of the table would show.
fn ratio(text: &str) -> BigRational {
    let number = |text: &str| Numeral::parse(text).map(|n| n.exact()).ok();
    let (num, den) = text.split_once('/').unwrap_or((text, "1"));
    match (number(num), number(den)) {
        (Some(num), Some(den)) if !den.is_zero() => num / den,
        _ => BigRational::one(),
    }
}

/// An exact multiple of a coherent SI unit: a ratio, a power of pi, a dimension.
#[derive(Clone)]
struct Measure {
    ratio: BigRational,
    pi: i16,
    dimension: Dimension,
}

impl Measure {
    fn one() -> Self {
        Self {
            ratio: BigRational::one(),
            pi: 0,
            dimension: Dimension::NONE,
        }
    }

    fn power(self, exponent: i16) -> Self {
        let dimension = self.dimension.checked_pow(Exponent::whole(exponent));
        Self {
            ratio: Pow::pow(self.ratio, i32::from(exponent)),
            pi: self.pi * exponent,
            dimension: dimension.unwrap_or(Dimension::NONE),
        }
    }
}

impl std::ops::Mul for Measure {
    type Output = Self;

    fn mul(self, other: Self) -> Self {
        Self {
            ratio: self.ratio * other.ratio,
            pi: self.pi + other.pi,
            dimension: self
                .dimension
                .checked_mul(other.dimension)
                .unwrap_or(Dimension::NONE),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::read::read_closely;
    use super::*;

    #[test]
    fn every_row_says_what_it_is() {
        let known = |word: &str| {
            let name = word.split_once('^').map_or(word, |(name, _)| name);
            let number = |text: &str| Numeral::parse(text).is_ok();
            BASE_WORDS.contains(&name)
                || name == "pi"
                || TABLE.symbol(name).is_some()
                || name.split('/').all(number)
        };
        for row in ROWS {
            assert!(row.is.split(' ').all(known), "{}", row.symbols);
        }
        for (wrong, right) in PLAIN {
            assert!(TABLE.find(wrong).is_none(), "{wrong} is a unit");
            for right in right.split(" | ") {
                assert!(read_closely(right).is_ok(), "{right}");
            }
        }
    }

    #[test]
    fn no_symbol_or_name_is_given_twice() {
        let mut symbols = std::collections::HashSet::new();
        let mut names = std::collections::HashSet::new();
        for row in ROWS {
            assert!(
                row.symbols.split(' ').all(|symbol| symbols.insert(symbol)),
                "{}",
                row.symbols
            );
            let mut own = row.names.split(", ").filter(|name| !name.is_empty());
            assert!(own.all(|name| names.insert(name)), "{}", row.names);
        }
    }
}
