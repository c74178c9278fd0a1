//! Every key an assignment file may hold, as data: what may stand there and what it is for.
//!
//! The reader ([`super::raw`]), its "did you mean" and the JSON Schema ([`super::schema`]) all walk
//! these tables, so a key exists exactly when it has a line here. Only form is told here; what
//! values mean, and which keys go together, is checked by the modules beside this one.

mod file;
mod part;
mod quantities;
mod scheme;

pub(crate) use file::{ASSIGNMENT, SHEET};
use part::{ACCEPT, PART, SLIP};
pub(crate) use quantities::GIVEN;
use quantities::{ALLOW, FIND, MIX};
pub(crate) use scheme::RULES;
use scheme::{LATE, SCHEME};

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

/// The table of a list whose header, between two brackets on each side, holds this.
pub(crate) fn list_of(name: &str) -> Option<&'static Table> {
    let named = |table: &&&Table| {
        let inside = table.header.strip_prefix("[[");
        inside.and_then(|inside| inside.strip_suffix("]]")) == Some(name)
    };
    TABLES.iter().find(named).copied()
}

const fn required(
    name: &'static str,
    shape: Shape,
    about: &'static str,
    example: &'static str,
) -> Key {
    Key {
        required: true,
        ..optional(name, shape, about, example)
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
