//! The keys of given and unknown quantities, and of how draws are mixed.

use super::{SHARE, Shape, TEXTS, Table, optional, required};

pub(crate) static GIVEN: Table = Table {
    name: "a given",
    header: "[given]",
    about: "a given quantity: drawn from steps or from a list, or fixed",
    groups: &[&[
        optional(
            "from",
            Shape::Text,
            "the first value; digits are kept as written",
            r#""6.0 kg""#,
        ),
        optional("to", Shape::Text, "the last value", r#""12.0 kg""#),
        optional(
            "step",
            Shape::Text,
            "from one value to the next",
            r#""0.5 kg""#,
        ),
        optional(
            "pick",
            TEXTS,
            "the values to pick from",
            r#"["1.5 kg", "2.0 kg"]"#,
        ),
        optional(
            "fixed",
            Shape::Text,
            "the same value for everyone",
            r#""9.8 m/s^2""#,
        ),
        optional(
            "allow",
            Shape::List(&Shape::Either(&[Shape::Text, Shape::Table(&ALLOW)]), 1),
            "other values of a fixed given that a student may use, each perhaps at a cost",
            r#"["9.81 m/s^2", { value = "10 m/s^2", cost = 1 }]"#,
        ),
    ]],
};

pub(super) static MIX: Table = Table {
    name: "a kind of draw",
    header: "[mix]",
    about: "a kind of draw, and how often it comes",
    groups: &[&[
        required(
            "when",
            Shape::Text,
            "the condition on givens by which a draw is of this kind, unless it is of one before",
            r#""mB < mu*mA""#,
        ),
        required("of", SHARE, "the share of students who get one", r#""25%""#),
    ]],
};

pub(super) static ALLOW: Table = Table {
    name: "an allowed value",
    header: "allow = [{ ... }]",
    about: "another value of a constant, taken at a cost",
    groups: &[&[
        required("value", Shape::Text, "the other value", r#""10 m/s^2""#),
        optional(
            "cost",
            Shape::Amount,
            "points it costs, once a paper (default 0)",
            "1",
        ),
    ]],
};

pub(super) static FIND: Table = Table {
    name: "an unknown",
    header: "[find]",
    about: "an unknown: its unit, and a range that picks the root",
    groups: &[&[
        required("unit", Shape::Text, "the unit asked for", r#""m/s^2""#),
        optional(
            "above",
            Shape::Text,
            "the root lies above this expression of givens",
            r#""v*sin(theta)/g""#,
        ),
        optional(
            "below",
            Shape::Text,
            "the root lies below this expression of givens",
            r#""g""#,
        ),
    ]],
};
