//! The keys of a part, its foreseen slips and what is accepted beside its answer.

use super::scheme::RULES;
use super::{SHARE, Shape, TEXTS, Table, optional, required};

pub(super) static PART: Table = Table {
    name: "a part",
    header: "[[part]]",
    about: "a part: one asked-for answer",
    groups: &[
        &[
            required(
                "id",
                Shape::Text,
                "short and unique in the file: column heading of the answers and marks",
                r#""a""#,
            ),
            required(
                "ask",
                Shape::Text,
                "the question as printed; {mA} prints a given as drawn",
                r#""Find the acceleration of the crates.""#,
            ),
            optional(
                "answer",
                Shape::Text,
                "what is asked for: an unknown, or an expression with a unit",
                r#""a""#,
            ),
            optional(
                "unit",
                Shape::Text,
                "the unit asked for, where the answer is an expression or another unit than that of [find] is wanted",
                r#""N""#,
            ),
            optional(
                "choose",
                Shape::Names(&Shape::Text),
                "instead of an answer: words to choose from, each with its condition, of which exactly one holds",
                r#"{ up = "a > 0", down = "a < 0" }"#,
            ),
            optional(
                "also",
                Shape::Names(&TEXTS),
                "other spellings of the words to choose from",
                r#"{ up = ["upwards"] }"#,
            ),
            optional(
                "eye",
                TEXTS,
                "instead of an answer: what is judged by eye alone, one point each",
                r#"["all weights", "lengths agree"]"#,
            ),
            optional("points", Shape::Amount, "points for the part", "3"),
            optional(
                "working",
                TEXTS,
                "steps judged by eye, one point each, out of the part's points",
                r#"["Newton's second law for each crate"]"#,
            ),
            optional(
                "by",
                Shape::List(&Shape::Either(&[Shape::Text, TEXTS]), 1),
                "the equations to go by, or a list of such lists",
                r#"[["crate_A"], ["crate_B", "crate_C"]]"#,
            ),
            optional(
                "printed",
                Shape::Text,
                r#"the value printed in a "show that"; later parts also take it"#,
                r#""3.4 m/s^2""#,
            ),
            optional(
                "slip",
                Shape::List(&Shape::Table(&SLIP), 1),
                "wrong ways the teacher foresees",
                r#"[{ answer = "mA*g", share = 0 }]"#,
            ),
            optional(
                "accept",
                Shape::List(&Shape::Either(&[Shape::Text, Shape::Table(&ACCEPT)]), 1),
                r#"what is also right: expressions, or a window ["2.3 m", "2.6 m"]"#,
                r#"["2.3 m", "2.6 m"]"#,
            ),
        ],
        &RULES,
    ],
};

pub(super) static SLIP: Table = Table {
    name: "a slip",
    header: "[[part.slip]]",
    about: "a foreseen wrong way: equations replaced, or another quantity answered",
    groups: &[&[
        optional(
            "replace",
            Shape::Names(&Shape::Text),
            "equations as the slip has them, under their own names",
            r#"{ crate_A = "T - mA*g = mA*a" }"#,
        ),
        optional(
            "answer",
            Shape::Text,
            "the quantity answered instead",
            r#""mA*g""#,
        ),
        optional(
            "say",
            Shape::Text,
            "what the student is told, without giving the answer away",
            r#""Which of the two forces is larger?""#,
        ),
        optional(
            "share",
            SHARE,
            "share of the value points, instead of slip_share",
            "0.5",
        ),
    ]],
};

pub(super) static ACCEPT: Table = Table {
    name: "an accepted answer",
    header: "[[part.accept]]",
    about: "an expression that is also right",
    groups: &[&[
        required("answer", Shape::Text, "the expression", r#""mB*(g + a)""#),
        optional(
            "share",
            SHARE,
            "share of the value points it earns (default 1)",
            "1",
        ),
    ]],
};
