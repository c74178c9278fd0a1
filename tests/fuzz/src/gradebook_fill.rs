//! Someone else's gradebook, and marks to put into it.
//!
//! Held: it is filled or refused with an error; the program's own check agrees, and so does one of our own: but for the
//! cells of students, rows, cells, breaks and byte order mark are the same byte for byte; those cells
//! hold what they shall; filled again, nothing changes.

use std::borrow::Cow;

use paperweight::gradebook::fill::{Changes, Entry, Gradebook, Links, Wanted, check, filled, plan};
use paperweight::table::cells::{Cut, Scan};
use paperweight::table::encoding::{Encoded, marked};
use paperweight::text::DecimalMark;

use super::csv_in::{declared, file};
use super::feed::Feed;
use super::told::{self, has_errors};

/// The class: ids as schools have them, and names.
const CLASS: [(&str, &str); 5] = [
    ("0101", "Ada Brandt"),
    ("0102", "Bo Ek"),
    ("S7", "Zoë D’Ambrisi"),
    ("00310", "Li Wei"),
    ("a b", "欧阳晓岚"),
];

const TEXTS: [&str; 10] = [
    "13", "12.5", "0", "", "7,25", " 3 ", "absent", "=1+1", "a\"b", "é\n;,",
];

pub fn run(bytes: &[u8]) {
    let mut feed = Feed::new(bytes);
    let said = feed.byte();
    let texts: Vec<&str> = CLASS.iter().map(|_| feed.pick(&TEXTS)).collect();
    let declared = declared(&mut feed);
    let file = file(&mut feed, &declared);
    let mark = if said & 1 == 0 {
        DecimalMark::Point
    } else {
        DecimalMark::Comma
    };
    let wanted = Wanted {
        id_column: (said & 2 == 2).then_some("id"),
        columns: if said & 4 == 4 {
            &["#2"]
        } else {
            &["ropes-1", "mark"]
        },
        declared,
    };
    let entries: Vec<Entry<'_>> = CLASS
        .iter()
        .zip(&texts)
        .map(|((id, name), text)| Entry {
            id,
            name,
            text: (said & 8 == 0 || !text.is_empty()).then_some(text),
            ours: (said & 16 == 16).then_some("13"),
        })
        .collect();
    let mut links = Links::default();
    if said & 32 == 32 {
        links.insert("7".to_owned(), "S7".to_owned());
    }
    let is_student = |id: &str| CLASS.iter().any(|(known, _)| *known == id);
    let all = |file: &[u8]| -> Option<(Vec<u8>, Changes)> {
        let refused = |errors: &[_]| {
            assert!(has_errors(errors), "a refusal without an error");
            told::findings(errors, &[]);
        };
        let found = Gradebook::find(file, "g.csv", &wanted, &is_student);
        let gradebook = found.map_err(|errors| refused(&errors)).ok()?;
        told::findings(gradebook.notes(), &[]);
        let plan = plan(&gradebook, &entries, &links, mark);
        let plan = plan.map_err(|errors| refused(&errors)).ok()?;
        told::findings(&plan.notes, &[]);
        let after = filled(&gradebook, &plan.changes);
        let after = after.map_err(|errors| refused(&errors)).ok()?;
        check(&gradebook, &after, &plan.changes).unwrap();
        Some((after, plan))
    };
    let Some((after, plan)) = all(&file) else {
        return;
    };
    if plan.changes.is_empty() {
        assert!(after == file);
    }
    for change in &plan.changes {
        assert_eq!(Some(change.new.as_str()), entries[change.student].text);
        assert_ne!(change.old, change.new);
    }
    compare(&file, &after, &plan, &wanted);
    let (twice, again) = all(&after).expect("a file that was filled can be filled");
    assert!(again.changes.is_empty(), "{:?}", again.changes);
    assert!(twice == after);
}

/// Takes both files apart, whatever separates their cells, and holds them against each other.
fn compare(before: &[u8], after: &[u8], plan: &Changes, wanted: &Wanted<'_>) {
    let encoding = wanted.declared.encoding;
    let encoded = marked(before).or(encoding.map(|encoding| Encoded { encoding, mark: 0 }));
    let encoded = encoded.unwrap_or(Encoded {
        encoding: paperweight::table::encoding::Encoding::Utf8,
        mark: 0,
    });
    // The separator is not told; with the right one exactly the planned cells differ.
    let separators = match wanted.declared.delimiter {
        Some(delimiter) => vec![delimiter],
        None => b",;\t|".to_vec(),
    };
    let fits = separators.into_iter().any(|delimiter| {
        let cut = Cut { encoded, delimiter };
        differing(before, after, cut).is_some_and(|differing| {
            let planned = plan
                .changes
                .iter()
                .map(|change| (change.line, change.new.as_str()));
            differing
                .iter()
                .map(|(line, new)| (*line, &**new))
                .eq(planned)
        })
    });
    assert!(fits, "{:?}", plan.changes);
}

/// The line and the new text of each cell that differs; nothing where more than cells does.
fn differing<'a>(before: &[u8], after: &'a [u8], cut: Cut) -> Option<Vec<(u64, Cow<'a, str>)>> {
    let (mut old, mut new) = (Scan::new(before, cut), Scan::new(after, cut));
    let (mut old_cells, mut new_cells) = (Vec::new(), Vec::new());
    let mut found = Vec::new();
    loop {
        let (old_row, new_row) = (
            old.next(&mut old_cells).ok()?,
            new.next(&mut new_cells).ok()?,
        );
        let (old_row, new_row) = match (old_row, new_row) {
            (None, None) => return Some(found),
            (Some(old), Some(new)) if old_cells.len() == new_cells.len() => (old, new),
            _ => return None,
        };
        if before[old_row.bytes.end..old_row.next] != after[new_row.bytes.end..new_row.next] {
            return None;
        }
        for (one, other) in old_cells.iter().zip(&new_cells) {
            if before[one.bytes.clone()] != after[other.bytes.clone()] {
                found.push((old_row.line, cut.text(after, other).ok()?));
            }
        }
    }
}
