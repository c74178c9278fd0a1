//! Every key an assignment file may hold, as data: what may stand there and what it is for.
//!
//! The reader ([`super::raw`]), its "did you mean" and the JSON Schema ([`super::schema`]) all walk
//! these tables, so a key exists exactly when it has a line here. Only form is told here; what
//! values mean, and which keys go together, is checked by the modules beside this one.

/// What may stand behind a key.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Shape {
    /// A string.
    Text,
    /// A number, whole or with a decimal point, not negative.
    Amount,
    /// A whole number within these bounds.
    Whole(u64, u64),
    /// `true` or `false`.
    Flag,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Any number of values of one shape, at least so many.
    List(&'static Shape, usize),
    /// A table with keys of its own.
    Table(&'static Table),
    /// A table whose keys are names the teacher chooses.
    Names(&'static Shape),
    /// Any of these; no two of them are the same kind of TOML value.
    Either(&'static [Shape]),
}

/// One key of a table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Key {
    /// As written in the file.
    pub(crate) name: &'static str,
    /// Whether the table makes no sense without it.
    pub(crate) required: bool,
    /// What may stand behind it.
    pub(crate) shape: Shape,
    /// One line on what it is for.
    pub(crate) about: &'static str,
    /// A value as it stands in a file, shown where something else was found.
    pub(crate) example: &'static str,
}

/// A table of the file.
#[derive(Debug)]
pub(crate) struct Table {
    /// How messages call it, with its article.
    pub(crate) name: &'static str,
    /// How its header is written, to say where a key belongs.
    pub(crate) header: &'static str,
    /// What it is for.
    pub(crate) about: &'static str,
    /// Its keys, in groups that tables may share.
    pub(crate) groups: &'static [&'static [Key]],
}

impl Table {
    /// All its keys, in the order of the groups.
    pub(crate) fn keys(&self) -> impl Iterator<Item = &'static Key> {
        self.groups.iter().flat_map(|group| group.iter())
    }

    /// The key of that name.
    pub(crate) fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys().find(|key| key.name == name)
    }
}

const fn required(
    name: &'static str,
    shape: Shape,
    about: &'static str,
    example: &'static str,
) -> Key {
    Key {
        name,
        required: true,
        shape,
        about,
        example,
    }
}

pub(crate) const fn optional(
    name: &'static str,
    shape: Shape,
    about: &'static str,
    example: &'static str,
) -> Key {
    Key {
        name,
        required: false,
        shape,
        about,
        example,
    }
}

/// A number from 0 to 1, or a percentage.
pub(crate) const SHARE: Shape = Shape::Either(&[Shape::Amount, Shape::Text]);
const TEXTS: Shape = Shape::List(&Shape::Text, 1);
const TAKE_OR_CHARGE: Shape = Shape::Word(&["take", "charge"]);

/// A file with one problem.
pub(crate) static ASSIGNMENT: Table = Table {
    name: "an assignment",
    header: "the top of an assignment's own file",
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
    header: "the top of a sheet's own file",
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

static GIVEN: Table = Table {
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

static MIX: Table = Table {
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

static ALLOW: Table = Table {
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

static FIND: Table = Table {
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

static SCHEME: Table = Table {
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

static LATE: Table = Table {
    name: "a rule for late papers",
    header: "late = { ... }",
    about: "what a late paper loses, as a share of what was earned",
    groups: &[&[
        required("per_day", SHARE, "the share lost for each day", r#""10%""#),
        required("at_most", SHARE, "the largest share lost", r#""50%""#),
    ]],
};

/// What `[scheme]` sets for all parts and a part for itself.
static RULES: [Key; 11] = [
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

static PART: Table = Table {
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

static SLIP: Table = Table {
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

static ACCEPT: Table = Table {
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

/// Every table, to find where a misplaced key belongs.
pub(crate) static TABLES: [&Table; 11] = [
    &ASSIGNMENT,
    &SHEET,
    &GIVEN,
    &MIX,
    &ALLOW,
    &FIND,
    &SCHEME,
    &LATE,
    &PART,
    &SLIP,
    &ACCEPT,
];
