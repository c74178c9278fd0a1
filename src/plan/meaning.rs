//! What the names of a checked assignment stand for, by slots.
//!
//! In: a name as formulas have it. Out: its slot or its expression, and its dimension.

use crate::assignment::Assignment;
use crate::formula::check::Names;
use crate::formula::tape::Meaning;
use crate::quantity::Dimension;

/// What a name stands for when a formula of the assignment is compiled.
pub fn meaning<'a>(assignment: &'a Assignment, name: &str) -> Option<Meaning<'a>> {
    let givens = assignment.givens.iter().map(|given| &given.name);
    let unknowns = assignment.unknowns.iter().map(|unknown| &unknown.name);
    if let Some(slot) = givens.chain(unknowns).position(|known| known == name) {
        return Some(Meaning::Slot(slot));
    }
    let derived = assignment.derived.iter().find(|d| d.name == name)?;
    Some(Meaning::Derived(&derived.expr))
}

impl Names for Assignment {
    fn dimension(&self, name: &str) -> Option<Dimension> {
        match meaning(self, name)? {
            Meaning::Slot(slot) => {
                let givens = self.givens.iter().map(|given| given.unit);
                let mut units = givens.chain(self.unknowns.iter().map(|unknown| unknown.unit));
                units.nth(slot).map(|unit| unit.dimension())
            }
            Meaning::Derived(_) => {
                let derived = self.derived.iter().find(|derived| derived.name == name)?;
                Some(derived.dimension)
            }
        }
    }
}
