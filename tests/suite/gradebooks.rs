//! Gradebooks as schools have them: filled byte for byte as they must be, or refused with a reason, and that
//! no file of any form is changed anywhere but in the cells that are filled.
//!
//! `tests/corpus/gradebooks` is written by `tests/scripts/gradebooks.py`: NAME.csv, what is said on the
//! command line in NAME.said, and what must come out in NAME.filled. What a teacher is told is in `told`.
//! `tests/published/csv-spectrum` has the files of others.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use paperweight::diagnostic::{Diagnostic, render};
use paperweight::gradebook::fill::{
    self, Changes, Entry, Gradebook, Links, Wanted, check, filled, plan,
};
use paperweight::table::Declared;
use paperweight::table::cells::{Cut, Scan};
use paperweight::table::encoding::{Encoded, Encoding};
use paperweight::text::DecimalMark;
use proptest::prelude::*;

use crate::csv_in::has_errors;
use crate::hands::corpus;

/// The class: id, name, mark. The fourth is absent.
const CLASS: [(&str, &str, &str); 6] = [
    ("0101", "Ada Brandt", "13"),
    ("0102", "Bo Ek", "12.5"),
    ("0103", "Zoë D’Ambrisi", "0"),
    ("0204", "Ana Kovačić", ""),
    ("0205", "欧阳晓岚", "7.25"),
    ("00310", "Li Wei", "11"),
];

/// What is said on the command line, a word and its value a line.
#[derive(Default)]
struct Said {
    lines: Vec<(String, String)>,
}

impl Said {
    fn read(path: &Path) -> Self {
        let text = fs::read_to_string(path.with_extension("said")).unwrap_or_default();
        let lines = text.lines().map(|line| line.split_once(' ').unwrap());
        let lines = lines.map(|(word, value)| (word.to_owned(), value.to_owned()));
        Self {
            lines: lines.collect(),
        }
    }

    fn get(&self, word: &str) -> Option<&str> {
        let found = self.lines.iter().find(|(known, _)| known == word)?;
        Some(&found.1)
    }
}

struct Filled {
    plan: Changes,
    notes: Vec<Diagnostic>,
    bytes: Vec<u8>,
}

fn fill(bytes: &[u8], said: &Said) -> Result<Filled, Vec<Diagnostic>> {
    let columns = ["ropes-1", "Moon and star above the stage"];
    let told = said.get("column").map(|column| [column]);
    let encoding = said
        .get("encoding")
        .map(|name| Encoding::named(name).unwrap());
    let wanted = Wanted {
        id_column: said.get("id_column"),
        columns: told.as_ref().map_or(&columns[..], |told| &told[..]),
        declared: Declared {
            heading_row: said.get("heading_row").map(|line| line.parse().unwrap()),
            delimiter: said.get("delimiter").map(|text| text.as_bytes()[0]),
            encoding,
            ..Declared::default()
        },
    };
    let comma = said.get("decimal") == Some("comma");
    let texts = CLASS.map(|(_, _, mark)| match mark {
        "" => said.get("absent").map(str::to_owned),
        mark if comma => Some(mark.replace('.', ",")),
        mark => Some(mark.to_owned()),
    });
    let entries: Vec<Entry<'_>> = CLASS
        .iter()
        .zip(&texts)
        .map(|((id, name, _), text)| Entry {
            id,
            name,
            text: text.as_deref(),
            ours: None,
        })
        .collect();
    let link = said.get("link").and_then(|link| link.split_once('='));
    let links: Links = link
        .map(|(id, cell)| (cell.to_owned(), id.to_owned()))
        .into_iter()
        .collect();
    let decimal = if comma {
        DecimalMark::Comma
    } else {
        DecimalMark::Point
    };
    let is_student = |id: &str| CLASS.iter().any(|(known, ..)| *known == id);
    let gradebook = Gradebook::find(bytes, "grades.csv", &wanted, &is_student)?;
    let plan = plan(&gradebook, &entries, &links, decimal)?;
    let after = filled(&gradebook, &plan.changes)?;
    check(&gradebook, &after, &plan.changes).unwrap();
    Ok(Filled {
        notes: gradebook.notes().to_vec(),
        plan,
        bytes: after,
    })
}

/// What a teacher would be told, and the cells before and after.
fn told(outcome: &Result<Filled, Vec<Diagnostic>>) -> String {
    let found = match outcome {
        Ok(found) => found,
        Err(errors) => {
            assert!(has_errors(errors), "a refusal without an error");
            return render(errors, &[], false);
        }
    };
    let mut out = render(&found.notes, &[], false) + &render(&found.plan.notes, &[], false);
    for change in &found.plan.changes {
        let _ = writeln!(
            out,
            "line {}, {}: {:?} -> {:?}{}",
            change.line,
            CLASS[change.student].0,
            change.old,
            change.new,
            if change.overwrites() {
                "  overwrites"
            } else {
                ""
            }
        );
    }
    let plan = &found.plan;
    let id = |at: &usize| CLASS[*at].0;
    let without: Vec<&str> = plan.without.iter().map(id).collect();
    let _ = writeln!(out, "the same {}, linked {}", plan.same, plan.linked);
    let _ = writeln!(out, "without a row: {}", without.join(" "));
    let _ = writeln!(out, "rows of nobody: {} {:?}", plan.strange, plan.strangers);
    for near in &plan.near {
        let _ = writeln!(
            out,
            "line {}: {:?} like {}, {:?}{}",
            near.line,
            near.cell,
            id(&near.student),
            near.likeness,
            if near.is_only { "" } else { ", not alone" }
        );
    }
    out
}

#[test]
fn awkward_files_are_filled_byte_for_byte_or_refused() {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_snapshot_path("../corpus/gradebooks/told");
    settings.set_omit_expression(true);
    let mut files = 0;
    settings.bind(|| {
        corpus::each("gradebooks", "csv", |path: &Path| {
            files += 1;
            let bytes = fs::read(path).unwrap();
            let said = Said::read(path);
            let outcome = fill(&bytes, &said);
            let expected = fs::read(path.with_extension("filled"));
            match (&outcome, expected) {
                (Ok(found), Ok(expected)) => {
                    assert!(
                        found.bytes == expected,
                        "{}: {:?}",
                        path.display(),
                        lossy(&found.bytes)
                    );
                    let again = fill(&found.bytes, &said).unwrap();
                    assert!(
                        again.plan.changes.is_empty(),
                        "{}: filled twice",
                        path.display()
                    );
                    assert_eq!(again.bytes, expected);
                }
                (Ok(found), Err(_)) => assert!(found.bytes == bytes, "{}", path.display()),
                (Err(errors), Ok(_)) => panic!("{}: {errors:?}", path.display()),
                (Err(_), Err(_)) => {}
            }
            insta::assert_snapshot!("gradebook", told(&outcome));
        });
    });
    assert!(files >= 60, "{files} files");
}

fn lossy(bytes: &[u8]) -> String {
    String::from_utf8_lossy(&bytes[..bytes.len().min(2000)]).into_owned()
}

/// The one cell that differs between the CSV and the JSON, as the CSV has it; see the README beside them.
const PHONE: &str = "2095257564";

/// Each file of csv-spectrum is taken apart into the cells that its own JSON says, nothing is lost between them,
/// and each cell can be replaced by itself.
#[test]
fn the_files_of_csv_spectrum() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/csv-spectrum");
    let cut = Cut {
        encoded: Encoded {
            encoding: Encoding::Utf8,
            mark: 0,
        },
        delimiter: b',',
    };
    let mut files = 0;
    for entry in fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "csv") {
            continue;
        }
        files += 1;
        let bytes = fs::read(&path).unwrap();
        let expected = fs::read_to_string(path.with_extension("json")).unwrap();
        let expected: serde_json::Value = serde_json::from_str(&expected).unwrap();
        let rows_of = |value: serde_json::Value| match value {
            serde_json::Value::Array(rows) => rows,
            row => vec![row],
        };
        let mut expected = rows_of(expected);
        if path.ends_with("location_coordinates.csv") {
            expected[0]["Contact Phone Number"] = PHONE.into();
        }
        let mut scan = Scan::new(&bytes, cut);
        let (mut cells, mut rows, mut spans) = (Vec::new(), Vec::new(), Vec::new());
        while let Some(row) = scan.next(&mut cells).unwrap() {
            let texts = cells
                .iter()
                .map(|cell| cut.text(&bytes, cell).unwrap().into_owned());
            rows.push(texts.collect::<Vec<_>>());
            spans.extend(cells.iter().cloned());
            assert!(!row.is_odd, "{}", path.display());
        }
        let heading = rows.remove(0);
        let found: Vec<serde_json::Value> = rows
            .iter()
            .map(|row| {
                let cells = row
                    .iter()
                    .map(|cell| serde_json::Value::from(cell.as_str()));
                serde_json::Value::Object(heading.iter().cloned().zip(cells).collect())
            })
            .collect();
        assert_eq!(found, expected, "{}", path.display());
        for span in &spans {
            let new = cut.replaced("7", span.is_quoted).unwrap();
            let changed = [&bytes[..span.bytes.start], &new, &bytes[span.bytes.end..]].concat();
            let mut again = Scan::new(&changed, cut);
            let mut count = 0;
            while let Some(_row) = again.next(&mut cells).unwrap() {
                count += cells.len();
            }
            assert_eq!(count, spans.len(), "{}", path.display());
        }
    }
    assert_eq!(files, 12);
}

/// How a generated file is written.
#[derive(Clone, Debug)]
struct Form {
    encoding: &'static str,
    marked: bool,
    delimiter: u8,
    breaks: Vec<usize>,
    title: bool,
    named: bool,
}

const BREAKS: [&str; 3] = ["\n", "\r\n", "\r"];

fn forms() -> impl Strategy<Value = Form> {
    let encodings = prop::sample::select(vec![
        "utf-8",
        "utf-16le",
        "utf-16be",
        "windows-1252",
        "shift_jis",
        "gb18030",
        "koi8-r",
    ]);
    let delimiters = prop::sample::select(vec![b',', b';', b'\t', b'|']);
    let breaks = prop_oneof![
        Just(vec![0]),
        Just(vec![1]),
        Just(vec![2]),
        prop::collection::vec(0..3usize, 1..5),
    ];
    (
        encodings,
        any::<bool>(),
        delimiters,
        breaks,
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(encoding, marked, delimiter, breaks, title, named)| Form {
            encoding,
            // a file of UTF-16 has a mark, for without one it must be told
            marked: marked && encoding.starts_with("utf"),
            // a bar may be half of a character of several bytes there, and is refused
            delimiter: match encoding {
                "shift_jis" | "gb18030" if delimiter == b'|' => b';',
                _ => delimiter,
            },
            breaks,
            title,
            named,
        })
}

/// A cell: its text, whether it is in quotes.
fn cells() -> impl Strategy<Value = (String, bool)> {
    let texts = prop_oneof![
        "[a-z0-9 =+@.,;|\t-]{0,8}",
        "[\"\r\n,;|\t x]{0,6}",
        any::<String>(),
        Just(String::new()),
        "[äßéЖ表ソ欧|,]{0,4}",
    ];
    (texts, any::<bool>())
}

/// The bytes of a cell as a file of this form has them.
fn raw(text: &str, is_quoted: bool, form: &Form) -> Vec<u8> {
    let encoding = Encoding::named(form.encoding).unwrap();
    let fits = |c: &char| {
        let one = c.to_string();
        let bytes = encoding.encode(&one);
        *c != '\0'
            && bytes.is_some_and(|bytes| encoding.decode(&bytes).is_ok_and(|back| back == one))
    };
    let text: String = text.chars().filter(fits).collect();
    let text = if is_quoted {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        // a quote at the beginning would open a cell in quotes, and a mark there would be one
        let bare = |c: &char| {
            !matches!(c, '"' | '\r' | '\n' | '\u{feff}') && *c != char::from(form.delimiter)
        };
        text.chars().filter(bare).collect()
    };
    encoding.encode(&text).unwrap().into_owned()
}

const MARKS: [&str; 4] = ["13", "0", "7.25", "12"];

proptest! {
    /// Whatever the file: only the cells of students change, byte for byte, and filling again changes nothing.
    #[test]
    fn nothing_but_the_targeted_cells_changes(
        form in forms(),
        rows in prop::collection::vec((prop::option::weighted(0.8, 0..4usize), cells(), cells(), prop::option::of(0..4usize), any::<bool>(), any::<bool>()), 1..12),
    ) {
        let encoding = Encoding::named(form.encoding).unwrap();
        let plain = |text: &str| encoding.encode(text).unwrap().into_owned();
        let delimiter = plain(&char::from(form.delimiter).to_string());
        let mark: &[u8] = match (form.marked, encoding) {
            (true, Encoding::Utf8) => b"\xEF\xBB\xBF",
            (true, Encoding::Utf16Le) => b"\xFF\xFE",
            (true, Encoding::Utf16Be) => b"\xFE\xFF",
            _ => b"",
        };
        let (mut before, mut after) = (mark.to_vec(), mark.to_vec());
        let mut lines = 0;
        let mut push = |cells: &[Vec<u8>], new: Option<(usize, Vec<u8>)>| {
            let end = plain(BREAKS[form.breaks[lines % form.breaks.len()]]);
            lines += 1;
            let (at, new) = new.unwrap_or((usize::MAX, Vec::new()));
            for (place, cell) in cells.iter().enumerate() {
                if place > 0 {
                    before.extend(&delimiter);
                    after.extend(&delimiter);
                }
                before.extend(cell);
                after.extend(if place == at { &new } else { cell });
            }
            before.extend(&end);
            after.extend(&end);
        };
        if form.title {
            push(&[plain("\"a title\n\"")], None);
            push(&[plain("")], None);
        }
        push(&["first", "student id", "x", "mark"].map(&plain), None);
        let mut seen = [false; 4];
        for (student, first, other, old, quoted, loose) in rows {
            let id = student.filter(|student| !std::mem::replace(&mut seen[*student], true));
            // a row of nobody has an id that no student has
            let name = id.map_or("nobody".to_owned(), |id| format!("S{id}"));
            let name = if loose { format!(" {name} ") } else { name };
            let first = raw(&first.0, first.1, &form);
            let other = raw(&other.0, other.1, &form);
            let old = old.map_or("", |old| MARKS[old]);
            let cell = raw(old, quoted, &form);
            let new = id.filter(|id| MARKS[*id] != old).map(|id| (3, raw(MARKS[id], quoted, &form)));
            push(&[first, raw(&name, quoted, &form), other, cell], new);
        }
        let names = ["S0", "S1", "S2", "S3"];
        let entries: Vec<Entry<'_>> = (0..4).map(|at| Entry {
            id: names[at],
            name: "",
            text: Some(MARKS[at]),
            ours: None,
        }).collect();
        let told = encoding != Encoding::Utf8 && !form.marked;
        let wanted = Wanted {
            columns: &["mark"],
            id_column: form.named.then_some("Student ID"),
            declared: Declared {
                encoding: told.then_some(encoding),
                ..Declared::default()
            },
        };
        let fill = |bytes: &[u8]| {
            let gradebook = Gradebook::find(bytes, "g", &wanted, &|id| names.contains(&id));
            let gradebook = gradebook.unwrap_or_else(|found| panic!("{found:?}"));
            let plan = fill::plan(&gradebook, &entries, &Links::default(), DecimalMark::Point);
            let plan = plan.unwrap_or_else(|found| panic!("{found:?}"));
            let filled = filled(&gradebook, &plan.changes).unwrap();
            check(&gradebook, &filled, &plan.changes).unwrap();
            (plan.changes.len(), filled)
        };
        let (_, found) = fill(&before);
        prop_assert!(found == after, "{:?}\n{:?}", lossy(&found), lossy(&after));
        let (changes, again) = fill(&found);
        prop_assert_eq!(changes, 0);
        prop_assert!(again == after);
    }
}
