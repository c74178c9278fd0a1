//! What is written and not used: givens, equations, roads beyond those that count.
//!
//! In: a problem. Out: findings. No draw is looked at.

use crate::assignment::{AnswerPart, PartKind, Piece, SlipKind, Template};
use crate::diagnostic::{Diagnostic, Span};
use crate::formula::tape::SlotSet;
use crate::formula::{Condition, Expr};
use crate::plan::{AnswerPlan, MOST_ROADS, PartPlan, Road, Way};

use super::view::View;

pub(super) fn check(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    givens(view, found);
    figure(view, found);
    equations(view, found);
    for asks in view.answers().filter(|asks| asks.plan.more_roads) {
        let id = &asks.part.id;
        let message = format!("more than {MOST_ROADS} roads lead to the answer of part `{id}`");
        found.push(
            view.warning(asks.part.span, message)
                .label(format!("only the {MOST_ROADS} shortest count"))
                .help("name those that students are taught with `by`: each road is another chance for wrong work to fit by luck"),
        );
    }
    if view.problem.key.is_searched() {
        searched(view, found);
    }
}

/// Where givens may stand, and whether a key or a slip depends on it.
struct Uses {
    /// Equations, ranges, choices, slips, accepted expressions.
    answers: SlotSet,
    requirements: SlotSet,
    possible: SlotSet,
    texts: SlotSet,
}

/// The slots that formulas name, directly or through derived names.
struct Names<'a> {
    view: View<'a>,
    /// By derived name.
    derived: Vec<SlotSet>,
}

impl<'a> Names<'a> {
    fn new(view: &View<'a>) -> Self {
        let mut names = Self {
            view: *view,
            derived: Vec::new(),
        };
        for derived in &view.assignment.derived {
            // Each uses only those before it.
            let uses = names.of_expr(&derived.expr);
            names.derived.push(uses);
        }
        names
    }

    fn of(&self, name: &str) -> SlotSet {
        let assignment = self.view.assignment;
        let derived = assignment
            .derived
            .iter()
            .position(|other| other.name == name);
        if let Some(uses) = derived.and_then(|at| self.derived.get(at)) {
            return *uses;
        }
        let slot = (0..self.view.problem.slots()).find(|&slot| self.view.name(slot) == name);
        slot.map(SlotSet::of).unwrap_or_default()
    }

    fn of_expr(&self, expr: &Expr) -> SlotSet {
        let mut set = SlotSet::default();
        expr.names(&mut |name, _| set = set.or(self.of(name)));
        set
    }

    fn of_condition(&self, condition: &Condition) -> SlotSet {
        let mut set = SlotSet::default();
        condition.names(&mut |name, _| set = set.or(self.of(name)));
        set
    }

    fn of_answer(&self, answer: &AnswerPart) -> SlotSet {
        let mut set = SlotSet::default();
        for accept in &answer.accepts {
            set = set.or(self.of_expr(&accept.expr));
        }
        for slip in &answer.slips {
            match &slip.kind {
                SlipKind::Answer(expr) => set = set.or(self.of_expr(expr)),
                SlipKind::Replace(equations) => {
                    for (_, equation) in equations {
                        equation.names(&mut |name, _| set = set.or(self.of(name)));
                    }
                }
            }
        }
        set
    }
}

fn printed(text: &Template) -> SlotSet {
    let givens = text.pieces.iter().filter_map(|piece| match piece {
        Piece::Given(given) => Some(*given),
        Piece::Text(_) => None,
    });
    givens.collect()
}

fn uses(view: &View<'_>) -> Uses {
    let names = Names::new(view);
    let assignment = view.assignment;
    let all = |sets: &mut dyn Iterator<Item = SlotSet>| sets.fold(SlotSet::default(), SlotSet::or);
    let mut answers = SlotSet::default();
    for equation in &assignment.equations {
        let item = &equation.item;
        item.names(&mut |name, _| answers = answers.or(names.of(name)));
    }
    for limit in assignment
        .unknowns
        .iter()
        .flat_map(|unknown| [&unknown.above, &unknown.below])
    {
        answers = limit
            .iter()
            .fold(answers, |set, expr| set.or(names.of_expr(expr)));
    }
    let mut texts = printed(&assignment.text);
    if let Some(figure) = view.figure {
        texts = texts.or(figure.givens().collect());
    }
    for part in &assignment.parts {
        texts = texts.or(printed(&part.ask));
        match &part.kind {
            PartKind::Answer(answer) => answers = answers.or(names.of_answer(answer)),
            PartKind::Choose(choice) => {
                let options = choice.options.iter();
                answers = answers.or(all(&mut options.map(|o| names.of_condition(&o.condition))));
            }
            PartKind::Eye(_) => {}
        }
    }
    let requirements = assignment.requirements.iter();
    let possible = assignment.possible.iter();
    Uses {
        answers,
        requirements: all(&mut requirements.map(|named| names.of_condition(&named.item))),
        possible: all(&mut possible.map(|named| names.of_condition(&named.item))),
        texts,
    }
}

fn givens(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    let uses = uses(view);
    for (slot, given) in view.assignment.givens.iter().enumerate() {
        let name = &given.name;
        if !uses.answers.has(slot) {
            let places = [
                (uses.texts, "the text"),
                (uses.requirements, "[require]"),
                (uses.possible, "[possible]"),
            ];
            let places: Vec<&str> = places
                .into_iter()
                .filter(|(set, _)| set.has(slot))
                .map(|(_, words)| words)
                .collect();
            let label = if places.is_empty() {
                "it is used in nothing".to_owned()
            } else {
                format!("it is used in {} alone", places.join(" and "))
            };
            let message = format!("no equation uses `{name}`, and no answer depends on it");
            found.push(
                view.warning(given.span, message)
                    .label(label)
                    .help("write the equation it belongs in, or take it out"),
            );
        } else if !uses.texts.has(slot)
            && given.draw.count() > 1
            // What stands in a figure that could not be read is not known.
            && (view.figure.is_some() || view.assignment.figure.is_none())
        {
            let message = format!("no text tells students their value of `{name}`");
            found.push(
                view.warning(given.span, message)
                    .label("drawn for each of them")
                    .help(format!(
                        "put {{{name}}} into `text`, into the `ask` of a part, or into the figure"
                    )),
            );
        }
    }
}

/// A figure that says nothing to those who cannot see it.
fn figure(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    if let (Some(file), Some(figure)) = (&view.assignment.figure, view.figure)
        && figure.words(&[]).is_none()
    {
        let message = "the figure does not say in words what it shows";
        found.push(
            view.warning(file.span, message)
                .label("read aloud, it is silent")
                .help("put <desc>…</desc> right behind <svg …>: what hangs or lies where, without giving an answer away"),
        );
    }
}

/// Equations that neither lead to an answer nor bear on anything else.
fn equations(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    let problem = view.problem;
    let mut needed = vec![false; problem.equations];
    let mut wanted = SlotSet::default();
    let mut walk = |road: &Road| {
        for &equation in &road.equations {
            // Those behind the file's own belong to slips.
            if let Some(needed) = needed.get_mut(equation) {
                *needed = true;
            }
        }
    };
    for part in &problem.parts {
        match part {
            PartPlan::Answer(plan) => {
                let AnswerPlan {
                    own, roads, back, ..
                } = plan;
                own.iter().chain(roads).chain(back).for_each(&mut walk);
                for (accept, _) in &plan.accepts {
                    wanted = wanted.or(accept.uses());
                }
                for slip in &plan.slips {
                    match &slip.way {
                        Way::Expression { tape, .. } => wanted = wanted.or(tape.uses()),
                        Way::Roads { own, roads } => own.iter().chain(roads).for_each(&mut walk),
                    }
                }
            }
            PartPlan::Choose(judges) => {
                wanted = judges
                    .iter()
                    .fold(wanted, |set, judge| set.or(judge.uses()));
            }
            PartPlan::Eye => {}
        }
    }
    wanted = problem
        .possible
        .iter()
        .fold(wanted, |set, judge| set.or(judge.uses()));
    for block in problem.key.blocks.iter().rev() {
        if block.unknowns.iter().any(|&slot| wanted.has(slot)) {
            for &equation in &block.equations {
                needed[equation] = true;
                wanted = wanted.or(problem.solver.tapes[equation].uses());
            }
        }
    }
    for (equation, needed) in view.assignment.equations.iter().zip(needed) {
        if needed {
            continue;
        }
        let message = format!("equation `{}` leads to no answer", equation.name);
        found.push(
            view.note(equation.span, message)
                .label("on no road, or another way to the same numbers")
                .help("leave it as a check on the others, which it must agree with in every variant, or take it out"),
        );
    }
}

/// Where roots are only searched for, more may exist than were found.
fn searched(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    use crate::formula::order::Method;
    let blocks = view.problem.key.blocks.iter();
    for block in blocks.filter(|block| block.method == Method::Search) {
        let span = block
            .equations
            .first()
            .and_then(|&at| view.assignment.equations.get(at))
            .map_or(Span::new(0, 0), |equation| equation.span);
        let message = format!(
            "{} can only be searched for a solution: none other was found",
            view.equations(&block.equations)
        );
        found.push(view.note(span, message).help(
            "give the unknowns ranges under [find], or write equations that can be solved in turn",
        ));
    }
}
