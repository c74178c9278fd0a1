//! Draws a term on a terminal of 80 columns.
//!
//! In: a term. Out: text: a line for each sheet and class, the mistakes that most made, what has not come
//! in, and, where they are in it, each student's course. Legible without colour. Texts of others are made
//! safe here.

use super::super::page::{line, prose};
use super::super::words::{keep_to_yourself, percent, whose};
use super::super::{ClassReport, FEW, Left, Over, SMALL, Say, Shared};
use super::{Course, Stand, Term, share};
use crate::text::{COLUMNS, excerpt, padded, safe, width};

/// How many mistakes are named.
const NAMED: usize = 5;

/// Columns of a class, of an id, of a name, of the last share.
const CLASS: usize = 20;
const ID: usize = 10;
const NAME: usize = 20;
const SUM: usize = 7;

/// The whole page.
pub fn page(term: &Term) -> String {
    let mut out = String::new();
    sheets(term, &mut out);
    mistakes(term, &mut out);
    owed(term, &mut out);
    caution(term, &mut out);
    if !term.students.is_empty() {
        students(term, &mut out);
    }
    out
}

fn sheets(term: &Term, out: &mut String) {
    let heading = format!(
        "  {}   papers     mean  median     sd      α  hardest part",
        padded("", CLASS)
    );
    line(out, "Assignments");
    line(out, &heading);
    for sheet in &term.sheets {
        let title = sheet.classes.first().map_or("", |it| &it.title);
        line(out, &format!("{}  {}", safe(sheet.code()), safe(title)));
        for (class, report) in sheet.all() {
            line(out, &row(class, report));
        }
    }
}

fn row(class: &str, report: &ClassReport) -> String {
    let totals = &report.analysis.totals;
    let of = |points| share(points, totals.out_of).map_or("–".to_owned(), percent);
    let dash = || "–".to_owned();
    let mean = totals.mean.map_or_else(dash, of);
    let median = totals.median.map_or_else(dash, of);
    let out_of = super::f64_of(totals.out_of);
    let sd = totals.sd.filter(|_| out_of > 0.0);
    let sd = sd.map_or_else(dash, |sd| percent(sd / out_of));
    let alpha = report.analysis.reliability.as_ref();
    let alpha = alpha.map_or_else(dash, |it| match it.over {
        Over::Problems => format!("{:.2}", it.alpha),
        Over::Parts => format!("<{:.2}", it.alpha),
    });
    let hardest = report.hardest().map_or_else(dash, |(id, share)| {
        format!("({}) {}", safe(id), percent(share))
    });
    let papers = format!(
        "{:>3} of {:<3}",
        report.analysis.papers,
        report.handed_out()
    );
    let class = padded(&excerpt(class, CLASS), CLASS);
    format!("  {class} {papers} {mean:>6}  {median:>6} {sd:>6} {alpha:>6}  {hardest}")
}

/// The mistakes that most papers share, over all sheets.
fn mistakes(term: &Term, out: &mut String) {
    let mut all: Vec<(&str, &Shared)> = Vec::new();
    for sheet in &term.sheets {
        let reports = sheet
            .together
            .as_ref()
            .map_or(&sheet.classes[..], std::slice::from_ref);
        let shared = reports.iter().flat_map(|it| &it.shared);
        all.extend(shared.map(|shared| (sheet.code(), shared)));
    }
    all.retain(|(_, shared)| shared.is_by_several());
    all.sort_by_key(|(_, shared)| std::cmp::Reverse(shared.papers));
    line(out, "\nTo go over again");
    if all.is_empty() {
        prose(
            out,
            "no mistake with a known cause was made on two papers of a sheet",
        );
    }
    for (code, shared) in all.into_iter().take(NAMED) {
        let (whose, says) = (whose(shared), shared.words());
        let says = safe(&says);
        prose(out, &format!("{}, {}: {says}", safe(code), safe(&whose)));
    }
}

fn owed(term: &Term, out: &mut String) {
    line(out, "\nNot come in");
    let mut is_all_in = true;
    for sheet in &term.sheets {
        let classes = sheet.classes.iter().filter(|report| report.owed() > 0);
        let classes = classes.map(|report| format!("{} {}", safe(&report.class), report.owed()));
        let classes: Vec<String> = classes.collect();
        if !classes.is_empty() {
            is_all_in = false;
            prose(
                out,
                &format!("{}: {}", safe(sheet.code()), classes.join(", ")),
            );
        }
    }
    if is_all_in {
        prose(out, "nothing is owed");
    }
}

fn caution(term: &Term, out: &mut String) {
    let reports = term.sheets.iter().flat_map(|sheet| &sheet.classes);
    let papers = reports.map(|report| report.analysis.papers);
    let papers: Vec<usize> = papers.filter(|papers| *papers > 0).collect();
    line(out, "");
    if papers.iter().any(|papers| *papers < SMALL) {
        prose(out, &keep_to_yourself());
    }
    if papers.iter().any(|papers| Say::of(*papers) == Say::Counts) {
        prose(
            out,
            &format!(
                "Of fewer than {FEW} papers spread, reliability and the hardest part are left out: they would be chance."
            ),
        );
    }
    prose(
        out,
        "α with < is over the parts of one problem, which lean on one another, and too high.",
    );
    prose(
        out,
        "Sheets differ in how hard they are: a share that falls from one to the next need not be a class that does.",
    );
}

/// Each student's course, as many sheets beside each other as fit.
fn students(term: &Term, out: &mut String) {
    line(out, "\nEach student, for you alone");
    let wide: Vec<usize> = term
        .sheets
        .iter()
        .map(|it| width(it.code()).max(7) + 2)
        .collect();
    let room = COLUMNS - 2 - ID - 1 - NAME - SUM;
    let mut from = 0;
    while from < wide.len() {
        let mut to = from + 1;
        while to < wide.len() && wide[from..=to].iter().sum::<usize>() <= room {
            to += 1;
        }
        block(term, from..to, &wide, out);
        from = to;
    }
}

/// The students beside some of the sheets; the sum is over all of them.
fn block(term: &Term, of: std::ops::Range<usize>, wide: &[usize], out: &mut String) {
    let right = |text: &str, at: usize| {
        format!("{}{text}", " ".repeat(wide[at].saturating_sub(width(text))))
    };
    let codes: String = of
        .clone()
        .map(|at| right(&safe(term.sheets[at].code()), at))
        .collect();
    let mut class = None;
    let has_some = |course: &&Course| course.sheets[of.clone()].iter().any(Option::is_some);
    for course in term.students.iter().filter(has_some) {
        if class != Some(&course.class) {
            class = Some(&course.class);
            let name = padded(&excerpt(&course.class, ID + 1 + NAME), ID + 1 + NAME);
            line(out, &format!("  {name}{codes}    all"));
        }
        let cells: String = of.clone().map(|at| right(&cell(course, at), at)).collect();
        let sum = course
            .sum()
            .and_then(|(points, out_of)| share(points, out_of));
        let sum = sum.map_or("–".to_owned(), percent);
        let id = padded(&excerpt(&course.student, ID), ID);
        let name = padded(&excerpt(&course.name, NAME), NAME);
        line(out, &format!("  {id} {name}{cells} {sum:>6}"));
    }
}

fn cell(course: &Course, at: usize) -> String {
    let Some(Some(Stand { total, out_of })) = course.sheets.get(at) else {
        return "·".to_owned();
    };
    match total {
        Ok(points) => share(*points, *out_of).map_or("–".to_owned(), percent),
        Err(Left::PartlyMarked | Left::NeedsALook) => "open".to_owned(),
        Err(Left::NotKeyed) => "owed".to_owned(),
        Err(Left::Absent) => "absent".to_owned(),
        Err(Left::Excused) => "excused".to_owned(),
        Err(Left::WithoutPaper) => "·".to_owned(),
    }
}
