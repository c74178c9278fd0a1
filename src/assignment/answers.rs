//! Parts that ask for a quantity.
//!
//! In: `answer` and the keys that go with it. Out: what is asked for, in which unit, by which
//! equations; a part that asks for an expression adds an unknown and an equation of its own. Refused:
//! an expression without a unit, a unit or a printed value of another dimension, an unknown that is
//! asked for already, equations that are not there.

use super::model::{AnswerPart, Named, Unknown};
use super::names::{Use, equation_named};
use super::parts::{Above, Growing};
use super::raw::{Fields, Node, Text};
use super::report::Report;
use super::scheme::Rules;
use super::slips;
use super::terms::{self, Proof};
use crate::diagnostic::Span;
use crate::formula::tree::Node as Tree;
use crate::formula::{Equation, Expr};
use crate::quantity::Unit;

/// A part that asks for a quantity.
pub(crate) struct Asked<'a> {
    pub(crate) fields: &'a Fields,
    /// The part's place.
    pub(crate) span: Span,
    pub(crate) id: &'a str,
    pub(crate) rules: Rules,
}

/// Reads what is asked for.
pub(crate) fn read(
    part: &Asked<'_>,
    above: &Above<'_>,
    growing: &mut Growing,
    report: &mut Report<'_>,
) -> Option<AnswerPart> {
    let fields = part.fields;
    let text = fields.text("answer")?;
    let wanted = match fields.text("unit") {
        Some(text) => Some((terms::unit(text, report)?, text.inner())),
        None => None,
    };
    let (expr, proof) = terms::expression(text, Use::All, above.scope, report)?;
    let bare = match &expr.node {
        Tree::Name(name) => growing
            .unknowns
            .iter()
            .position(|unknown| unknown.name == *name),
        _ => None,
    };
    let (unknown, unit) = match bare {
        Some(unknown) => {
            let own = growing.unknowns[unknown].unit;
            let unit = wanted.map_or(own, |(unit, _)| unit);
            if let Some((unit, span)) = wanted
                && unit.dimension() != own.dimension()
            {
                let what = format!("`{}`", text.text.trim());
                terms::differs(span, unit.dimension(), own.dimension(), &what, report);
            }
            (unknown, unit)
        }
        // An unknown whose unit is wrong may be meant.
        None if proof == Proof::Unknown => return None,
        None => {
            let Some((unit, span)) = wanted else {
                report
                    .error(
                        text.inner(),
                        "an expression is asked for, but not in which unit",
                    )
                    .help("add unit = \"N\" to the part");
                return None;
            };
            if let Some(dimension) = proof.dimension()
                && dimension != unit.dimension()
            {
                terms::differs(span, unit.dimension(), dimension, "the answer", report);
            }
            (expression_asked(part.id, text, expr, unit, growing), unit)
        }
    };
    if let Some((_, first)) = growing.asked.iter().find(|(other, _)| *other == unknown) {
        report
            .error(
                text.inner(),
                format!("part \"{first}\" asks for `{}` already", text.text.trim()),
            )
            .help("ask for each unknown once; later parts may use it");
    }
    growing.asked.push((unknown, part.id.to_owned()));
    let own = fields.get("tolerance").map(|field| field.node.span);
    part.rules.suit(unit, part.span, own, report);
    let printed = fields.text("printed").and_then(|text| {
        let printed = terms::quantity(text, report)?;
        let found = printed.unit.dimension();
        if found != unit.dimension() {
            terms::differs(text.inner(), found, unit.dimension(), "the answer", report);
        }
        Some(printed)
    });
    let (accepts, window) = slips::accepts(fields, unit, above.scope, report);
    Some(AnswerPart {
        unknown,
        unit,
        by: by(fields, &above.equation_names, report),
        printed,
        slips: slips::read(fields, above, report),
        accepts,
        window,
    })
}

/// Adds the unknown and the equation of a part that asks for an expression.
fn expression_asked(
    id: &str,
    text: Text<'_>,
    expr: Expr,
    unit: Unit,
    growing: &mut Growing,
) -> usize {
    // No formula can hold a name with blanks, so it cannot clash with a teacher's.
    let name = format!("answer of {id}");
    let left = Expr {
        node: Tree::Name(name.clone()),
        span: expr.span,
    };
    growing.equations.push(Named {
        name: name.clone(),
        span: text.inner(),
        item: Equation { left, right: expr },
    });
    growing.unknowns.push(Unknown {
        name,
        span: text.inner(),
        unit,
        above: None,
        below: None,
    });
    growing.unknowns.len() - 1
}

fn by(fields: &Fields, equations: &[&str], report: &mut Report<'_>) -> Option<Vec<Vec<usize>>> {
    let node = fields.node("by")?;
    let nodes = node.list();
    let names = nodes.iter().filter(|node| node.text().is_some()).count();
    if names > 0 && names < nodes.len() {
        report
            .error(node.span, "`by` mixes names and lists")
            .help("write by = [\"crate_A\"] for one road, or by = [[\"crate_A\"], [\"crate_B\", \"crate_C\"]] for several");
        return None;
    }
    let sets: Vec<&[Node]> = if names > 0 {
        vec![nodes]
    } else {
        nodes.iter().map(Node::list).collect()
    };
    sets.into_iter()
        .map(|set| road(set, equations, report))
        .collect()
}

fn road(set: &[Node], equations: &[&str], report: &mut Report<'_>) -> Option<Vec<usize>> {
    let mut road = Vec::with_capacity(set.len());
    for text in set.iter().filter_map(Node::text) {
        let index = equation_named(text.text, text.inner(), equations, report)?;
        if road.contains(&index) {
            report
                .error(
                    text.inner(),
                    format!("`{}` stands here a second time", text.text),
                )
                .help("name each equation of a road once");
            return None;
        }
        road.push(index);
    }
    Some(road)
}
