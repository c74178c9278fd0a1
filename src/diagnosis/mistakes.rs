//! The mistakes of an assignment, prepared once.
//!
//! In: a plan. Out: for each problem every alteration of its equations with the roads that run through
//! it, and every quantity that may be answered for another. Left out: what leads to no answer.

use crate::assignment::{Assignment, PartKind};
use crate::formula::tree::{Equation, Expr, Node, Operator};
use crate::plan::{Plan, Problem, Put, Replacer, Way};

use super::budget;
use super::scene::{Scene, piece};
use super::table::{self, Altered, Throughout};

/// Everything that may be done wrong in the equations of a sheet.
#[derive(Clone, Debug)]
pub struct Mistakes {
    pub(super) problems: Vec<OfProblem>,
}

/// Of one problem.
#[derive(Clone, Debug)]
pub(super) struct OfProblem {
    /// The problem with the altered equations behind its own.
    pub(super) problem: Problem,
    pub(super) list: Vec<Mistake>,
}

/// One mistake.
#[derive(Clone, Debug)]
pub struct Mistake {
    /// Its equation, from 0; none where it is in what was answered.
    pub equation: Option<usize>,
    /// Its place among all that may be done wrong in that equation, see [`as_written`].
    pub alteration: Option<usize>,
    /// For the teacher.
    pub says: String,
    /// For the student.
    pub hint: &'static str,
    /// Whether a term of the equation is left out or has the other sign: what a question should tell apart.
    pub is_of_a_term: bool,
    /// For each part how its answer comes about then, where it concerns that part.
    pub ways: Vec<Option<Way>>,
}

/// What stands behind the quantity, in backquotes, that was answered for another.
const BEHIND_ANSWERED: &str = " answered";

/// What is said where another quantity was answered.
const ANSWERED: &str = "it is another quantity than the one asked for";

impl Mistakes {
    /// Prepares the mistakes of a sheet.
    pub fn of(plan: &Plan) -> Self {
        let problems = plan.sheet.problems.iter().zip(&plan.problems);
        Self {
            problems: problems
                .map(|(assignment, problem)| of_problem(assignment, problem))
                .collect(),
        }
    }

    /// The mistakes that are known of a problem.
    pub fn of_problem(&self, problem: usize) -> &[Mistake] {
        self.problems.get(problem).map_or(&[], |at| &at.list)
    }

    /// How much of the work that a diagnosis may take its mistakes take at most, all answers to a problem being
    /// wrong; above 1 some may not be tried then.
    pub fn share_of_budget(&self, problem: usize) -> f64 {
        let ways = self.of_problem(problem).iter().flat_map(|at| &at.ways);
        let work: u64 = ways.flatten().map(Way::work).sum();
        work as f64 / budget::MOST as f64
    }

    /// A problem with the altered equations behind its own, in which the ways of its mistakes are
    /// reckoned.
    pub fn altered(&self, problem: usize) -> Option<&Problem> {
        Some(&self.problems.get(problem)?.problem)
    }
}

/// An equation of an assignment as whoever made a mistake in it wrote it; `alteration` is its place among all that
/// may be done wrong there. (Words may say the same of two places in one equation.)
pub fn as_written(assignment: &Assignment, equation: usize, alteration: usize) -> Option<Equation> {
    let scene = Scene::of(assignment);
    let own = assignment.equations.get(equation)?;
    let mut altered = table::alterations(&scene, scene.text(own), &own.item).into_iter();
    altered.nth(alteration).map(|altered| altered.equation)
}

/// The quantity that was answered for another one, where that is the mistake that is called so.
pub fn other_answered(says: &str) -> Option<&str> {
    let quoted = says.strip_suffix(BEHIND_ANSWERED)?;
    let inner = quoted.strip_prefix('`')?.strip_suffix('`')?;
    (!inner.contains('`')).then_some(inner)
}

fn of_problem(assignment: &Assignment, problem: &Problem) -> OfProblem {
    let scene = Scene::of(assignment);
    let mut list = Vec::new();
    let mut extended = problem.clone();
    if let Some(mut replacer) = Replacer::new(assignment, problem) {
        // A part that asks for an expression has an equation of its own, in which nothing is done wrong.
        for (at, equation) in assignment.equations.iter().enumerate() {
            let text = scene.text(equation);
            let all = table::alterations(&scene, text, &equation.item);
            for (place, altered) in all.iter().enumerate() {
                list.extend(mistake(assignment, &mut replacer, (at, place), altered));
            }
        }
        for made in table::throughout(&scene) {
            list.extend(throughout(assignment, &mut replacer, &made));
        }
        list.extend(answered(&scene, &replacer));
        extended.solver = replacer.into_solver();
    }
    OfProblem {
        problem: extended,
        list,
    }
}

fn mistake(
    assignment: &Assignment,
    replacer: &mut Replacer<'_>,
    (equation, place): (usize, usize),
    altered: &Altered,
) -> Option<Mistake> {
    let put = replacer.put(equation, &altered.equation)?;
    let ways = ways(assignment, replacer, &put)?;
    Some(Mistake {
        equation: Some(equation),
        alteration: Some(place),
        says: altered.says(),
        hint: altered.rule.hint,
        is_of_a_term: altered.rule.is_of_a_term,
        ways,
    })
}

/// One that is made in every equation.
fn throughout(
    assignment: &Assignment,
    replacer: &mut Replacer<'_>,
    made: &Throughout,
) -> Option<Mistake> {
    let put = replacer.put_all(&made.equations)?;
    let ways = ways(assignment, replacer, &put)?;
    let equation = match made.equations[..] {
        [(only, _)] => Some(only),
        _ => None,
    };
    Some(Mistake {
        equation,
        alteration: None,
        says: made.says.clone(),
        hint: made.hint,
        is_of_a_term: false,
        ways,
    })
}

/// How the answers come about with what was put in; nothing where none does.
fn ways(assignment: &Assignment, replacer: &Replacer<'_>, put: &Put) -> Option<Vec<Option<Way>>> {
    let parts = 0..assignment.parts.len();
    let ways: Vec<Option<Way>> = parts.map(|part| replacer.way(part, put)).collect();
    ways.iter().any(Option::is_some).then_some(ways)
}

/// Terms of the equations, such as a weight, that may be answered for a quantity of their dimension.
fn answered(scene: &Scene<'_>, replacer: &Replacer<'_>) -> Vec<Mistake> {
    let assignment = scene.assignment;
    let mut terms: Vec<(String, Expr)> = Vec::new();
    for equation in &assignment.equations {
        let text = scene.text(equation);
        for side in [&equation.item.left, &equation.item.right] {
            side.walk(&mut |expr| {
                let is_term = matches!(
                    expr.node,
                    Node::Name(_)
                        | Node::Binary(
                            Operator::Multiply
                                | Operator::Divide
                                | Operator::Add
                                | Operator::Subtract,
                            ..
                        )
                );
                let own = piece(text, expr.span);
                let mut push = |text: String, expr: Expr| {
                    if terms.iter().all(|(known, _)| *known != text) {
                        terms.push((text, expr));
                    }
                };
                if is_term {
                    push(own.to_owned(), expr.clone());
                }
                for (text, weight) in table::other_weights(scene, text, expr) {
                    push(text, weight);
                }
            });
        }
    }
    let mut mistakes = Vec::new();
    for (text, expr) in terms {
        let dimension = scene.dimension(&expr);
        let ways: Vec<Option<Way>> = (0..assignment.parts.len())
            .map(|part| {
                let PartKind::Answer(answer) = &assignment.parts[part].kind else {
                    return None;
                };
                let unknown = &assignment.unknowns[answer.unknown];
                let is_own = matches!(&expr.node, Node::Name(name) if *name == unknown.name);
                let fits = dimension == Some(unknown.unit.dimension());
                (fits && !is_own)
                    .then(|| replacer.answered(part, &expr))
                    .flatten()
            })
            .collect();
        if ways.iter().any(Option::is_some) {
            mistakes.push(Mistake {
                equation: None,
                alteration: None,
                says: format!("`{text}`{BEHIND_ANSWERED}"),
                hint: ANSWERED,
                is_of_a_term: false,
                ways,
            });
        }
    }
    mistakes
}
