//! Draws what is to be known of an assignment: 80 columns, no colours.
//!
//! In: a report. Out: text; the findings in it are drawn by `diagnostic`. Names from files are made
//! safe, and cut where they would break the columns.

use rust_decimal::prelude::ToPrimitive as _;

use crate::quantity::round_to_figures;
use crate::text::{COLUMNS, counted, excerpt, padded, safe, width, wrapped};

use super::threshold::GUESS;
use super::view::percent;
use super::{AnswerReport, Asks, PartReport, ProblemReport, Report, RoadReport, SheetReport};

/// The widest row of a table, where a range of keys with its unit would be cut otherwise.
const TABLE: usize = 100;

/// No column is cut to less.
const NARROW: usize = 9;

/// Blanks before every line of a problem but its first, and between columns.
const INDENT: usize = 2;
const GAP: usize = 2;

/// Columns of the table of parts.
const HEAD: [&str; 7] = [
    "part",
    "answer",
    "key",
    "figures",
    "tolerance",
    "rounding",
    "luck",
];

/// The text of a report, without its findings. Ends with a line break, unless it is empty.
pub fn show(report: &Report) -> String {
    let sheet = report.sheet.iter().map(|it| sheet(it, &report.problems));
    let problems = report.problems.iter().map(problem);
    let sections: Vec<String> = sheet.chain(problems).collect();
    sections.join("\n")
}

fn sheet(sheet: &SheetReport, problems: &[ProblemReport]) -> String {
    let mut page = Page::headed(&sheet.code, &sheet.title);
    let parts: usize = problems.iter().map(|problem| problem.parts.len()).sum();
    page.line(&format!(
        "a sheet of {} with {}, out of {}",
        counted(problems.len(), "problem"),
        counted(parts, "part"),
        sheet.points.normalize(),
    ));
    page.out
}

fn problem(problem: &ProblemReport) -> String {
    let mut page = Page::headed(&problem.code, &problem.title);
    page.line(&solved(problem));
    if let Some(agree) = problem.agree.filter(|agree| *agree > 0.0) {
        let share = percent(agree);
        page.line(&format!(
            "{share} of all pairs of variants agree in all answers"
        ));
    }
    for kind in &problem.mix {
        let (draws, of) = (
            percent(kind.draws),
            percent(kind.of.to_f64().unwrap_or(0.0)),
        );
        let name = safe(&kind.name);
        page.line(&format!(
            "kind `{name}`: {draws} of the draws counted here, {of} of the students"
        ));
    }
    page.out.push('\n');
    parts(&mut page, &problem.parts);
    roads(&mut page, &problem.parts);
    let asks = |part: &PartReport| matches!(part.asks, Asks::Answer(_));
    if problem.parts.iter().any(asks) {
        page.out.push('\n');
        page.line("rounding: how far rounding on the way moves the answer, along the worst road");
        page.line(&format!(
            "luck: random values within {} of the key that would earn credit",
            percent(GUESS)
        ));
    }
    page.out
}

/// Text under way.
struct Page {
    out: String,
}

impl Page {
    /// One that begins with a code and a title.
    fn headed(code: &str, title: &str) -> Self {
        Self {
            out: format!("{}  {}\n", safe(code), safe(title)),
        }
    }

    fn line(&mut self, text: &str) {
        self.hanging("", text);
    }

    /// A head and text behind it, which goes on below itself where the line is full.
    fn hanging(&mut self, head: &str, text: &str) {
        let from = INDENT + width(head);
        let room = COLUMNS.saturating_sub(from).max(20);
        let mut before = format!("{:INDENT$}{head}", "");
        // A number and its per cent sign stay together.
        let text = text.replace(" %", "\u{A0}%");
        let words: Vec<_> = text.split(' ').map(|word| excerpt(word, room)).collect();
        for part in wrapped(&words.join(" "), room) {
            self.end(&(before + &part.replace('\u{A0}', " ")));
            before = format!("{:from$}", "");
        }
    }

    fn end(&mut self, line: &str) {
        self.out.push_str(line.trim_end());
        self.out.push('\n');
    }
}

/// How many variants were solved, of how many.
fn solved(problem: &ProblemReport) -> String {
    let extent = &problem.extent;
    let checked = extent.checked;
    let share = extent.met as f64 / extent.tried.max(1) as f64;
    let all = if extent.versions > 0 {
        let again = match checked - extent.versions {
            0 => String::new(),
            again => format!(", and {again} for a reissue"),
        };
        format!("{}{again}", counted(extent.versions, "version"))
    } else if extent.of.is_some() {
        format!("{}, all there are", counted(checked, "variant"))
    } else {
        let size = problem.size.map_or(f64::INFINITY, |size| size as f64);
        let of = if size.is_finite() {
            format!("about {}", round_to_figures(size * share, 2))
        } else {
            "very many".to_owned()
        };
        format!("{checked} variants of {of}")
    };
    let met = if extent.broke.is_empty() {
        String::new()
    } else {
        format!("; {} of the draws meet [require]", percent(share))
    };
    match problem.solved {
        solved if solved == checked => format!("solved {all}{met}"),
        solved => format!("solved {solved} of {all}{met}"),
    }
}

/// A row of the table of parts: its cells, or the id and words that reach over the others.
enum Row {
    Cells([String; HEAD.len()]),
    Words(String, String),
}

fn parts(page: &mut Page, parts: &[PartReport]) {
    let mut rows = Vec::with_capacity(parts.len() + 1);
    if parts
        .iter()
        .any(|part| matches!(part.asks, Asks::Answer(_)))
    {
        rows.push(Row::Cells(HEAD.map(str::to_owned)));
    }
    rows.extend(parts.iter().map(row));
    let widths = widths(&rows);
    for row in &rows {
        match row {
            Row::Words(id, words) => page.hanging(&cell(id, widths[0]), words),
            Row::Cells(cells) => {
                let cells = cells.iter().zip(widths);
                let line: String = cells.map(|(text, width)| cell(text, width)).collect();
                page.end(&format!("{:INDENT$}{line}", ""));
            }
        }
    }
}

fn row(part: &PartReport) -> Row {
    let id = part.id.clone();
    match &part.asks {
        Asks::Answer(answer) => Row::Cells(cells(id, answer)),
        Asks::Choice(words) => {
            let words = words.iter();
            let words = words.map(|(word, share)| format!("{} {}", safe(word), percent(*share)));
            Row::Words(id, words.collect::<Vec<_>>().join(", "))
        }
        Asks::Eye => Row::Words(id, "by eye".to_owned()),
    }
}

fn cells(id: String, answer: &AnswerReport) -> [String; HEAD.len()] {
    let or_none = |share: Option<f64>| share.map_or("-".to_owned(), percent);
    let figures = match answer.figures {
        Some((least, most)) if least == most => least.to_string(),
        Some((least, most)) => format!("{least} to {most}"),
        None => "-".to_owned(),
    };
    let tolerance = match answer.tolerance.as_str() {
        "" => "none",
        words => words,
    };
    [
        id,
        answer.name.clone(),
        keys(answer),
        figures,
        tolerance.to_owned(),
        or_none(answer.rounding),
        or_none(answer.credit),
    ]
}

/// `-3.87 to 3.90 m/s²`.
fn keys(answer: &AnswerReport) -> String {
    let Some((least, most)) = answer.keys else {
        return "-".to_owned();
    };
    // The point of `270.` tells its figures; here it would only be in the way.
    let plain = |key: f64| round_to_figures(key, 3).trim_end_matches('.').to_owned();
    let (least, most) = (plain(least), plain(most));
    let range = if least == most {
        least
    } else {
        format!("{least} to {most}")
    };
    format!("{range} {}", answer.unit).trim_end().to_owned()
}

/// How wide each column is with its gap: as its widest cell, less where the line would be too long.
fn widths(rows: &[Row]) -> [usize; HEAD.len()] {
    let mut widths = [0; HEAD.len()];
    for row in rows {
        match row {
            Row::Cells(cells) => {
                for (wide, text) in widths.iter_mut().zip(cells) {
                    *wide = width(&safe(text)).max(*wide);
                }
            }
            Row::Words(id, _) => widths[0] = width(&safe(id)).max(widths[0]),
        }
    }
    // Names are cut before numbers, and those only beyond what most terminals show.
    for (at, columns) in [(1, COLUMNS), (0, COLUMNS), (4, COLUMNS), (2, TABLE)] {
        let room = columns - INDENT - GAP * (HEAD.len() - 1);
        let beyond = widths.iter().sum::<usize>().saturating_sub(room);
        widths[at] = (widths[at].saturating_sub(beyond)).max(widths[at].min(NARROW));
    }
    widths.map(|width| width + GAP)
}

/// Text in a column of so many places, its gap among them.
fn cell(text: &str, wide: usize) -> String {
    padded(&excerpt(text, wide.saturating_sub(GAP)), wide)
}

/// The ways to each answer.
fn roads(page: &mut Page, parts: &[PartReport]) {
    let answers: Vec<(&PartReport, &AnswerReport)> = parts
        .iter()
        .filter_map(|part| match &part.asks {
            Asks::Answer(answer) => Some((part, answer)),
            Asks::Choice(_) | Asks::Eye => None,
        })
        .collect();
    if answers.is_empty() {
        return;
    }
    page.out.push('\n');
    let id = |part: &PartReport| width(&excerpt(&part.id, 12)) + GAP;
    let name = |answer: &AnswerReport| width(&excerpt(&answer.name, 14)) + GAP;
    let ids = answers.iter().map(|(part, _)| id(part)).max();
    let names = answers.iter().map(|(_, answer)| name(answer)).max();
    let ids = ids.unwrap_or(0).max(HEAD[0].len() + GAP);
    let names = names.unwrap_or(0).max(HEAD[1].len() + GAP);
    let head = |id: &str, name: &str| format!("{}{}", cell(id, ids), cell(name, names));
    page.hanging(&head(HEAD[0], HEAD[1]), "roads");
    for (part, answer) in answers {
        let mut roads: Vec<String> = answer.roads.iter().map(road).collect();
        if answer.more_roads {
            roads.push("and more".to_owned());
        }
        page.hanging(&head(&part.id, &answer.name), &roads.join("; "));
    }
}

/// `moon + star from a`.
fn road(road: &RoadReport) -> String {
    let joined = |names: &[String]| {
        let names = names.iter().map(|name| safe(name));
        names.collect::<Vec<_>>().join(" + ")
    };
    let equations = joined(&road.equations);
    if road.from.is_empty() {
        equations
    } else {
        format!("{equations} from {}", joined(&road.from))
    }
}
