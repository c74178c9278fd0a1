//! The shelf: every assignment under `assignments/`, in its folders by topic too.
//!
//! `tests/shelf` holds for each of them 50 students' givens as the program issued them, and what they
//! lead to by closed forms worked out by hand (`tests/scripts/solve_shelf.py`, which reads no equation
//! of a file). The published examples beside `published.rs` are looked for on the shelf as well: with
//! a book's givens the assignment has to give the book's answers.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use approx::relative_eq;
use paperweight::assignment::PartKind;
use paperweight::marking::{Key, Verdict, choice};
use paperweight::plan::{PartPlan, answer_part};
use paperweight::workflow;

use crate::hands::desk::Desk;
use crate::hands::program::{program, run};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Files below a folder, and in its folders, whose names end so.
fn below(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|found| found == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The assignments of the shelf by their codes; a file is called as its code.
fn shelf() -> BTreeMap<String, PathBuf> {
    let files = below(&root().join("assignments"), "toml").into_iter();
    let coded = files.map(|path| (path.file_stem().unwrap().to_str().unwrap().to_owned(), path));
    coded.filter(|(code, _)| code != "sheet-1").collect()
}

fn desk(path: &Path) -> Desk {
    let loaded = workflow::load(path);
    let loaded = loaded.unwrap_or_else(|failure| panic!("{}: {failure:?}", path.display()));
    let prepared = workflow::prepare(loaded);
    let prepared = prepared.unwrap_or_else(|failure| panic!("{}: {failure:?}", path.display()));
    Desk {
        plan: prepared.plan,
    }
}

/// The slot of an unknown of that name.
fn slot(desk: &Desk, name: &str) -> Option<usize> {
    let problem = &desk.plan.sheet.problems[0];
    let mut unknowns = problem.unknowns.iter();
    let at = unknowns.position(|unknown| unknown.name == name)?;
    Some(problem.givens.len() + at)
}

/// The right word of a part, `(c)` for part c.
fn word<'a>(desk: &'a Desk, key: &Key, part: &str) -> &'a str {
    let id = part.trim_matches(['(', ')']);
    let problem = &desk.plan.sheet.problems[0];
    let at = problem.parts.iter().position(|part| part.id == id).unwrap();
    let PartKind::Choose(options) = &problem.parts[at].kind else {
        panic!("{part} is no choice");
    };
    let PartPlan::Choose(judges) = &desk.plan.problems[0].parts[at] else {
        panic!("{part} has no conditions");
    };
    &options.options[choice::holding(judges, &key.problems[0].slots).unwrap()].label
}

fn table(path: &Path) -> (csv::StringRecord, Vec<csv::StringRecord>) {
    let reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(path);
    let mut reader = reader.unwrap();
    let heading = reader.headers().unwrap().clone();
    (heading, reader.records().map(Result::unwrap).collect())
}

#[test]
fn every_assignment_is_solved_as_by_another_road() {
    let shelf = shelf();
    assert!(shelf.len() >= 35, "{}", shelf.len());
    for (code, path) in &shelf {
        let desk = desk(path);
        let (heading, rows) = table(&root().join(format!("tests/shelf/{code}.csv")));
        assert_eq!(rows.len(), 50, "{code}");
        let mut distinct = BTreeSet::new();
        let mut words = 0;
        for row in &rows {
            let cells: Vec<(&str, &str)> = heading.iter().zip(row).collect();
            let givens: Vec<(&str, &str)> = cells
                .iter()
                .filter_map(|(name, text)| Some((name.strip_prefix("given:")?, *text)))
                .collect();
            assert_eq!(givens.len(), desk.plan.sheet.problems[0].givens.len());
            assert!(distinct.insert(format!("{givens:?}")), "{code}: {givens:?}");
            let key = desk.key(&givens);
            let mut solved = 0;
            for (name, expected) in &cells[givens.len()..] {
                if name.starts_with('(') {
                    assert_eq!(word(&desk, &key, name), *expected, "{code}: {givens:?}");
                    words += 1;
                    continue;
                }
                let found = key.problems[0].slots[slot(&desk, name).unwrap()];
                let expected: f64 = expected.parse().unwrap();
                assert!(
                    relative_eq!(found, expected, max_relative = 1e-9),
                    "{code} {name}: {found} for {expected} with {givens:?}"
                );
                solved += 1;
            }
            assert_eq!(
                solved,
                desk.plan.sheet.problems[0].unknowns.len(),
                "{code}: an unknown is missing"
            );
        }
        let choices = desk.plan.problems[0].parts.iter();
        let choices = choices.filter(|part| matches!(part, PartPlan::Choose(_)));
        assert_eq!(words, 50 * choices.count(), "{code}: a choice is missing");
    }
    let solved = below(&root().join("tests/shelf"), "csv");
    assert_eq!(solved.len(), shelf.len(), "results without an assignment");
}

#[test]
fn nothing_is_found_wrong_with_the_shelf() {
    let mut check = program();
    check.arg("check").args(shelf().values());
    let checked = run(&mut check);
    assert_eq!(checked.stderr, "");
    assert_eq!(checked.code, 0);
}

/// As `assignments/README.md` has it: topic, name and level of each.
fn on_its_page() -> Vec<(String, String, u8)> {
    let page = fs::read_to_string(root().join("assignments/README.md")).unwrap();
    let mut topic = String::new();
    let mut items = Vec::new();
    for line in page.lines().filter(|line| line.starts_with('|')) {
        let cells: Vec<&str> = line.trim_matches('|').split(" | ").map(str::trim).collect();
        if let Some(bold) = cells[0].strip_prefix("**") {
            topic = bold.split("**").next().unwrap().to_owned();
        } else if let Some(name) = cells[0].strip_prefix('`') {
            let level = cells[2].parse().unwrap();
            items.push((topic.clone(), name.trim_matches('`').to_owned(), level));
        }
    }
    items
}

#[test]
fn the_program_has_the_whole_shelf_with_it() {
    let mut built = Vec::new();
    let mut paths = Vec::new();
    for drawer in paperweight::shelf::drawers() {
        for item in drawer.items {
            let path = root().join(format!("assignments/{}.toml", item.name));
            assert_eq!(fs::read_to_string(&path).unwrap(), item.text);
            let figure = fs::read_to_string(path.with_extension("svg")).ok();
            assert_eq!(figure.as_deref(), item.figure, "{}", item.name);
            let names_it = format!("figure = \"{}.svg\"", item.code());
            assert_eq!(item.text.contains(&names_it), item.figure.is_some());
            built.push((drawer.topic.to_owned(), item.name.to_owned(), item.level));
            paths.push(path);
        }
    }
    paths.sort();
    let mut shelf: Vec<PathBuf> = shelf().into_values().collect();
    shelf.sort();
    assert_eq!(paths, shelf);
    assert_eq!(built, on_its_page());
}

#[test]
fn a_long_unit_is_shown_whole() {
    let mut check = program();
    let checked = run(check.args(["check", "assignments/heat/iron-1.toml"]));
    assert!(checked.stdout.contains(" cal/(g K)"), "{}", checked.stdout);
    assert!(!checked.stdout.contains('…'), "{}", checked.stdout);
}

/// A published example on the shelf: the assignment, the book's givens under the names used there, and
/// what the example's unknowns are called there.
struct Published {
    example: &'static str,
    code: &'static str,
    givens: &'static [(&'static str, &'static str)],
    unknowns: &'static [(&'static str, &'static str)],
}

const fn published(
    example: &'static str,
    code: &'static str,
    givens: &'static [(&'static str, &'static str)],
    unknowns: &'static [(&'static str, &'static str)],
) -> Published {
    Published {
        example,
        code,
        givens,
        unknowns,
    }
}

/// Every example in `tests/published`. Givens that an example has no use for keep their first value.
/// Where a book leaves friction out, its coefficient is 0 here; a body at rest is what the
/// assignment has by itself (w33), and one swing of a pendulum is one of one (w45).
#[rustfmt::skip]
const PUBLISHED: &[Published] = &[
    published("w1", "tins-1", &[("mL", "4.00 kg"), ("mR", "2.00 kg"), ("g", "9.8 m/s^2")],
        &[("a", "a"), ("T", "T")]),
    published("w2", "tray-1", &[("mT", "5.00 kg"), ("mB", "3.00 kg"), ("g", "9.80 m/s^2")],
        &[("a", "a"), ("T", "T")]),
    published("w3", "tray-1", &[("mT", "4.0 kg"), ("mB", "1.0 kg"), ("h", "1.0 m"), ("g", "9.8 m/s^2")],
        &[("a", "a"), ("T", "T"), ("v", "v")]),
    published("w4", "incline-1",
        &[("mB", "2.00 kg"), ("mK", "4.00 kg"), ("theta", "40.0 deg"), ("mu", "0"), ("g", "9.80 m/s^2")],
        &[("a", "a"), ("T", "T")]),
    published("w7", "tug-1",
        &[("m", "650.0 kg"), ("m1", "250.0 kg"), ("m2", "150.0 kg"), ("k", "820.0 N/s"), ("t", "3.00 s")],
        &[("a", "a"), ("v", "v"), ("T", "T1")]),
    published("w8", "lift-1", &[("m", "75.0 kg"), ("a", "1.20 m/s^2"), ("g", "9.80 m/s^2")],
        &[("F1", "F1"), ("F2", "F2")]),
    published("w11", "sign-1",
        &[("m", "15.0 kg"), ("alpha", "30 deg"), ("beta", "45 deg"), ("g", "9.80 m/s^2")],
        &[("T1", "T1"), ("T2", "T2")]),
    published("w12", "chute-1",
        &[("m", "60.0 kg"), ("theta", "25 deg"), ("f", "45.0 N"), ("g", "9.80 m/s^2")],
        &[("a1", "a1"), ("a2", "a2")]),
    published("w15", "boxes-1",
        &[("m1", "2.00 kg"), ("m2", "4.00 kg"), ("mu", "0.400"), ("g", "9.8 m/s^2")],
        &[("N1", "N1"), ("T", "T"), ("N2", "N2"), ("P", "P")]),
    published("w17", "bend-1",
        &[("m", "900.0 kg"), ("r", "500.0 m"), ("v", "25.00 m/s"), ("g", "9.80 m/s^2")],
        &[("F", "F"), ("mu", "mu0")]),
    published("w20", "ramp-drum-1",
        &[("m", "3 kg"), ("theta", "45 deg"), ("M", "1 kg"), ("R", "0.5 m"), ("mu", "0.4"), ("g", "9.8 m/s^2")],
        &[("a", "a"), ("T", "T"), ("alpha", "alpha")]),
    published("w21", "ramp-drum-1",
        &[("m", "2 kg"), ("theta", "40 deg"), ("M", "1 kg"), ("R", "20 cm"), ("mu", "0"), ("s", "0.50 m"),
            ("g", "9.8 m/s^2")],
        &[("a", "a"), ("T", "T"), ("alpha", "alpha"), ("W", "W")]),
    published("w22", "drum-1",
        &[("I", "6.0 kg m^2"), ("r", "0.25 m"), ("F", "40 N"), ("d", "5.0 m"), ("g", "9.8 m/s^2")],
        &[("w1", "w1"), ("w2", "w2")]),
    published("w24", "jet-1", &[("v0", "70.0 m/s"), ("theta", "75.0 deg"), ("g", "9.80 m/s^2")],
        &[("v0x", "vx"), ("v0y", "vy"), ("y", "y"), ("t", "t"), ("x", "x"), ("s", "s"), ("phi", "phi")]),
    published("w25", "projectile-1",
        &[("v0", "30 m/s"), ("theta", "45 deg"), ("h", "10.0 m"), ("g", "9.80 m/s^2")],
        &[("t", "t"), ("vx", "vx"), ("vy", "u"), ("v", "v"), ("theta", "phi")]),
    published("w29", "toss-1", &[("t", "5.0 s"), ("g", "9.8 m/s^2")],
        &[("v0", "v0"), ("y", "y"), ("tu", "tu"), ("v", "v")]),
    published("w30", "launcher-1",
        &[("m", "0.100 kg"), ("k", "250.0 N/m"), ("d", "4.00 cm"), ("h", "0.180 m"), ("g", "9.80 m/s^2")],
        &[("v1", "v1"), ("v2", "v2")]),
    published("w33", "gliders-1", &[("m1", "0.500 kg"), ("m2", "3.50 kg"), ("v1", "4.00 m/s")],
        &[("u1", "u1"), ("u2", "u2")]),
    published("w35", "release-1",
        &[("m1", "0.350 kg"), ("m2", "0.500 kg"), ("v1", "2.00 m/s"), ("v2", "-0.500 m/s"), ("u1", "-4.00 m/s")],
        &[("u2", "u2"), ("K1", "K1"), ("K2", "K2"), ("W", "W")]),
    published("w41", "mobile-1",
        &[("m", "150.0 g"), ("m1", "50.0 g"), ("m2", "75.0 g"), ("x", "20.0 cm"), ("x1", "70.0 cm"),
            ("x2", "40.0 cm"), ("x3", "30.0 cm"), ("g", "9.8 m/s^2")],
        &[("m3", "m3"), ("F", "F")]),
    published("w43", "seesaw-1",
        &[("m1", "26.0 kg"), ("m2", "32.0 kg"), ("r1", "1.60 m"), ("g", "9.80 m/s^2")],
        &[("r2", "r2"), ("F", "F")]),
    published("w45", "pendulum-1", &[("L", "75.000 cm"), ("N", "1"), ("tN", "1.7357 s")],
        &[("g", "g")]),
    published("w51", "rope-1", &[("m", "70.0 kg"), ("theta", "5.0 deg"), ("g", "9.80 m/s^2")],
        &[("T", "T")]),
];

#[test]
fn published_examples_stand_on_the_shelf() {
    let folder = root().join("tests/published");
    let (_, rows) = table(&folder.join("solved.csv"));
    let mut solved: BTreeMap<(&str, &str), f64> = rows
        .iter()
        .map(|row| ((&row[0], &row[1]), row[2].parse().unwrap()))
        .collect();
    let (_, printed) = table(&folder.join("answers.csv"));
    let shelf = shelf();
    let mut marked = 0;
    for Published {
        example,
        code,
        givens,
        unknowns,
    } in PUBLISHED
    {
        let on_shelf = desk(&shelf[*code]);
        let in_book = desk(&folder.join(format!("{example}.toml")));
        let key = on_shelf.key(givens);
        for (theirs, ours) in *unknowns {
            let found = key.problems[0].slots[slot(&on_shelf, ours).unwrap()];
            let expected = solved.remove(&(*example, *theirs)).unwrap();
            assert!(
                relative_eq!(found, expected, max_relative = 1e-9),
                "{example} {theirs}, {code} {ours}: {found} for {expected}"
            );
        }
        // Printed answers, typed as printed, are right where the shelf asks for the same.
        for row in printed.iter().filter(|row| row[0] == **example) {
            let asked = |desk: &Desk, part: usize| {
                let slot = desk.plan.problems[0].answer(part).map(|plan| plan.slot);
                slot.filter(|_| answer_part(&desk.plan.sheet.problems[0], part).is_some())
            };
            let parts = &in_book.plan.sheet.problems[0].parts;
            let part = parts.iter().position(|part| part.id == row[1]).unwrap();
            let theirs = unknowns
                .iter()
                .find(|(theirs, _)| slot(&in_book, theirs) == asked(&in_book, part));
            let (_, ours) = theirs.unwrap();
            let parts = &on_shelf.plan.sheet.problems[0].parts;
            let wanted = slot(&on_shelf, ours);
            let Some(at) = (0..parts.len()).find(|&part| asked(&on_shelf, part) == wanted) else {
                continue;
            };
            let paper = on_shelf.paper(&[(&parts[at].id, &row[2])]);
            let verdict = on_shelf.mark(&key, &paper).parts[at].verdict;
            assert_eq!(
                verdict,
                Verdict::Right,
                "{example} {}: {}",
                &row[1],
                &row[2]
            );
            marked += 1;
        }
    }
    assert!(solved.is_empty(), "not on the shelf: {solved:?}");
    // All but the velocity in w25, its size and angle are asked for, and the time up in w29.
    assert_eq!(marked, printed.len() - 2);
}

/// Two assignments are meant for classes that write a decimal comma: the mark is told with the class.
#[test]
fn a_class_may_write_a_decimal_comma() {
    for (code, unit, size) in [("plank-1", "kgf", 9.806_65), ("pump-1", "kWh", 3.6e6)] {
        let path = &shelf()[code];
        let (heading, rows) = table(&root().join(format!("tests/shelf/{code}.csv")));
        let (part, unknown) = match code {
            "plank-1" => ("b", "B"),
            _ => ("d", "E"),
        };
        let at = heading.iter().position(|name| name == unknown).unwrap();
        let value: f64 = rows[0][at].parse().unwrap();
        let entry = paperweight::quantity::round_to_figures(value / size, 3).replace('.', ",");
        assert!(entry.contains(','), "{entry}");
        let folder = tempfile::tempdir().unwrap();
        let (roster, answers) = (folder.path().join("r.csv"), folder.path().join("a.csv"));
        fs::write(&roster, "id,name\ns01,Student 01\n").unwrap();
        fs::write(
            &answers,
            format!("student,part,entry\ns01,{part},\"{entry} {unit}\"\n"),
        )
        .unwrap();
        let mut mark = program();
        mark.arg("mark").arg(path).arg("--roster").arg(&roster);
        mark.arg("--answers").arg(&answers);
        mark.args(["--decimal", "comma", "--record", ":memory:", "--json"]);
        let marked = run(&mut mark);
        assert_eq!(marked.code, 0, "{}", marked.stderr);
        let line: serde_json::Value =
            serde_json::from_str(marked.stdout.lines().next().unwrap()).unwrap();
        let parts = line["parts"].as_array().unwrap();
        let found = parts.iter().find(|found| found["id"] == part).unwrap();
        assert_eq!(found["verdict"], "right", "{code}: {entry} {unit}: {line}");
    }
}

/// `assignments/README.md` names every problem, and its first problem of one's own goes as told there.
#[test]
fn the_page_says_what_is_there() {
    let page = fs::read_to_string(root().join("assignments/README.md")).unwrap();
    let named = page.lines().filter_map(|line| {
        let (name, _) = line.strip_prefix("| `")?.split_once('`')?;
        Some(root().join(format!("assignments/{name}.toml")))
    });
    let named: BTreeSet<PathBuf> = named.collect();
    assert_eq!(named, shelf().into_values().collect());

    let (_, from) = page.split_once("```toml\n").unwrap();
    let (text, _) = from.split_once("```").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let checked = |text: &str| {
        fs::create_dir_all(folder.path().join("assignments")).unwrap();
        fs::write(folder.path().join("assignments/well-1.toml"), text).unwrap();
        let mut check = program();
        check.current_dir(folder.path());
        run(check.args(["check", "assignments/well-1.toml"]))
    };
    let first = checked(text);
    assert_eq!(first.code, 1);
    for line in first.stderr.lines() {
        assert!(page.contains(line.trim()), "{line}");
    }
    let second = checked(&text.replace("step = \"0.10 s\"", "step = \"0.02 s\""));
    assert_eq!((second.code, second.stderr.as_str()), (0, ""));
}
