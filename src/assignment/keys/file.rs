//! The keys at the top of a file: of a problem, and of a sheet that joins several.

use super::part::PART;
use super::quantities::{FIND, GIVEN, MIX};
use super::scheme::SCHEME;
use super::{Key, Shape, TEXTS, Table, optional, required};

/// A file with one problem.
pub(crate) static ASSIGNMENT: Table = Table {
    name: "an assignment",
    header: "an assignment's own file",
    about: "an assignment: given quantities, equations, parts and the mark scheme",
    groups: &[
        &HEAD,
        &[
            optional(
                "seed",
                Shape::Whole(0, i64::MAX as u64),
                "another seed gives everyone other numbers (default 0)",
                "41027",
            ),
            optional(
                "text",
                Shape::Text,
                "the problem as printed; {mA} prints a given as drawn, {{ a brace",
                r#""A crate of {m} is pulled up a ramp.""#,
            ),
            optional(
                "figure",
                Shape::Text,
                "an SVG file beside this one; its lettering may hold {mA} too, its <desc> says what it shows",
                r#""ropes-1.svg""#,
            ),
            optional(
                "variants",
                Shape::Either(&[Shape::Word(&["student"]), Shape::Whole(1, 26)]),
                r#""student": own numbers for each (default); 4: versions A to D; 1: the same for all"#,
                r#""student""#,
            ),
            optional(
                "given",
                Shape::Names(&Shape::Table(&GIVEN)),
                "the given quantities and how they are drawn",
                r#"{ m = { fixed = "2.0 kg" } }"#,
            ),
            optional(
                "derived",
                Shape::Names(&Shape::Text),
                "names for expressions that occur more than once",
                r#"{ M = "mA + mB" }"#,
            ),
            optional(
                "find",
                Shape::Names(&Shape::Either(&[Shape::Text, Shape::Table(&FIND)])),
                "the unknowns, each with its unit",
                r#"{ a = "m/s^2" }"#,
            ),
            optional(
                "require",
                Shape::Names(&Shape::Text),
                "conditions on givens: a draw that breaks one is thrown away",
                r#"{ clear = "abs(mA - mB) > [1.0 kg]" }"#,
            ),
            optional(
                "mix",
                Shape::Names(&Shape::Table(&MIX)),
                "how often which kind of draw comes; what the shares leave is of no kind",
                r#"{ rests = { when = "mB < mu*mA", of = "25%" } }"#,
            ),
            optional(
                "possible",
                Shape::Names(&Shape::Text),
                "conditions on unknowns that nature sets: an entry beyond them earns no follow-through",
                r#"{ rope = "T > 0" }"#,
            ),
            optional(
                "equation",
                Shape::Names(&Shape::Text),
                "the equations as written on the board, in any order",
                r#"{ crate_A = "mA*g - T = mA*a" }"#,
            ),
            required(
                "part",
                Shape::List(&Shape::Table(&PART), 1),
                "the asked-for answers, in the order they are asked",
                r#"[{ id = "a", ask = "Find the acceleration.", answer = "a", points = 3 }]"#,
            ),
        ],
    ],
};

/// A file that joins several problems on one paper.
pub(crate) static SHEET: Table = Table {
    name: "a sheet",
    header: "a sheet's own file",
    about: "a sheet: several problems on one paper",
    groups: &[
        &HEAD,
        &[required(
            "problems",
            TEXTS,
            "the codes of the problems, in the order they are printed",
            r#"["ropes-1", "incline-2"]"#,
        )],
    ],
};

static HEAD: [Key; 3] = [
    required(
        "title",
        Shape::Text,
        "the heading on the paper",
        r#""Three crates on one rope""#,
    ),
    required(
        "code",
        Shape::Text,
        "short and unique in the course folder: column heading and paper code",
        r#""ropes-1""#,
    ),
    optional(
        "scheme",
        Shape::Table(&SCHEME),
        "the mark scheme: defaults for all parts, and rules for the whole paper",
        r#"{ tolerance = "1%", figures = 3 }"#,
    ),
];
