//! Entries as students write them, any text, and points keyed.
//!
//! Held: every entry gets a reading with words that a terminal may show; numbers are finite; places lie in
//! the entry; blanks around it change nothing; a number as printed, on a screen or on paper, is read back as the
//! same; figures are the same whatever power of ten stands behind the digits.

use paperweight::answer::{Constant, Context, Reading, Value, Written, describe, points, read};
use paperweight::quantity::{Numeral, Quantity, Unit};
use paperweight::text::DecimalMark;

use super::feed::Feed;
use super::told;

/// Of such pieces answers are made.
#[rustfmt::skip]
const PIECES: [&str; 96] = [
    "0", "1", "2", "3", "5", "7", "9", "10", "12", "27", "100", "234", "500", "000", "1300", "0.5",
    "3.27", "9.8", ".", ",", "..", "...", "…", "'", " ", "  ", "\u{a0}", "\u{202f}", "\u{2009}", "-", "−", "+",
    "±", "~", "=", "/", "^", "(", ")", "[", "]", "√", "sqrt", "π", "pi", "½", "x10^", "×10⁻",
    "·10^", "10^", "10", "e", "E", "²", "³", "⁻¹", "⁴", "m", "s", "kg", "N", "J", "g", "R",
    "a", "T1", "m/s^2", "m/s/s", "km/h", "deg", "°", "°C", "K", "%", "ohm", "Ω", "kgm", "N m", "per", "squared",
    " or ", " and ", ";", ":", "?", "<", ">", "about ", "approx.", "(down)", "٣", "３", "l", "cm", "\u{200b}", "*",
];

pub fn run(bytes: &[u8]) {
    let mut feed = Feed::new(bytes);
    let flags = feed.byte();
    let mut entry = String::new();
    if flags & 1 == 0 {
        entry += &String::from_utf8_lossy(feed.rest());
    } else {
        while !feed.is_done() {
            entry += feed.pick(&PIECES);
        }
    }
    let unit = |text| Unit::parse(text).unwrap();
    let constant = |name, value, unit| Constant { name, value, unit };
    let constants = [
        constant("g", 9.8, unit("m/s^2")),
        constant("R", 0.25, unit("m")),
        constant("mA", 6.0, unit("kg")),
        constant("n", 0.0, Unit::ONE),
    ];
    let context = Context {
        decimal: if flags & 2 == 0 {
            DecimalMark::Point
        } else {
            DecimalMark::Comma
        },
        constants: if flags & 4 == 0 { &constants } else { &[] },
        names: if flags & 8 == 0 {
            &["a", "T1", "mA"]
        } else {
            &[]
        },
    };
    let reading = read(&entry, &context);
    told::is_clean(&describe(&entry, &reading));
    match &reading {
        Reading::Blank => {}
        Reading::Unreadable(unreadable) => {
            assert!(unreadable.start <= unreadable.end);
            told::is_clean(&unreadable.message(&entry));
            assert!(entry.contains(unreadable.found(&entry)));
        }
        Reading::One(written) => answer(&entry, written, &context),
        Reading::Several(answers) => {
            assert!((2..=4).contains(&answers.len()));
            answers
                .iter()
                .for_each(|written| answer(&entry, written, &context));
        }
    }
    let padded = format!(" \t{entry}\u{202f} ");
    assert_eq!(gist(&reading), gist(&read(&padded, &context)), "{entry:?}");
    if let Err(what) = points(&entry, 4) {
        assert!(!what.is_empty());
    } else if let Ok(Some(points)) = points(&entry, 4) {
        assert!(points <= 4);
    }
}

/// What a reading says, places in the entry apart.
fn gist(reading: &Reading) -> String {
    let one = |written: &Written| {
        let words: Vec<_> = written.notes.words().collect();
        let also = written.also;
        format!("{:?} {:?} {also:?} {words:?}", written.value, written.unit)
    };
    match reading {
        Reading::Blank => "blank".to_owned(),
        Reading::Unreadable(unreadable) => format!("{:?}", unreadable.why),
        Reading::One(written) => one(written),
        Reading::Several(answers) => answers.iter().map(one).collect(),
    }
}

fn answer(entry: &str, written: &Written, context: &Context<'_>) {
    assert!(written.value.to_f64().is_finite());
    if let Some(also) = written.also {
        assert!(also.value.is_finite());
        assert!(
            written
                .fitting(also.unit.dimension())
                .value
                .to_f64()
                .is_finite()
        );
    }
    if let Some((start, end)) = written.notes.bracket {
        assert!(entry.get(usize::from(start)..usize::from(end)).is_some());
    }
    if let Some(label) = written.notes.label {
        assert!(usize::from(label) < context.names.len());
    }
    let unit = written.unit.map_or(Unit::ONE, |reading| reading.unit);
    match written.value {
        Value::Numeral(numeral) => number(&Quantity { numeral, unit }),
        Value::Ambiguous { thousands, decimal } => {
            for numeral in [thousands, decimal] {
                number(&Quantity { numeral, unit });
            }
        }
        Value::Evaluated(_) => {}
    }
}

/// A number is read back as it was written, and moving its point by a power of ten moves no figure.
fn number(quantity: &Quantity) {
    let numeral = quantity.numeral;
    let figures = numeral.figures();
    assert!(figures.least >= 1 && figures.least <= figures.most);
    let text = numeral.to_string();
    assert_eq!(Numeral::parse(&text), Ok(numeral), "{text}");
    if !numeral.has_power() {
        for power in [-31, -3, 1, 2, 12] {
            // Beyond what an f64 holds there is no such number.
            if let Ok(moved) = Numeral::parse(&format!("{text}e{power}")) {
                assert_eq!(moved.figures(), figures, "{text}e{power}");
            }
        }
    }
    // In groups of three no number begins with a zero, and no teacher writes one that does.
    let digits = text.trim_start_matches(['-', '+']);
    let is_grouped = digits.starts_with('0') && digits.len() > 4 && !digits.starts_with("0.");
    for mark in [DecimalMark::Point, DecimalMark::Comma] {
        let printed = quantity.printed(mark);
        told::is_clean(&printed);
        if !is_grouped {
            read_back(&printed, quantity, mark);
        }
        read_back(&mark.written(&quantity.to_string()), quantity, mark);
    }
}

fn read_back(shown: &str, quantity: &Quantity, mark: DecimalMark) {
    let reading = read(shown, &Context::plain(mark));
    let Reading::One(found) = &reading else {
        panic!("{shown:?} for {quantity}: {}", describe(shown, &reading));
    };
    let Value::Numeral(numeral) = found.value else {
        panic!("{shown:?} for {quantity}: {}", describe(shown, &reading));
    };
    assert!(numeral.same_value(&quantity.numeral), "{shown:?}");
    assert_eq!(numeral.figures(), quantity.numeral.figures(), "{shown:?}");
    match found.unit {
        None => assert!(quantity.unit.is_one(), "{shown:?}"),
        Some(unit) => assert!(unit.unit.same_as(&quantity.unit), "{shown:?}"),
    }
}
