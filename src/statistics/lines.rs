//! A class report for programs.
//!
//! In: a report. Out: one JSON object, or CSV with a row a part. What so few papers do not allow one to
//! say is null there, an empty cell here. No student is in it.

use std::borrow::Cow;

use serde::Serialize;

use super::{ClassReport, Over, PartAnalysis};

#[derive(Serialize)]
pub(super) struct Whole<'a> {
    assignment: &'a str,
    title: &'a str,
    class: &'a str,
    papers: usize,
    left_out: LeftOut,
    out_of: String,
    mean: Option<String>,
    median: Option<String>,
    sd: Option<f64>,
    totals: Vec<String>,
    no_wrong_part: usize,
    reliability: Option<Reliability>,
    parts: Vec<Part<'a>>,
    mistakes: Vec<Mistake<'a>>,
    drawn: Vec<Drawn<'a>>,
}

#[derive(Serialize)]
struct LeftOut {
    partly_marked: usize,
    needs_a_look: usize,
    not_keyed: usize,
    without_paper: usize,
    absent: usize,
    excused: usize,
}

#[derive(Serialize)]
struct Reliability {
    over: &'static str,
    items: usize,
    alpha: f64,
    sem: f64,
}

#[derive(Serialize)]
struct Part<'a> {
    id: &'a str,
    out_of: String,
    points: String,
    facility: Option<f64>,
    facility_low: Option<f64>,
    facility_high: Option<f64>,
    item_total: Option<f64>,
    item_rest: Option<f64>,
    upper_lower: Option<f64>,
    alpha_without: Option<f64>,
    right: usize,
    followed: usize,
    slip: usize,
    wrong: usize,
    blank: usize,
    by_eye: usize,
    unit: usize,
    figures: usize,
    first_wrong: usize,
}

#[derive(Serialize)]
struct Mistake<'a> {
    parts: &'a [String],
    says: Cow<'a, str>,
    equation: Option<&'a str>,
    papers: usize,
}

#[derive(Serialize)]
struct Drawn<'a> {
    given: &'a str,
    r: Option<f64>,
}

impl<'a> Part<'a> {
    fn of(part: &'a PartAnalysis) -> Self {
        Self {
            id: &part.id,
            out_of: part.out_of.normalize().to_string(),
            points: part.points.normalize().to_string(),
            facility: part.facility.map(|found| found.share),
            facility_low: part.facility.map(|found| found.interval.0),
            facility_high: part.facility.map(|found| found.interval.1),
            item_total: part.item_total,
            item_rest: part.item_rest,
            upper_lower: part.upper_lower,
            alpha_without: part.without,
            right: part.right,
            followed: part.followed,
            slip: part.slip,
            wrong: part.wrong,
            blank: part.blank,
            by_eye: part.by_eye,
            unit: part.unit,
            figures: part.figures,
            first_wrong: part.first_wrong,
        }
    }
}

/// One JSON object in a line.
pub fn json(report: &ClassReport) -> Vec<u8> {
    let mut out = Vec::new();
    crate::text::push_json(&whole(report), &mut out);
    out
}

/// A report as it is written.
pub(super) fn whole(report: &ClassReport) -> Whole<'_> {
    let analysis = &report.analysis;
    let totals = &analysis.totals;
    let number = |value: rust_decimal::Decimal| value.normalize().to_string();
    Whole {
        assignment: &report.code,
        title: &report.title,
        class: &report.class,
        papers: analysis.papers,
        left_out: LeftOut {
            partly_marked: report.left_out.partly_marked,
            needs_a_look: report.left_out.needs_a_look,
            not_keyed: report.left_out.not_keyed,
            without_paper: report.left_out.without_paper,
            absent: report.left_out.absent,
            excused: report.left_out.excused,
        },
        out_of: number(totals.out_of),
        mean: totals.mean.map(number),
        median: totals.median.map(number),
        sd: totals.sd,
        totals: totals.sorted.iter().copied().map(number).collect(),
        no_wrong_part: analysis.unspoilt,
        reliability: analysis.reliability.map(|found| Reliability {
            over: match found.over {
                Over::Problems => "problems",
                Over::Parts => "parts",
            },
            items: found.items,
            alpha: found.alpha,
            sem: found.sem,
        }),
        parts: analysis.parts.iter().map(Part::of).collect(),
        mistakes: report
            .shared
            .iter()
            .map(|shared| Mistake {
                parts: &shared.parts,
                says: shared.words(),
                equation: shared.equation.as_ref().map(|(name, _)| name.as_str()),
                papers: shared.papers,
            })
            .collect(),
        drawn: analysis
            .drawn
            .iter()
            .map(|drawn| Drawn {
                given: &drawn.given,
                r: drawn.r,
            })
            .collect(),
    }
}

/// A row a part.
pub fn csv(report: &ClassReport) -> Vec<u8> {
    let mut out = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    // Into memory nothing can fail to be written.
    for part in &report.analysis.parts {
        let _ = out.serialize(Part::of(part));
    }
    out.into_inner().unwrap_or_default()
}
