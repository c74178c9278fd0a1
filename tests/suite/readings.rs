//! The corpus of readings: what is understood of entries as students write them.
//!
//! `tests/corpus/readings/*.txt` hold one entry a line, by theme; the snapshots beside this file
//! are the specification. The first lines say what may stand in an entry:
//!
//! ```text
//! # decimal: comma
//! # constants: g = 9.8 m/s^2, R = 0.25 m
//! # names: a, T1
//! ```
//! An entry between backticks may have blanks at its ends and escapes such as `\n`, `\u{feff}`.

use std::fmt::Write;
use std::path::Path;

use paperweight::answer::{Constant, Context, Reading, Value, describe, read};
use paperweight::quantity::{Numeral, Quantity, unit};
use paperweight::text::{DecimalMark, safe};
use proptest::prelude::*;

use crate::figures::some_numeral;
use crate::hands::corpus;
use crate::units::some_unit;

struct Theme {
    decimal: DecimalMark,
    constants: Vec<(String, Quantity)>,
    names: Vec<String>,
    entries: Vec<String>,
}

impl Theme {
    fn load(path: &Path) -> Self {
        let text = std::fs::read_to_string(path).unwrap();
        let mut theme = Self {
            decimal: DecimalMark::Point,
            constants: Vec::new(),
            names: Vec::new(),
            entries: Vec::new(),
        };
        for line in text.lines() {
            if let Some(mark) = line.strip_prefix("# decimal: ") {
                theme.decimal = match mark {
                    "point" => DecimalMark::Point,
                    "comma" => DecimalMark::Comma,
                    other => panic!("{other}"),
                };
            } else if let Some(list) = line.strip_prefix("# constants: ") {
                for item in list.split(", ") {
                    let (name, value) = item.split_once(" = ").unwrap();
                    theme
                        .constants
                        .push((name.to_owned(), Quantity::parse(value).unwrap()));
                }
            } else if let Some(list) = line.strip_prefix("# names: ") {
                theme.names = list.split(", ").map(str::to_owned).collect();
            } else if !line.starts_with("# ") {
                theme.entries.push(entry(line));
            }
        }
        theme
    }

    fn readings(&self) -> impl Iterator<Item = (&str, Reading)> {
        let constants: Vec<Constant<'_>> = self
            .constants
            .iter()
            .map(|(name, quantity)| Constant {
                name,
                value: quantity.si(),
                unit: quantity.unit,
            })
            .collect();
        let names: Vec<&str> = self.names.iter().map(String::as_str).collect();
        self.entries.iter().map(move |entry| {
            let context = Context {
                decimal: self.decimal,
                constants: &constants,
                names: &names,
            };
            (entry.as_str(), read(entry, &context))
        })
    }
}

impl Theme {
    /// The names that the labels of a reading are.
    fn label(&self, reading: &Reading) -> String {
        let answers = match reading {
            Reading::One(written) => std::slice::from_ref(written),
            Reading::Several(answers) => answers,
            _ => &[],
        };
        let known = answers.iter().filter_map(|answer| answer.notes.label);
        known
            .map(|index| format!(" [{}]", self.names[usize::from(index)]))
            .collect()
    }
}

fn entry(line: &str) -> String {
    let Some(inside) = line
        .strip_prefix('`')
        .and_then(|line| line.strip_suffix('`'))
    else {
        return line.to_owned();
    };
    let mut entry = String::new();
    let mut rest = inside;
    while let Some((before, escape)) = rest.split_once('\\') {
        entry.push_str(before);
        rest = if let Some(after) = escape.strip_prefix('n') {
            entry.push('\n');
            after
        } else if let Some(after) = escape.strip_prefix('r') {
            entry.push('\r');
            after
        } else if let Some(after) = escape.strip_prefix('t') {
            entry.push('\t');
            after
        } else {
            let (code, after) = escape
                .strip_prefix("u{")
                .and_then(|code| code.split_once('}'))
                .unwrap();
            entry.push(char::from_u32(u32::from_str_radix(code, 16).unwrap()).unwrap());
            after
        };
    }
    entry.push_str(rest);
    entry
}

#[test]
fn every_entry_of_the_corpus() {
    corpus::each("readings", "txt", |path| {
        let theme = Theme::load(path);
        let mut shown = String::new();
        for (entry, reading) in theme.readings() {
            let label = theme.label(&reading);
            writeln!(
                shown,
                "{:<28} {}{label}",
                safe(entry),
                describe(entry, &reading)
            )
            .unwrap();
        }
        insta::with_settings!({omit_expression => true, prepend_module_to_snapshot => false}, {
            insta::assert_snapshot!(shown);
        });
    });
}

fn themes(starts: &str) -> Vec<Theme> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/readings");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .collect();
    paths.sort();
    let name = |path: &Path| path.file_name().unwrap().to_string_lossy().into_owned();
    paths
        .iter()
        .filter(|path| name(path).starts_with(starts))
        .map(|path| Theme::load(path))
        .collect()
}

#[test]
fn the_corpus_is_large_and_knows_every_entry_once() {
    let all = themes("");
    let count: usize = all.iter().map(|theme| theme.entries.len()).sum();
    assert!(count >= 400, "{count} entries");
    for theme in &all {
        let mut seen = std::collections::HashSet::new();
        for entry in &theme.entries {
            assert!(seen.insert(entry), "{entry:?} stands twice");
        }
    }
}

#[test]
fn nothing_unreadable_is_read_as_a_number() {
    let mut count = 0;
    for theme in themes("unreadable") {
        for (entry, reading) in theme.readings() {
            assert!(
                matches!(reading, Reading::Unreadable(_)),
                "{entry:?}: {reading:?}"
            );
            count += 1;
        }
    }
    assert!(count >= 80, "{count} entries");
}

#[test]
fn what_is_out_of_all_proportion_is_asked_about_at_once() {
    let context = Context::plain(DecimalMark::Point);
    let long = "9".repeat(100_000_000);
    for entry in [
        long.as_str(),
        &"(".repeat(10_000),
        &"1/".repeat(10_000),
        &"-".repeat(10_000),
    ] {
        let Reading::Unreadable(unreadable) = read(entry, &context) else {
            panic!("{} bytes were read", entry.len())
        };
        assert!(describe(entry, &Reading::Unreadable(unreadable)).len() < 200);
    }
    assert_eq!(read(&" ".repeat(1_000_000), &context), Reading::Blank);
    // Brackets as deep as an entry can hold.
    let deep = format!("{}√2{}", "(".repeat(99), ")".repeat(99));
    assert!(matches!(read(&deep, &context), Reading::Unreadable(_)));
}

/// What a reading says, places in the entry apart.
fn gist(reading: &Reading) -> String {
    let one = |written: &paperweight::answer::Written| {
        let words: Vec<_> = written.notes.words().collect();
        format!(
            "{:?} {:?} {:?} {words:?}",
            written.value, written.unit, written.also
        )
    };
    match reading {
        Reading::Blank => "blank".to_owned(),
        Reading::Unreadable(unreadable) => format!("{:?}", unreadable.why),
        Reading::One(written) => one(written),
        Reading::Several(answers) => answers.iter().map(one).collect(),
    }
}

#[test]
fn blanks_around_an_entry_change_nothing() {
    for theme in themes("") {
        let plain: Vec<String> = theme
            .readings()
            .map(|(_, reading)| gist(&reading))
            .collect();
        for blanks in [" ", "\t", "\u{a0}", "\u{202f}  "] {
            let entries = theme
                .entries
                .iter()
                .map(|entry| format!("{blanks}{entry}{blanks}"));
            let padded = Theme {
                entries: entries.collect(),
                names: theme.names.clone(),
                constants: theme.constants.clone(),
                ..theme
            };
            for ((entry, reading), expected) in padded.readings().zip(&plain) {
                assert_eq!(&gist(&reading), expected, "{entry:?}");
            }
        }
    }
}

/// Text such as stands in answers, and some that does not.
fn some_entry() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        4 => "[0-9]{1,4}", 2 => "[., ']", 1 => "[-+±~=/^()（）√π:;]", 1 => "[a-zA-Zµ°Ω]{1,3}",
        1 => Just("x10^".to_owned()), 1 => Just(" or ".to_owned()), 1 => Just(" m/s^2".to_owned()),
        1 => "[²³⁻٣３，．−\u{200b}\u{a0}…½]", 1 => "sqrt|pi|about|per|squared",
    ];
    proptest::collection::vec(piece, 0..9).prop_map(|pieces| pieces.concat())
}

fn both_marks(entry: &str) -> Vec<Reading> {
    let metre = unit::read("m/s^2").unwrap().unit;
    let constants = [Constant {
        name: "g",
        value: 9.8,
        unit: metre,
    }];
    let names = ["a", "T1"];
    [DecimalMark::Point, DecimalMark::Comma]
        .map(|decimal| {
            read(
                entry,
                &Context {
                    decimal,
                    constants: &constants,
                    names: &names,
                },
            )
        })
        .to_vec()
}

fn all_finite(reading: &Reading) -> bool {
    let finite = |written: &paperweight::answer::Written| {
        let also = written.also.is_none_or(|also| also.value.is_finite());
        also && match written.value {
            Value::Numeral(n) => n.to_f64().is_finite(),
            Value::Ambiguous { thousands, decimal } => {
                thousands.to_f64().is_finite() && decimal.to_f64().is_finite()
            }
            Value::Evaluated(evaluated) => evaluated.value.is_finite(),
        }
    };
    match reading {
        Reading::One(written) => finite(written),
        Reading::Several(answers) => answers.len() > 1 && answers.iter().all(finite),
        _ => true,
    }
}

proptest! {
    #[test]
    fn any_text_gets_a_reading(entry in ".{0,60}") {
        for reading in both_marks(&entry) {
            prop_assert!(all_finite(&reading));
            let told = describe(&entry, &reading);
            prop_assert!(!told.is_empty() && safe(&told) == told, "{told:?}");
        }
    }

    #[test]
    fn text_like_an_answer_gets_a_reading(entry in some_entry()) {
        for reading in both_marks(&entry) {
            prop_assert!(all_finite(&reading), "{}", entry);
            let told = describe(&entry, &reading);
            prop_assert!(!told.is_empty() && safe(&told) == told, "{told:?}");
        }
        let padded = format!("  {entry}\u{a0}");
        for (bare, padded) in both_marks(&entry).iter().zip(both_marks(&padded)) {
            prop_assert_eq!(gist(bare), gist(&padded), "{}", entry);
        }
    }

    /// Digits, points, commas, blanks: either all digits are in the number, in order, or it is
    /// not read as one.
    #[test]
    fn no_digit_is_lost_or_made_up(entry in "-?[0-9]{0,4}([., '][0-9]{0,4}){0,4}") {
        let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
        for reading in both_marks(&entry) {
            if let Reading::One(written) = reading {
                match written.value {
                    Value::Numeral(n) => prop_assert_eq!(digits(&n.to_string()), digits(&entry)),
                    Value::Ambiguous { thousands, decimal } => {
                        prop_assert_eq!(digits(&thousands.to_string()), digits(&entry));
                        prop_assert_eq!(digits(&decimal.to_string()), digits(&entry));
                    }
                    Value::Evaluated(_) => prop_assert!(false, "{}", entry),
                }
            }
        }
    }

    #[test]
    fn what_is_printed_is_read_back(text in some_numeral(), unit in some_unit()) {
        let numeral = Numeral::parse(&text).unwrap();
        let quantity = Quantity { numeral, unit };
        let comma = quantity.to_string().replace('.', ",");
        for (entry, decimal) in [(quantity.to_string(), DecimalMark::Point), (comma, DecimalMark::Comma)] {
            let reading = read(&entry, &Context::plain(decimal));
            let Reading::One(written) = &reading else {
                return Err(TestCaseError::fail(describe(&entry, &reading)));
            };
            let Value::Numeral(found) = written.value else {
                return Err(TestCaseError::fail(describe(&entry, &reading)));
            };
            prop_assert!(found.same_value(&numeral) && found.figures() == numeral.figures());
            let expected = (!unit.is_one()).then_some(unit);
            let same = match (written.unit, expected) {
                (Some(found), Some(unit)) => found.unit.same_as(&unit) && found.forgiven.is_none(),
                (found, unit) => found.is_none() && unit.is_none(),
            };
            prop_assert!(same, "{}", entry);
        }
    }
}
