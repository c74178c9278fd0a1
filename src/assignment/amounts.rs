//! Points, shares and percentages.
//!
//! In: numbers and strings of a file as written. Out: exact decimals; points never pass through
//! binary floating point. Refused, with the remedy: what is negative, not a number (`nan`, `inf`),
//! larger than any paper, finer than [`FINEST`] decimals, and fractions such as `1/3`.

use rust_decimal::Decimal;

use super::raw::{Fields, Node};
use super::report::Report;
use crate::diagnostic::Span;

/// The most points or cost of anything.
const LARGEST: u32 = 1000;
/// The most decimals of points and shares.
const FINEST: u32 = 4;

/// The points or the cost behind a key; nothing where there is none or it is refused.
pub(crate) fn points(fields: &Fields, name: &str, report: &mut Report<'_>) -> Option<Decimal> {
    let node = fields.node(name)?;
    let amount = decimal(node.number()?, node.span, report)?;
    if amount > Decimal::from(LARGEST) {
        report
            .error(node.span, format!("`{name}` is larger than {LARGEST}"))
            .help("scale all points and costs of the file down");
        return None;
    }
    Some(amount)
}

/// The share behind a key, from 0 to 1, written as a number or a percentage.
pub(crate) fn share(fields: &Fields, name: &str, report: &mut Report<'_>) -> Option<Decimal> {
    let node = fields.node(name)?;
    let share = match node.text() {
        Some(text) => match percent(text.text) {
            Some(share) => share,
            None => {
                report
                    .error(
                        node.span,
                        format!("`{name}` takes a share, found \"{}\"", text.text),
                    )
                    .help(remedy(text.text));
                return None;
            }
        },
        None => decimal(node.number()?, node.span, report)?,
    };
    if share > Decimal::ONE {
        report
            .error(node.span, format!("`{name}` is more than the whole"))
            .help("a share is a number from 0 to 1, such as 0.5, or a percentage, such as \"50%\"");
        return None;
    }
    Some(share)
}

fn remedy(found: &str) -> &'static str {
    if found.contains('/') {
        "fractions are not read here: write 0.333 for 1/3"
    } else {
        "write a number from 0 to 1, such as 0.5, or a percentage, such as \"50%\""
    }
}

/// `1%` or `0.5 %` as a fraction, exact.
pub(crate) fn percent(text: &str) -> Option<Decimal> {
    let number = text.trim().strip_suffix('%')?.trim_end();
    let digits = number
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.');
    if !digits {
        return None;
    }
    let whole = Decimal::from_str_exact(number).ok()?.normalize();
    (whole.scale() <= FINEST).then(|| (whole / Decimal::ONE_HUNDRED).normalize())
}

/// A fraction that is near enough to be reckoned with in binary.
pub(crate) fn fraction(share: Decimal) -> Option<f64> {
    // Through the text: the nearest double, whatever the decimal crate's own conversion does.
    share.to_string().parse().ok()
}

/// How many values a list has, as points.
pub(crate) fn count(nodes: &[Node]) -> Decimal {
    Decimal::from(nodes.len())
}

/// A number of the file, not negative.
fn decimal(written: &str, span: Span, report: &mut Report<'_>) -> Option<Decimal> {
    let unsigned = written.strip_prefix('+').unwrap_or(written);
    if unsigned.starts_with('-') {
        report
            .error(
                span,
                format!("expected a number not below 0, found {written}"),
            )
            .help("leave the minus out: points and shares are not negative, and a cost is taken off as it stands");
        return None;
    }
    let read = if unsigned.contains(['e', 'E']) {
        Decimal::from_scientific(unsigned)
    } else {
        Decimal::from_str_exact(unsigned)
    };
    match read.map(|number| number.normalize()) {
        Ok(number) if number.scale() <= FINEST => Some(number),
        Ok(_) => {
            report
                .error(span, format!("{written} has more than {FINEST} decimals"))
                .help("write 0.3333 for a third");
            None
        }
        Err(_) => {
            report
                .error(
                    span,
                    format!("expected a number such as 2 or 0.5, found {written}"),
                )
                .help("points and shares are ordinary decimal numbers");
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Source;

    #[test]
    fn percentages_are_exact() {
        for (text, expected) in [
            ("1%", Some("0.01")),
            ("0.5 %", Some("0.005")),
            (" 100% ", Some("1")),
            ("33.3333%", Some("0.333333")),
            ("1", None),
            ("%", None),
            ("-1%", None),
            ("1/3%", None),
            ("1e2%", None),
            ("nan%", None),
        ] {
            let found = percent(text).map(|share| share.to_string());
            assert_eq!(found.as_deref(), expected, "{text}");
        }
    }

    #[test]
    fn decimals_are_read_as_written() {
        let source = Source {
            name: "t".into(),
            text: String::new(),
        };
        for (text, expected) in [
            ("0.10", Some("0.1")),
            ("3", Some("3")),
            ("+2.5", Some("2.5")),
            ("5e-1", Some("0.5")),
            ("-1", None),
            ("nan", None),
            ("inf", None),
            ("1e400", None),
            ("0.123456", None),
        ] {
            let mut report = Report::new(&source);
            let found = decimal(text, Span::default(), &mut report).map(|n| n.to_string());
            assert_eq!(found.as_deref(), expected, "{text}");
            assert_eq!(report.len(), usize::from(expected.is_none()), "{text}");
        }
    }
}
