//! The key for the teacher: everyone's answers, in a form that can be keyed.

use paperweight::answer::{Context, Reading, Value, read};
use paperweight::quantity::{Quantity, Unit};
use paperweight::text::DecimalMark;

use super::{Course, PROBLEM, pages, printed, squeezed};

#[test]
fn the_key_has_everyones_answers() {
    let roster = "id,name,decimal mark\n1,Bo,.\n2,Cy,\",\"\n";
    let course = Course::new(PROBLEM, roster);
    course.run("issue", &[]);
    let key = pages(&course.out("key.pdf")).concat();
    for row in course.issued("issued.csv") {
        let number = |name: &str| Quantity::parse(&row[name]).unwrap().numeral.to_f64();
        let a = paperweight::quantity::numeral_of(number("F") / number("m"), 3).unwrap();
        let mark = match row["student"].as_str() {
            "1" => DecimalMark::Point,
            _ => DecimalMark::Comma,
        };
        for expected in [a.printed(mark), printed(&row["F"], mark)] {
            let expected = squeezed(&expected);
            assert!(key.contains(&expected), "{expected}\n{key}");
        }
    }
    assert!(key.contains("thepush·theweight"), "{key}");
}

/// What the key prints is what the reader takes, in either decimal mark: with a mark at the end (`120,`), with
/// groups of digits, with a power of ten.
#[test]
fn what_the_key_prints_can_be_keyed() {
    for mark in [DecimalMark::Point, DecimalMark::Comma] {
        for value in [
            120.0,
            30.0,
            5.0,
            140.4,
            0.403_03,
            1234.0,
            12_500.0,
            43_279.168_29,
            1.3e9,
            2.5e-7,
            -0.5,
        ] {
            for figures in 1..=7 {
                let numeral = paperweight::quantity::numeral_of(value, figures).unwrap();
                for unit in ["", "N", "m/s^2", "deg"] {
                    let unit = match unit {
                        "" => Unit::ONE,
                        unit => Unit::parse(unit).unwrap(),
                    };
                    let printed = Quantity { numeral, unit }.printed(mark);
                    let reading = read(&printed, &Context::plain(mark));
                    let Reading::One(written) = &reading else {
                        panic!("{printed}: {reading:?}")
                    };
                    let Value::Numeral(found) = written.value else {
                        panic!("{printed}: {reading:?}")
                    };
                    assert_eq!(found.to_f64(), numeral.to_f64(), "{printed}");
                    let (asked, read) = (numeral.figures(), found.figures());
                    assert!(
                        read.least <= asked.most && asked.least <= read.most,
                        "{printed}: {read:?}"
                    );
                }
            }
        }
    }
}
