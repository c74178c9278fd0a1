//! One problem: from its tables to a checked assignment.
//!
//! In: a tree whose form is right. Out: the assignment, where nothing was reported, and in any case
//! every finding. The order is that of what depends on what: names, givens, unknowns, derived
//! names, then whatever is written with them.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::givens;
use super::mix;
use super::model::{Assignment, Derived, FigureFile, Named, Unknown, Variants};
use super::names::{Kind, Scope, Use};
use super::parts::{self, Above, Growing, not_blank};
use super::raw::{Field, Fields, Text};
use super::report::Report;
use super::scheme::{self, Level, Rules};
use super::template::{self, Places};
use super::terms::{self, Proof};
use crate::course::{LONGEST_CODE, is_code};
use crate::diagnostic::{Source, Span};
use crate::formula::tape::SLOTS;
use crate::formula::{self, Equation, Expr};
use crate::quantity::Dimension;

/// The most letters of a title, which heads papers and lists.
const LONGEST_TITLE: usize = 200;

/// Reads a problem under the rules of the sheet it stands on (none for a lone one).
pub(crate) fn read(
    source: &Arc<Source>,
    fields: &Fields,
    sheet: Rules,
    report: &mut Report<'_>,
) -> Option<Assignment> {
    let before = report.len();
    let title = title(fields, report);
    let code = code(fields, report);
    let figure = figure(fields, report);

    let mut scope = Scope::default();
    for (table, kind) in [
        ("given", Kind::Given),
        ("derived", Kind::Given),
        ("find", Kind::Unknown),
    ] {
        for field in fields.names(table) {
            scope.declare(field, kind, report);
        }
    }
    let givens = givens::read(fields.names("given"), &mut scope, report);
    let found = units(fields.names("find"), &mut scope, report);
    let derived = derived(fields.names("derived"), &mut scope, report);
    let unknowns = ranges(found, &scope, report);

    let conditions = |table, allowed, report: &mut Report<'_>| {
        named(fields.names(table), report, |text, report| {
            terms::condition(text, allowed, &scope, report)
        })
    };
    let requirements = conditions("require", Use::Givens, report);
    let mix = mix::read(fields.names("mix"), &scope, report);
    let possible = conditions("possible", Use::All, report);
    let equations = named(fields.names("equation"), report, |text, report| {
        terms::equation(text, &scope, report)
    });
    if equations.len() == fields.names("equation").len() {
        unmentioned(&unknowns, &equations, &derived, report);
    }

    let declared: Vec<&str> = names_of(fields.names("given"));
    let above = Above {
        scope: &scope,
        places: Places {
            givens: &givens,
            scope: &scope,
            declared: &declared,
        },
        equation_names: names_of(fields.names("equation")),
        rules: match fields.table("scheme") {
            Some(scheme) => scheme::read(scheme, Level::Scheme, report).over(sheet),
            None => sheet,
        },
    };
    let text = fields.text("text");
    let text = text
        .map(|text| template::read(text, &above.places, report))
        .unwrap_or_default();
    let mut growing = Growing::new(unknowns, equations);
    let parts: Vec<_> = fields
        .list("part")
        .iter()
        .filter_map(|node| parts::read(node, &above, &mut growing, report))
        .collect();
    let paper = scheme::paper(fields.table("scheme"), report);
    let quantities = givens.len() + growing.unknowns.len();
    if quantities > SLOTS {
        report
            .whole(format!("givens, unknowns and expressions asked for are {quantities} together; at most {SLOTS} are taken"))
            .help("split the problem in two and join them on a sheet");
    }
    if report.len() > before {
        return None;
    }
    Some(Assignment {
        source: Arc::clone(source),
        code: code?,
        title: title?,
        seed: fields
            .node("seed")
            .and_then(|node| node.number()?.parse().ok())
            .unwrap_or(0),
        text,
        figure,
        variants: variants(fields),
        givens,
        derived,
        unknowns: growing.unknowns,
        requirements,
        mix,
        possible,
        equations: growing.equations,
        paper,
        parts,
    })
}

/// The heading of an assignment or a sheet.
pub(crate) fn title(fields: &Fields, report: &mut Report<'_>) -> Option<String> {
    let text = fields.text("title")?;
    not_blank(text, "title", report);
    if text.text.chars().any(char::is_control) {
        report
            .error(
                text.span,
                "a title is one line of letters, digits and signs",
            )
            .help("take line breaks, tabs and other characters without a shape out");
    }
    let letters = text.text.chars().count();
    if letters > LONGEST_TITLE {
        report
            .error(
                text.span,
                format!("a title has at most {LONGEST_TITLE} letters, this one has {letters}"),
            )
            .help("what students are to read stands in `text`");
    }
    Some(text.text.to_owned())
}

/// The code of an assignment or a sheet.
pub(crate) fn code(fields: &Fields, report: &mut Report<'_>) -> Option<String> {
    let text = fields.text("code")?;
    let code = text.text;
    if !is_code(code) {
        report
            .error(text.span, format!("\"{code}\" cannot be a code"))
            .help(format!("a code heads a column and stands on every paper: 1 to {LONGEST_CODE} letters a to z, digits, `-` or `_`, such as \"ropes-1\""));
    }
    Some(code.to_owned())
}

fn figure(fields: &Fields, report: &mut Report<'_>) -> Option<FigureFile> {
    let text = fields.text("figure")?;
    let name = text.text;
    let inside = !name.contains(['/', '\\', ':', '\0']) && !name.starts_with('.');
    if !name.to_lowercase().ends_with(".svg") {
        report
            .error(text.span, format!("\"{name}\" is not an SVG file"))
            .help("export the drawing as SVG from the drawing program; photographs go into it as an <image>");
    } else if !inside {
        let last = name.rsplit(['/', '\\', ':', '\0']).next();
        let last = last.unwrap_or(name).trim_start_matches('.');
        report
            .error(
                text.span,
                format!("\"{name}\" is not the name of an SVG file beside this one"),
            )
            .help(format!(
                "name the file alone, without its folder: figure = \"{last}\""
            ));
    }
    Some(FigureFile {
        name: name.to_owned(),
        span: text.span,
    })
}

fn variants(fields: &Fields) -> Variants {
    let versions = fields
        .node("variants")
        .and_then(|node| node.number()?.parse().ok());
    versions.map_or(Variants::PerStudent, Variants::Versions)
}

fn names_of(fields: &[Field]) -> Vec<&str> {
    fields.iter().map(|field| field.name.as_str()).collect()
}

/// An unknown and the texts of its range, before names for them are known.
struct Found<'a> {
    unknown: Unknown,
    above: Option<Text<'a>>,
    below: Option<Text<'a>>,
}

fn units<'a>(fields: &'a [Field], scope: &mut Scope, report: &mut Report<'_>) -> Vec<Found<'a>> {
    let mut found = Vec::with_capacity(fields.len());
    for field in fields {
        let (unit, above, below) = match field.node.table() {
            Some(table) => (table.text("unit"), table.text("above"), table.text("below")),
            None => (field.node.text(), None, None),
        };
        let Some(unit) = unit.and_then(|text| terms::unit(text, report)) else {
            continue;
        };
        scope.define(&field.name, Kind::Unknown, unit.dimension());
        let (name, span) = (field.name.clone(), field.key);
        let unknown = Unknown {
            name,
            span,
            unit,
            above: None,
            below: None,
        };
        found.push(Found {
            unknown,
            above,
            below,
        });
    }
    found
}

fn ranges(found: Vec<Found<'_>>, scope: &Scope, report: &mut Report<'_>) -> Vec<Unknown> {
    let mut unknowns = Vec::with_capacity(found.len());
    for Found {
        mut unknown,
        above,
        below,
    } in found
    {
        let wanted = unknown.unit.dimension();
        let what = format!("`{}`", unknown.name);
        let mut bound = |text: Option<Text<'_>>| {
            terms::expression_of(text?, Use::Givens, wanted, &what, scope, report)
        };
        unknown.above = bound(above);
        unknown.below = bound(below);
        unknowns.push(unknown);
    }
    unknowns
}

/// Derived names in an order in which each uses only those before it.
fn derived(fields: &[Field], scope: &mut Scope, report: &mut Report<'_>) -> Vec<Derived> {
    let parsed: Vec<Option<(Text<'_>, Expr)>> = fields
        .iter()
        .map(|field| {
            let text = field.node.text()?;
            Some((text, terms::parsed(text, formula::expression, report)?))
        })
        .collect();
    let indices: FxHashMap<&str, usize> = fields
        .iter()
        .enumerate()
        .map(|(at, field)| (field.name.as_str(), at))
        .collect();
    let mut walk = Order {
        fields,
        parsed: &parsed,
        indices: &indices,
        state: vec![State::New; fields.len()],
        order: Vec::new(),
    };
    for at in 0..fields.len() {
        walk.visit(at, report);
    }
    let mut derived = Vec::with_capacity(fields.len());
    for at in walk.order {
        let Some((text, _)) = &parsed[at] else {
            continue;
        };
        let read = terms::expression(*text, Use::All, scope, report);
        let Some((expr, proof)) = read else { continue };
        if proof == Proof::Unknown {
            continue;
        }
        let kind = scope.kind_of(&expr);
        let dimension = proof.dimension().unwrap_or(Dimension::NONE);
        scope.define(&fields[at].name, kind, dimension);
        derived.push(Derived {
            name: fields[at].name.clone(),
            span: text.inner(),
            expr,
            dimension,
        });
    }
    derived
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    New,
    Open,
    Done,
}

/// Walks derived names depth first. Their number is bounded by the form check, and so the depth.
struct Order<'a> {
    fields: &'a [Field],
    parsed: &'a [Option<(Text<'a>, Expr)>],
    indices: &'a FxHashMap<&'a str, usize>,
    state: Vec<State>,
    order: Vec<usize>,
}

impl Order<'_> {
    /// Puts a name behind those it uses; whether it hangs together without a circle.
    fn visit(&mut self, at: usize, report: &mut Report<'_>) -> bool {
        match self.state[at] {
            State::Done => return true,
            State::Open => return false,
            State::New => self.state[at] = State::Open,
        }
        let parsed = self.parsed;
        let Some((text, expr)) = &parsed[at] else {
            // Told already, and no circle.
            self.state[at] = State::Done;
            return true;
        };
        let mut used: Vec<(usize, Span)> = Vec::new();
        expr.names(&mut |name, span| used.extend(self.indices.get(name).map(|&at| (at, span))));
        for (other, span) in used {
            if !self.visit(other, report) {
                let (name, other) = (&self.fields[at].name, &self.fields[other].name);
                let message = if name == other {
                    format!("`{name}` is derived from itself")
                } else {
                    format!("`{name}` and `{other}` are derived from each other")
                };
                report
                    .error(text.locate(span), message)
                    .help("a circle has no beginning: write one of them with givens or unknowns, or as an equation");
            }
        }
        self.state[at] = State::Done;
        self.order.push(at);
        true
    }
}

/// Reads formulas under the names of their table; names are the teacher's labels.
fn named<T>(
    fields: &[Field],
    report: &mut Report<'_>,
    mut read: impl FnMut(Text<'_>, &mut Report<'_>) -> Option<T>,
) -> Vec<Named<T>> {
    let mut items = Vec::with_capacity(fields.len());
    for field in fields {
        if field.name.trim().is_empty() {
            report
                .error(field.key, "a formula here needs a name")
                .help("write name = \"formula\"");
        }
        let Some(text) = field.node.text() else {
            continue;
        };
        let Some(item) = read(text, report) else {
            continue;
        };
        items.push(Named {
            name: field.name.clone(),
            span: text.inner(),
            item,
        });
    }
    items
}

/// Reports unknowns that no equation says anything about.
fn unmentioned(
    unknowns: &[Unknown],
    equations: &[Named<Equation>],
    derived: &[Derived],
    report: &mut Report<'_>,
) {
    for unknown in unknowns {
        let name = unknown.name.as_str();
        let mut mentioned = false;
        for equation in equations {
            equation
                .item
                .names(&mut |used, _| mentioned |= used == name);
        }
        // An expression that no equation uses does not help, but solving will say so.
        for derived in derived {
            derived.expr.names(&mut |used, _| mentioned |= used == name);
        }
        if !mentioned {
            report
                .error(
                    unknown.span,
                    format!("no equation says anything about `{name}`"),
                )
                .help("add one under [equation], or take the unknown out of [find]");
        }
    }
}
