//! The contributor's guide against the tree: the files it names are there, and its table of modules is that of
//! `lib.rs`.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn guide() -> String {
    fs::read_to_string(root().join("DEVELOPERS.md")).unwrap()
}

/// Every file and folder of the repository, by its path from there; nothing that is built.
fn tree(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path: PathBuf = entry.unwrap().path();
        if path.ends_with(".git") || path == root().join("target") {
            continue;
        }
        let from = path.strip_prefix(root()).unwrap();
        found.push(from.to_string_lossy().replace('\\', "/"));
        if path.is_dir() {
            tree(&path, found);
        }
    }
}

/// What stands between backquotes and is the path of a file: `record/act.rs`, `src/tui`, `sniff.rs`.
fn named(guide: &str) -> BTreeSet<&str> {
    let fenced = guide.split("```").step_by(2);
    let quoted = fenced.flat_map(|text| text.split('`').skip(1).step_by(2));
    let is_path = |text: &&str| {
        let plain = |c: char| c.is_ascii_alphanumeric() || "-_./".contains(c);
        let endings = [".rs", ".py", ".md", ".toml", ".typ", ".csv", ".yaml", ".sh"];
        let is_file = endings.iter().any(|ending| text.ends_with(ending));
        let begins = ["src/", "tests/", "assets/", ".ci/"]
            .iter()
            .any(|begin| text.starts_with(begin));
        text.chars().all(plain) && (is_file || begins)
    };
    quoted.filter(is_path).collect()
}

/// A file that a teacher makes, and a word that stands for any of several.
const NONE_OF_OURS: [&str; 2] = ["course.toml", "tests/fuzz/corpus/TARGET"];

#[test]
fn the_guide_names_files_that_are_there() {
    let mut tree_of = Vec::new();
    tree(root(), &mut tree_of);
    let guide = guide();
    let named = named(&guide);
    assert!(named.len() > 60, "{}", named.len());
    let is_there = |name: &str| {
        let is_it = |path: &String| path == name || path.ends_with(&format!("/{name}"));
        tree_of.iter().any(is_it)
    };
    let gone = named
        .iter()
        .filter(|name| !NONE_OF_OURS.contains(name) && !is_there(name));
    assert_eq!(gone.collect::<Vec<_>>(), [] as [&&str; 0]);
}

#[test]
fn the_guide_has_the_modules_in_their_order() {
    let library = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let declared = library
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod "));
    let mut declared: Vec<&str> = declared.map(|name| name.trim_end_matches(';')).collect();
    let guide = guide();
    let (_, table) = guide.split_once("| module | in | out |").unwrap();
    let (table, _) = table.split_once("\n\n").unwrap();
    let first = table
        .lines()
        .filter_map(|line| line.strip_prefix("| ")?.split_once(" |"));
    let mut told: Vec<&str> = first
        .flat_map(|(cell, _)| cell.split('`').skip(1).step_by(2))
        .collect();
    declared.sort_unstable();
    told.sort_unstable();
    assert_eq!(told, declared);
}
