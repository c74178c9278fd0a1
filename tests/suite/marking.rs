//! Papers as a careful teacher would mark them, a case a line, on tiny assignments made up for it:
//! `tests/corpus/papers`. The outcomes were written down from the rules before the program was
//! asked.
//!
//! A line `[cart] changes` names the assignment for the lines below it; a case is
//! `why | changes | paper | outcome`, the outcome in the words of `told`. Changes are joined by
//! ` & `: `a: sign = 'fixed'` puts a line into part a (or `scheme`), `old => new` replaces.

use std::path::{Path, PathBuf};

use paperweight::marking::{Key, Marked, Marker, Paper, Verdict};
use paperweight::plan::answer_part;
use paperweight::quantity::round_to_figures;
use paperweight::workflow;
use rust_decimal::Decimal;

use crate::hands::desk::Desk;
use crate::hands::told;

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/papers")
}

fn changed(mut text: String, changes: &str) -> String {
    for change in changes.split(" & ").filter(|change| !change.is_empty()) {
        let (old, new) = match change.split_once(" => ") {
            Some((old, new)) => (old.to_owned(), new.to_owned()),
            None => {
                let (place, line) = change.split_once(": ").unwrap();
                let line = line.replace("\\n", "\n");
                (format!("#{place}\n"), format!("{line}\n#{place}\n"))
            }
        };
        assert!(text.contains(&old), "no `{old}` to change");
        text = text.replacen(&old, &new, 1);
    }
    text
}

/// `a: 3.27 m/s^2; b: 8.17 m/s`
fn cells(paper: &str) -> Vec<(&str, &str)> {
    let cells = paper.split(';').map(str::trim);
    cells
        .filter(|cell| !cell.is_empty())
        .map(|cell| {
            let (id, text) = cell.rsplit_once(": ").unwrap_or((cell, ""));
            (id.trim_end_matches(':'), text)
        })
        .collect()
}

fn mark(assignment: &str, common: &str, changes: &str, paper: &str) -> String {
    let text = std::fs::read_to_string(corpus().join(format!("{assignment}.toml"))).unwrap();
    let desk = Desk::of(&changed(changed(text, common), changes));
    let marked = desk.mark(&desk.key(&[]), &desk.paper(&cells(paper)));
    told::paper(&desk, &marked)
}

#[test]
fn papers_are_marked_as_a_careful_teacher_would() {
    let mut wrong = String::new();
    let mut cases = 0;
    let mut files: Vec<PathBuf> = std::fs::read_dir(corpus())
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "txt"))
        .collect();
    files.sort();
    for file in files {
        let text = std::fs::read_to_string(&file).unwrap();
        let (mut assignment, mut common) = ("", "");
        for line in text.lines().filter(|line| !line.starts_with('#')) {
            if let Some(head) = line.strip_prefix('[') {
                let (name, changes) = head.split_once(']').unwrap();
                (assignment, common) = (name, changes.trim());
                continue;
            }
            let fields: Vec<&str> = line.split('|').map(str::trim).collect();
            let [why, changes, paper, expected] = fields[..] else {
                assert!(line.is_empty(), "expected four fields: {line}");
                continue;
            };
            cases += 1;
            let found = mark(assignment, common, changes, paper);
            if found != expected {
                let name = file.file_name().unwrap().display();
                wrong += &format!(
                    "{name}: {why} [{common} & {changes}] {paper}\n  expected {expected}\n  found    {found}\n"
                );
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(cases > 200, "{cases}");
}

/// A sheet of three problems is one paper: units are charged once on all of it, lateness on its
/// total, and each problem is judged on its own numbers.
#[test]
fn a_sheet_is_one_paper() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("assignments/sheet-1.toml");
    let prepared = workflow::prepare(workflow::load(&path).unwrap()).unwrap();
    let (mut key, mut paper) = (Key::default(), Paper::default());
    for code in ["ropes-1", "incline-1", "collision-1"] {
        let desk = Desk::shipped(code);
        let own = desk.drawn("somebody");
        let problem = &desk.plan.sheet.problems[0];
        let bare: Vec<(&str, String)> = problem
            .parts
            .iter()
            .enumerate()
            .filter_map(|(at, part)| {
                let unit = answer_part(problem, at)?.unit;
                let slot = desk.plan.problems[0].answer(at)?.slot;
                let value = unit.from_si(own.problems[0].slots[slot]);
                Some((part.id.as_str(), round_to_figures(value, 3)))
            })
            .collect();
        let cells: Vec<(&str, &str)> = bare.iter().map(|(id, text)| (*id, &text[..])).collect();
        let part = desk.paper(&cells);
        paper.entries.extend(part.entries);
        paper.working.extend(part.working);
        key.problems.extend(own.problems);
    }
    paper.days_late = 2;
    let marked: Marked = Marker::new(&prepared.plan).mark(&key, &paper);
    let numbers = marked.parts.iter().filter(|part| part.unit.is_some());
    let numbers: Vec<_> = numbers.collect();
    assert_eq!(numbers.len(), 3 + 4 + 4);
    assert!(numbers.iter().all(|part| part.verdict == Verdict::Right));
    let charged: Vec<Decimal> = numbers.iter().map(|part| part.unit_cost).collect();
    assert_eq!(charged[0], Decimal::ONE);
    assert!(charged[1..].iter().all(|cost| *cost == Decimal::ZERO));
    let earned: Decimal = marked.parts.iter().map(|part| part.points).sum();
    assert_eq!(marked.late, -earned * Decimal::new(2, 1));
    assert_eq!(marked.total, earned + marked.late);
}
