//! The mark scheme: what `[scheme]` of a sheet, `[scheme]` of a problem and a part itself say, one
//! over the other.
//!
//! In: the keys of those tables. Out: the rules of each part and of the paper. The defaults stand
//! here; `keys` says them to people, which a test holds. Refused: an absolute tolerance for all parts
//! at once (parts differ in what they ask for), and a percentage of an angle or of a temperature in
//! °C, which depends on where zero happens to be.

use rust_decimal::Decimal;

use super::amounts;
use super::model::{
    Charge, FiguresRule, Late, Leniency, PaperRules, PartRules, ReissueCounts, Sign, Units,
};
use super::raw::{Fields, Node, Text};
use super::report::Report;
use super::terms;
use crate::diagnostic::Span;
use crate::quantity::{Quantity, Unit};

/// The widest tolerance in percent.
const WIDEST: u32 = 50;

/// What one table says; `None` leaves the table above it in force.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Rules {
    tolerance: Option<Tolerance>,
    figures: Option<FiguresRule>,
    units: Option<Units>,
    sign: Option<Sign>,
    unit_cost: Option<Decimal>,
    figures_cost: Option<Decimal>,
    slip_share: Option<Decimal>,
    diagnosed_share: Option<Decimal>,
    truncated: Option<Leniency>,
    unevaluated: Option<Leniency>,
    value_needs_working: Option<bool>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Tolerance {
    percent: Option<f64>,
    absolute: Option<(Quantity, Span)>,
}

/// Where a table of rules stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Level {
    /// `[scheme]`
    Scheme,
    /// A part.
    Part,
}

/// Reads what one table says about parts.
pub(crate) fn read(fields: &Fields, level: Level, report: &mut Report<'_>) -> Rules {
    Rules {
        tolerance: tolerance(fields, level, report),
        figures: figures(fields, report),
        units: fields.text("units").map(|word| match word.text {
            "printed" => Units::Printed,
            _ => Units::Written,
        }),
        sign: fields.text("sign").map(|word| match word.text {
            "either" => Sign::Either,
            "fixed" => Sign::Fixed,
            "turn" => Sign::Turn,
            _ => Sign::Size,
        }),
        unit_cost: amounts::points(fields, "unit_cost", report),
        figures_cost: amounts::points(fields, "figures_cost", report),
        slip_share: amounts::share(fields, "slip_share", report),
        diagnosed_share: amounts::share(fields, "diagnosed_share", report),
        truncated: fields.text("truncated").map(leniency),
        unevaluated: fields.text("unevaluated").map(leniency),
        value_needs_working: fields.flag("value_needs_working"),
    }
}

impl Rules {
    /// These rules, and where they say nothing those of the table above.
    pub(crate) fn over(self, above: Self) -> Self {
        Self {
            tolerance: self.tolerance.or(above.tolerance),
            figures: self.figures.or(above.figures),
            units: self.units.or(above.units),
            sign: self.sign.or(above.sign),
            unit_cost: self.unit_cost.or(above.unit_cost),
            figures_cost: self.figures_cost.or(above.figures_cost),
            slip_share: self.slip_share.or(above.slip_share),
            diagnosed_share: self.diagnosed_share.or(above.diagnosed_share),
            truncated: self.truncated.or(above.truncated),
            unevaluated: self.unevaluated.or(above.unevaluated),
            value_needs_working: self.value_needs_working.or(above.value_needs_working),
        }
    }

    /// The rules of a part: what no table says is as follows. No tolerance is declared unless the
    /// file does; then the figures written decide alone.
    pub(crate) fn settled(self) -> PartRules {
        let tolerance = self.tolerance.unwrap_or_default();
        PartRules {
            percent: tolerance.percent,
            absolute: tolerance.absolute.map(|(quantity, _)| quantity),
            figures: self.figures.unwrap_or(FiguresRule::Asked(3)),
            units: self.units.unwrap_or(Units::Written),
            sign: self.sign.unwrap_or(Sign::Size),
            unit_cost: self.unit_cost.unwrap_or(Decimal::ONE),
            figures_cost: self.figures_cost.unwrap_or(Decimal::new(5, 1)),
            slip_share: self.slip_share.unwrap_or(Decimal::new(5, 1)),
            diagnosed_share: self.diagnosed_share.unwrap_or(Decimal::ZERO),
            truncated: self.truncated.unwrap_or(Leniency::Take),
            unevaluated: self.unevaluated.unwrap_or(Leniency::Take),
            value_needs_working: self.value_needs_working.unwrap_or(false),
        }
    }

    /// Reports a tolerance or a sign that does not suit a part's answer; `own` is where the part sets a
    /// tolerance.
    pub(crate) fn suit(&self, unit: Unit, part: Span, own: Option<Span>, report: &mut Report<'_>) {
        if self.sign == Some(Sign::Turn) && !unit.is_angle() {
            report
                .error(
                    part,
                    "only an angle comes round again after a turn, and this is none",
                )
                .help("write on this part sign = \"fixed\", or ask for degrees or radians");
        }
        let Some(tolerance) = self.tolerance else {
            return;
        };
        if let Some((quantity, span)) = tolerance.absolute
            && quantity.unit.dimension() != unit.dimension()
        {
            let found = quantity.unit.dimension();
            terms::differs(span, found, unit.dimension(), "the answer", report);
        }
        if tolerance.percent.is_none() {
            return;
        }
        let is_angle = unit.is_angle() && !unit.is_turns();
        let kind = if is_angle {
            "an angle"
        } else if unit.offset() != 0.0 {
            "a temperature on this scale"
        } else {
            return;
        };
        let message = format!("a percentage of {kind} depends on where its zero is");
        let help = if is_angle {
            "write on this part tolerance = \"0.5 deg\""
        } else {
            "write on this part tolerance = \"0.5 K\", or ask for kelvins"
        };
        report.error(own.unwrap_or(part), message).help(help);
    }
}

/// Reads what a `[scheme]` says about the paper as a whole; without one the defaults hold.
pub(crate) fn paper(scheme: Option<&Fields>, report: &mut Report<'_>) -> PaperRules {
    let empty = Fields::default();
    let fields = scheme.unwrap_or(&empty);
    PaperRules {
        charge: match fields.text("charge").map(|word| word.text) {
            Some("each") => Charge::Each,
            _ => Charge::Once,
        },
        misread_cost: amounts::points(fields, "misread_cost", report).unwrap_or(Decimal::ONE),
        late: fields.table("late").and_then(|late| {
            let per_day = amounts::share(late, "per_day", report);
            let at_most = amounts::share(late, "at_most", report);
            Some(Late {
                per_day: per_day?,
                at_most: at_most?,
            })
        }),
        reissue_counts: match fields.text("reissue_counts").map(|word| word.text) {
            Some("best") => ReissueCounts::Best,
            Some("first") => ReissueCounts::First,
            _ => ReissueCounts::Latest,
        },
    }
}

fn leniency(word: Text<'_>) -> Leniency {
    if word.text == "charge" {
        Leniency::Charge
    } else {
        Leniency::Take
    }
}

fn tolerance(fields: &Fields, level: Level, report: &mut Report<'_>) -> Option<Tolerance> {
    let node = fields.node("tolerance")?;
    let mut found = Tolerance::default();
    let single = std::slice::from_ref(node);
    let nodes = if node.list().is_empty() {
        single
    } else {
        node.list()
    };
    for text in nodes.iter().filter_map(Node::text) {
        if text.text.contains('%') {
            let share = percent(text, report)?;
            if found.percent.replace(share).is_some() {
                twice(text, report);
            }
        } else {
            let quantity = terms::quantity(text, report)?;
            if level == Level::Scheme {
                report
                    .error(
                        text.inner(),
                        "a tolerance for all parts must be a percentage",
                    )
                    .help(
                        "parts ask for different quantities: write this one on the part it is for",
                    );
                return None;
            }
            if quantity.numeral.is_negative() || quantity.numeral.is_zero() {
                report
                    .error(text.inner(), "a tolerance must be above zero")
                    .help("without one the figures written decide alone: take it out for that");
                return None;
            }
            if quantity.unit.offset() != 0.0 {
                report
                    .error(text.inner(), "a tolerance is a difference of temperatures")
                    .help("write it in K");
                return None;
            }
            if found.absolute.replace((quantity, text.inner())).is_some() {
                twice(text, report);
            }
        }
    }
    Some(found)
}

fn twice(text: Text<'_>, report: &mut Report<'_>) {
    report
        .error(text.inner(), "this is a second tolerance of the same kind")
        .help("a list holds one percentage and one quantity: [\"1%\", \"0.05 m/s^2\"]");
}

fn percent(text: Text<'_>, report: &mut Report<'_>) -> Option<f64> {
    let share = amounts::percent(text.text);
    let widest = Decimal::new(i64::from(WIDEST), 2);
    match share {
        Some(share) if share > widest => {
            report
                .error(
                    text.inner(),
                    format!("a tolerance of more than {WIDEST} % takes nearly anything"),
                )
                .help("usual are 1% to 5%");
            None
        }
        Some(share) => amounts::fraction(share),
        None => {
            report
                .error(
                    text.inner(),
                    format!("\"{}\" is not a percentage", text.text),
                )
                .help("write \"1%\" or \"0.5%\"");
            None
        }
    }
}

fn figures(fields: &Fields, report: &mut Report<'_>) -> Option<FiguresRule> {
    let node = fields.node("figures")?;
    if let Some(number) = node.number() {
        return number.parse().ok().map(FiguresRule::Asked);
    }
    let text = node.text()?;
    if text.text == "data" {
        return Some(FiguresRule::Data);
    }
    let range = text.text.split_once('-').and_then(|(least, most)| {
        let (least, most): (u8, u8) = (least.trim().parse().ok()?, most.trim().parse().ok()?);
        (1..=12).contains(&least).then_some(())?;
        (least..=12)
            .contains(&most)
            .then_some(FiguresRule::Range(least, most))
    });
    if range.is_none() {
        report
            .error(text.inner(), format!("`figures` takes a number, a range or \"data\", found \"{}\"", text.text))
            .help("write figures = 3, figures = \"2-4\" (from 1 to 12), or figures = \"data\" for the least of the givens");
    }
    range
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::keys::{Key, Shape, TABLES};
    use super::super::{Course, read};
    use super::{PaperRules, PartRules};
    use crate::diagnostic::Source;

    /// What holds with a line in `[scheme]`; nothing where the line is refused.
    fn holds(line: &str) -> Option<(PartRules, PaperRules)> {
        let text = format!(
            "title = 'A cart'\ncode = 'cart-1'\nseed = 1\ntext = 'A cart of {{m}} pulled by {{F}}.'\n\
             [given]\nm = {{ fixed = '2.0 kg' }}\nF = {{ from = '10 N', to = '20 N', step = '1 N' }}\n\
             [find]\na = 'm/s^2'\n[equation]\nnewton = 'F = m*a'\n[scheme]\n{line}\n\
             [[part]]\nid = 'a'\nask = 'Find a.'\nanswer = 'a'\npoints = 2\n"
        );
        let source = Source {
            name: "cart-1.toml".into(),
            text,
        };
        let sheet = read(&Arc::new(source), &Course::default()).sheet?;
        let rules = sheet.problems[0].parts[0].rules.clone();
        Some((rules, sheet.paper))
    }

    /// Values that the shape of a key takes; among them one that is not the default.
    fn values(key: &Key) -> Vec<String> {
        match key.shape {
            Shape::Word(words) => words.iter().map(|word| format!("'{word}'")).collect(),
            Shape::Flag => vec!["true".into(), "false".into()],
            Shape::Amount => vec!["0.25".into()],
            Shape::Either(&[Shape::Whole(..), ..]) => vec!["5".into()],
            Shape::Either(&[Shape::Amount, ..]) => vec!["0.25".into()],
            _ => vec![key.example.into()],
        }
    }

    /// A key that has a line in the table and is read nowhere would be taken in silence.
    #[test]
    fn every_key_of_a_scheme_changes_what_holds() {
        let plain = holds("").unwrap();
        let scheme = TABLES.iter().find(|table| table.header == "[scheme]");
        for key in scheme.unwrap().keys() {
            let lines = values(key)
                .into_iter()
                .map(|value| format!("{} = {value}", key.name));
            let mut found = lines.filter_map(|line| holds(&line));
            assert!(
                found.any(|found| found != plain),
                "`{}` changes nothing",
                key.name
            );
        }
    }
}
