//! Who may be meant by rows of nobody, and why.
//!
//! In go the gradebook, the students without a row, and who is known. Out come pairs of a student and a
//! row, to be shown to a teacher; nothing is linked here. Ids that lost their zeros or became numbers like
//! 1.23E+15 are what spreadsheet programs leave behind; names are compared without capitals and accents,
//! in any order.

use rustc_hash::FxHashMap;
use unicode_normalization::UnicodeNormalization as _;

use crate::text::{folded, words};

use super::plan::{Who, id_of};
use super::{Entry, Gradebook, Likeness, Near};

/// Pairs that are told at most; more of them are a wrong column.
const MOST: usize = 1000;

/// Words that may differ by a letter are compared one with each other, so at most so many times.
const COMPARED: usize = 2_000_000;

/// From so many letters on one may be another.
const FORGIVING: usize = 4;

/// Students without a row, by what they may be found under.
struct Sought<'a> {
    entries: &'a [Entry<'a>],
    without: &'a [usize],
    /// By their ids without what programs change about ids.
    plain: FxHashMap<String, Vec<usize>>,
    /// The words of their names, with the student.
    names: Vec<(usize, Vec<String>)>,
    /// Places in `names` by the longest word.
    by_word: FxHashMap<String, Vec<usize>>,
}

/// Finds the pairs, in the order of the file.
pub(super) fn find(
    gradebook: &Gradebook<'_>,
    entries: &[Entry<'_>],
    without: &[usize],
    who: &Who<'_>,
) -> Vec<Near> {
    let sought = Sought::new(entries, without);
    let mut list = Vec::new();
    let (mut scan, mut cells) = (gradebook.body.clone(), Vec::new());
    let mut compared = 0;
    while let Ok(Some(row)) = scan.next(&mut cells)
        && list.len() < MOST
    {
        let texts = cells
            .iter()
            .map(|cell| gradebook.cut.text(gradebook.bytes, cell));
        let texts: Vec<_> = texts.map(Result::unwrap_or_default).collect();
        let Some((id, _)) = texts.get(gradebook.id).map(|cell| id_of(cell)) else {
            continue;
        };
        if id.is_empty() || id == gradebook.heading[gradebook.id] || who.is(id).is_some() {
            continue;
        }
        let others = texts.iter().enumerate();
        let others = others.filter(|(at, _)| ![gradebook.id, gradebook.column].contains(at));
        let others: Vec<&str> = others.map(|(_, text)| text.as_ref()).collect();
        let mut found = sought.by_id(id);
        if found.is_empty() {
            found = sought.by_name(&others, &mut compared);
        }
        let row_words: Vec<String> = others.iter().map(|cell| folded(cell)).collect();
        let row_words: Vec<&str> = row_words.iter().flat_map(|cell| words(cell)).collect();
        list.extend(found.into_iter().map(|(student, likeness)| Near {
            student,
            line: row.line,
            cell: id.to_owned(),
            likeness,
            is_only: true,
            is_other_name: is_other_name(entries[student].name, &row_words),
        }));
    }
    // whom the rows that were not looked at are like is not known
    let is_cut = list.len() >= MOST;
    let (mut students, mut rows) = (FxHashMap::default(), FxHashMap::default());
    for near in &list {
        *students.entry(near.student).or_insert(0_usize) += 1;
        *rows.entry(near.cell.clone()).or_insert(0_usize) += 1;
    }
    for near in &mut list {
        near.is_only = !is_cut
            && !near.is_other_name
            && students.get(&near.student) == Some(&1)
            && rows.get(&near.cell) == Some(&1);
    }
    list
}

impl<'a> Sought<'a> {
    fn new(entries: &'a [Entry<'a>], without: &'a [usize]) -> Self {
        let mut sought = Self {
            entries,
            without,
            plain: FxHashMap::default(),
            names: Vec::new(),
            by_word: FxHashMap::default(),
        };
        for &student in without {
            let entry = &entries[student];
            sought
                .plain
                .entry(plain(entry.id))
                .or_default()
                .push(student);
            let name = folded(entry.name);
            let words: Vec<String> = words(&name).map(str::to_owned).collect();
            if let Some(longest) = words.iter().max_by_key(|word| word.len()) {
                let place = sought.names.len();
                sought
                    .by_word
                    .entry(longest.clone())
                    .or_default()
                    .push(place);
                sought.names.push((student, words));
            }
        }
        sought
    }

    fn by_id(&self, cell: &str) -> Vec<(usize, Likeness)> {
        if let Some(digits) = leading_digits(cell) {
            let rounded = self.without.iter().filter(|student| {
                let id = self.entries[**student].id.trim_start_matches('0');
                is_rounded(id, &digits)
            });
            return rounded
                .map(|student| (*student, Likeness::Rounded))
                .collect();
        }
        let alike = self.plain.get(&plain(cell)).map_or(&[][..], Vec::as_slice);
        let told = alike.iter().map(|student| {
            let id = self.entries[*student].id;
            let is_zeros = id.trim_start_matches('0') == cell.trim_start_matches('0');
            let likeness = if is_zeros {
                Likeness::Zeros
            } else {
                Likeness::Spelling
            };
            (*student, likeness)
        });
        told.collect()
    }

    fn by_name(&self, cells: &[&str], compared: &mut usize) -> Vec<(usize, Likeness)> {
        let text: Vec<String> = cells.iter().map(|cell| folded(cell)).collect();
        // Each word once: a cell may hold a text of any length.
        let mut there: Vec<&str> = text.iter().flat_map(|cell| words(cell)).collect();
        there.sort_unstable();
        there.dedup();
        let is_there = |word: &String| there.binary_search(&word.as_str()).is_ok();
        let candidates = there
            .iter()
            .filter_map(|word| self.by_word.get(*word))
            .flatten();
        let mut found: Vec<usize> = candidates
            .map(|place| &self.names[*place])
            .filter(|(_, name)| name.iter().all(is_there))
            .map(|(student, _)| *student)
            .collect();
        found.sort_unstable();
        found.dedup();
        if !found.is_empty() {
            return found
                .into_iter()
                .map(|student| (student, Likeness::Name))
                .collect();
        }
        *compared = compared.saturating_add(self.names.len().saturating_mul(there.len()));
        if *compared > COMPARED {
            return Vec::new();
        }
        let nearly = self.names.iter().filter(|(_, name)| {
            let is_there = |word: &String| there.iter().any(|other| is_near(word, other));
            name.len() > 1 && name.iter().all(is_there)
        });
        nearly
            .map(|(student, _)| (*student, Likeness::NearlyName))
            .collect()
    }
}

/// Whether words stand in a row and not all of a name, each but for a letter, is among them. A single letter
/// is a section or an initial, and no word.
fn is_other_name(name: &str, row: &[&str]) -> bool {
    let is_word = |word: &&&str| word.chars().filter(|c| c.is_alphabetic()).count() > 1;
    let name = folded(name);
    let mut own = words(&name).peekable();
    own.peek().is_some()
        && row.iter().any(|word| is_word(&word))
        && !own.all(|word| row.iter().any(|other| is_near(word, other)))
}

/// An id without zeros before it, an apostrophe, capitals, blanks, dashes, full width, and `.0` or `,0` behind
/// it.
fn plain(id: &str) -> String {
    let id = id.trim_start_matches('\'');
    let fraction = id.rfind(['.', ',']).filter(|at| {
        let behind = &id[at + 1..];
        !behind.is_empty() && behind.bytes().all(|byte| byte == b'0')
    });
    let id = fraction.map_or(id, |at| &id[..at]);
    let letters = id.nfkc().filter(|c| c.is_alphanumeric());
    let letters: String = letters.flat_map(char::to_lowercase).collect();
    letters.trim_start_matches('0').to_owned()
}

/// A number like `1.23E+15` or `1,23e15`: its digits, and how many stand before the point when it is
/// written out.
fn leading_digits(cell: &str) -> Option<(String, usize)> {
    let (size, exponent) = cell.split_once(['E', 'e'])?;
    let exponent: usize = exponent
        .strip_prefix('+')
        .unwrap_or(exponent)
        .parse()
        .ok()?;
    let (whole, fraction) = size.split_once(['.', ',']).unwrap_or((size, ""));
    let is_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let is_number = whole.len() == 1 && is_digits(whole) && is_digits(fraction);
    Some((format!("{whole}{fraction}"), exponent.checked_add(1)?)).filter(|_| is_number)
}

/// Whether an id of digits, rounded, begins with these digits and has so many.
fn is_rounded(id: &str, (digits, length): &(String, usize)) -> bool {
    if id.len() != *length
        || !id.bytes().all(|byte| byte.is_ascii_digit())
        || digits.len() > id.len()
    {
        return false;
    }
    if id.starts_with(digits.as_str()) {
        return true;
    }
    let (Ok(kept), Ok(shown)) = (id[..digits.len()].parse::<u128>(), digits.parse::<u128>()) else {
        return false;
    };
    kept.checked_add(1) == Some(shown)
        && id
            .as_bytes()
            .get(digits.len())
            .is_some_and(|next| *next >= b'5')
}

/// Whether two words are the same but for a letter.
fn is_near(one: &str, other: &str) -> bool {
    let (length, other_length) = (one.chars().count(), other.chars().count());
    // The lengths first, for comparing takes time and memory by their product.
    let may = length.min(other_length) >= FORGIVING && length.abs_diff(other_length) <= 1;
    one == other || may && strsim::damerau_levenshtein(one, other) <= 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_without_what_programs_change() {
        for (cell, expected) in [
            ("004071", "4071"),
            ("'004071", "4071"),
            ("4071.0", "4071"),
            ("4071,00", "4071"),
            ("AB-12 3", "ab123"),
            ("0", ""),
            ("4.5", "45"),
        ] {
            assert_eq!(plain(cell), expected, "{cell}");
        }
    }

    #[test]
    fn rounded_ids() {
        let fits =
            |id: &str, cell: &str| leading_digits(cell).is_some_and(|shown| is_rounded(id, &shown));
        assert!(fits("1230000000000417", "1.23E+15"));
        assert!(fits("1234567890123456", "1,23457E+15"));
        assert!(fits("1234567890123456", "1.23456E+15"));
        assert!(!fits("1234567890123456", "1.23458E+15"));
        assert!(!fits("123000000000041", "1.23E+15"));
        assert!(!fits("1230000000000417", "1.24E+15"));
        let most = u128::MAX.to_string();
        let shown = format!("{}.{}E+{}", &most[..1], &most[1..], most.len() - 1);
        assert!(!fits(&"9".repeat(most.len()), &shown));
        assert!(!fits(&format!("{}4", &most[..most.len() - 1]), &shown));
        for cell in [
            "12.3E+14",
            "E5",
            "1.2E-3",
            "1.2",
            "AE12",
            "1E",
            "1E18446744073709551615",
        ] {
            assert_eq!(leading_digits(cell), None, "{cell}");
        }
    }
}
