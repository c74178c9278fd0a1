//! The keys of a mark scheme. What holds where one is not set is in [`super::super::scheme`].

use super::{Key, SHARE, Shape, TAKE_OR_CHARGE, TEXTS, Table, optional, required};

pub(super) static SCHEME: Table = Table {
    name: "a mark scheme",
    header: "[scheme]",
    about: "the mark scheme: defaults for all parts, and rules for the whole paper",
    groups: &[
        &RULES,
        &[
            optional(
                "charge",
                Shape::Word(&["once", "each"]),
                r#"a unit cost and a figures cost at most "once" a paper (default), or on "each" part"#,
                r#""once""#,
            ),
            optional(
                "misread_cost",
                Shape::Amount,
                "points for misread numbers, once a paper (default 1)",
                "1",
            ),
            optional(
                "late",
                Shape::Table(&LATE),
                "what a late paper loses, as a share of what was earned",
                r#"{ per_day = "10%", at_most = "50%" }"#,
            ),
            optional(
                "reissue_counts",
                Shape::Word(&["latest", "best", "first"]),
                r#"which issue counts when a paper was issued again (default "latest")"#,
                r#""latest""#,
            ),
        ],
    ],
};

pub(super) static LATE: Table = Table {
    name: "a rule for late papers",
    header: "late = { ... }",
    about: "what a late paper loses, as a share of what was earned",
    groups: &[&[
        required("per_day", SHARE, "the share lost for each day", r#""10%""#),
        required("at_most", SHARE, "the largest share lost", r#""50%""#),
    ]],
};

/// What `[scheme]` sets for all parts and a part for itself.
pub(crate) static RULES: [Key; 11] = [
    optional(
        "tolerance",
        Shape::Either(&[Shape::Text, TEXTS]),
        r#"how far off is right: "1%", on a part also "0.05 m/s^2", or both in a list: the wider holds"#,
        r#""1%""#,
    ),
    optional(
        "figures",
        Shape::Either(&[Shape::Whole(1, 12), Shape::Text]),
        r#"figures asked for: 3 (default; one fewer to two more is taken), "2-4", or "data": the least of the givens"#,
        "3",
    ),
    optional(
        "units",
        Shape::Word(&["written", "printed"]),
        r#""written" by the student (default), or "printed" on the answer line and not judged"#,
        r#""written""#,
    ),
    optional(
        "sign",
        Shape::Word(&["size", "either", "fixed", "turn"]),
        r#""size": a minus is noted, not charged (default); "either": one convention all over the problem; "fixed"; "turn": the same for a direction, where 350 deg is -10 deg"#,
        r#""size""#,
    ),
    optional(
        "unit_cost",
        Shape::Amount,
        "points for a unit missing or wrong (default 1)",
        "1",
    ),
    optional(
        "figures_cost",
        Shape::Amount,
        "points for too few or too many figures (default 0.5)",
        "0.5",
    ),
    optional(
        "slip_share",
        SHARE,
        "share of the value points for a recognised slip (default 0.5)",
        "0.5",
    ),
    optional(
        "diagnosed_share",
        SHARE,
        "share of the value points for a mistake the program worked out (default 0)",
        "0",
    ),
    optional(
        "truncated",
        TAKE_OR_CHARGE,
        r#"a value cut off instead of rounded: "take" it (default), or "charge" the figures"#,
        r#""take""#,
    ),
    optional(
        "unevaluated",
        TAKE_OR_CHARGE,
        r#"49/15 or 2√3: "take" it (default), or "charge" the figures"#,
        r#""take""#,
    ),
    optional(
        "value_needs_working",
        Shape::Flag,
        "whether a right value with no working points keyed earns none of them (default false)",
        "false",
    ),
];
