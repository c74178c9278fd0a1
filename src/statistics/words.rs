//! What is said of a class, in words that the page on a terminal and the one on paper share.
//!
//! In: a report. Out: sentences without layout: how many papers it is over, how the totals lie and in which
//! steps, how far they can be relied on, which mistakes are shared, what so few papers do not allow one to say.
//! Texts of others are in them as they are: whoever draws them makes them safe.

use rust_decimal::Decimal;

use super::moments::f64_of;
use super::{Analysis, ClassReport, FEW, MANY, Over, PartAnalysis, SMALL, Say, Shared, Totals};
use crate::text::counted;

/// Papers on which the totals lie from one number of points to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// `4 to <6`, `10`.
    pub label: String,
    /// How many.
    pub papers: usize,
}

/// What stands there while no paper is fully marked.
pub const NOTHING_YET: &str = "No paper is fully marked yet: there is nothing to report.";

/// What stands there where no mistake is known.
pub const NO_CAUSE: &str = "no mistake has a known cause on a paper that is fully marked";

/// How much of a part's points was earned, in steps that the eye tells apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shade {
    /// All of them.
    All,
    /// Two thirds or more.
    Most,
    /// A third or more.
    Some,
    /// Something.
    Little,
    /// Nothing.
    None,
}

impl Shade {
    /// Of a share, 0 to 1.
    pub fn of(share: f64) -> Self {
        match share {
            share if share >= 0.999 => Self::All,
            share if share >= 2.0 / 3.0 => Self::Most,
            share if share >= 1.0 / 3.0 => Self::Some,
            share if share > 0.0 => Self::Little,
            _ => Self::None,
        }
    }
}

/// What is borne in mind of fewer than [`SMALL`] papers.
pub const RECOGNISED: &str = "In so small a class somebody may be recognised in these figures";

/// `19 papers fully marked; left out: 2 to look at`.
pub fn marked(report: &ClassReport) -> String {
    let left = report.left_out;
    let mut words = format!("{} fully marked", counted(report.analysis.papers, "paper"));
    let others = [
        (left.partly_marked, "partly marked"),
        (left.needs_a_look, "to look at"),
        (left.not_keyed, "not keyed yet"),
        (left.without_paper, "without a paper"),
        (left.absent, "absent"),
        (left.excused, "excused"),
    ];
    let others = others.into_iter().filter(|(count, _)| *count > 0);
    let others: Vec<String> = others
        .map(|(count, what)| format!("{count} {what}"))
        .collect();
    if !others.is_empty() {
        words += &format!("; left out: {}", others.join(", "));
    }
    words
}

/// `mean 10.2 of 13, median 11, standard deviation 2.31`.
pub fn totals(totals: &Totals) -> String {
    let shown = |value: Option<Decimal>| {
        value.map_or("–".to_owned(), |value| {
            value.round_dp(2).normalize().to_string()
        })
    };
    let sd = totals.sd.map_or("–".to_owned(), |sd| format!("{sd:.2}"));
    format!(
        "mean {} of {}, median {}, standard deviation {sd}",
        shown(totals.mean),
        totals.out_of.normalize(),
        shown(totals.median)
    )
}

/// The totals in steps of whole points, the lowest first.
pub fn steps(totals: &Totals) -> Vec<Step> {
    let step = (totals.out_of / Decimal::from(8)).ceil().max(Decimal::ONE);
    let mut edges = Vec::new();
    let mut from = Decimal::ZERO;
    while from < totals.out_of || edges.is_empty() {
        edges.push((from, (from + step).min(totals.out_of)));
        from += step;
    }
    // Where each point has its own step, so have full marks.
    if step == Decimal::ONE {
        edges.push((totals.out_of, totals.out_of));
    }
    let last = edges.len() - 1;
    let steps = edges.into_iter().enumerate().map(|(at, (from, to))| {
        let inside = |total: &&Decimal| **total >= from && (**total < to || at == last);
        let below = if at < last { "<" } else { "" };
        let label = if from == to {
            from.normalize().to_string()
        } else {
            format!("{} to {below}{}", from.normalize(), to.normalize())
        };
        Step {
            label,
            papers: totals.sorted.iter().filter(inside).count(),
        }
    });
    steps.collect()
}

/// The share of a part's points that was earned on so many papers, 0 to 1.
pub fn share(part: &PartAnalysis, papers: usize) -> f64 {
    share_of(part.points, part.out_of * Decimal::from(papers))
}

/// Points as a share of the most there are; 0 where there are none to earn.
pub fn share_of(points: Decimal, most: Decimal) -> f64 {
    if most.is_zero() {
        return 0.0;
    }
    f64_of(points) / f64_of(most)
}

/// The same as a whole percentage, or as points of so few papers that a share would be chance: `89 %`, `9 of 12`.
pub fn earned(part: &PartAnalysis, papers: usize) -> String {
    if Say::of(papers) == Say::Counts {
        let most = part.out_of * Decimal::from(papers);
        return format!("{} of {}", part.points.normalize(), most.normalize());
    }
    percent(share(part, papers))
}

/// `89 %`.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// A correlation with a true minus.
pub fn signed(value: f64) -> String {
    format!("{value:.2}").replace('-', "−")
}

/// On how many papers nothing is wrong.
pub fn unspoilt(analysis: &Analysis) -> String {
    format!(
        "no part wrong in value on {} of {}",
        analysis.unspoilt,
        counted(analysis.papers, "paper")
    )
}

/// How far the total can be relied on; nothing where it cannot be said.
pub fn reliability(analysis: &Analysis) -> Option<String> {
    let found = analysis.reliability.as_ref()?;
    let (what, note) = match found.over {
        Over::Problems => ("problems", ""),
        Over::Parts => (
            "parts",
            "; parts of one problem lean on one another, so that this is too high",
        ),
    };
    Some(format!(
        "reliability α {} over {} {what}, standard error {:.1} points{note}",
        signed(found.alpha),
        found.items,
        found.sem
    ))
}

/// `3 papers, (b) (c)`, before what was done.
pub fn whose(shared: &Shared) -> String {
    let ids: Vec<String> = shared.parts.iter().map(|id| format!("({id})")).collect();
    format!("{}, {}", counted(shared.papers, "paper"), ids.join(" "))
}

/// What is said under figures of fewer than [`SMALL`] papers.
pub(super) fn keep_to_yourself() -> String {
    format!("{RECOGNISED}: keep the page to yourself.")
}

/// What so few papers do not allow one to say, and what is to be borne in mind.
pub fn cautions(report: &ClassReport) -> Vec<String> {
    let analysis = &report.analysis;
    let mut all = Vec::new();
    if analysis.papers < SMALL {
        all.push(keep_to_yourself());
    }
    match analysis.say() {
        Say::Counts => all.push(format!(
            "Fewer than {FEW} papers: counts alone. Shares, intervals and discrimination would be chance."
        )),
        Say::Warned => all.push(format!(
            "Fewer than {MANY} papers: how a part goes with the rest is uncertain by about ±0.3, and says \
             little by itself."
        )),
        Say::All => {}
    }
    let hard = analysis
        .drawn
        .iter()
        .filter(|drawn| analysis.say() > Say::Counts && drawn.is_marked(analysis.papers))
        .filter_map(|drawn| Some(format!("{} ({})", drawn.given, signed(drawn.r?))));
    let hard: Vec<String> = hard.collect();
    if !hard.is_empty() {
        all.push(format!(
            "The numbers drawn were not equally hard: points go with {}.",
            hard.join(", ")
        ));
    }
    all
}
