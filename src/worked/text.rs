//! Maths in one line of text.
//!
//! In: maths. Out: text for a terminal, with the brackets that fractions and roots drawn as such do without.

use std::fmt::Write as _;

use super::maths::{Chain, MINUS, Maths, NARROW, Term};

impl Chain {
    /// The sides with their signs.
    pub fn text(&self) -> String {
        let mut text = self.first.text();
        for (sign, side) in &self.rest {
            let _ = write!(text, " {} {}", sign.text(), side.text());
        }
        text
    }
}

impl Maths {
    /// The expression in one line.
    pub fn text(&self) -> String {
        match self {
            Self::Name { letter, below } => format!("{letter}{below}"),
            Self::Amount { number, unit } => {
                let number = number.replace(NARROW, "").replace(MINUS, "-");
                format!("{number}{}", unit.replace(NARROW, " "))
            }
            Self::Sum(terms) => sum(terms),
            Self::Product(factors) => product(factors),
            Self::Fraction(over, under) => {
                let over = match **over {
                    Self::Sum(_) | Self::PlusMinus(..) => in_brackets(over),
                    _ => over.text(),
                };
                let under = match **under {
                    Self::Sum(_) | Self::Product(_) | Self::Fraction(..) | Self::PlusMinus(..) => {
                        in_brackets(under)
                    }
                    _ => under.text(),
                };
                let blank = if (over.clone() + &under).contains(' ') {
                    " "
                } else {
                    ""
                };
                format!("{over}{blank}/{blank}{under}")
            }
            Self::Power(base, exponent) => {
                let base = match **base {
                    Self::Name { .. }
                    | Self::Amount { .. }
                    | Self::Brackets(_)
                    | Self::Absolute(_) => base.text(),
                    _ => in_brackets(base),
                };
                match exponent.text().as_str() {
                    "2" => format!("{base}²"),
                    "3" => format!("{base}³"),
                    other => match **exponent {
                        Self::Name { .. } | Self::Amount { .. } => format!("{base}^{other}"),
                        _ => format!("{base}^({other})"),
                    },
                }
            }
            Self::Root(inner) => format!("√{}", in_brackets(inner)),
            Self::Absolute(inner) => format!("|{}|", inner.text()),
            Self::Brackets(inner) => in_brackets(inner),
            Self::Function(name, arguments) => match &arguments[..] {
                [one @ (Self::Name { .. } | Self::Amount { .. })] => {
                    format!("{name} {}", one.text())
                }
                several => {
                    let several: Vec<String> = several.iter().map(Self::text).collect();
                    format!("{name}({})", several.join(", "))
                }
            },
            Self::Marked(inner) => format!("[{}]", inner.text()),
            Self::PlusMinus(left, right) => format!("{} ± {}", left.text(), right.text()),
        }
    }
}

fn in_brackets(maths: &Maths) -> String {
    format!("({})", maths.text())
}

fn sum(terms: &[Term]) -> String {
    let mut text = String::new();
    for (at, Term { minus, maths }) in terms.iter().enumerate() {
        text.push_str(match (at, minus) {
            (0, false) => "",
            (0, true) => "-",
            (_, false) => " + ",
            (_, true) => " - ",
        });
        text.push_str(&maths.text());
    }
    text
}

/// Letters stand close to each other, numbers with their units do not.
fn product(factors: &[Maths]) -> String {
    let mut text = String::new();
    for (at, factor) in factors.iter().enumerate() {
        let written = match factor {
            // a/b·c would be read as a/(b·c).
            Maths::Fraction(..) if at > 0 => in_brackets(factor),
            other => other.text(),
        };
        if at > 0 {
            let loose = written.contains(' ') || text.contains(' ');
            text.push_str(if loose { " · " } else { "·" });
        }
        text.push_str(&written);
    }
    text
}
