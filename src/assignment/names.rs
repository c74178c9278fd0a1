//! The names of an assignment: what each stands for, and where it may be used.
//!
//! In: the givens, derived names and unknowns as they are read. Out: answers for formulas, which
//! check their names and dimensions here. Refused: names that are no names, that mean something
//! already, or that stand twice.

use rustc_hash::FxHashMap;

use super::model::Assignment;
use super::raw::{Field, Text};
use super::report::Report;
use crate::diagnostic::Span;
use crate::formula::{Expr, FormulaError, check, token, tree};
use crate::quantity::Dimension;

/// What to do about a name that nothing has.
pub(crate) const DECLARE: &str = "declare it under [given], [derived] or [find]";

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A given, or an expression of givens alone.
    Given,
    /// An unknown, or an expression that has one in it.
    Unknown,
}

/// Where a formula stands, and so which names it may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Use {
    /// Only what is fixed by the draw.
    Givens,
    /// Everything.
    All,
}

#[derive(Clone, Copy, Debug)]
struct Meaning {
    kind: Kind,
    /// `None` where the name's own value is wrong and reported: what follows from it is not checked.
    dimension: Option<Dimension>,
}

/// All names of an assignment.
#[derive(Debug, Default)]
pub(crate) struct Scope {
    /// In the order declared, for "did you mean".
    order: Vec<String>,
    meanings: FxHashMap<String, Meaning>,
}

impl Scope {
    /// The names of an assignment that was checked.
    pub(crate) fn of(assignment: &Assignment) -> Self {
        let mut scope = Self::default();
        for given in &assignment.givens {
            scope.add(&given.name, Kind::Given, given.unit.dimension());
        }
        for unknown in &assignment.unknowns {
            scope.add(&unknown.name, Kind::Unknown, unknown.unit.dimension());
        }
        for derived in &assignment.derived {
            scope.add(
                &derived.name,
                scope.kind_of(&derived.expr),
                derived.dimension,
            );
        }
        scope
    }

    fn add(&mut self, name: &str, kind: Kind, dimension: Dimension) {
        self.order.push(name.to_owned());
        let dimension = Some(dimension);
        self.meanings
            .insert(name.to_owned(), Meaning { kind, dimension });
    }

    /// Declares the name of a field, and reports what is wrong with it.
    pub(crate) fn declare(&mut self, field: &Field, kind: Kind, report: &mut Report<'_>) {
        let name = field.name.as_str();
        if !token::is_name(name) {
            report
                .error(field.key, format!("`{name}` cannot be a name in formulas"))
                .help("a name begins with a letter and goes on with letters, digits and `_`: T1, mu_k");
        } else if tree::is_reserved(name) {
            report
                .error(
                    field.key,
                    format!("`{name}` has a meaning of its own in formulas"),
                )
                .help("choose another name");
        } else if self.meanings.contains_key(name) {
            report
                .error(field.key, format!("`{name}` is declared a second time"))
                .label("second")
                .help("a name stands once, under [given], [derived] or [find]");
            return;
        }
        self.order.push(name.to_owned());
        self.meanings.insert(
            name.to_owned(),
            Meaning {
                kind,
                dimension: None,
            },
        );
    }

    /// Says what a declared name turned out to be.
    pub(crate) fn define(&mut self, name: &str, kind: Kind, dimension: Dimension) {
        if let Some(meaning) = self.meanings.get_mut(name) {
            *meaning = Meaning {
                kind,
                dimension: Some(dimension),
            };
        }
    }

    /// What a name stands for.
    pub(crate) fn kind(&self, name: &str) -> Option<Kind> {
        self.meanings.get(name).map(|meaning| meaning.kind)
    }

    /// What an expression stands for: an unknown, where one is in it.
    pub(crate) fn kind_of(&self, expr: &Expr) -> Kind {
        let mut kind = Kind::Given;
        expr.names(&mut |name, _| {
            if self.kind(name) == Some(Kind::Unknown) {
                kind = Kind::Unknown;
            }
        });
        kind
    }

    /// All names, in the order declared.
    pub(crate) fn all(&self) -> impl Iterator<Item = &str> {
        self.order.iter().map(String::as_str)
    }

    /// Checks the names of a formula, as `visit` lists them. Whether its dimensions can be checked:
    /// all names are known, allowed here, and have a dimension.
    pub(crate) fn admit(
        &self,
        names: &[(&str, Span)],
        allowed: Use,
        text: Text<'_>,
        report: &mut Report<'_>,
    ) -> Admitted {
        let mut admitted = Admitted::Whole;
        for &(name, span) in names {
            let span = text.locate(span);
            match self.meanings.get(name) {
                None => {
                    self.unknown(name, span, report);
                    admitted = Admitted::No;
                }
                Some(Meaning {
                    kind: Kind::Unknown,
                    ..
                }) if allowed == Use::Givens => {
                    report
                        .error(span, format!("`{name}` is not known before the paper is solved"))
                        .help("only givens, and names derived from them, may stand here; what nature allows of unknowns stands in [possible]");
                    admitted = Admitted::No;
                }
                Some(Meaning {
                    dimension: None, ..
                }) if admitted == Admitted::Whole => {
                    admitted = Admitted::WithoutDimensions;
                }
                Some(_) => {}
            }
        }
        admitted
    }

    fn unknown(&self, name: &str, span: Span, report: &mut Report<'_>) {
        let help = |report: &Report<'_>| match report.nearest(name, self.all()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if self.order.is_empty() => DECLARE.to_owned(),
            None => format!("{DECLARE}; declared are: {}", Report::listed(&self.order)),
        };
        report.once(span, format!("nothing is called `{name}`"), help);
    }
}

impl check::Names for Scope {
    fn dimension(&self, name: &str) -> Option<Dimension> {
        self.meanings
            .get(name)
            .and_then(|meaning| meaning.dimension)
    }
}

/// How far a formula may be trusted after its names were looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Admitted {
    /// A name is wrong; reported.
    No,
    /// A name's own value is wrong, so dimensions cannot be told.
    WithoutDimensions,
    /// Dimensions can be checked.
    Whole,
}

/// Reports errors of a formula at their places in the file.
pub(crate) fn tell(errors: Vec<FormulaError>, text: Text<'_>, report: &mut Report<'_>) {
    for error in errors {
        let added = report.error(text.locate(error.span), error.message);
        if let Some(help) = error.help {
            added.help(help);
        }
    }
}

/// The index of the equation of that name; reports that there is none.
pub(crate) fn equation_named(
    name: &str,
    span: Span,
    equations: &[&str],
    report: &mut Report<'_>,
) -> Option<usize> {
    let index = equations.iter().position(|equation| *equation == name);
    if index.is_none() {
        let help = match report.nearest(name, equations.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if equations.is_empty() => "there are no equations under [equation]".to_owned(),
            None => format!("equations are: {}", Report::listed(equations)),
        };
        report
            .error(span, format!("no equation is called `{name}`"))
            .help(help);
    }
    index
}

#[cfg(test)]
mod tests {
    use crate::formula::token::is_name;

    #[test]
    fn names_are_letters_digits_and_underlines() {
        for (name, expected) in [
            ("a", true),
            ("T1", true),
            ("mu_k", true),
            ("θ", true),
            ("Δx", true),
            ("y²", false),
            ("", false),
            ("1a", false),
            ("_a", false),
            ("a-b", false),
            ("a b", false),
            ("a.b", false),
        ] {
            assert_eq!(is_name(name), expected, "{name:?}");
        }
    }
}
