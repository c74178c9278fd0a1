//! The given quantities: how each is drawn.
//!
//! In: the entries of `[given]`. Out: givens whose values are exact and all in one unit. Refused: no
//! way of drawing or two, values of different units, a step that does not lead from the first value
//! to the last, doubled values, and other values allowed for something that is drawn anyway.

use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive};
use rustc_hash::FxHashSet;

use super::amounts;
use super::model::{Allowed, Draw, Given};
use super::names::{Kind, Scope};
use super::raw::{Field, Fields, Node, Text};
use super::report::Report;
use super::terms;
use crate::diagnostic::Span;
use crate::quantity::{Quantity, Unit};

/// The most values one given may take.
const MOST_VALUES: u64 = 1_000_000;

/// Reads all givens and defines their names.
pub(crate) fn read(fields: &[Field], scope: &mut Scope, report: &mut Report<'_>) -> Vec<Given> {
    fields
        .iter()
        .filter_map(|field| given(field, scope, report))
        .collect()
}

fn given(field: &Field, scope: &mut Scope, report: &mut Report<'_>) -> Option<Given> {
    let fields = field.node.table()?;
    let draw = draw(fields, field.key, &field.name, report);
    let unit = match &draw {
        Some(Draw::Steps { from, .. }) => Some(from.unit),
        Some(Draw::Pick(values)) => values.first().map(|value| value.unit),
        Some(Draw::Fixed(value)) => Some(value.unit),
        None => None,
    };
    if let Some(unit) = unit {
        scope.define(&field.name, Kind::Given, unit.dimension());
    }
    let allowed = allowed(fields, unit, report);
    let (draw, unit) = (draw?, unit?);
    Some(Given {
        name: field.name.clone(),
        span: field.key,
        draw,
        unit,
        allowed,
    })
}

fn draw(fields: &Fields, key: Span, name: &str, report: &mut Report<'_>) -> Option<Draw> {
    const STEPS: [&str; 3] = ["from", "to", "step"];
    let steps = STEPS.iter().any(|key| fields.get(key).is_some());
    let pick = fields.get("pick").is_some();
    let fixed = fields.get("fixed").is_some();
    let help = "write { from = \"6.0 kg\", to = \"12.0 kg\", step = \"0.5 kg\" }, { pick = [\"1.5 kg\", \"2.0 kg\"] } or { fixed = \"9.8 m/s^2\" }";
    match (steps, pick, fixed) {
        (false, false, false) if fields.doubtful() => None,
        (false, false, false) => {
            report
                .error(key, format!("`{name}` does not say how it is drawn"))
                .help(help);
            None
        }
        (true, false, false) => {
            let missing = |key: &&&str| fields.get(key).is_none() && !fields.doubtful();
            for missing in STEPS.iter().filter(missing) {
                report
                    .error(
                        key,
                        format!("`{name}` is drawn in steps but has no `{missing}`"),
                    )
                    .help(help);
            }
            stepped(fields, report)
        }
        (false, true, false) => picked(fields, report),
        (false, false, true) => terms::quantity(fields.text("fixed")?, report).map(Draw::Fixed),
        _ => {
            report
                .error(key, format!("`{name}` is drawn in more than one way"))
                .help(help);
            None
        }
    }
}

fn stepped(fields: &Fields, report: &mut Report<'_>) -> Option<Draw> {
    let texts = [fields.text("from"), fields.text("to"), fields.text("step")];
    let [from, to, step] = texts.map(|text| Some((text?, terms::quantity(text?, report)?)));
    let ((_, from), (to_text, to), (step_text, step)) = (from?, to?, step?);
    for (text, other) in [(to_text, to), (step_text, step)] {
        if !other.unit.same_as(&from.unit) {
            report
                .error(
                    text.inner(),
                    format!(
                        "this is {}, but `from` is {}",
                        told(other.unit),
                        told(from.unit)
                    ),
                )
                .help("write from, to and step in one unit; it is the one printed");
            return None;
        }
    }
    let (width, first) = (step.numeral.exact(), from.numeral.exact());
    if !width.is_positive() {
        report
            .error(step_text.inner(), "the step must be above zero")
            .help("steps lead upwards: begin with the smallest value");
        return None;
    }
    let span = to.numeral.exact() - first;
    if !span.is_positive() {
        report
            .error(
                to_text.inner(),
                format!("the last value must be above the first, {from}"),
            )
            .help("for a value that is the same for everyone write { fixed = \"...\" }");
        return None;
    }
    let steps = (span / width).reduced();
    let whole = steps
        .floor()
        .to_integer()
        .to_u64()
        .filter(|steps| *steps < MOST_VALUES);
    let Some(whole) = whole else {
        report
            .error(
                step_text.inner(),
                format!("this makes more than {MOST_VALUES} values"),
            )
            .help("choose a larger step");
        return None;
    };
    let draw = Draw::Steps {
        from,
        step: step.numeral,
        count: whole + 1,
    };
    if draw.value(whole).is_none() {
        report
            .error(
                step_text.inner(),
                "the values would have more digits than can be kept",
            )
            .help("write from and step with fewer digits");
        return None;
    }
    if !steps.is_integer() {
        uneven(from, step, whole, &steps, to_text, report);
        return None;
    }
    Some(draw)
}

/// Says which last values the step leads to, the nearer one first.
fn uneven(
    from: Quantity,
    step: Quantity,
    whole: u64,
    steps: &BigRational,
    to: Text<'_>,
    report: &mut Report<'_>,
) {
    let at = |times: u64| {
        let numeral = from.numeral.plus(&step.numeral, times)?;
        Some(
            Quantity {
                numeral,
                unit: from.unit,
            }
            .to_string(),
        )
    };
    let half = BigRational::new(1.into(), 2.into());
    let nearer = if steps.fract() < half {
        [whole, whole + 1]
    } else {
        [whole + 1, whole]
    };
    let fits: Vec<String> = nearer
        .into_iter()
        .filter(|times| *times > 0)
        .filter_map(at)
        .collect();
    report
        .error(
            to.inner(),
            format!("steps of {step} from {from} do not lead to {}", to.text),
        )
        .help(format!("write to = \"{}\"", fits.join("\" or \"")));
}

fn picked(fields: &Fields, report: &mut Report<'_>) -> Option<Draw> {
    let list = fields.list("pick");
    let mut values: Vec<Quantity> = Vec::with_capacity(list.len());
    let mut seen = FxHashSet::default();
    let mut sound = true;
    for text in list.iter().filter_map(Node::text) {
        let Some(value) = terms::quantity(text, report) else {
            sound = false;
            continue;
        };
        let first = values.first().copied().unwrap_or(value);
        if !value.unit.same_as(&first.unit) {
            report
                .error(
                    text.inner(),
                    format!(
                        "this is {}, but the first value is {}",
                        told(value.unit),
                        told(first.unit)
                    ),
                )
                .help("write all values in one unit; it is the one printed");
            sound = false;
        } else if !seen.insert(value.numeral.exact()) {
            report
                .error(text.inner(), format!("{value} stands in the list already"))
                .help("each value is drawn equally often: name it once");
            sound = false;
        }
        values.push(value);
    }
    if list.len() == 1 {
        let only = list.first().and_then(Node::text)?;
        report
            .error(only.span, "there is only one value to pick from")
            .help(format!("write {{ fixed = \"{}\" }}", only.text));
        return None;
    }
    // Fewer than in the list where one is no string: that is reported.
    (sound && values.len() == list.len() && !values.is_empty()).then_some(Draw::Pick(values))
}

fn allowed(fields: &Fields, unit: Option<Unit>, report: &mut Report<'_>) -> Vec<Allowed> {
    let Some(field) = fields.get("allow") else {
        return Vec::new();
    };
    if fields.get("fixed").is_none() {
        report
            .error(field.key, "other values can be allowed only for a fixed quantity")
            .help("a quantity that is drawn is printed on the paper; only constants such as g have other usual values");
        return Vec::new();
    }
    let zero = rust_decimal::Decimal::ZERO;
    let mut list: Vec<Allowed> = Vec::new();
    for node in field.node.list() {
        let (text, cost) = match node.table() {
            Some(entry) => {
                let cost = amounts::points(entry, "cost", report).unwrap_or(zero);
                (entry.text("value"), cost)
            }
            None => (node.text(), zero),
        };
        let Some(text) = text else { continue };
        let Some(quantity) = terms::quantity(text, report) else {
            continue;
        };
        match unit {
            Some(unit) if unit.dimension() != quantity.unit.dimension() => {
                let found = quantity.unit.dimension();
                terms::differs(
                    text.inner(),
                    found,
                    unit.dimension(),
                    "the fixed value",
                    report,
                );
            }
            _ => list.push(Allowed { quantity, cost }),
        }
    }
    list
}

/// What a quantity is in, in words; a plain number has no symbol.
fn told(unit: Unit) -> String {
    if unit.is_one() {
        "a plain number".to_owned()
    } else {
        format!("in {unit}")
    }
}
