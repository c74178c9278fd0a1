//! What is handed out: a sheet, its problems, and what stands in each.

use std::sync::Arc;

use rust_decimal::Decimal;

use super::{Derived, DrawKind, Given, PaperRules, Part, Template, Unknown};
use crate::diagnostic::{Source, Span};
use crate::formula::{Condition, Equation};

/// What is handed out: one or several problems on one paper.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Unique in the course folder.
    pub code: String,
    /// The heading on the paper.
    pub title: String,
    /// What holds for the paper as a whole.
    pub paper: PaperRules,
    /// The problems in the order they are printed; at least one.
    pub problems: Vec<Assignment>,
    /// Whether this is an assignment by itself and not a sheet that names its problems.
    pub lone: bool,
}

impl Sheet {
    /// The id of a part as columns and students know it: `a` of a lone assignment, `1a`, `2a` on a
    /// sheet of several. Both are counted from 0.
    pub fn part_id(&self, problem: usize, part: usize) -> String {
        let id = self
            .problems
            .get(problem)
            .and_then(|problem| problem.parts.get(part))
            .map_or("", |part| part.id.as_str());
        if self.lone {
            id.to_owned()
        } else {
            format!("{}{id}", problem + 1)
        }
    }

    /// The ids of all parts in the order of the paper, each with its problem and part from 0.
    pub fn part_ids(&self) -> impl Iterator<Item = (String, usize, usize)> + '_ {
        self.problems
            .iter()
            .enumerate()
            .flat_map(move |(problem, assignment)| {
                (0..assignment.parts.len())
                    .map(move |part| (self.part_id(problem, part), problem, part))
            })
    }

    /// The givens by the names they have in files of answers and of issued papers, each with its problem
    /// and its place there from 0: on a sheet of several problems with the problem's number before the
    /// name, as in `2mA`.
    pub fn given_ids(&self) -> impl Iterator<Item = (String, usize, usize)> + '_ {
        let id = |problem: usize, name: &str| {
            if self.lone {
                name.to_owned()
            } else {
                format!("{}{name}", problem + 1)
            }
        };
        let problems = self.problems.iter().enumerate();
        problems.flat_map(move |(problem, assignment)| {
            let givens = assignment.givens.iter().enumerate();
            givens.map(move |(at, given)| (id(problem, &given.name), problem, at))
        })
    }

    /// What a paper is out of.
    pub fn points(&self) -> Decimal {
        self.problems
            .iter()
            .flat_map(|problem| &problem.parts)
            .map(|part| part.points)
            .sum()
    }
}

/// One problem.
#[derive(Clone, Debug)]
pub struct Assignment {
    /// The file it was read from; spans below are places in it.
    pub source: Arc<Source>,
    /// Unique in the course folder.
    pub code: String,
    /// Its heading.
    pub title: String,
    /// Another seed gives everyone other numbers.
    pub seed: u64,
    /// The problem as printed.
    pub text: Template,
    /// The figure that is printed with it.
    pub figure: Option<FigureFile>,
    /// Who shares numbers with whom.
    pub variants: Variants,
    /// The given quantities, in file order.
    pub givens: Vec<Given>,
    /// Named expressions; each uses only givens, unknowns and those before it.
    pub derived: Vec<Derived>,
    /// The unknowns: those of `[find]`, then one for each part that asks for an expression.
    pub unknowns: Vec<Unknown>,
    /// Conditions on givens that every draw meets.
    pub requirements: Vec<Named<Condition>>,
    /// Kinds of draws that are to come so often; most files have none.
    pub mix: Vec<DrawKind>,
    /// Conditions on unknowns that nature sets.
    pub possible: Vec<Named<Condition>>,
    /// The equations: those of `[equation]`, then one for each part that asks for an expression.
    pub equations: Vec<Named<Equation>>,
    /// What holds for the paper if the assignment is handed out by itself.
    pub paper: PaperRules,
    /// The parts in the order they are asked; at least one.
    pub parts: Vec<Part>,
}

/// The file of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FigureFile {
    /// Its name; it lies beside the assignment's own file.
    pub name: String,
    /// Where the assignment names it.
    pub span: Span,
}

/// Something that has a name in the file.
#[derive(Clone, Debug)]
pub struct Named<T> {
    /// The name.
    pub name: String,
    /// The value's place in the file, for a formula the letters between the quotes: its own spans
    /// are counted from there.
    pub span: Span,
    /// What is named.
    pub item: T,
}

/// Who shares numbers with whom.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variants {
    /// Own numbers for each student.
    PerStudent,
    /// So many versions, from 1 to 26; 1 is the same for all.
    Versions(u32),
}
