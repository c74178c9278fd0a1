//! Every way an assignment file can be wrong, one small file each, and how it is told.
//!
//! The snapshots are what a teacher reads: where, what was found, what was expected, what to do.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use paperweight::assignment::{self, Outcome};
use paperweight::course::Course;
use paperweight::diagnostic::{Source, render};
use proptest::prelude::*;

use crate::hands::corpus;

fn source(path: &Path) -> Arc<Source> {
    let name = path.file_name().unwrap().to_str().unwrap().to_owned();
    Arc::new(Source {
        name,
        text: fs::read_to_string(path).unwrap(),
    })
}

fn folder(name: &str) -> Vec<Arc<Source>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let mut paths: Vec<_> = fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    paths.sort();
    paths.iter().map(|path| source(path)).collect()
}

/// The good files, and those of the bad ones that sheets name.
fn course() -> Course {
    let mut sources = folder("tests/corpus/assignments");
    let named = |source: &Arc<Source>| {
        source.name.starts_with("sheet-") || source.name == "bad-problem.toml"
    };
    sources.extend(folder("tests/corpus/errors").into_iter().filter(named));
    let (course, findings) = Course::new(sources);
    assert!(findings.is_empty(), "{findings:?}");
    course
}

fn told(outcome: &Outcome) -> String {
    let sources: Vec<&Source> = outcome.sources.iter().map(|source| &**source).collect();
    render(&outcome.findings, &sources, false)
}

#[test]
fn each_error_is_told() {
    let course = course();
    insta::with_settings!({ snapshot_path => "../corpus/errors/told", prepend_module_to_snapshot => false }, {
        corpus::each("errors", "toml", |path| {
            let outcome = assignment::read(&source(path), &course);
            assert!(outcome.sheet.is_none(), "{} is taken", path.display());
            insta::assert_snapshot!(told(&outcome));
        });
    });
}

#[test]
fn each_error_says_what_to_do_or_what_is_expected() {
    let course = course();
    for source in folder("tests/corpus/errors") {
        for finding in assignment::read(&source, &course).findings {
            let message = &finding.message;
            assert!(!message.ends_with('.'), "{}: {message}", source.name);
            let first = message.chars().next().unwrap();
            assert!(!first.is_uppercase(), "{}: {message}", source.name);
        }
    }
}

#[test]
fn good_files_are_taken() {
    let course = course();
    for source in folder("tests/corpus/assignments") {
        let outcome = assignment::read(&source, &course);
        assert!(outcome.sheet.is_some(), "{}", told(&outcome));
        assert!(outcome.findings.is_empty(), "{}", told(&outcome));
    }
}

#[test]
fn a_file_too_large_is_refused_by_its_size() {
    let source = Source {
        name: "big.toml".into(),
        text: "#".repeat(100 << 20),
    };
    let outcome = assignment::read(&Arc::new(source), &Course::default());
    assert!(outcome.sheet.is_none());
    assert!(
        told(&outcome).contains("104857600 bytes"),
        "{}",
        told(&outcome)
    );
}

#[test]
fn hostile_files_end_in_few_words() {
    let nested = format!("a = {}{}", "[".repeat(10_000), "]".repeat(10_000));
    let tables = format!("a = {}1{}", "{a=".repeat(10_000), "}".repeat(10_000));
    let headers = "[".repeat(100_000);
    let garbage = "!\n".repeat(100_000);
    let dots = format!("{}b = 1", "a.".repeat(100_000));
    let keys: String = (0..50_000).map(|at| format!("k{at} = 1\n")).collect();
    let brackets = format!(
        "title = \"t\"\ncode = \"t\"\n[equation]\ne = \"{}1{} = 2\"\n[[part]]\nid = \"a\"\nask = \"?\"\neye = [\"x\"]\n",
        "(".repeat(10_000),
        ")".repeat(10_000)
    );
    for text in [nested, tables, headers, garbage, dots, keys, brackets] {
        let start: String = text.chars().take(20).collect();
        let source = Arc::new(Source {
            name: "hostile.toml".into(),
            text,
        });
        let outcome = assignment::read(&source, &Course::default());
        assert!(outcome.sheet.is_none(), "{start}");
        assert!(!outcome.findings.is_empty(), "{start}");
        assert!(
            outcome.findings.len() <= 102,
            "{start}: {}",
            outcome.findings.len()
        );
        assert!(told(&outcome).len() < 100_000, "{start}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Whatever is cut out of, doubled in or written into a good file, reading ends in a sheet or in
    /// findings that can be drawn.
    #[test]
    fn mangled_files_never_panic(
        at in 0.0..1.0f64,
        length in 0usize..40,
        inserted in "[\\[\\]{}\"'=,.a-z0-9\n\\\\#%θ]{0,6}",
        which in 0usize..6,
    ) {
        let files = folder("tests/corpus/assignments");
        let good = &files[which % files.len()];
        let floor = |at: usize| (0..=at.min(good.text.len())).rev().find(|&at| good.text.is_char_boundary(at)).unwrap();
        let start = floor((at * good.text.len() as f64) as usize);
        let end = floor(start + length).max(start);
        let text = format!("{}{inserted}{}", &good.text[..start], &good.text[end..]);
        let source = Arc::new(Source { name: good.name.clone(), text });
        let outcome = assignment::read(&source, &Course::default());
        prop_assert_eq!(outcome.sheet.is_some(), outcome.findings.is_empty());
        told(&outcome);
    }
}
