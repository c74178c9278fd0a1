//! Packages of OneRoster files: a folder, the same in a zip, and damaged zips.
//!
//! Input that begins as a zip is one. Else it is a list of files, each begun by a line `@name`; what follows a line
//! `!` are bytes to change in the zip that is made of them. Held: a package is read or refused with an error; members
//! have ids, once a class; a zip gives what its folder gives; nothing grows beyond what it may.

use std::collections::BTreeMap;
use std::io::{Cursor, Write as _};

use chrono::NaiveDate;
use paperweight::diagnostic::Diagnostic;
use paperweight::roster::oneroster::{BEGINNING, IdFrom, Package, School, Zipped, read};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use super::told::{self, has_errors};

type Files = BTreeMap<String, Vec<u8>>;

/// Files in memory.
struct Folder<'a>(&'a Files);

impl Package for Folder<'_> {
    fn name(&self) -> &str {
        "export"
    }

    fn bytes(&mut self, file: &str) -> Result<Option<Vec<u8>>, Diagnostic> {
        Ok(self.0.get(file).cloned())
    }
}

pub fn run(bytes: &[u8]) {
    if bytes.starts_with(BEGINNING) {
        zipped(bytes.to_vec());
        return;
    }
    let (files, damage) = files(bytes);
    let folder = all(&mut Folder(&files));
    // Packing takes many times as long as reading: one folder of eight is packed, and each to be damaged.
    if damage.is_empty() && !bytes.len().is_multiple_of(8) {
        return;
    }
    let whole = zip_of(&files);
    assert_eq!(zipped(whole.clone()), folder);
    if !damage.is_empty() {
        let mut zip = whole;
        for change in damage.chunks_exact(3) {
            let place = usize::from(change[0]) << 8 | usize::from(change[1]);
            let length = zip.len();
            // The directory stands at the end, and says most.
            zip[length - 1 - place % length] = change[2];
        }
        zipped(zip);
    }
}

fn files(bytes: &[u8]) -> (Files, &[u8]) {
    let end = bytes.windows(3).position(|three| three == b"\n!\n");
    let (text, damage) = match end {
        Some(end) => (&bytes[..=end], &bytes[end + 3..]),
        None => (bytes, &bytes[..0]),
    };
    let mut files = Files::new();
    let mut name = "manifest.csv".to_owned();
    for line in text.split_inclusive(|byte| *byte == b'\n') {
        match line.strip_prefix(b"@") {
            Some(told) => name = String::from_utf8_lossy(told).trim().to_owned(),
            None => files.entry(name.clone()).or_default().extend(line),
        }
    }
    (files, damage)
}

fn zip_of(files: &Files) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (at, (name, bytes)) in files.iter().enumerate() {
        let method = match at % 2 {
            0 => zip::CompressionMethod::Deflated,
            _ => zip::CompressionMethod::Stored,
        };
        let options = SimpleFileOptions::default().compression_method(method);
        if zip.start_file(name.as_str(), options).is_ok() {
            zip.write_all(bytes).unwrap();
        }
    }
    zip.finish().unwrap().into_inner()
}

fn zipped(bytes: Vec<u8>) -> Option<School> {
    match Zipped::open(Cursor::new(bytes), "export") {
        Ok(mut zip) => all(&mut zip),
        Err(error) => {
            told::findings(&[error], &[]);
            None
        }
    }
}

fn all(package: &mut dyn Package) -> Option<School> {
    let today = NaiveDate::from_ymd_opt(2026, 10, 20).unwrap();
    let complete = read(package, today, true);
    let bulk = read(package, today, false);
    let (school, notes) = match bulk {
        Ok(found) => found,
        Err(errors) => {
            assert!(has_errors(&errors), "a refusal without an error");
            told::findings(&errors, &[]);
            return complete.ok().map(|(school, _)| school);
        }
    };
    assert!(!has_errors(&notes));
    told::findings(&notes, &[]);
    // What is complete by itself is so if somebody says it, too.
    assert_eq!(complete.unwrap().0, school);
    for class in &school.classes {
        assert!(!class.sourced_id.is_empty());
        let mut ids: Vec<&str> = class.members.iter().map(|one| &*one.sourced_id).collect();
        assert!(ids.iter().all(|id| !id.is_empty()));
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "a member twice");
    }
    if let Err(error) = IdFrom::of_all(&school.classes, "export") {
        told::findings(&[error], &[]);
    }
    Some(school)
}
