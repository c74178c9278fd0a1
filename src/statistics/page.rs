//! Draws a class report on a terminal of 80 columns.
//!
//! In: a report. Out: text: the totals as a histogram, each part with its share and what happened on it,
//! a map of parts by papers, what to go over in class, and what so few papers do not allow one to say.
//! Legible without colour; every bar has its number beside it. Texts of others are made safe here.

use crate::text::{COLUMNS, padded, safe, width, wrapped};

use super::words::Shade;
use super::{ClassReport, PartAnalysis, Say, Shared, words};

/// Columns of a bar.
const BAR: usize = 20;

/// Papers that the map shows beside each other; more are put together.
const ACROSS: usize = 70;

/// How many mistakes are to be gone over.
const GONE_OVER: usize = 3;

/// The whole page.
pub fn page(report: &ClassReport) -> String {
    let mut out = String::new();
    head(report, &mut out);
    if report.analysis.papers == 0 {
        line(&mut out, &format!("\n{}", words::NOTHING_YET));
        return out;
    }
    totals(report, &mut out);
    parts(report, &mut out);
    map(report, &mut out);
    go_over(report, &mut out);
    line(&mut out, "");
    for caution in words::cautions(report) {
        prose(&mut out, &safe(&caution));
    }
    out
}

pub(super) fn line(out: &mut String, text: &str) {
    out.push_str(text.trim_end());
    out.push('\n');
}

pub(super) fn prose(out: &mut String, text: &str) {
    for part in wrapped(text, COLUMNS - 2) {
        line(out, &format!("  {part}"));
    }
}

fn head(report: &ClassReport, out: &mut String) {
    let (title, code, class) = (safe(&report.title), safe(&report.code), safe(&report.class));
    line(out, &format!("{title} ({code}), {class}"));
    prose(out, &words::marked(report));
}

/// How the totals lie, in steps of whole points.
fn totals(report: &ClassReport, out: &mut String) {
    let totals = &report.analysis.totals;
    line(out, "\nTotals");
    prose(out, &words::totals(totals));
    let steps = words::steps(totals);
    let most = steps.iter().map(|step| step.papers).max();
    let most = most.unwrap_or(0).max(1);
    for step in steps.iter().rev() {
        let bar = "█".repeat((step.papers * 2 * BAR).div_ceil(most).min(2 * BAR));
        let number = if step.papers > 0 {
            step.papers.to_string()
        } else {
            String::new()
        };
        line(out, &format!("  {:>12} {bar} {number}", step.label));
    }
}

/// A share as a bar: full, and dotted to the end.
fn bar(share: f64) -> String {
    let full = (share.clamp(0.0, 1.0) * BAR as f64).round() as usize;
    format!("{}{}", "█".repeat(full), "·".repeat(BAR - full))
}

/// Text on so many columns, to the left.
fn parts(report: &ClassReport, out: &mut String) {
    let analysis = &report.analysis;
    let say = analysis.say();
    let ids = analysis.parts.iter().map(|part| width(&part.id) + 2);
    let wide = ids.max().unwrap_or(3).max(4);
    line(out, "\nParts");
    let discriminates = match say {
        Say::Counts => "",
        Say::Warned => "  with rest",
        Say::All => "  with rest  best − weakest",
    };
    line(
        out,
        &format!(
            "  {}   of  points earned        {}{discriminates}",
            padded("", wide),
            if say == Say::Counts { "" } else { "      95 %" },
        ),
    );
    for part in &analysis.parts {
        line(out, &earned(part, analysis.papers, wide));
    }
    line(
        out,
        &format!(
            "\n  {}  right  follows  slip  wrong  blank  unit  figures  first wrong",
            padded("", wide)
        ),
    );
    for part in &analysis.parts {
        let id = padded(&format!("({})", safe(&part.id)), wide);
        if part.by_eye > 0 {
            line(out, &format!("  {id}  judged by eye"));
            continue;
        }
        let count = |count: usize| match count {
            0 => "·".to_owned(),
            count => count.to_string(),
        };
        line(
            out,
            &format!(
                "  {id}  {:>5}  {:>7}  {:>4}  {:>5}  {:>5}  {:>4}  {:>7}  {:>11}",
                count(part.right),
                count(part.followed),
                count(part.slip),
                count(part.wrong),
                count(part.blank),
                count(part.unit),
                count(part.figures),
                count(part.first_wrong),
            ),
        );
    }
    prose(out, &words::unspoilt(analysis));
    if let Some(reliability) = words::reliability(analysis) {
        prose(out, &reliability);
    }
}

fn earned(part: &PartAnalysis, papers: usize, wide: usize) -> String {
    let id = padded(&format!("({})", safe(&part.id)), wide);
    let earned = words::earned(part, papers);
    if Say::of(papers) == Say::Counts {
        return format!("  {id}  {:>3}  {earned}", part.out_of.normalize());
    }
    let mut text = format!(
        "  {id}  {:>3}  {} {:>5}",
        part.out_of.normalize(),
        bar(words::share(part, papers)),
        earned
    );
    if let Some(facility) = &part.facility {
        let (low, high) = facility.interval;
        text += &format!("  {:>3.0} to {:<3.0}", low * 100.0, high * 100.0);
        text += &part.item_rest.map_or("        –".to_owned(), |r| {
            format!("  {:>7}", words::signed(r))
        });
    }
    if let Some(difference) = part.upper_lower {
        text += &format!("  {:>10}", words::signed(difference));
    }
    text
}

/// Each part through all papers, the strongest first.
fn map(report: &ClassReport, out: &mut String) {
    line(out, "\nWhere the class fell over");
    let papers = report.analysis.papers;
    let columns = papers.min(ACROSS);
    let wide = report.analysis.parts.iter().map(|part| width(&part.id) + 2);
    let wide = wide.max().unwrap_or(3).max(4);
    for (part, row) in report.analysis.parts.iter().zip(&report.map) {
        let cells: String = (0..columns)
            .map(|at| {
                let of = at * papers / columns
                    ..((at + 1) * papers / columns).max(at * papers / columns + 1);
                shade(row.get(of).unwrap_or_default())
            })
            .collect();
        line(
            out,
            &format!(
                "  {} {cells}",
                padded(&format!("({})", safe(&part.id)), wide)
            ),
        );
    }
    let each = if papers > ACROSS {
        format!("a column is {} papers or so", papers.div_ceil(ACROSS))
    } else {
        "a column is a paper".to_owned()
    };
    prose(
        out,
        &format!(
            "{each}, the strongest on the left: █ all points, ▓ ▒ ░ some, · none, blank left blank"
        ),
    );
}

/// The shade of one paper or of several put together.
fn shade(shares: &[Option<f64>]) -> char {
    let there: Vec<f64> = shares.iter().copied().flatten().collect();
    if there.is_empty() {
        return ' ';
    }
    let mean = there.iter().sum::<f64>() / there.len() as f64;
    match Shade::of(mean) {
        Shade::All => '█',
        Shade::Most => '▓',
        Shade::Some => '▒',
        Shade::Little => '░',
        Shade::None => '·',
    }
}

fn go_over(report: &ClassReport, out: &mut String) {
    line(out, "\nTo go over in class");
    if report.shared.is_empty() {
        prose(out, words::NO_CAUSE);
    }
    for shared in report.shared.iter().take(GONE_OVER) {
        mistake(shared, out);
    }
}

pub(super) fn mistake(shared: &Shared, out: &mut String) {
    prose(
        out,
        &safe(&format!("{}: {}", words::whose(shared), shared.words())),
    );
    if let Some((name, text)) = &shared.equation {
        let (name, text) = (safe(name), safe(text));
        prose(out, &format!("    on the board: {text}   ({name})"));
    }
}
