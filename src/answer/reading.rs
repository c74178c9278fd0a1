//! The types of what was understood: nothing in here reads.

use crate::quantity::{Dimension, Numeral, Unit, UnitReading};

/// What was understood of an entry.
#[expect(
    clippy::large_enum_variant,
    reason = "one answer is the rule, and is not to allocate"
)]
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// Nothing was written, or a dash.
    Blank,
    /// Something that cannot be read, or can be in two ways; to be asked about.
    Unreadable(Unreadable),
    /// Two to four answers beside each other.
    Several(Vec<Written>),
    /// One answer.
    One(Written),
}

/// One answer as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    /// The number.
    pub value: Value,
    /// The unit; `None` where none is written and none follows from a constant.
    pub unit: Option<UnitReading>,
    /// A second reading, where the symbol behind the number is both a unit and the name of a
    /// constant: `3 g` is a mass, or three times g. The dimension asked for tells them apart.
    pub also: Option<AsConstant>,
    /// What was forgiven or set aside.
    pub notes: Notes,
}

/// The number of an answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// A decimal number.
    Numeral(Numeral),
    /// `1,234` under a decimal point, or `1.234` under a decimal comma: to be compared both
    /// ways, and asked about if both or neither fit.
    Ambiguous {
        /// With the mark read as one between thousands.
        thousands: Numeral,
        /// With the mark read as the decimal mark.
        decimal: Numeral,
    },
    /// Something left to work out, worked out.
    Evaluated(Evaluated),
}

impl Value {
    /// The value in the unit of the answer; of two readings, the one with the decimal mark.
    pub fn to_f64(&self) -> f64 {
        match self {
            Self::Numeral(numeral) => numeral.to_f64(),
            Self::Ambiguous { decimal, .. } => decimal.to_f64(),
            Self::Evaluated(evaluated) => evaluated.value,
        }
    }
}

impl Written {
    /// The reading that fits what was asked for: the multiple of a constant, where the first
    /// reading has another dimension and the multiple has this one.
    #[must_use]
    pub fn fitting(&self, dimension: Dimension) -> Self {
        let fits = |unit: Unit| unit.dimension() == dimension;
        match self.also {
            Some(also) if fits(also.unit) && !self.unit.is_some_and(|own| fits(own.unit)) => {
                let exact = !matches!(self.value, Value::Numeral(n) if n.decimals() > 0);
                let kind = Kind::Constant;
                let evaluated = Evaluated {
                    value: also.value,
                    kind,
                    exact,
                };
                let unit = Some(UnitReading {
                    unit: also.unit,
                    forgiven: None,
                });
                Self {
                    value: Value::Evaluated(evaluated),
                    unit,
                    also: None,
                    ..*self
                }
            }
            _ => *self,
        }
    }
}

/// A number that was left to work out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evaluated {
    /// Its value, in the unit of the answer.
    pub value: f64,
    /// What it is.
    pub kind: Kind,
    /// Whether only whole numbers, roots, π and constants are in it, so that no figure was lost.
    pub exact: bool,
}

/// What was left to work out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// `49/15`.
    Fraction,
    /// `1 4/15`.
    Mixed,
    /// `2π`.
    Pi,
    /// `√2/3`.
    Surd,
    /// `23g/67`.
    Constant,
}

/// The reading of `3 g` or `3g N` as a multiple of a constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AsConstant {
    /// The multiple, worked out, in `unit`.
    pub value: f64,
    /// The unit that is left: the one written behind the constant, or the constant's own.
    pub unit: Unit,
}

/// What was forgiven or set aside in an answer, besides the spelling of the unit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Notes {
    bits: u32,
    /// Where a note in brackets stands, in bytes of the entry, brackets included.
    pub bracket: Option<(u16, u16)>,
    /// Which of the context's names the label is, as the `a` of "a = 3.27".
    pub label: Option<u16>,
}

impl Notes {
    /// `~3`, `about 3`.
    pub const APPROXIMATE: u32 = 1;
    /// `± 0.1` was set aside.
    pub const UNCERTAINTY: u32 = 1 << 1;
    /// `32 000`, `32'000`, `1,234,567`.
    pub const THOUSANDS: u32 = 1 << 2;
    /// A comma taken as the decimal mark where the class writes a point, or the reverse.
    pub const OTHER_MARK: u32 = 1 << 3;
    /// A label was taken off.
    pub const LABEL: u32 = 1 << 4;
    /// What stands before the last equals sign was set aside: it is working, or agrees.
    pub const WORKING: u32 = 1 << 5;
    /// A note in brackets was set aside.
    pub const BRACKET: u32 = 1 << 6;
    /// The unit is that of a constant; none was written.
    pub const UNIT_OF_CONSTANT: u32 = 1 << 7;
    /// The unit stands in brackets.
    pub const UNIT_IN_BRACKETS: u32 = 1 << 8;
    /// Digits of another script, or of full width.
    pub const OTHER_DIGITS: u32 = 1 << 9;
    /// Dots for further digits were set aside.
    pub const DOTS: u32 = 1 << 10;
    /// The unit was written once for several answers.
    pub const SHARED_UNIT: u32 = 1 << 11;
    /// A full stop or a semicolon at the end.
    pub const PUNCTUATION: u32 = 1 << 12;
    /// `3.2x10-4`, the power not marked as one, or `3.2 10^4`, without the multiplication sign.
    pub const LOOSE_POWER: u32 = 1 << 13;

    /// Words for each, in the order of the bits.
    pub(crate) const WORDS: [&'static str; 14] = [
        "sign for about",
        "uncertainty set aside",
        "marks between thousands",
        "the other decimal mark",
        "label taken off",
        "working before the last equals sign set aside",
        "note in brackets set aside",
        "unit of the constant",
        "unit in brackets",
        "digits of another script",
        "dots at the end set aside",
        "unit written once for all",
        "mark at the end",
        "power of ten loosely written",
    ];

    /// Notes with these bits.
    pub fn of(bits: u32) -> Self {
        Self {
            bits,
            ..Self::default()
        }
    }

    /// Whether all of these bits are noted.
    pub fn has(&self, bits: u32) -> bool {
        self.bits & bits == bits
    }

    /// Whether nothing was forgiven or set aside.
    pub fn is_empty(&self) -> bool {
        self.bits == 0
    }

    pub(crate) fn without(self, bits: u32) -> Self {
        Self {
            bits: self.bits & !bits,
            ..self
        }
    }

    /// Notes that a remark was set aside, and where it stands.
    pub(crate) fn set_bracket(&mut self, start: usize, end: usize) {
        let narrow = |at: usize| u16::try_from(at).unwrap_or(u16::MAX);
        self.bits |= Self::BRACKET;
        self.bracket = Some((narrow(start), narrow(end)));
    }

    pub(crate) fn note(&mut self, bits: u32) {
        self.bits |= bits;
    }

    /// What is noted, in words.
    pub fn words(&self) -> impl Iterator<Item = &'static str> + use<> {
        let bits = self.bits;
        let all = Self::WORDS.into_iter().enumerate();
        all.filter(move |(index, _)| bits & (1 << index) != 0)
            .map(|(_, words)| words)
    }
}

/// Why an entry was not read, and where, in bytes of the entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Why.
    pub why: Why,
    /// Offset of the first byte in question.
    pub start: u16,
    /// Offset after the last.
    pub end: u16,
}

impl Unreadable {
    pub(crate) fn new(why: Why, start: usize, end: usize) -> Self {
        let narrow = |at: usize| u16::try_from(at).unwrap_or(u16::MAX);
        Self {
            why,
            start: narrow(start),
            end: narrow(end),
        }
    }
}

/// Why an entry was not read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Why {
    /// Marked as unreadable by the person who keyed it.
    MarkedSo,
    /// Longer than an answer can be.
    TooLong,
    /// No number where one should be.
    NoNumber,
    /// Points, commas or blanks that do not make a number: `3.2.1`, `3..2`.
    Marks,
    /// Two numbers with only a blank between them: `3 27`.
    TwoNumbers,
    /// A comma with a blank beside it between two whole numbers: `3, 27`.
    CommaAndBlank,
    /// A number in brackets behind the answer: `3.2 (3.3)`.
    NumberInBrackets,
    /// A number beyond what is reckoned with.
    OutOfRange,
    /// More digits than anybody writes.
    TooManyDigits,
    /// Digits of two scripts in one number.
    MixedDigits,
    /// `3.2x104`, `3.2x10`: a power of ten that is not marked as one.
    LostPower,
    /// `3.10^4` under a decimal point: 3.10⁴ or 3 · 10⁴.
    PointOrTimes,
    /// `±3`: two answers in one.
    BothSigns,
    /// `<3`.
    Inequality,
    /// `1/2π`, `3/7g`: what does the divisor reach to?
    AmbiguousQuotient,
    /// `--3`, `-(-3)`.
    TwoSigns,
    /// `√2g`: what does the root reach to?
    AmbiguousRoot,
    /// A number inside an expression that can be read in two ways.
    AmbiguousNumber,
    /// `3 + 2`, `3 · 5`: a sum or product of plain numbers.
    NotWorkedOut,
    /// Terms of a sum that are different things: `2 + g`.
    MixedSum,
    /// Division by zero, or the root of a negative number.
    Undefined,
    /// Brackets that do not match.
    Brackets,
    /// Brackets within brackets, deeper than anybody writes.
    TooDeep,
    /// An equals sign with nothing beside it.
    Equals,
    /// A small l right behind a digit: a litre or a 1.
    LetterOrDigit,
    /// A symbol or word that is no unit.
    UnknownUnit,
    /// A unit that can be read in two ways.
    AmbiguousUnit,
    /// Something behind the number that is no unit.
    NotAUnit,
    /// Two different units.
    TwoUnits,
    /// More answers beside each other than four.
    TooMany,
}
