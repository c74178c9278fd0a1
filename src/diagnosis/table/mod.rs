//! The mistakes that are looked for in equations: one entry each, the most common first.
//!
//! In: an equation and what its assignment is made of. Out: the equation as a student may have written it,
//! with the piece that was altered. To add a mistake, add an entry: how it alters a piece, and its words.
//! What alters a piece stands in a module by what it is about: `terms`, `factors`, `functions`,
//! `quantities`, `inertias`; `throughout` has those that are made in every equation. The order is a judgement of common practice; it breaks ties for the eye and
//! says nothing of strength.

mod factors;
mod functions;
mod inertias;
mod quantities;
mod terms;
mod throughout;
mod trees;

use std::hash::BuildHasher as _;

use rustc_hash::{FxBuildHasher, FxHashMap};

use crate::formula::tree::Equation;

use super::rewrite::{Change, Spot, everywhere, put_in, whole};
use super::scene::Scene;

pub(super) use quantities::other_weights;
pub(super) use throughout::{Throughout, all as throughout};

/// What a piece becomes, with the words for it.
type Alter = fn(&Scene<'_>, &str, Spot<'_>) -> Vec<Change>;

/// What an equation becomes as a whole, with the words for it.
type AlterWhole = fn(&Scene<'_>, &Equation) -> Vec<(Equation, String)>;

/// A mistake.
pub(super) struct Rule {
    alter: Alter,
    /// For the teacher; `{}` is the piece.
    pub(super) says: &'static str,
    /// For the student, tentative: no number, no formula.
    pub(super) hint: &'static str,
    /// Whether a term is left out or has the other sign.
    pub(super) is_of_a_term: bool,
    /// What it makes of an equation beside its pieces.
    alter_whole: Option<AlterWhole>,
}

const fn rule(alter: Alter, says: &'static str, hint: &'static str) -> Rule {
    Rule {
        alter,
        says,
        hint,
        is_of_a_term: false,
        alter_whole: None,
    }
}

impl Rule {
    const fn of_a_term(self) -> Self {
        Self {
            is_of_a_term: true,
            ..self
        }
    }

    const fn and_whole(self, alter: AlterWhole) -> Self {
        Self {
            alter_whole: Some(alter),
            ..self
        }
    }
}

/// All mistakes.
pub(super) static RULES: &[Rule] = &[
    rule(
        |_, text, spot| terms::left_out(text, spot),
        "{} left out",
        "one term is left out",
    )
    .of_a_term(),
    rule(
        |_, text, spot| terms::turned(text, spot),
        "the sign of {} turned",
        "one term has the other sign",
    )
    .of_a_term(),
    rule(
        quantities::other_quantity,
        "{}",
        "one quantity stands in the place of another",
    )
    .and_whole(quantities::throughout),
    rule(
        factors::constant_left_out,
        "the factor {} left out",
        "one factor is left out",
    ),
    rule(
        |_, text, spot| functions::other_function(text, spot),
        "{}",
        "another function of the angle is used",
    ),
    rule(
        functions::degrees_as_radians,
        "{} in degrees taken as radians",
        "an angle is taken in radians instead of degrees",
    ),
    rule(
        |_, text, spot| functions::not_squared(text, spot),
        "{} not squared",
        "a square is left out",
    ),
    rule(
        |_, text, spot| functions::no_root(text, spot),
        "the root of {} not taken",
        "a root is left out",
    ),
    rule(
        |_, text, spot| factors::number_left_out(text, spot),
        "the number {} left out",
        "a number in front is left out",
    ),
    rule(
        |_, text, spot| factors::other_number(text, spot),
        "{}",
        "a number in front is another one",
    ),
    rule(
        |_, text, spot| factors::turned_over(text, spot),
        "{} turned over",
        "a quotient is turned over",
    ),
    rule(
        |_, text, spot| factors::divided(text, spot),
        "divided in {} instead of multiplied",
        "something is divided that has to be multiplied, or the reverse",
    ),
    rule(
        terms::added,
        "{}",
        "something is added that does not belong there",
    ),
    rule(
        quantities::other_length,
        "{}",
        "a radius is taken for a diameter, or the reverse",
    ),
    rule(
        inertias::other_inertia,
        "{}",
        "the moment of inertia is that of another body",
    ),
    rule(
        inertias::inertia_for_mass,
        "{}",
        "a moment of inertia stands in the place of a mass",
    ),
    rule(
        terms::taken_equal,
        "{} taken as equal",
        "two quantities are taken as equal that are not",
    ),
];

/// An equation as a student may have written it.
pub(super) struct Altered {
    pub(super) rule: &'static Rule,
    pub(super) equation: Equation,
    /// The piece, in the words of the rule.
    pub(super) what: String,
}

impl Altered {
    /// What was done, for the teacher.
    pub(super) fn says(&self) -> String {
        self.rule.says.replace("{}", &self.what)
    }
}

/// All that may have been done wrong in an equation; `text` is what stands in the file.
pub(super) fn alterations(scene: &Scene<'_>, text: &str, equation: &Equation) -> Vec<Altered> {
    let mut all: Vec<Altered> = Vec::new();
    // By a digest of the equation the places in `all`: a long equation has thousands, each as long.
    let mut known: FxHashMap<u64, Vec<usize>> = FxHashMap::default();
    for rule in RULES {
        let mut found = everywhere(equation, &|spot| (rule.alter)(scene, text, spot));
        for derived in &scene.assignment.derived {
            let mut is_used = false;
            equation.names(&mut |name, _| is_used |= name == derived.name);
            if is_used {
                let own = scene.text_at(derived.span);
                let changed = whole(&derived.expr, &|spot| (rule.alter)(scene, own, spot));
                found.extend(changed.into_iter().map(|change| {
                    let altered = put_in(equation, &derived.name, &change.by);
                    (altered, change.what)
                }));
            }
        }
        if let Some(alter_whole) = rule.alter_whole {
            found.extend(alter_whole(scene, equation));
        }
        for (altered, what) in found {
            let alike = known.entry(FxBuildHasher.hash_one(&altered)).or_default();
            let is_new = alike.iter().all(|at| all[*at].equation != altered);
            if is_new && altered != *equation {
                alike.push(all.len());
                all.push(Altered {
                    rule,
                    equation: altered,
                    what,
                });
            }
        }
    }
    all
}
