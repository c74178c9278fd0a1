//! How answers and papers are judged.

use rust_decimal::Decimal;

use crate::quantity::Quantity;

/// What holds for a paper as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperRules {
    /// How often one fault costs.
    pub charge: Charge,
    /// Points for misread numbers, once a paper.
    pub misread_cost: Decimal,
    /// What a late paper loses.
    pub late: Option<Late>,
    /// Which issue counts.
    pub reissue_counts: ReissueCounts,
}

/// How often a unit cost and a figures cost are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Charge {
    /// At most once a paper, each.
    Once,
    /// On every part.
    Each,
}

/// What a late paper loses, as shares of what was earned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Late {
    /// For each day.
    pub per_day: Decimal,
    /// At most.
    pub at_most: Decimal,
}

/// Which issue counts for a student who has several.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the words say it")]
pub enum ReissueCounts {
    Latest,
    Best,
    First,
}

/// How an answer is judged.
#[derive(Clone, Debug, PartialEq)]
pub struct PartRules {
    /// Declared tolerance as a fraction of the key.
    pub percent: Option<f64>,
    /// Declared tolerance as a quantity of the answer's dimension.
    pub absolute: Option<Quantity>,
    /// The figures asked for.
    pub figures: FiguresRule,
    /// Whether the unit is judged.
    pub units: Units,
    /// Whether the sign is judged.
    pub sign: Sign,
    /// Points for a unit missing or wrong.
    pub unit_cost: Decimal,
    /// Points for too few or too many figures.
    pub figures_cost: Decimal,
    /// Share of the value points for a foreseen slip.
    pub slip_share: Decimal,
    /// Share of the value points for a mistake the program worked out.
    pub diagnosed_share: Decimal,
    /// A value cut off instead of rounded.
    pub truncated: Leniency,
    /// A fraction, a surd or a multiple of π left as it is.
    pub unevaluated: Leniency,
    /// Whether a right value with no working points keyed earns none of them.
    pub value_needs_working: bool,
}

impl PartRules {
    /// The declared tolerance either way around a value, both in SI units: the wider of the two; 0
    /// where none is declared.
    pub fn tolerance(&self, value: f64) -> f64 {
        let share = self.percent.map_or(0.0, |percent| percent * value.abs());
        let absolute = self.absolute.map_or(0.0, |quantity| {
            quantity.numeral.to_f64().abs() * quantity.unit.factor()
        });
        share.max(absolute)
    }
}

/// The figures asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FiguresRule {
    /// So many; one fewer to two more is taken.
    Asked(u8),
    /// From the first to the second.
    Range(u8, u8),
    /// The least of the givens used.
    Data,
}

/// Who writes the unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// The student.
    Written,
    /// It is printed on the answer line and not judged.
    Printed,
}

/// What a sign counts for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// A minus is noted, not charged.
    Size,
    /// One convention all over the problem.
    Either,
    /// As in the key.
    Fixed,
    /// As in the key, for a direction: angles that differ by whole turns are one.
    Turn,
}

impl Sign {
    /// Whether values are compared by their sizes alone.
    pub fn is_size_only(self) -> bool {
        matches!(self, Self::Size | Self::Either)
    }
}

/// What becomes of a harmless fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leniency {
    /// It is noted.
    Take,
    /// It costs the figures.
    Charge,
}
