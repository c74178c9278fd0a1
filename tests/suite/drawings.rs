//! Figures: every way one can be unfit for print, one small file each, and how it is told; and the
//! shipped ones with everyone's numbers in them.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use paperweight::assignment::{self, Assignment};
use paperweight::course::Course;
use paperweight::diagnostic::{Source, render};
use paperweight::figure::Figure;
use paperweight::text::DecimalMark;
use paperweight::variant::{Allocator, Space, Taken};
use paperweight::workflow;

use crate::hands::corpus;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn source(path: &Path) -> Arc<Source> {
    let name = path.file_name().unwrap().to_str().unwrap().to_owned();
    let text = fs::read_to_string(path).unwrap();
    Arc::new(Source { name, text })
}

fn assignment(path: &Path) -> Assignment {
    let outcome = assignment::read(&source(path), &Course::default());
    outcome.sheet.unwrap().problems.remove(0)
}

#[test]
fn each_error_is_told() {
    let cart = assignment(&root().join("tests/corpus/figures/cart-1.toml"));
    insta::with_settings!({ snapshot_path => "../corpus/figures/told", prepend_module_to_snapshot => false }, {
        corpus::each("figures", "svg", |path| {
            let source = source(path);
            let findings = Figure::read(&source, &cart).unwrap_err();
            for finding in &findings {
                assert!(finding.help.is_some(), "{}: {}", path.display(), finding.message);
            }
            insta::assert_snapshot!(render(&findings, &[&source], false));
        });
    });
}

/// The shipped assignments that name a figure.
fn shipped() -> Vec<(PathBuf, Assignment)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join("assignments"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "svg"))
        .map(|path| path.with_extension("toml"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let assignment = assignment(&path);
            (path, assignment)
        })
        .collect()
}

/// Lettering of a figure, and what it shows in words.
fn lettering(svg: &str) -> String {
    let document = roxmltree::Document::parse(svg).unwrap();
    let texts = document.descendants().filter(roxmltree::Node::is_text);
    texts.filter_map(|node| node.text()).collect()
}

#[test]
fn shipped_figures_hold_the_numbers_of_each_student() {
    let shipped = shipped();
    assert_eq!(shipped.len(), 5);
    for (path, assignment) in shipped {
        let loaded = workflow::load(&path).unwrap();
        let read = workflow::figures(&loaded.sheet);
        assert!(read.findings.list.is_empty(), "{:?}", read.findings.list);
        let figure = read.figures[0].as_ref().unwrap();
        let space = Space::new(&assignment).unwrap();
        let mut allocator = Allocator::new(&space, Taken::default());
        for student in 0..50 {
            allocator.next(&student.to_string(), 1, &[]).unwrap();
            let picks = allocator.picks().iter().enumerate();
            let values: Vec<String> = picks
                .map(|(given, &pick)| assignment.givens[given].draw.value(pick.into()).unwrap())
                .map(|value| value.printed(DecimalMark::Point))
                .collect();
            let shown = lettering(&figure.svg(&values));
            assert!(!shown.contains(['{', '}']), "{shown}");
            for given in figure.givens() {
                assert!(shown.contains(&values[given]), "{shown}");
            }
            let words = figure.words(&values).unwrap();
            assert!(shown.contains(&words), "{words}");
        }
    }
}

#[test]
fn shipped_figures_hold_all_that_differs_and_can_be_drawn() {
    // A coefficient of friction and a way to be covered are no parts of a drawing.
    let undrawn = ["mu", "s"];
    for (path, assignment) in shipped() {
        let figure = Figure::read(&source(&path.with_extension("svg")), &assignment).unwrap();
        for (at, given) in assignment.givens.iter().enumerate() {
            let drawn = given.draw.count() > 1 && !undrawn.contains(&given.name.as_str());
            let stands = figure.givens().any(|found| found == at);
            assert_eq!(stands, drawn, "{}: {}", path.display(), given.name);
        }
    }
}

/// A folder with one assignment and its figure, or none.
fn checked(text: &str, figure: Option<&str>) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("cart-1.toml");
    fs::write(&path, text).unwrap();
    if let Some(figure) = figure {
        fs::write(folder.path().join("cart-1.svg"), figure).unwrap();
    }
    let checked = workflow::check(&path).unwrap();
    let sources: Vec<&Source> = checked.sources.iter().map(|source| &**source).collect();
    let told = render(&checked.report.findings, &sources, false);
    told.replace(folder.path().to_str().unwrap(), "")
}

#[test]
fn check_reads_the_figure() {
    let text = "title = \"A cart\"\ncode = \"cart-1\"\ntext = \"A cart is pulled.\"\nfigure = \"cart-1.svg\"\ngiven = { m = { from = \"2.0 kg\", to = \"9.0 kg\", step = \"0.1 kg\" } }\nfind = { F = \"N\" }\nequation = { newton = \"F = m*[9.8 m/s^2]\" }\n[[part]]\nid = \"a\"\nask = \"Find the force.\"\nanswer = \"F\"\ntolerance = \"1%\"\npoints = 1\n";
    let svg = |inside: &str| format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{inside}</svg>");
    let whole = svg("<desc>A cart of {m}</desc><text>{m}</text>");
    assert_eq!(checked(text, Some(&whole)), "");
    let silent = checked(text, Some(&svg("<text>{m}</text>")));
    assert!(
        silent.contains("does not say in words what it shows"),
        "{silent}"
    );
    let without = checked(text, Some(&svg("<desc>A cart</desc>")));
    assert!(
        without.contains("no text tells students their value of `m`"),
        "{without}"
    );
    let missing = checked(text, None);
    assert!(missing.contains("the figure /cart-1.svg"), "{missing}");
    assert!(missing.contains("/cart-1.toml:4:10"), "{missing}");
    let away = checked(text, Some(&svg("<text>{F}</text>")));
    assert!(away.contains("would give the key away"), "{away}");
    assert!(away.contains("/cart-1.svg:1:"), "{away}");
}
