//! The symbols of a unit with their prefixes and powers, before they are reckoned.
//!
//! In: symbols to multiply. Out: the list, like symbols joined, what cancels gone. Refused: more
//! than eight different ones, powers beyond 16 bits, as `None`.

use super::lookup::UnitId;
use crate::quantity::exponent::Exponent;

/// The most different symbols in one unit.
pub(crate) const MOST_TERMS: usize = 8;

/// One symbol with its prefix and power.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Term {
    pub(crate) unit: UnitId,
    /// The power of ten of the prefix.
    pub(crate) prefix: i8,
    pub(crate) exponent: Exponent,
}

const FILLER: Term = Term {
    unit: UnitId::FILLER,
    prefix: 0,
    exponent: Exponent::ZERO,
};

/// Symbols multiplied, in the order in which they were written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Terms {
    terms: [Term; MOST_TERMS],
    length: u8,
}

impl Terms {
    pub(crate) const NONE: Self = Self {
        terms: [FILLER; MOST_TERMS],
        length: 0,
    };

    pub(crate) fn as_slice(&self) -> &[Term] {
        &self.terms[..usize::from(self.length)]
    }

    /// Multiplies one more.
    pub(crate) fn push(&mut self, term: Term) -> Option<()> {
        let length = usize::from(self.length);
        let alike = |t: &Term| t.unit == term.unit && t.prefix == term.prefix;
        if let Some(at) = self.as_slice().iter().position(alike) {
            let exponent = self.terms[at].exponent.checked_add(term.exponent)?;
            self.terms[at].exponent = exponent;
            if exponent.is_zero() {
                self.terms.copy_within(at + 1..length, at);
                self.length -= 1;
                self.terms[length - 1] = FILLER;
            }
        } else if !term.exponent.is_zero() {
            *self.terms.get_mut(length)? = term;
            self.length += 1;
        }
        Some(())
    }

    pub(crate) fn times(&self, other: &Self) -> Option<Self> {
        let mut product = *self;
        for &term in other.as_slice() {
            product.push(term)?;
        }
        Some(product)
    }

    pub(crate) fn over(&self, other: &Self) -> Option<Self> {
        let mut quotient = *self;
        for term in other.as_slice() {
            quotient.push(Term {
                exponent: term.exponent.checked_neg()?,
                ..*term
            })?;
        }
        Some(quotient)
    }

    pub(crate) fn power(&self, exponent: Exponent) -> Option<Self> {
        if exponent == Exponent::ONE {
            return Some(*self);
        }
        let mut power = Self::NONE;
        for term in self.as_slice() {
            power.push(Term {
                exponent: term.exponent.checked_mul(exponent)?,
                ..*term
            })?;
        }
        Some(power)
    }

    /// Whether both hold the same terms, in any order.
    pub(crate) fn same_as(&self, other: &Self) -> bool {
        let others = other.as_slice();
        self.length == other.length && self.as_slice().iter().all(|term| others.contains(term))
    }
}
