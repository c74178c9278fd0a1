//! Checks an assignment over all its variants, or a large sample of them.
//!
//! In: a plan and, for each problem, the draws to look at ([`Draws::of`] gathers them) and its figure. Out: a
//! [`Report`]: findings, each with its place and what to do, and what is to be known of each part:
//! its keys, its roads, how wide its windows are ([`show()`] draws it). Pure: the same plan and
//! draws give the same report. Refused: nothing; a draw without a single key is a finding.
//!
//! `pass` solves every draw once. `keys` looks at what single keys show, `variety` at how variants differ,
//! `slips` at foreseen slips, `telling` at mistakes that no answer tells, `rounding` at what rounding on the
//! way does, `luck` at what random values would earn, `dear` at the work of a diagnosis, `mix` at kinds of
//! draws, `usage` at what is written and not used. `threshold` holds every limit.

mod chance;
mod dear;
mod draws;
mod keys;
mod luck;
mod mix;
mod pass;
mod rounding;
mod show;
mod slips;
mod telling;
pub mod threshold;
mod usage;
mod variety;
mod view;

use rust_decimal::Decimal;

use crate::assignment::{PartKind, PartRules};
use crate::diagnosis::Mistakes;
use crate::diagnostic::{Diagnostic, Place};
use crate::figure::Figure;
use crate::plan::{Plan, Road};

pub use draws::{Draws, Extent};
pub use mix::KindReport;
pub use show::show;

use pass::{Pass, Survey};
use view::View;

/// What `check` found.
#[derive(Clone, Debug, Default)]
pub struct Report {
    /// The sheet that names the problems; nothing for an assignment by itself.
    pub sheet: Option<SheetReport>,
    /// Problem by problem, each from top to bottom of its file.
    pub findings: Vec<Diagnostic>,
    /// The problems of the sheet, in order.
    pub problems: Vec<ProblemReport>,
}

/// What is to be known of a sheet as a whole.
#[derive(Clone, Debug, serde::Serialize)]
pub struct SheetReport {
    /// Its code.
    pub code: String,
    /// Its heading.
    pub title: String,
    /// What a paper is out of.
    pub points: Decimal,
}

/// What is to be known of a problem.
#[derive(Clone, Debug, serde::Serialize)]
pub struct ProblemReport {
    /// Its code.
    pub code: String,
    /// Its heading.
    pub title: String,
    /// How many draws were looked at.
    pub extent: Extent,
    /// How many draws there are before `[require]`; `None` beyond 2⁶⁴.
    pub size: Option<u64>,
    /// Draws looked at that have a key.
    pub solved: usize,
    /// The kinds of draws that are mixed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub mix: Vec<KindReport>,
    /// The share of pairs of variants whose answers agree in all parts; nothing where there are no
    /// pairs or no answers.
    pub agree: Option<f64>,
    /// The parts, in order.
    pub parts: Vec<PartReport>,
}

/// What is to be known of a part.
#[derive(Clone, Debug, serde::Serialize)]
pub struct PartReport {
    /// Its id on the paper.
    pub id: String,
    /// What it asks for.
    pub asks: Asks,
}

/// What a part asks for.
#[derive(Clone, Debug, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Asks {
    /// A quantity.
    Answer(AnswerReport),
    /// One of several words, each with the share of variants in which it is right.
    Choice(Vec<(String, f64)>),
    /// What is judged by eye.
    Eye,
}

/// What is to be known of a quantity asked for.
#[derive(Clone, Debug, serde::Serialize)]
pub struct AnswerReport {
    /// The unknown's name, or the expression asked for.
    pub name: String,
    /// The unit asked for, empty for a pure number.
    pub unit: String,
    /// The smallest and the largest key, in that unit; nothing where no draw has a key.
    pub keys: Option<(f64, f64)>,
    /// The figures asked for, as the least and the most over all variants.
    pub figures: Option<(u8, u8)>,
    /// The declared tolerance in words; empty where there is none.
    pub tolerance: String,
    /// How far rounding on the way at the figures asked for moves the answer along its worst road,
    /// as a share of it that 95 % of the variants keep to.
    pub rounding: Option<f64>,
    /// The share of random values within 30 % of the key that would earn credit.
    pub credit: Option<f64>,
    /// The roads that count: from earlier answers, or else from the givens alone.
    pub roads: Vec<RoadReport>,
    /// There are more than count.
    pub more_roads: bool,
}

/// One road.
#[derive(Clone, Debug, serde::Serialize)]
pub struct RoadReport {
    /// The names of its equations.
    pub equations: Vec<String>,
    /// The names of the earlier answers it starts from.
    pub from: Vec<String>,
}

/// Checks a plan on draws of each of its problems, in their order; `figures` holds those that could be
/// read, in the same order.
pub fn lint(plan: &Plan, draws: &[Draws<'_>], figures: &[Option<Figure>]) -> Report {
    let mut views: Vec<View<'_>> = views(plan, draws).collect();
    for (view, figure) in views.iter_mut().zip(figures) {
        view.figure = figure.as_ref();
    }
    let passes: Vec<Pass> = views.iter().map(Pass::over).collect();
    let surveys: Vec<&Survey> = passes.iter().map(|pass| &pass.survey).collect();
    let credit = luck::shares(plan, draws, &surveys);
    let mistakes = Mistakes::of(plan);
    let sheet = &plan.sheet;
    let mut report = Report {
        sheet: (!sheet.lone).then(|| SheetReport {
            code: sheet.code.clone(),
            title: sheet.title.clone(),
            points: sheet.points(),
        }),
        ..Report::default()
    };
    for (at, (view, pass)) in views.iter().zip(&passes).enumerate() {
        let mut found = Vec::new();
        usage::check(view, &mut found);
        dear::check(view, &mistakes, at, &mut found);
        let mix = mix::check(view, &mut found);
        keys::check(view, pass, &mut found);
        let agree = variety::check(view, pass, &mut found);
        slips::check(view, pass, &mut found);
        telling::check(view, pass, (&mistakes, at), &mut found);
        let rounding = rounding::check(view, pass, &mut found);
        let places: Vec<usize> = plan.parts_of(at).collect();
        for asks in view.answers() {
            let share = places.get(asks.index).and_then(|&place| credit[place]);
            luck::check(view, &asks, share.unwrap_or(0.0), &mut found);
        }
        let parts = places.iter().enumerate().map(|(part, &place)| PartReport {
            id: plan.parts[place].id.clone(),
            asks: asks(view, pass, part, rounding[part], credit[place]),
        });
        report.problems.push(ProblemReport {
            code: view.assignment.code.clone(),
            title: view.assignment.title.clone(),
            extent: view.draws.extent.clone(),
            size: view.draws.size(),
            solved: pass.solved,
            mix,
            agree,
            parts: parts.collect(),
        });
        found.sort_by_key(|finding| match finding.place {
            Place::File | Place::Line { .. } => 0,
            Place::Span(span) => span.start,
        });
        report.findings.append(&mut found);
    }
    report
}

/// The problems of a plan with their draws.
fn views<'a>(plan: &'a Plan, draws: &'a [Draws<'a>]) -> impl Iterator<Item = View<'a>> {
    let problems = plan.sheet.problems.iter().zip(&plan.problems);
    problems
        .zip(draws)
        .map(|((assignment, problem), draws)| View {
            assignment,
            problem,
            draws,
            figure: None,
        })
}

/// What is to be known of one part.
fn asks(
    view: &View<'_>,
    pass: &Pass,
    part: usize,
    rounding: Option<f64>,
    credit: Option<f64>,
) -> Asks {
    let model = &view.assignment.parts[part];
    let asks = view.answers().find(|asks| asks.index == part);
    match (&model.kind, asks) {
        (PartKind::Choose(choice), _) => {
            let right = choice.options.iter().zip(&pass.choices[part].right);
            let share = |count: usize| count as f64 / pass.solved.max(1) as f64;
            Asks::Choice(
                right
                    .map(|(option, &count)| (option.label.clone(), share(count)))
                    .collect(),
            )
        }
        (PartKind::Answer(_), Some(asks)) => {
            let keys = &pass.keys[part];
            let figures = pass.survey.iter().map(|(draw, _)| view.asked(&asks, draw));
            let figures = figures.fold(None, |range: Option<(u8, u8)>, asked| {
                let (least, most) = range.unwrap_or((asked.fewest, asked.shown));
                Some((least.min(asked.fewest), most.max(asked.shown)))
            });
            let roads = match asks.plan.roads.is_empty() {
                true => &asks.plan.own,
                false => &asks.plan.roads,
            };
            Asks::Answer(AnswerReport {
                name: view.shown(asks.plan.slot).to_owned(),
                unit: match asks.unit.is_one() {
                    true => String::new(),
                    false => asks.unit.to_string(),
                },
                keys: (pass.solved > 0).then_some((keys.least, keys.most)),
                figures,
                tolerance: tolerance(&model.rules),
                rounding,
                credit,
                roads: roads.iter().map(|road| told(view, road)).collect(),
                more_roads: asks.plan.more_roads,
            })
        }
        (PartKind::Answer(_) | PartKind::Eye(_), _) => Asks::Eye,
    }
}

fn told(view: &View<'_>, road: &Road) -> RoadReport {
    let equations = road.equations.iter();
    let equations = equations.filter_map(|&at| view.assignment.equations.get(at));
    RoadReport {
        equations: equations.map(|equation| written(&equation.name)).collect(),
        from: road
            .inputs
            .iter()
            .map(|slot| view.shown(slot).to_owned())
            .collect(),
    }
}

/// The name of an equation; that of a part which asks for an expression has none of the teacher's,
/// whose names hold no blanks.
fn written(name: &str) -> String {
    let own = if name.contains(' ') { "as asked" } else { name };
    own.to_owned()
}

/// `1 %`, `0.05 N`, `1 % or 0.05 N`.
fn tolerance(rules: &PartRules) -> String {
    let share = rules
        .percent
        .map(|share| format!("{} %", view::hundredths(share)));
    let absolute = rules.absolute.map(|quantity| quantity.to_string());
    let both: Vec<String> = share.into_iter().chain(absolute).collect();
    both.join(" or ")
}
