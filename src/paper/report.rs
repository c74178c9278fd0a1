//! `report.pdf`: how a class did, for the teacher alone.
//!
//! In: a class report, the day, and on request each paper's points by the student's name. Out: PDF bytes: the
//! totals as a histogram, what was earned of each part with its interval, what happened on the parts, the
//! mistakes with a known cause, and on pages of its own a map of papers by parts. Its words are those of
//! `statistics::words`. Pictures are drawn by Typst, tell no colours apart, and say in words what they show.
//! Refused: what [`super::draw`] refuses.

use chrono::NaiveDate;
use rust_decimal::Decimal;
use serde::Serialize;

use super::wording::day;
use super::{Fonts, PageSize, Pen, Template, draw};
use crate::diagnostic::Diagnostic;
use crate::statistics::words::{self, Shade};
use crate::statistics::{ClassReport, PartAnalysis, Say};

/// The template.
pub const TEMPLATE: Template = Template {
    name: "report.typ",
    text: include_str!("templates/report.typ"),
};

/// Parts side by side in one map; a sheet that has more gets several.
const ACROSS: usize = 24;

/// Parts beyond which the map lies on its side.
const UPRIGHT: usize = 12;

/// Mistakes that are listed; the rest is counted.
const LISTED: usize = 12;

/// A class report as it is drawn.
#[derive(Clone, Debug, Serialize)]
pub struct ReportPages {
    code: String,
    title: String,
    class: String,
    day: String,
    page: PageSize,
    marked: String,
    /// What stands there in place of all figures; empty where there are some.
    nothing: &'static str,
    totals: String,
    steps: Vec<Step>,
    parts: Vec<PartRow>,
    /// Whether shares may be told.
    has_shares: bool,
    has_groups: bool,
    /// Sentences below the tables.
    said: Vec<String>,
    mistakes: Vec<Mistake>,
    no_cause: &'static str,
    more_mistakes: usize,
    cautions: Vec<String>,
    map: Map,
}

#[derive(Clone, Debug, Serialize)]
struct Step {
    label: String,
    papers: usize,
}

#[derive(Clone, Debug, Serialize)]
struct PartRow {
    id: String,
    out_of: String,
    /// 0 to 1.
    share: f64,
    earned: String,
    interval: Option<(f64, f64)>,
    rest: String,
    groups: String,
    by_eye: bool,
    /// Right, follows, slip, wrong, blank, unit, figures, first wrong.
    counts: [usize; 8],
}

#[derive(Clone, Debug, Serialize)]
struct Mistake {
    whose: String,
    says: String,
    /// The equation on the board, and its name.
    equation: Option<(String, String)>,
}

/// Papers by parts.
#[derive(Clone, Debug, Serialize)]
struct Map {
    flipped: bool,
    /// Places of parts that share a table.
    tables: Vec<(usize, usize)>,
    rows: Vec<MapRow>,
    out_of: String,
}

#[derive(Clone, Debug, Serialize)]
struct MapRow {
    name: String,
    total: String,
    /// The points and how dark they lie; none where the part was left blank.
    cells: Vec<Option<(String, &'static str)>>,
}

/// One paper of the map.
#[derive(Clone, Debug)]
pub struct PaperRow {
    /// Whose it is, safe to draw.
    pub name: String,
    /// What it comes to.
    pub total: Decimal,
    /// The points of each part, and what a part is out of; none where it was left blank.
    pub points: Vec<Option<(Decimal, Decimal)>>,
}

impl ReportPages {
    /// The report of a class on a day; `papers` are those of the map, the strongest first.
    pub fn of(
        report: &ClassReport,
        on: NaiveDate,
        page: PageSize,
        papers: &[PaperRow],
        pen: &mut Pen<'_>,
    ) -> Self {
        let analysis = &report.analysis;
        let say = analysis.say();
        let has_papers = analysis.papers > 0;
        let steps = words::steps(&analysis.totals).into_iter();
        let parts = analysis.parts.iter();
        let mut said = vec![words::unspoilt(analysis)];
        said.extend(words::reliability(analysis));
        let listed = report.shared.iter().take(LISTED);
        let mistakes = listed.map(|shared| Mistake {
            whose: pen.shown(&words::whose(shared)),
            says: pen.shown(&shared.words()),
            equation: shared
                .equation
                .as_ref()
                .map(|(name, text)| (pen.shown(text), pen.shown(name))),
        });
        Self {
            mistakes: mistakes.collect(),
            code: report.code.clone(),
            title: pen.shown(&report.title),
            class: pen.shown(&report.class),
            day: day(on),
            page,
            marked: words::marked(report),
            nothing: if has_papers { "" } else { words::NOTHING_YET },
            totals: words::totals(&analysis.totals),
            steps: steps
                .map(|words::Step { label, papers }| Step { label, papers })
                .collect(),
            parts: parts
                .map(|part| part_row(part, analysis.papers, pen))
                .collect(),
            has_shares: say > Say::Counts,
            has_groups: say == Say::All,
            said,
            no_cause: words::NO_CAUSE,
            more_mistakes: report.shared.len().saturating_sub(LISTED),
            cautions: words::cautions(report)
                .iter()
                .map(|caution| pen.shown(caution))
                .collect(),
            map: map(report, papers),
        }
    }
}

fn part_row(part: &PartAnalysis, papers: usize, pen: &mut Pen<'_>) -> PartRow {
    let signed = |value: Option<f64>| value.map_or("–".to_owned(), words::signed);
    PartRow {
        id: pen.shown(&part.id),
        out_of: part.out_of.normalize().to_string(),
        share: words::share(part, papers).clamp(0.0, 1.0),
        earned: words::earned(part, papers),
        interval: part.facility.map(|facility| facility.interval),
        rest: signed(part.item_rest),
        groups: signed(part.upper_lower),
        by_eye: part.by_eye > 0,
        counts: [
            part.right,
            part.followed,
            part.slip,
            part.wrong,
            part.blank,
            part.unit,
            part.figures,
            part.first_wrong,
        ],
    }
}

fn map(report: &ClassReport, papers: &[PaperRow]) -> Map {
    let parts = report.analysis.parts.len();
    let starts = (0..parts).step_by(ACROSS);
    let cell = |(points, out_of): (Decimal, Decimal)| {
        let share = words::share_of(points, out_of);
        (points.normalize().to_string(), shade(Shade::of(share)))
    };
    let rows = papers.iter().map(|paper| MapRow {
        name: paper.name.clone(),
        total: paper.total.normalize().to_string(),
        cells: paper.points.iter().map(|points| points.map(cell)).collect(),
    });
    Map {
        flipped: parts > UPRIGHT,
        rows: rows.collect(),
        tables: starts
            .map(|start| (start, (start + ACROSS).min(parts)))
            .collect(),
        out_of: report.analysis.totals.out_of.normalize().to_string(),
    }
}

fn shade(shade: Shade) -> &'static str {
    match shade {
        Shade::All => "all",
        Shade::Most => "most",
        Shade::Some => "some",
        Shade::Little => "little",
        Shade::None => "nothing",
    }
}

/// Draws the report.
///
/// # Errors
/// As [`super::draw`].
pub fn report(pages: &ReportPages, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, &pages.code, pages, fonts)
}
