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

/// A mistake.
pub(super) struct Rule {
    /// What a piece becomes.
    alter: fn(&Scene<'_>, &str, Spot<'_>) -> Vec<Change>,
    /// For the teacher; `{}` is the piece.
    pub(super) says: &'static str,
    /// For the student, tentative: no number, no formula.
    pub(super) hint: &'static str,
    /// Whether a term is left out or has the other sign.
    pub(super) is_of_a_term: bool,
}

/// All mistakes.
pub(super) static RULES: [Rule; 17] = [
    Rule {
        alter: |_, text, spot| terms::left_out(text, spot),
        says: "{} left out",
        hint: "one term is left out",
        is_of_a_term: true,
    },
    Rule {
        alter: |_, text, spot| terms::turned(text, spot),
        says: "the sign of {} turned",
        hint: "one term has the other sign",
        is_of_a_term: true,
    },
    Rule {
        alter: quantities::other_quantity,
        says: "{}",
        hint: "one quantity stands in the place of another",
        is_of_a_term: false,
    },
    Rule {
        alter: |scene, text, spot| factors::constant_left_out(scene, text, spot),
        says: "the factor {} left out",
        hint: "one factor is left out",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| functions::other_function(text, spot),
        says: "{}",
        hint: "another function of the angle is used",
        is_of_a_term: false,
    },
    Rule {
        alter: |scene, text, spot| functions::degrees_as_radians(scene, text, spot),
        says: "{} in degrees taken as radians",
        hint: "an angle is taken in radians instead of degrees",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| functions::not_squared(text, spot),
        says: "{} not squared",
        hint: "a square is left out",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| functions::no_root(text, spot),
        says: "the root of {} not taken",
        hint: "a root is left out",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| factors::number_left_out(text, spot),
        says: "the number {} left out",
        hint: "a number in front is left out",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| factors::other_number(text, spot),
        says: "{}",
        hint: "a number in front is another one",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| factors::turned_over(text, spot),
        says: "{} turned over",
        hint: "a quotient is turned over",
        is_of_a_term: false,
    },
    Rule {
        alter: |_, text, spot| factors::divided(text, spot),
        says: "divided in {} instead of multiplied",
        hint: "something is divided that has to be multiplied, or the reverse",
        is_of_a_term: false,
    },
    Rule {
        alter: terms::added,
        says: "{}",
        hint: "something is added that does not belong there",
        is_of_a_term: false,
    },
    Rule {
        alter: quantities::other_length,
        says: "{}",
        hint: "a radius is taken for a diameter, or the reverse",
        is_of_a_term: false,
    },
    Rule {
        alter: |scene, text, spot| inertias::other_inertia(scene, text, spot),
        says: "{}",
        hint: "the moment of inertia is that of another body",
        is_of_a_term: false,
    },
    Rule {
        alter: inertias::inertia_for_mass,
        says: "{}",
        hint: "a moment of inertia stands in the place of a mass",
        is_of_a_term: false,
    },
    Rule {
        alter: |scene, text, spot| terms::taken_equal(scene, text, spot),
        says: "{} taken as equal",
        hint: "two quantities are taken as equal that are not",
        is_of_a_term: false,
    },
];

/// The place of the rule for other quantities.
const OTHER_QUANTITY: usize = 2;

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
    for rule in &RULES {
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
        if std::ptr::eq(rule, &RULES[OTHER_QUANTITY]) {
            found.extend(quantities::throughout(scene, equation));
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
