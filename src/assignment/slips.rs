//! Foreseen wrong ways, and answers that are also right.
//!
//! In: the entries of `[[part.slip]]` and `accept`. Out: slips with the equations they replace, and
//! accepted expressions or a window of values. Refused: a slip of no kind or of two, names that
//! stand for nothing, accepted values of another dimension. Slips alone are free of the dimension
//! check: forgetting g is dimensionally wrong by nature.

use rust_decimal::Decimal;

use super::amounts;
use super::model::{Accept, Slip, SlipKind};
use super::names::{Scope, Use, equation_named};
use super::parts::{Above, not_blank};
use super::raw::{Field, Fields, Node, Text};
use super::report::Report;
use super::template;
use super::terms;
use crate::formula::Equation;
use crate::quantity::{Quantity, Unit};

/// Reads the slips of a part.
pub(crate) fn read(fields: &Fields, above: &Above<'_>, report: &mut Report<'_>) -> Vec<Slip> {
    fields
        .list("slip")
        .iter()
        .filter_map(|node| slip(node, above, report))
        .collect()
}

fn slip(node: &Node, above: &Above<'_>, report: &mut Report<'_>) -> Option<Slip> {
    let fields = node.table()?;
    let say = fields.text("say").map(|text| {
        not_blank(text, "say", report);
        template::plain(text, &above.places, report)
    });
    let share = amounts::share(fields, "share", report);
    let help = "write either replace = { crate_A = \"T1 - mA*g = mA*a\" } or answer = \"mA*g\"";
    let kind = match (fields.get("replace"), fields.get("answer")) {
        (None, None) if fields.doubtful() => return None,
        (None, None) => {
            report
                .error(node.span, "this slip does not say what goes wrong")
                .help(help);
            return None;
        }
        (Some(_), Some(_)) => {
            report
                .error(node.span, "this slip says two things at once")
                .help(help);
            return None;
        }
        (Some(field), None) => replace(field, above, report).map(SlipKind::Replace),
        (None, Some(_)) => {
            let text = fields.text("answer")?;
            terms::free_expression(text, above.scope, report).map(SlipKind::Answer)
        }
    };
    Some(Slip {
        span: node.span,
        kind: kind?,
        say,
        share,
    })
}

fn replace(
    field: &Field,
    above: &Above<'_>,
    report: &mut Report<'_>,
) -> Option<Vec<(usize, Equation)>> {
    let entries = field.node.table().map(|fields| fields.entries.as_slice())?;
    if entries.is_empty() {
        report
            .error(field.node.span, "`replace` names no equation")
            .help("write replace = { crate_A = \"T1 - mA*g = mA*a\" }");
        return None;
    }
    let replaced = entries.iter().map(|entry| {
        let index = equation_named(&entry.name, entry.key, &above.equation_names, report);
        let text = entry.node.text()?;
        let equation = terms::free_equation(text, above.scope, report);
        Some((index?, equation?))
    });
    // All of them are looked at before one that is wrong drops the slip.
    let replaced: Vec<_> = replaced.collect();
    replaced.into_iter().collect()
}

/// Reads what a part also accepts: expressions, or a window.
pub(crate) fn accepts(
    fields: &Fields,
    unit: Unit,
    scope: &Scope,
    report: &mut Report<'_>,
) -> (Vec<Accept>, Option<(Quantity, Quantity)>) {
    let Some(node) = fields.node("accept") else {
        return (Vec::new(), None);
    };
    let nodes = node.list();
    let texts: Vec<Text<'_>> = nodes.iter().filter_map(Node::text).collect();
    if texts.is_empty() {
        let tables = nodes.iter().filter_map(Node::table);
        let accepts = tables
            .filter_map(|table| accept(table, unit, scope, report))
            .collect();
        return (accepts, None);
    }
    match texts.as_slice() {
        [low, high] if nodes.len() == 2 => {
            let ends = (end(*low, unit, report), end(*high, unit, report));
            let (Some(first), Some(last)) = ends else {
                return (Vec::new(), None);
            };
            if first.si() >= last.si() {
                report
                    .error(
                        high.inner(),
                        format!("the window ends where it begins or before, at {first}"),
                    )
                    .help("write the smaller value first");
            }
            (Vec::new(), Some((first, last)))
        }
        _ => {
            report
                .error(node.span, "`accept` takes a window of two values, or answers between braces")
                .help("write accept = [\"2.3 m\", \"2.6 m\"], or accept = [{ answer = \"mB*(g + a)\" }]");
            (Vec::new(), None)
        }
    }
}

fn end(text: Text<'_>, unit: Unit, report: &mut Report<'_>) -> Option<Quantity> {
    let end = terms::quantity(text, report)?;
    let found = end.unit.dimension();
    if found != unit.dimension() {
        terms::differs(text.inner(), found, unit.dimension(), "the answer", report);
        return None;
    }
    Some(end)
}

fn accept(fields: &Fields, unit: Unit, scope: &Scope, report: &mut Report<'_>) -> Option<Accept> {
    let share = amounts::share(fields, "share", report);
    let text = fields.text("answer")?;
    let wanted = unit.dimension();
    let expr = terms::expression_of(text, Use::All, wanted, "the answer", scope, report)?;
    Some(Accept {
        expr,
        share: share.unwrap_or(Decimal::ONE),
    })
}
