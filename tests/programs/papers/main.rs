//! How long 150 papers take as PDF, and how much memory; beside one Typst document of the same content,
//! written by hand.
//!
//! `cargo run --release --example papers -- 150`. Each document is drawn in a process of its own, whose
//! peak memory the system tells (Linux alone). The document by hand has no shared layout to find: a
//! function for a paper, and a call of it for every student.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

use paperweight::figure::Figure;
use paperweight::paper::{self, Copy, Fonts, Handout, PageSize, SheetText, Template};
use paperweight::text::DecimalMark;
use paperweight::variant::{Allocator, PaperCode, Space, Taken};
use paperweight::workflow::{figures, load};

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// Runs of each; the fastest counts.
const RUNS: usize = 5;

/// One student's paper.
struct Student {
    name: String,
    code: String,
    values: Vec<String>,
    svg: String,
    alt: String,
}

fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().collect();
    let count = arguments.get(1).map_or(Ok(150), |count| count.parse())?;
    match arguments.get(2).map(String::as_str) {
        Some(which) => draw(count, which),
        None => {
            let ours = measure(count, "ours")?;
            let by_hand = measure(count, "by-hand")?;
            println!("{count} papers with figures      seconds    peak MB    PDF MB    pages");
            for (name, it) in [("papers.pdf", &ours), ("one document by hand", &by_hand)] {
                println!(
                    "{name:<28}{:>8.2}{:>11.0}{:>10.2}{:>9}",
                    it[0], it[1], it[2], it[3]
                );
            }
            println!(
                "ratio                       {:>8.2}{:>11.2}",
                ours[0] / by_hand[0],
                ours[1] / by_hand[1]
            );
            Ok(())
        }
    }
}

/// Seconds (the best of some runs), megabytes at the peak, megabytes of PDF, pages.
fn measure(count: usize, which: &str) -> Outcome<[f64; 4]> {
    let mut best: Option<[f64; 4]> = None;
    for _ in 0..RUNS {
        let program = std::env::current_exe()?;
        let output = Command::new(program)
            .args([&count.to_string(), which])
            .output()?;
        let told = String::from_utf8(output.stdout)?;
        let numbers: Vec<f64> = told
            .split_whitespace()
            .map(str::parse)
            .collect::<Result<_, _>>()?;
        let it = <[f64; 4]>::try_from(numbers)
            .map_err(|_| String::from_utf8_lossy(&output.stderr).into_owned())?;
        if best.is_none_or(|best| it[0] < best[0]) {
            best = Some(it);
        }
    }
    Ok(best.unwrap_or_default())
}

fn draw(count: usize, which: &str) -> Outcome<()> {
    let loaded =
        load(Path::new("assignments/ropes-1.toml")).map_err(|fault| format!("{fault:?}"))?;
    let sheet = &loaded.sheet;
    let problem = &sheet.problems[0];
    let figure: &Figure = figures_of(sheet)?;
    let space = Space::new(problem).map_err(|fault| format!("{fault:?}"))?;
    let mut allocator = Allocator::new(&space, Taken::default());
    let mut students = Vec::new();
    for number in 0..count {
        let id = format!("{number:04}");
        allocator
            .next(&id, 1, &[])
            .map_err(|fault| format!("{fault:?}"))?;
        let picks = allocator.picks().to_vec();
        let values: Vec<String> = space
            .values(&picks)
            .map(|value| value.printed(DecimalMark::Point))
            .collect();
        let code = (0..).find_map(|attempt| PaperCode::of(&sheet.code, "class", &id, 1, attempt));
        students.push(Student {
            name: format!("Student {number}"),
            code: code.map_or_else(String::new, |code| code.to_string()),
            svg: figure.svg(&values),
            alt: figure.words(&values).unwrap_or_default(),
            values,
        });
    }
    let fonts = Fonts::default();
    // Fonts are read once a program, by either way.
    fonts.covers('a');
    let started = Instant::now();
    let pdf = match which {
        "ours" => {
            let handout = Handout {
                code: sheet.code.clone(),
                title: sheet.title.clone(),
                page: PageSize::A4,
                duplex: false,
                sheets: vec![SheetText::of(sheet, &fonts, DecimalMark::Point)],
                copies: students.into_iter().map(copy).collect(),
            };
            paper::papers(&handout, &fonts)
        }
        _ => {
            let text = by_hand(&students);
            let template = Template {
                name: "by-hand.typ",
                text: Box::leak(text.into_boxed_str()),
            };
            paper::draw(template, &sheet.code, &(), &fonts)
        }
    };
    let took = started.elapsed().as_secs_f64();
    let pdf = pdf.map_err(|fault| fault.message)?;
    let pages = lopdf::Document::load_mem(&pdf)?.get_pages().len();
    println!("{took} {} {} {pages}", peak(), pdf.len() as f64 / 1e6);
    Ok(())
}

fn figures_of(sheet: &paperweight::assignment::Sheet) -> Outcome<&'static Figure> {
    let read = figures(sheet).figures.into_iter().next().flatten();
    Ok(Box::leak(Box::new(
        read.ok_or("the figure cannot be read")?,
    )))
}

fn copy(student: Student) -> Copy {
    Copy {
        sheet: 0,
        size: 11,
        code: student.code,
        name: Some(student.name),
        class: "class".to_owned(),
        due: "4 December 2026".to_owned(),
        number: 1,
        values: vec![student.values],
        figures: vec![Some(paper::Picture {
            svg: student.svg,
            alt: student.alt,
        })],
    }
}

/// The same papers as one might write them in Typst.
fn by_hand(students: &[Student]) -> String {
    let mut text = include_str!("by_hand.typ").to_owned();
    for Student {
        name,
        code,
        values,
        svg,
        alt,
    } in students
    {
        let quoted =
            |text: &str| format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""));
        let numbers: Vec<String> = values.iter().map(|value| quoted(value)).collect();
        // Writing into a string cannot fail.
        let _ = writeln!(
            text,
            "#paper({}, {}, {}, {}, {})",
            quoted(name),
            quoted(code),
            numbers.join(", "),
            quoted(svg),
            quoted(alt),
        );
    }
    text
}

/// The most memory this process has held, in megabytes; 0 where the system does not tell.
fn peak() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes =
        line.and_then(|line| line.trim().strip_suffix("kB")?.trim().parse::<f64>().ok());
    kilobytes.unwrap_or_default() / 1e3
}
