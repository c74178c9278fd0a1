//! Draws a class report on a terminal of 80 columns.
//!
//! In: a report. Out: text: the totals as a histogram, each part with its share and what happened on it,
//! a map of parts by papers, what to go over in class, and what so few papers do not allow one to say.
//! Legible without colour; every bar has its number beside it. Texts of others are made safe here.

use rust_decimal::Decimal;

use crate::text::{safe, width, wrapped};

use super::{ClassReport, Over, PartAnalysis, SMALL, Say, Shared};

pub(super) const COLUMNS: usize = 80;

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
        out.push_str("\nNo paper is fully marked yet: there is nothing to report.\n");
        return out;
    }
    totals(report, &mut out);
    parts(report, &mut out);
    map(report, &mut out);
    go_over(report, &mut out);
    caution(report, &mut out);
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
    let left = report.left_out;
    let papers = report.analysis.papers;
    let mut words = vec![format!(
        "{papers} {} fully marked",
        if papers == 1 { "paper" } else { "papers" }
    )];
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
        words.push(format!("left out: {}", others.join(", ")));
    }
    prose(out, &words.join("; "));
}

/// How the totals lie, in steps of whole points.
fn totals(report: &ClassReport, out: &mut String) {
    let totals = &report.analysis.totals;
    let shown = |value: Option<Decimal>| {
        value.map_or("–".to_owned(), |value| {
            value.round_dp(2).normalize().to_string()
        })
    };
    let sd = totals.sd.map_or("–".to_owned(), |sd| format!("{sd:.2}"));
    line(out, "\nTotals");
    prose(
        out,
        &format!(
            "mean {} of {}, median {}, standard deviation {sd}",
            shown(totals.mean),
            totals.out_of.normalize(),
            shown(totals.median)
        ),
    );
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
    let counts: Vec<usize> = edges
        .iter()
        .enumerate()
        .map(|(at, (from, to))| {
            let inside = |total: &&Decimal| *total >= from && (*total < to || at == last);
            totals.sorted.iter().filter(inside).count()
        })
        .collect();
    let most = counts.iter().copied().max().unwrap_or(0).max(1);
    for (at, ((from, to), count)) in edges.iter().zip(&counts).enumerate().rev() {
        let below = if at < last { "<" } else { "" };
        let label = if from == to {
            from.normalize().to_string()
        } else {
            format!("{} to {below}{}", from.normalize(), to.normalize())
        };
        let bar = "█".repeat((count * 2 * BAR).div_ceil(most).min(2 * BAR));
        let number = if *count > 0 {
            count.to_string()
        } else {
            String::new()
        };
        line(out, &format!("  {label:>12} {bar} {number}"));
    }
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// A share as a bar: full, and dotted to the end.
fn bar(share: f64) -> String {
    let full = (share.clamp(0.0, 1.0) * BAR as f64).round() as usize;
    format!("{}{}", "█".repeat(full), "·".repeat(BAR - full))
}

/// Text on so many columns, to the left.
pub(super) fn left(text: &str, columns: usize) -> String {
    let blanks = columns.saturating_sub(width(text));
    format!("{text}{}", " ".repeat(blanks))
}

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
            left("", wide),
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
            left("", wide)
        ),
    );
    for part in &analysis.parts {
        let id = left(&format!("({})", safe(&part.id)), wide);
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
    let unspoilt = analysis.unspoilt;
    prose(
        out,
        &format!(
            "no part wrong in value on {unspoilt} of {} papers",
            analysis.papers
        ),
    );
    if let Some(found) = &analysis.reliability {
        let (what, note) = match found.over {
            Over::Problems => ("problems", ""),
            Over::Parts => (
                "parts",
                "; parts of one problem lean on one another, so that this is too high",
            ),
        };
        prose(
            out,
            &format!(
                "reliability α {:.2} over {} {what}, standard error {:.1} points{note}",
                found.alpha, found.items, found.sem
            ),
        );
    }
}

fn earned(part: &PartAnalysis, papers: usize, wide: usize) -> String {
    let id = left(&format!("({})", safe(&part.id)), wide);
    let most = part.out_of * Decimal::from(papers);
    let share = if most.is_zero() {
        0.0
    } else {
        super::moments::f64_of(part.points) / super::moments::f64_of(most)
    };
    if Say::of(papers) == Say::Counts {
        let (points, most) = (part.points.normalize(), most.normalize());
        return format!("  {id}  {:>3}  {points} of {most}", part.out_of.normalize());
    }
    let mut text = format!(
        "  {id}  {:>3}  {} {:>5}",
        part.out_of.normalize(),
        bar(share),
        percent(share)
    );
    if let Some(facility) = &part.facility {
        let (low, high) = facility.interval;
        text += &format!("  {:>3.0} to {:<3.0}", low * 100.0, high * 100.0);
        text += &part
            .item_rest
            .map_or("        –".to_owned(), |r| format!("  {:>7}", signed(r)));
    }
    if let Some(difference) = part.upper_lower {
        text += &format!("  {:>10}", signed(difference));
    }
    text
}

/// A correlation with a true minus.
fn signed(value: f64) -> String {
    format!("{value:.2}").replace('-', "−")
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
            &format!("  {} {cells}", left(&format!("({})", safe(&part.id)), wide)),
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
    match mean {
        mean if mean >= 0.999 => '█',
        mean if mean >= 2.0 / 3.0 => '▓',
        mean if mean >= 1.0 / 3.0 => '▒',
        mean if mean > 0.0 => '░',
        _ => '·',
    }
}

fn go_over(report: &ClassReport, out: &mut String) {
    line(out, "\nTo go over in class");
    if report.shared.is_empty() {
        prose(
            out,
            "no mistake has a known cause on a paper that is fully marked",
        );
    }
    for shared in report.shared.iter().take(GONE_OVER) {
        mistake(shared, out);
    }
}

pub(super) fn mistake(shared: &Shared, out: &mut String) {
    let ids: Vec<String> = shared.parts.iter().map(|id| format!("({id})")).collect();
    let papers = if shared.papers == 1 {
        "paper"
    } else {
        "papers"
    };
    prose(
        out,
        &format!(
            "{} {papers}, {}: {}",
            shared.papers,
            safe(&ids.join(" ")),
            safe(&shared.says)
        ),
    );
    if let Some((name, text)) = &shared.equation {
        let (name, text) = (safe(name), safe(text));
        prose(out, &format!("    on the board: {text}   ({name})"));
    }
}

fn caution(report: &ClassReport, out: &mut String) {
    let analysis = &report.analysis;
    let words = match analysis.say() {
        Say::Counts => {
            "Fewer than 15 papers: counts alone. Shares, intervals and discrimination would be chance."
        }
        Say::Warned => {
            "Fewer than 50 papers: how a part goes with the rest is uncertain by about ±0.3, and says \
             little by itself."
        }
        Say::All => "",
    };
    let hard: Vec<String> = analysis
        .drawn
        .iter()
        .filter(|drawn| analysis.say() > Say::Counts && drawn.is_marked(analysis.papers))
        .filter_map(|drawn| Some(format!("{} ({})", drawn.given, signed(drawn.r?))))
        .collect();
    line(out, "");
    if analysis.papers < SMALL {
        prose(
            out,
            "In so small a class somebody may be recognised in these figures: keep the page to yourself.",
        );
    }
    if !words.is_empty() {
        prose(out, words);
    }
    if !hard.is_empty() {
        prose(
            out,
            &format!(
                "The numbers drawn were not equally hard: points go with {}.",
                hard.join(", ")
            ),
        );
    }
}
