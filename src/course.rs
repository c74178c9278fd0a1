//! The course folder: which assignment file has which code.
//!
//! In: the texts of the files under `assignments/`. Out: each file by the code it gives itself.
//! Refused: two files of one code, since a code heads a column and stands on papers. A file without
//! a code, or one that is no TOML, is left aside here; whoever reads it is told.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use crate::diagnostic::{Diagnostic, Place, Source, Span};

/// Where assignment files lie in a course folder.
pub const ASSIGNMENTS: &str = "assignments";
/// Where rosters lie in a course folder.
pub const ROSTERS: &str = "rosters";

/// The assignment files of a course folder.
#[derive(Clone, Debug, Default)]
pub struct Course {
    /// In the order given.
    files: Vec<(String, Arc<Source>)>,
}

impl Course {
    /// Sorts files by the codes in them. Of two files with one code (capitals make no difference)
    /// the first stays, and an error names both.
    pub fn new(sources: impl IntoIterator<Item = Arc<Source>>) -> (Self, Vec<Diagnostic>) {
        let mut course = Self::default();
        let mut findings = Vec::new();
        for source in sources {
            let Some((code, span)) = code_of(&source.text) else {
                continue;
            };
            match course.source(&code) {
                Some(first) => findings.push(doubled(&source, span, &code, &first.name)),
                None => course.files.push((code, source)),
            }
        }
        (course, findings)
    }

    /// The file of that code; capitals make no difference.
    pub fn source(&self, code: &str) -> Option<&Arc<Source>> {
        let found = self
            .files
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(code));
        found.map(|(_, source)| source)
    }

    /// All codes, in the order of the files.
    pub fn codes(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|(code, _)| code.as_str())
    }

    /// All files with their codes.
    pub fn files(&self) -> impl Iterator<Item = (&str, &Arc<Source>)> {
        self.files
            .iter()
            .map(|(code, source)| (code.as_str(), source))
    }
}

/// Of a file whose code, at `span`, another one has: which, and what to do.
pub(crate) fn doubled(source: &Source, span: Span, code: &str, other: &str) -> Diagnostic {
    let message = format!("{other} has the code \"{code}\" already");
    let help = "give the copy another and leave the file that papers were handed out from as it is, or move the copy out of the folder `assignments`";
    // A copy is called anew before its code is thought of.
    let names = [source.name.as_str(), other].map(|name| Path::new(name).file_stem());
    let mut names = names.into_iter().flatten().map(OsStr::to_string_lossy);
    let free = names.find(|name| is_code(name) && !name.eq_ignore_ascii_case(code));
    let such = free.map_or(String::new(), |name| {
        format!("; `{name}.toml` might have \"{name}\"")
    });
    Diagnostic::error(&source.name, Place::Span(span), message).help(format!("{help}{such}"))
}

/// The longest code, in letters.
pub(crate) const LONGEST_CODE: usize = 24;

/// Whether a text may be a code: it heads a column, names files and stands on every paper.
pub(crate) fn is_code(text: &str) -> bool {
    let sound = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-' || byte == b'_';
    let begins = text.bytes().next();
    begins.is_some_and(|byte| byte.is_ascii_alphanumeric())
        && text.len() <= LONGEST_CODE
        && text.bytes().all(sound)
}

/// The code an assignment file gives itself, and where it stands with its quotes.
pub fn code_of(text: &str) -> Option<(String, Span)> {
    let (document, _) = DeTable::parse_recoverable(text);
    let value = document.get_ref().get("code")?;
    let DeValue::String(code) = value.get_ref() else {
        return None;
    };
    let place = value.span();
    Some((code.to_string(), Span::new(place.start, place.end)))
}

/// The title an assignment file gives itself.
pub fn title_of(text: &str) -> Option<String> {
    let (document, _) = DeTable::parse_recoverable(text);
    match document.get_ref().get("title")?.get_ref() {
        DeValue::String(title) => Some(title.to_string()),
        _ => None,
    }
}

/// Whether a file is a sheet, which names the problems on it.
pub fn names_problems(text: &str) -> bool {
    DeTable::parse_recoverable(text)
        .0
        .get_ref()
        .contains_key("problems")
}

/// The course folder a file of it belongs to: the nearest folder above it that holds `assignments` and
/// `rosters`, as `is_folder` tells; else the nearest that holds `assignments`, for classes may come later;
/// else the file's own folder.
pub fn root_of(file: &Path, is_folder: &dyn Fn(&Path) -> bool) -> PathBuf {
    let own = file.parent().unwrap_or(Path::new(""));
    let holds =
        |folder: &&Path| is_folder(&folder.join(ASSIGNMENTS)) && is_folder(&folder.join(ROSTERS));
    let begun = |folder: &&Path| is_folder(&folder.join(ASSIGNMENTS));
    let found = own.ancestors().find(holds);
    let found = found.or_else(|| own.ancestors().find(begun));
    found.unwrap_or(own).to_path_buf()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(name: &str, text: &str) -> Arc<Source> {
        Arc::new(Source {
            name: name.into(),
            text: text.into(),
        })
    }

    #[test]
    fn files_are_found_by_their_codes() {
        let (course, findings) = Course::new([
            source("ropes.toml", "title = \"Ropes\"\ncode = \"ropes-1\"\n"),
            source("no-code.toml", "title = \"?\"\n"),
            source("broken.toml", "[[["),
            source("deep.toml", "[scheme]\ncode = \"inner\"\n"),
            source("number.toml", "code = 3\n"),
            source("ramp.toml", "code = \"Ramp\"\nbroken ="),
        ]);
        assert!(findings.is_empty());
        assert_eq!(course.codes().collect::<Vec<_>>(), ["ropes-1", "Ramp"]);
        assert_eq!(
            course.source("ROPES-1").map(|s| s.name.as_str()),
            Some("ropes.toml")
        );
        assert_eq!(
            course.source("ramp").map(|s| s.name.as_str()),
            Some("ramp.toml")
        );
        assert!(course.source("inner").is_none());
    }

    #[test]
    fn a_code_stands_for_one_file() {
        let (course, findings) = Course::new([
            source("a.toml", "code = \"ropes-1\""),
            source("b.toml", "code = \"Ropes-1\""),
        ]);
        assert_eq!(
            course.source("ropes-1").map(|s| s.name.as_str()),
            Some("a.toml")
        );
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].file, "b.toml");
        assert!(
            findings[0].message.contains("a.toml"),
            "{}",
            findings[0].message
        );
        assert_eq!(findings[0].place, Place::Span(Span::new(7, 16)));
    }

    #[test]
    fn the_folder_is_found_from_a_file() {
        let folders = [
            "course/assignments",
            "course/rosters",
            "assignments",
            "rosters",
            "x/assignments",
        ];
        let is_folder = |path: &Path| folders.iter().any(|folder| path == Path::new(folder));
        for (file, expected) in [
            ("course/assignments/a.toml", "course"),
            ("course/assignments/week-2/a.toml", "course"),
            ("course/a.toml", "course"),
            ("assignments/a.toml", ""),
            ("x/assignments/a.toml", ""),
            ("a.toml", ""),
        ] {
            assert_eq!(
                root_of(Path::new(file), &is_folder),
                Path::new(expected),
                "{file}"
            );
        }
        assert_eq!(
            root_of(Path::new("/tmp/a.toml"), &is_folder),
            Path::new("/tmp")
        );
        // A course that has no class yet.
        let is_folder = |path: &Path| path == Path::new("/new/assignments");
        let begun = root_of(Path::new("/new/assignments/week-2/a.toml"), &is_folder);
        assert_eq!(begun, Path::new("/new"));
    }
}
