//! A roster as this program writes it: plain CSV with fixed columns, one file a class.
//!
//! In go students, out come the bytes of a file which every other command reads without a word, and which a
//! spreadsheet program takes without running any of it. Refused: an id that would start a formula, since ids
//! have to stay as they are.

use crate::diagnostic::{Diagnostic, Place};
use crate::gradebook::marks::{self, push_cells};
use crate::gradebook::spreadsheet::disarmed;
use crate::roster::{PrintSize, Roster, SOURCED_HEADINGS};
use crate::text::{DecimalMark, QUOTED, excerpt};

/// Columns before those of OneRoster ids.
const COLUMNS: [&str; 5] = ["id", "name", "section", "decimal_mark", "print_size"];

/// A student on a roster of ours.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::workflow) struct OwnStudent {
    pub(in crate::workflow) id: String,
    pub(in crate::workflow) name: String,
    pub(in crate::workflow) section: String,
    pub(in crate::workflow) decimal: Option<DecimalMark>,
    pub(in crate::workflow) print: Option<PrintSize>,
    pub(in crate::workflow) sourced_id: String,
}

/// A roster of ours.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::workflow) struct OwnRoster {
    /// What the class is called; its file is named after it.
    pub(in crate::workflow) title: String,
    /// A short name of the class; may be empty.
    pub(in crate::workflow) code: String,
    pub(in crate::workflow) students: Vec<OwnStudent>,
    /// The ids of class and school in the school's system; empty where there are none.
    pub(in crate::workflow) class: String,
    pub(in crate::workflow) school: String,
    pub(in crate::workflow) sessions: Vec<String>,
}

impl OwnRoster {
    /// Takes what the teacher wrote into a roster of ours before: decimal marks and sizes of print.
    pub(in crate::workflow) fn keep(&mut self, old: &Roster) {
        for student in &mut self.students {
            let known = old.find(&student.id).and_then(|place| old.get(place));
            if let Some(known) = known {
                student.decimal = known.decimal;
                student.print = known.print;
            }
        }
    }

    /// The file.
    ///
    /// # Errors
    /// Ids that would start a formula; `source` is the file they come from.
    pub(in crate::workflow) fn bytes(&self, source: &str) -> Result<Vec<u8>, Vec<Diagnostic>> {
        let sessions = self.sessions.join(",");
        let ids = self
            .students
            .iter()
            .flat_map(|student| [&student.id, &student.sourced_id]);
        let ids = ids.chain([&self.class, &self.school, &sessions]);
        let faults: Vec<_> = ids
            .filter(|id| disarmed(id) != ***id)
            .map(|id| unsafe_id(source, id))
            .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        let mut out = Vec::new();
        push_cells(heading(), &mut out);
        for student in &self.students {
            let print = student.print.map(|size| size.points().to_string());
            let cells = [
                student.id.as_str(),
                &student.name,
                &student.section,
                student.decimal.map_or("", DecimalMark::name),
                print.as_deref().unwrap_or(""),
                &student.sourced_id,
                &self.class,
                &self.school,
                &sessions,
            ];
            push_cells(cells, &mut out);
        }
        Ok(out)
    }
}

/// Whether a file that begins with this line (break or not) is a roster of ours.
pub(in crate::workflow) fn is_ours(line: &[u8]) -> bool {
    marks::is_line(heading(), line)
}

/// The name of a class's file, without the ending: its letters and digits in lower case, a dash for what is
/// between them.
pub(in crate::workflow) fn stem(title: &str) -> String {
    let lower = title.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let stem = words.join("-");
    if stem.len() <= LONGEST_STEM && !RESERVED.contains(&stem.as_str()) {
        return stem;
    }
    // What tells long titles apart may stand at their end.
    let digest = blake3::hash(title.as_bytes()).to_hex();
    let mut end = stem.len().min(LONGEST_STEM);
    while !stem.is_char_boundary(end) {
        end -= 1;
    }
    format!("{}-{}", &stem[..end], &digest[..6])
}

/// Bytes that the name of a class's file may have; file systems take 255, and names of folders are made of it.
const LONGEST_STEM: usize = 80;

/// Names that are no files' on Windows.
const RESERVED: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

fn heading() -> [&'static str; 9] {
    let [a, b, c, d, e] = COLUMNS;
    let [f, g, h, i] = SOURCED_HEADINGS;
    [a, b, c, d, e, f, g, h, i]
}

fn unsafe_id(file: &str, id: &str) -> Diagnostic {
    let message = format!(
        "a spreadsheet program would take the id '{}' as a formula",
        excerpt(id, QUOTED)
    );
    Diagnostic::error(file, Place::File, message)
        .help("ask for another id in the school's system; it cannot be kept as it is")
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;
    use crate::roster::RosterColumns;

    #[test]
    fn what_is_written_is_read_back() {
        let student = |id: &str, name: &str, decimal, print| OwnStudent {
            id: id.into(),
            name: name.into(),
            decimal,
            print,
            sourced_id: format!("p-{id}"),
            ..OwnStudent::default()
        };
        let mut roster = OwnRoster {
            title: "Physics 11 (A)".into(),
            students: vec![
                student("007", "Ada, \"B\"\nC", Some(DecimalMark::Comma), None),
                student("-3.5", "=1+1", None, Some(PrintSize::Large)),
            ],
            class: "c-1".into(),
            school: "s-1".into(),
            sessions: vec!["t-1".into(), "t-2".into()],
            ..OwnRoster::default()
        };
        let bytes = roster.bytes("x").unwrap();
        assert!(is_ours(
            bytes.split_inclusive(|byte| *byte == b'\n').next().unwrap()
        ));
        let declared = RosterColumns::default();
        let (back, notes) = Roster::read(Cursor::new(&bytes), "r.csv", &declared).unwrap();
        assert!(notes.is_empty(), "{notes:?}");
        let names: Vec<_> = back
            .iter()
            .map(|student| (student.id, student.name))
            .collect();
        assert_eq!(names, [("007", "Ada, \"B\"\nC"), ("-3.5", "'=1+1")]);
        let sourced = back.sourced().unwrap();
        assert_eq!(
            (sourced.student(1), sourced.classes()),
            ("p--3.5", &["c-1".to_owned()][..])
        );
        assert_eq!(sourced.sessions(), ["t-1", "t-2"]);
        let mut fresh = roster.clone();
        for student in &mut fresh.students {
            (student.decimal, student.print) = (None, None);
        }
        fresh.keep(&back);
        assert_eq!(fresh, roster);
        roster.students[0].id = "=7".into();
        assert_eq!(roster.bytes("x").unwrap_err().len(), 1);
    }

    #[test]
    fn files_are_named_after_classes() {
        assert_eq!(stem("Physics 11 (A)/2"), "physics-11-a-2");
        assert_eq!(stem("../../etc"), "etc");
        assert_eq!(stem("Fünfte Klasse"), "fünfte-klasse");
        assert_eq!(stem("???"), "");
    }
}
