//! Papers on paper: what is printed is what was issued, for everyone, and the same bytes each time.
//!
//! Texts are read out of the PDFs with `lopdf`, blanks left out, since where a line ends is no matter here.

mod again;
mod key;
mod layout;
mod letters;
mod numbers;
mod places;
mod slips;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use lopdf::Document;
use paperweight::quantity::Quantity;
use paperweight::text::DecimalMark;

use crate::hands::program::{Run, program, repository, run};

/// A course folder with one assignment and a roster of our own.
pub(crate) struct Course {
    folder: tempfile::TempDir,
    pub(crate) assignment: PathBuf,
    pub(crate) roster: PathBuf,
}

impl Course {
    fn new(assignment: &str, roster: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for name in ["assignments", "rosters", "out"] {
            fs::create_dir(folder.path().join(name)).unwrap();
        }
        let path = folder.path().join("assignments/own.toml");
        fs::write(&path, assignment).unwrap();
        let file = folder.path().join("rosters/class.csv");
        fs::write(&file, roster).unwrap();
        Self {
            folder,
            assignment: path,
            roster: file,
        }
    }

    pub(crate) fn of(code: &str, roster: &str) -> Self {
        let course = Self::new("", roster);
        fs::remove_file(&course.assignment).unwrap();
        for entry in fs::read_dir(repository().join("assignments")).unwrap() {
            let entry = entry.unwrap();
            let to = course
                .folder
                .path()
                .join("assignments")
                .join(entry.file_name());
            // The shelf's folders by topic are not needed here.
            if entry.file_type().unwrap().is_file() {
                fs::copy(entry.path(), to).unwrap();
            }
        }
        Self {
            assignment: course
                .folder
                .path()
                .join(format!("assignments/{code}.toml")),
            ..course
        }
    }

    pub(crate) fn out(&self, name: &str) -> PathBuf {
        self.folder.path().join("out").join(name)
    }

    #[track_caller]
    pub(crate) fn run(&self, command: &str, more: &[&str]) -> Run {
        let out = self.out("");
        let mut program = program();
        program
            .arg(command)
            .arg(&self.assignment)
            .arg("--roster")
            .arg(&self.roster);
        if command != "feedback" {
            program.arg("--out").arg(&out);
        }
        let found = run(program.args(more));
        assert_eq!(found.code, 0, "{command}: {}", found.stderr);
        found
    }

    /// The rows of a table of issued papers, by heading.
    pub(crate) fn issued(&self, name: &str) -> Vec<BTreeMap<String, String>> {
        let mut reader = csv::Reader::from_path(self.out(name)).unwrap();
        reader.deserialize().map(Result::unwrap).collect()
    }
}

/// The text of each page, without blanks.
pub(crate) fn pages(file: &Path) -> Vec<String> {
    let document = Document::load(file).unwrap();
    let numbers = document.get_pages().into_keys();
    numbers
        .map(|page| squeezed(&document.extract_text(&[page]).unwrap()))
        .collect()
}

pub(crate) fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// The pages of each paper, joined, by the code that stands on each of its pages.
fn papers(file: &Path, codes: impl IntoIterator<Item = String>) -> Vec<(String, String)> {
    let pages = pages(file);
    let codes: Vec<String> = codes.into_iter().collect();
    for page in &pages {
        let found = codes.iter().filter(|code| page.contains(*code)).count();
        assert_eq!(found, 1, "one code a page: {page}");
    }
    let of = |code: String| {
        let own = pages.iter().filter(|page| page.contains(&code));
        let own: String = own.cloned().collect();
        assert!(own.matches(&code).count() >= 2, "{code} stands there twice");
        (code, own)
    };
    codes.into_iter().map(of).collect()
}

fn printed(value: &str, mark: DecimalMark) -> String {
    Quantity::parse(value).unwrap().printed(mark)
}

const PROBLEM: &str = "title = \"A push\"\ncode = \"push-1\"\nseed = 5\ntext = \"A cart of {m} is pushed with {F}.\"\n\
    [given]\nm = { from = \"1.0 kg\", to = \"1000.0 kg\", step = \"0.5 kg\" }\nF = { from = \"5.0 N\", to = \"90.0 N\", step = \"0.5 N\" }\n\
    [find]\na = \"m/s^2\"\n[equation]\nnewton = \"F = m*a\"\n\
    [[part]]\nid = \"a\"\nask = \"Find the acceleration.\"\nanswer = \"a\"\npoints = 3\n\
    [[part]]\nid = \"b\"\nask = \"Draw the forces.\"\neye = [\"the push\", \"the weight\"]\n";

/// A figure of one word and one number, to be read back out of a PDF.
const FIGURE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 210 60\">\
     <desc>A cart of {m}.</desc><text x=\"9\" y=\"30\" font-size=\"12\">cart {m}</text></svg>";

fn with_figure(roster: &str) -> (Course, PathBuf) {
    let with = PROBLEM.replace("[given]", "figure = \"own.svg\"\n[given]");
    let course = Course::new(&with, roster);
    let figure = course.folder.path().join("assignments/own.svg");
    fs::write(&figure, FIGURE).unwrap();
    (course, figure)
}
