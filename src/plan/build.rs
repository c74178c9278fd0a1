//! Builds the plan of a sheet.
//!
//! In: a checked sheet and, for each sample draw and problem, the values of the givens in SI
//! units. Out: the plan, or everything that is wrong with the equations, each with its place.

use crate::assignment::{AnswerPart, Assignment, PartKind, Sheet, Slip, SlipKind};
use crate::diagnostic::{Diagnostic, Place, Span};
use crate::formula::check::{self, Names};
use crate::formula::condition::Judge;
use crate::formula::order::{LARGEST_BLOCK, Order};
use crate::formula::solve::{Range, Solver, Why};
use crate::formula::tape::{Meaning, Measure, SLOTS, SlotSet, Tape, TooLong};
use crate::formula::tree::Condition;
use crate::quantity::Dimension;

use super::road::{self, Found, Wanted};
use super::slip::{SlipPlan, Way};
use super::{AnswerPlan, KeyError, MOST_ROADS, PaperPart, PartPlan, Plan, Problem, Road, basis};

/// Prepares a sheet. `samples` holds draws of the givens: for each draw, for each problem, the
/// values in SI units. Independence, roads and equal roads are judged at them; three or more
/// different draws are wanted where the givens vary.
///
/// # Errors
/// Equations that do not determine the unknowns, contradict each other or leave several answers.
pub fn prepare(sheet: Sheet, samples: &[Vec<Vec<f64>>]) -> Result<Plan, Vec<Diagnostic>> {
    let mut errors = Vec::new();
    let mut problems = Vec::new();
    for (at, assignment) in sheet.problems.iter().enumerate() {
        let draws: Vec<Vec<f64>> = samples
            .iter()
            .filter_map(|draw| draw.get(at).cloned())
            .collect();
        match problem(assignment, &draws) {
            Ok(problem) => problems.push(problem),
            Err(found) => errors.extend(found),
        }
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    let parts = sheet
        .part_ids()
        .map(|(id, problem, part)| PaperPart { id, problem, part })
        .collect();
    Ok(Plan {
        problems,
        parts,
        sheet,
    })
}

fn problem(assignment: &Assignment, draws: &[Vec<f64>]) -> Result<Problem, Vec<Diagnostic>> {
    let builder = Builder::new(assignment).map_err(|error| vec![error])?;
    let (key, redundant, keys) = builder.key(draws)?;
    let mut problem = Problem {
        givens: assignment.givens.len(),
        equations: assignment.equations.len(),
        sizes: builder.sizes.clone(),
        solver: builder.solver.clone(),
        key,
        redundant,
        possible: Vec::new(),
        parts: Vec::new(),
    };
    let mut errors = Vec::new();
    for condition in &assignment.possible {
        match builder.judges(&condition.item) {
            Ok(judges) => problem.possible.extend(judges),
            Err(TooLong) => errors.push(builder.too_long(condition.span)),
        }
    }
    for at in 0..assignment.parts.len() {
        match builder.part(at, &keys, &mut problem.solver) {
            Ok(part) => problem.parts.push(part),
            Err(error) => errors.push(error),
        }
    }
    if errors.is_empty() {
        Ok(problem)
    } else {
        Err(errors)
    }
}

struct Builder<'a> {
    assignment: &'a Assignment,
    solver: Solver,
    sizes: Vec<f64>,
    unknowns: SlotSet,
}

/// The basis chosen for the key, the equations left over, and the keys of the sample draws.
type Keyed = (Order, Vec<usize>, Vec<Vec<f64>>);

impl<'a> Builder<'a> {
    fn new(assignment: &'a Assignment) -> Result<Self, Diagnostic> {
        let givens = assignment.givens.len();
        let slots = givens + assignment.unknowns.len();
        if slots > SLOTS {
            let message = format!("{slots} givens and unknowns, at most {SLOTS} are taken");
            return Err(Diagnostic::error(
                &assignment.source.name,
                Place::File,
                message,
            ));
        }
        let units = assignment.givens.iter().map(|given| given.unit);
        let units: Vec<_> = units
            .chain(assignment.unknowns.iter().map(|unknown| unknown.unit))
            .collect();
        let sizes: Vec<f64> = units.iter().map(|unit| unit.factor()).collect();
        let angles: Vec<bool> = units.iter().map(|unit| unit.is_angle()).collect();
        let mut builder = Self {
            assignment,
            unknowns: (givens..slots).collect(),
            solver: Solver {
                tapes: Vec::new(),
                ranges: vec![Range::default(); slots],
                scales: sizes.clone(),
                angles,
            },
            sizes,
        };
        for equation in &assignment.equations {
            let tape = Tape::residual(&equation.item, &|name| builder.meaning(name), Measure::Si)
                .map_err(|TooLong| builder.too_long(equation.span))?;
            builder.solver.tapes.push(tape);
        }
        for (at, unknown) in assignment.unknowns.iter().enumerate() {
            let limit = |expr: &'a Option<crate::formula::Expr>| {
                expr.as_ref()
                    .map(|expr| Tape::expr(expr, &|name| builder.meaning(name), Measure::Si))
                    .transpose()
                    .map_err(|TooLong| builder.too_long(unknown.span))
            };
            let range = Range {
                above: limit(&unknown.above)?,
                below: limit(&unknown.below)?,
            };
            builder.solver.ranges[givens + at] = range;
        }
        Ok(builder)
    }

    fn meaning(&self, name: &str) -> Option<Meaning<'a>> {
        let assignment = self.assignment;
        let givens = assignment.givens.len();
        if let Some(at) = assignment
            .givens
            .iter()
            .position(|given| given.name == name)
        {
            return Some(Meaning::Slot(at));
        }
        if let Some(at) = assignment
            .unknowns
            .iter()
            .position(|unknown| unknown.name == name)
        {
            return Some(Meaning::Slot(givens + at));
        }
        let derived = assignment
            .derived
            .iter()
            .find(|derived| derived.name == name)?;
        Some(Meaning::Derived(&derived.expr))
    }

    fn error(&self, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::error(&self.assignment.source.name, Place::Span(span), message)
    }

    fn too_long(&self, span: Span) -> Diagnostic {
        self.error(span, TooLong.to_string())
            .help("split it into several equations or conditions")
    }

    /// The name of a slot as the file has it.
    fn name(&self, slot: usize) -> &str {
        let givens = self.assignment.givens.len();
        match slot.checked_sub(givens) {
            None => &self.assignment.givens[slot].name,
            Some(at) => &self.assignment.unknowns[at].name,
        }
    }

    fn equation_names(&self, equations: &[usize]) -> String {
        let names: Vec<String> = equations
            .iter()
            .filter_map(|&e| self.assignment.equations.get(e))
            .map(|equation| format!("`{}`", equation.name))
            .collect();
        names.join(", ")
    }

    /// Chooses the equations for the key and solves the sample draws with them. Where a choice
    /// turns out to hang together only at the solution, the next one is tried.
    fn key(&self, draws: &[Vec<f64>]) -> Result<Keyed, Vec<Diagnostic>> {
        let all: Vec<usize> = (0..self.assignment.equations.len()).collect();
        let Some(first_draw) = draws.first() else {
            let message = "no draw of the givens to try the equations on";
            return Err(vec![Diagnostic::error(
                &self.assignment.source.name,
                Place::File,
                message,
            )]);
        };
        let mut first_error = None;
        for turn in 0..all.len().max(1) {
            let mut preferred = all.clone();
            preferred.rotate_left(turn);
            let mut basis = basis::independent(&self.solver, &preferred, self.unknowns, first_draw);
            basis.sort_unstable();
            if basis.len() < self.unknowns.len() {
                return Err(vec![self.undetermined(&all, &basis, first_draw)]);
            }
            let Some(order) = Order::of(&self.solver.tapes, &basis, self.unknowns) else {
                let message =
                    format!("more than {LARGEST_BLOCK} equations would have to be solved at once");
                let span = self
                    .assignment
                    .equations
                    .first()
                    .map_or(Span { start: 0, end: 0 }, |e| e.span);
                return Err(vec![
                    self.error(span, message)
                        .help("write equations that can be solved in turn"),
                ]);
            };
            let redundant: Vec<usize> =
                all.iter().copied().filter(|e| !basis.contains(e)).collect();
            match self.keys(&order, &redundant, draws) {
                Ok(keys) => return Ok((order, redundant, keys)),
                Err(error) => {
                    first_error.get_or_insert(error);
                }
            }
        }
        Err(first_error.into_iter().collect())
    }

    fn keys(
        &self,
        order: &Order,
        redundant: &[usize],
        draws: &[Vec<f64>],
    ) -> Result<Vec<Vec<f64>>, Diagnostic> {
        let trial = Problem {
            givens: self.assignment.givens.len(),
            equations: self.assignment.equations.len(),
            sizes: self.sizes.clone(),
            solver: self.solver.clone(),
            key: order.clone(),
            redundant: redundant.to_vec(),
            possible: Vec::new(),
            parts: Vec::new(),
        };
        draws
            .iter()
            .map(|draw| {
                let mut slots = draw.clone();
                slots.resize(self.sizes.len(), 0.0);
                trial
                    .solve(&mut slots)
                    .map_err(|error| key_diagnostic(self.assignment, draw, &error))?;
                Ok(slots)
            })
            .collect()
    }

    fn undetermined(&self, all: &[usize], basis: &[usize], draw: &[f64]) -> Diagnostic {
        let open = basis::undetermined(&self.solver, all, self.unknowns, draw);
        let names: Vec<String> = open
            .iter()
            .map(|&slot| format!("`{}`", self.name(slot)))
            .collect();
        let span = open
            .first()
            .and_then(|slot| slot.checked_sub(self.assignment.givens.len()))
            .and_then(|at| self.assignment.unknowns.get(at))
            .map_or(Span { start: 0, end: 0 }, |unknown| unknown.span);
        let message = format!(
            "the equations do not determine {}: {} independent for {} unknowns",
            if names.is_empty() {
                "all unknowns".to_owned()
            } else {
                names.join(", ")
            },
            basis.len(),
            self.unknowns.len(),
        );
        self.error(span, message)
            .help("add an equation that ties them to the givens, or take an unknown away")
    }

    /// The parts of an `and`, each by itself, so that each blames only what it names.
    fn judges(&self, condition: &Condition) -> Result<Vec<Judge>, TooLong> {
        match condition {
            Condition::All(parts) => {
                let nested: Result<Vec<Vec<Judge>>, TooLong> =
                    parts.iter().map(|part| self.judges(part)).collect();
                Ok(nested?.into_iter().flatten().collect())
            }
            other => Ok(vec![Judge::of(other, &|name| self.meaning(name))?]),
        }
    }

    fn part(
        &self,
        at: usize,
        keys: &[Vec<f64>],
        solver: &mut Solver,
    ) -> Result<PartPlan, Diagnostic> {
        let part = &self.assignment.parts[at];
        match &part.kind {
            PartKind::Eye(_) => Ok(PartPlan::Eye),
            PartKind::Choose(choice) => {
                let judges: Result<Vec<Judge>, TooLong> = choice
                    .options
                    .iter()
                    .map(|option| Judge::of(&option.condition, &|name| self.meaning(name)))
                    .collect();
                judges
                    .map(PartPlan::Choose)
                    .map_err(|TooLong| self.too_long(part.span))
            }
            PartKind::Answer(answer) => self.answer(at, answer, keys, solver).map(PartPlan::Answer),
        }
    }

    /// The slots that the parts in `parts` ask for.
    fn asked(&self, parts: impl Iterator<Item = usize>) -> SlotSet {
        parts
            .filter_map(|part| super::answer_part(self.assignment, part))
            .map(|answer| self.assignment.givens.len() + answer.unknown)
            .collect()
    }

    fn answer(
        &self,
        at: usize,
        answer: &AnswerPart,
        keys: &[Vec<f64>],
        solver: &mut Solver,
    ) -> Result<AnswerPlan, Diagnostic> {
        let slot = self.assignment.givens.len() + answer.unknown;
        let target = SlotSet::of(slot);
        let earlier = self.asked(0..at).without(target);
        let all = self.asked(0..self.assignment.parts.len()).without(target);
        let equations: Vec<usize> = (0..self.assignment.equations.len()).collect();
        let search = |known: SlotSet, must: &[usize], allowed: &[usize], solver: &Solver| {
            let wanted = Wanted {
                solver,
                allowed,
                unknowns: self.unknowns,
                known,
                target: slot,
                must,
                keys,
            };
            let Found { roads, cut_short } = road::search(&wanted);
            (roads, cut_short)
        };
        let (own, mut cut_short) = search(SlotSet::default(), &[], &equations, solver);
        let (mut roads, cut) = search(earlier, &[], &equations, solver);
        cut_short |= cut;
        roads.retain(|road| !road.inputs.is_empty());
        self.narrow(at, answer, &mut roads, &own)?;
        let mut roads = road::distinct(solver, roads, keys);
        let mut own = road::distinct(solver, own, keys);
        own.truncate(MOST_ROADS);
        let more_roads = cut_short || roads.len() > MOST_ROADS;
        roads.truncate(MOST_ROADS);
        let (mut back, _) = search(all, &[], &equations, solver);
        // A way back that can only be searched for takes thousands of times as long as one that is
        // reckoned, and nobody goes it by hand.
        back.retain(|road| !road.inputs.without(earlier).is_empty() && !road.order.is_searched());
        let mut back = road::distinct(solver, back, keys);
        back.truncate(MOST_ROADS - roads.len());
        if answer.by.is_some() {
            back.clear();
        }
        let depends = own.iter().fold(SlotSet::default(), |set, road| {
            road.equations
                .iter()
                .fold(set, |set, &e| set.or(solver.tapes[e].uses()))
        });
        let mut slips = Vec::new();
        for slip in &answer.slips {
            slips.push(self.slip(at, answer, slip, earlier, keys, solver)?);
        }
        let accepts = answer
            .accepts
            .iter()
            .map(|accept| {
                let tape = Tape::expr(&accept.expr, &|name| self.meaning(name), Measure::Si)?;
                Ok((tape, accept.share))
            })
            .collect::<Result<_, TooLong>>()
            .map_err(|TooLong| self.too_long(self.assignment.parts[at].span))?;
        Ok(AnswerPlan {
            slot,
            own,
            roads,
            back,
            more_roads,
            slips,
            accepts,
            depends: depends.without(self.unknowns),
            turns: keys.iter().any(|key| key[slot] > 0.0) && keys.iter().any(|key| key[slot] < 0.0),
        })
    }

    /// Keeps only the roads that the part's `by` names.
    fn narrow(
        &self,
        at: usize,
        answer: &AnswerPart,
        roads: &mut Vec<Road>,
        own: &[Road],
    ) -> Result<(), Diagnostic> {
        let Some(by) = &answer.by else { return Ok(()) };
        let sets: Vec<Vec<usize>> = by
            .iter()
            .map(|set| {
                let mut set = set.clone();
                set.sort_unstable();
                set
            })
            .collect();
        let part = &self.assignment.parts[at];
        for set in &sets {
            let is_road = roads
                .iter()
                .chain(own.iter())
                .any(|road| road.equations == *set);
            if !is_road {
                let message = format!(
                    "{} {} no road to the answer of part `{}`",
                    self.equation_names(set),
                    if set.len() == 1 { "is" } else { "together are" },
                    part.id,
                );
                return Err(self.error(part.span, message).help(
                    "a road is a smallest set of equations that gives the answer from the givens and the answers of earlier parts",
                ));
            }
        }
        roads.retain(|road| sets.contains(&road.equations));
        Ok(())
    }

    fn slip(
        &self,
        at: usize,
        answer: &AnswerPart,
        slip: &'a Slip,
        earlier: SlotSet,
        keys: &[Vec<f64>],
        solver: &mut Solver,
    ) -> Result<SlipPlan, Diagnostic> {
        let part = &self.assignment.parts[at];
        let share = slip.share.unwrap_or(part.rules.slip_share);
        let too_long = |TooLong| self.too_long(slip.span);
        let way = match &slip.kind {
            SlipKind::Answer(expr) => {
                let unit = self.assignment.unknowns[answer.unknown].unit;
                let fits = matches!(check::dimension(expr, self), Ok(None))
                    || check::dimension(expr, self) == Ok(Some(unit.dimension()));
                let printed = self.printed_sizes();
                let measure = if fits {
                    Measure::Si
                } else {
                    Measure::Printed(&printed)
                };
                let tape =
                    Tape::expr(expr, &|name| self.meaning(name), measure).map_err(too_long)?;
                Way::Expression {
                    tape,
                    size: if fits { 1.0 } else { answer.unit.factor() },
                }
            }
            SlipKind::Replace(replacements) => {
                let mut allowed: Vec<usize> = (0..self.assignment.equations.len()).collect();
                let mut must = Vec::new();
                let mut original = Vec::new();
                for (replaced, equation) in replacements {
                    let printed = self.printed_sizes();
                    let measure = match check::check_equation(equation, self) {
                        Ok(()) => Measure::Si,
                        Err(_) => Measure::Printed(&printed),
                    };
                    let tape = Tape::residual(equation, &|name| self.meaning(name), measure)
                        .map_err(too_long)?;
                    allowed.retain(|e| e != replaced);
                    allowed.push(solver.tapes.len());
                    must.push(solver.tapes.len());
                    original.push(*replaced);
                    solver.tapes.push(tape);
                }
                let slot = self.assignment.givens.len() + answer.unknown;
                let search = |known: SlotSet| {
                    let wanted = Wanted {
                        solver,
                        allowed: &allowed,
                        unknowns: self.unknowns,
                        known,
                        target: slot,
                        must: &must,
                        keys,
                    };
                    let mut roads = road::search(&wanted).roads;
                    roads.retain(|road| {
                        let restored = road.equations.iter().map(|e| {
                            let slip = must.iter().position(|slip| slip == e);
                            slip.map_or(*e, |slip| original[slip])
                        });
                        !road::is_hollow(&wanted, &restored.collect::<Vec<_>>())
                    });
                    let mut roads = road::distinct(solver, roads, keys);
                    roads.truncate(MOST_ROADS);
                    roads
                };
                let own = search(SlotSet::default());
                let mut roads = search(earlier);
                roads.retain(|road| !road.inputs.is_empty());
                if own.is_empty() && roads.is_empty() {
                    let message = format!(
                        "with this replacement no road leads to the answer of part `{}`",
                        part.id
                    );
                    return Err(self.error(slip.span, message).help(
                        "replace an equation that the answer needs, or write the slip as an answer",
                    ));
                }
                Way::Roads { own, roads }
            }
        };
        Ok(SlipPlan { way, share })
    }

    /// The sizes of the units by which printed numbers are read; angles count in radians.
    fn printed_sizes(&self) -> Vec<f64> {
        self.sizes
            .iter()
            .zip(&self.solver.angles)
            .map(|(&size, &angle)| if angle { 1.0 } else { size })
            .collect()
    }
}

impl Names for Builder<'_> {
    fn dimension(&self, name: &str) -> Option<Dimension> {
        let assignment = self.assignment;
        let given = assignment
            .givens
            .iter()
            .find(|g| g.name == name)
            .map(|g| g.unit.dimension());
        let unknown = || {
            assignment
                .unknowns
                .iter()
                .find(|u| u.name == name)
                .map(|u| u.unit.dimension())
        };
        let derived = || {
            assignment
                .derived
                .iter()
                .find(|d| d.name == name)
                .map(|d| d.dimension)
        };
        given.or_else(unknown).or_else(derived)
    }

    fn known(&self) -> Vec<&str> {
        Vec::new()
    }
}

/// Says why a draw has no key, naming the equations and the draw.
pub fn key_diagnostic(assignment: &Assignment, draw: &[f64], error: &KeyError) -> Diagnostic {
    let givens = assignment.givens.len();
    let unknown = |slot: usize| {
        slot.checked_sub(givens)
            .and_then(|at| assignment.unknowns.get(at))
    };
    let equations = |list: &[usize]| {
        let names: Vec<&str> = list
            .iter()
            .filter_map(|&e| assignment.equations.get(e))
            .map(|equation| equation.name.as_str())
            .collect();
        format!("`{}`", names.join("`, `"))
    };
    let (span, message, help) = match error {
        KeyError::Unsolved {
            equations: list,
            unknowns,
            why,
        } => {
            let names: Vec<&str> = unknowns
                .iter()
                .filter_map(|&s| unknown(s))
                .map(|u| u.name.as_str())
                .collect();
            let names = names.join("`, `");
            let span = list
                .first()
                .and_then(|&e| assignment.equations.get(e))
                .map(|e| e.span);
            let one = list.len() == 1;
            let verb = |one_does: &'static str, they_do: &'static str| {
                if one { one_does } else { they_do }
            };
            let (what, help) = match why {
                Why::NoRoot => (
                    format!(
                        "{} {} no solution for `{names}` within the range",
                        equations(list),
                        verb("has", "have")
                    ),
                    "widen the range under [find], or exclude such draws under [require]",
                ),
                Why::Singular => (
                    format!(
                        "{} {} not determine `{names}`",
                        equations(list),
                        verb("does", "do")
                    ),
                    "the equations say the same twice here, or the unknown falls out of them",
                ),
                Why::NotFinite => (
                    format!(
                        "{} {} no finite number for `{names}`",
                        equations(list),
                        verb("gives", "give")
                    ),
                    "a division by zero or a root of something negative: exclude such draws under [require]",
                ),
            };
            (span, what, help)
        }
        KeyError::Several { slot, values } => {
            let span = unknown(*slot).map(|unknown| unknown.span);
            let (name, unit) = unknown(*slot).map_or(("", None), |unknown| {
                (unknown.name.as_str(), Some(unknown.unit))
            });
            let values: Vec<String> = values
                .iter()
                .take(4)
                .map(|&value| {
                    let shown = unit.map_or(value, |unit| unit.from_si(value));
                    crate::quantity::round_to_figures(shown, 4)
                })
                .collect();
            let unit = unit.map(|unit| format!(" {unit}")).unwrap_or_default();
            (
                span,
                format!(
                    "`{name}` has several solutions: {}{unit}",
                    values.join(" and ")
                ),
                "give it a range under [find], such as { unit = \"s\", above = \"v*sin(theta)/g\" }",
            )
        }
        KeyError::Contradiction { equation } => {
            let found = assignment.equations.get(*equation);
            let name = found.map_or("", |e| e.name.as_str());
            (
                found.map(|e| e.span),
                format!("equation `{name}` contradicts the others"),
                "put the solution of the others in: left and right differ; mend a sign or a term",
            )
        }
        KeyError::Undecided { part, holding } => {
            let part = assignment.parts.get(*part);
            let words = match part.map(|part| &part.kind) {
                Some(PartKind::Choose(asks)) => &asks.options[..],
                _ => &[],
            };
            let words = holding.iter().filter_map(|&word| words.get(word));
            let words = crate::text::quoted(words.map(|option| option.label.as_str()));
            let id = part.map_or("", |part| part.id.as_str());
            let message = if words.is_empty() {
                format!("none of the words in part `{id}` holds")
            } else {
                format!("more than one word in part `{id}` holds: {words}")
            };
            let help = "write the conditions under `choose` so that exactly one of them holds in every case";
            (part.map(|part| part.span), message, help)
        }
    };
    let place = span.map_or(Place::File, Place::Span);
    let values: Vec<String> = assignment
        .givens
        .iter()
        .zip(draw)
        .map(|(given, &value)| {
            let shown = crate::quantity::round_to_figures(given.unit.from_si(value), 6);
            format!("{} = {shown} {}", given.name, given.unit)
        })
        .collect();
    Diagnostic::error(&assignment.source.name, place, message)
        .label(format!("with {}", values.join(", ")))
        .help(help)
}
