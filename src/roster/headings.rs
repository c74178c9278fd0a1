//! The words by which columns of a roster are known, and what cells of some of them may say.
//!
//! In go headings and cells, out comes what they mean. Upper and lower case and the marks between words make no
//! difference. Adding an obvious heading is one word in [`OBVIOUS`].

use crate::text::DecimalMark;

use super::PrintSize;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Id,
    /// Taken for the id only where no heading says so more clearly.
    PerhapsId,
    Name,
    PerhapsName,
    Given,
    Family,
    Section,
    Decimal,
    Print,
    Sourced,
    Class,
    School,
    Sessions,
}

/// Headings in lower case, with blanks for `_ - . / # : ( )`.
const OBVIOUS: [(Role, &[&str]); 13] = [
    (
        Role::Id,
        &[
            "id",
            "student id",
            "student number",
            "student no",
            "student code",
            "id number",
            "id no",
            "candidate number",
            "candidate no",
            "pupil id",
            "pupil number",
            "learner id",
            "matriculation number",
            "matric no",
            "schüler id",
            "schülernummer",
            "matrikelnummer",
            "matrikel nr",
            "identifiant",
            "numéro étudiant",
            "número de alumno",
            "matrícula",
            "matricola",
            "leerlingnummer",
            "studentnummer",
            "学号",
            "номер студента",
        ],
    ),
    (
        Role::PerhapsId,
        &["student", "pupil", "number", "no", "nr", "code"],
    ),
    (
        Role::Name,
        &[
            "name",
            "full name",
            "student name",
            "pupil name",
            "name of student",
            "nom complet",
            "nombre completo",
            "nome completo",
            "姓名",
            "имя",
        ],
    ),
    (
        Role::PerhapsName,
        &["student", "pupil", "schüler", "élève", "alumno", "leerling"],
    ),
    (
        Role::Given,
        &[
            "given name",
            "given names",
            "first name",
            "first names",
            "forename",
            "forenames",
            "vorname",
            "vornamen",
            "prénom",
            "nombre",
            "nome",
            "voornaam",
        ],
    ),
    (
        Role::Family,
        &[
            "family name",
            "last name",
            "surname",
            "nachname",
            "familienname",
            "nom",
            "nom de famille",
            "apellido",
            "apellidos",
            "cognome",
            "sobrenome",
            "achternaam",
        ],
    ),
    (
        Role::Section,
        &[
            "section",
            "class",
            "group",
            "form",
            "set",
            "klasse",
            "gruppe",
            "kurs",
            "classe",
            "groupe",
            "clase",
            "grupo",
            "sezione",
            "turma",
            "klas",
            "班级",
            "класс",
        ],
    ),
    (
        Role::Decimal,
        &[
            "decimal mark",
            "decimal",
            "decimal sign",
            "decimal separator",
            "dezimalzeichen",
            "séparateur décimal",
            "signo decimal",
            "separatore decimale",
        ],
    ),
    (
        Role::Print,
        &[
            "print size",
            "letter size",
            "large print",
            "schriftgröße",
            "schriftgrad",
        ],
    ),
    (Role::Sourced, &["sourced id", "sourcedid"]),
    (Role::Class, &["class sourced id", "classsourcedid"]),
    (Role::School, &["school sourced id", "schoolsourcedid"]),
    (
        Role::Sessions,
        &["session sourced ids", "term sourced ids", "termsourcedids"],
    ),
];

/// What the cells of a decimal mark column may say, in lower case.
const MARKS: [(DecimalMark, &[&str]); 2] = [
    (
        DecimalMark::Point,
        &[".", "point", "dot", "period", "punkt", "punto", "punt"],
    ),
    (
        DecimalMark::Comma,
        &[",", "comma", "komma", "virgule", "coma", "virgola"],
    ),
];

/// What the cells of a column of print sizes may say besides nothing, in lower case.
const SIZES: [(PrintSize, &[&str]); 2] = [
    (PrintSize::Large, &["18", "18 pt", "18pt"]),
    (PrintSize::VeryLarge, &["24", "24 pt", "24pt"]),
];

/// Whether a heading would be taken for the student's id.
pub fn is_id_heading(heading: &str) -> bool {
    let plain = plain(heading);
    has(Role::Id, &plain) || has(Role::PerhapsId, &plain)
}

/// Whether a heading is one that a roster has beside the id: name, section, decimal mark, print size,
/// and the columns by which a school's system knows student and class.
pub fn is_roster_heading(heading: &str) -> bool {
    let plain = plain(heading);
    [
        Role::Name,
        Role::PerhapsName,
        Role::Given,
        Role::Family,
        Role::Section,
        Role::Decimal,
        Role::Print,
        Role::Sourced,
        Role::Class,
        Role::School,
        Role::Sessions,
    ]
    .into_iter()
    .any(|role| has(role, &plain))
}

/// Whether a cell stands before the name of a class or a group, in a title.
pub(super) fn announces_section(cell: &str) -> bool {
    has(Role::Section, &plain(cell))
}

/// What a cell says about the decimal mark; the cell itself when it says nothing known.
pub(super) fn decimal_mark(cell: &str) -> Result<Option<DecimalMark>, &str> {
    meant(cell, &MARKS)
}

/// What a cell says about the size of print; the cell itself when it says nothing known.
pub(super) fn print_size(cell: &str) -> Result<Option<PrintSize>, &str> {
    meant(cell, &SIZES)
}

/// What a cell means by one of these words; nothing if it is empty.
fn meant<'a, T: Copy>(cell: &'a str, meanings: &[(T, &[&str])]) -> Result<Option<T>, &'a str> {
    let word = cell.trim().to_lowercase();
    if word.is_empty() {
        return Ok(None);
    }
    let known = meanings
        .iter()
        .find(|(_, words)| words.contains(&word.as_str()));
    known.map(|(meaning, _)| Some(*meaning)).ok_or(cell)
}

pub(super) fn has(role: Role, plain: &str) -> bool {
    OBVIOUS
        .iter()
        .any(|(known, words)| *known == role && words.contains(&plain))
}

/// Lower case, with single blanks for what headings put between and around words.
pub(super) fn plain(heading: &str) -> String {
    let lower = heading.to_lowercase();
    let words = lower.split(|c: char| c.is_whitespace() || "_-./#:()".contains(c));
    words
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
