//! A folder of files that appears whole or not at all.
//!
//! In go a path and files, out comes the folder, for its owner alone. It is made beside its place and put there by
//! one rename. One of ours that stands there is exchanged for it in one step where the system can do that
//! (Linux, macOS, on most file systems); elsewhere it is moved aside first, and for that moment there is none.
//! Refused: a folder in which anything stands that the program did not write.

use std::fs;
use std::io::{self, Write as _};
use std::path::Path;

use super::draft::parent;
use super::{FileError, name, owner, refused, temporary};
use crate::diagnostic::{Diagnostic, Place};

/// Files by name.
pub(crate) type Files<'a> = [(&'a str, Vec<u8>)];

/// Puts a folder with exactly these files at `path`. `is_ours` tells by the contents of one of them whether a
/// folder that stands there may be replaced: it has to hold that file, and no others than `known`.
///
/// # Errors
/// Another folder or file that stands there, a place where none can be made.
pub fn put_folder(
    path: &Path,
    files: &Files<'_>,
    known: &[&str],
    (mark, is_ours): (&str, fn(&[u8]) -> bool),
) -> Result<(), FileError> {
    let target_name = name(path);
    let failed = |error: io::Error| FileError::from_io(&target_name, &error);
    let is_there = match fs::symlink_metadata(path) {
        Ok(found) if found.is_dir() => {
            may_replace(path, &target_name, known, (mark, is_ours))?;
            true
        }
        Ok(_) => return Err(refused(not_ours(&target_name))),
        Err(error) if error.kind() == io::ErrorKind::NotFound => false,
        Err(error) => return Err(failed(error)),
    };
    let above = parent(path);
    let (_listed, new) = temporary::folder(above).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => refused(no_parent(&target_name)),
        _ => failed(error),
    })?;
    for (file, bytes) in files {
        let mut file = owner::create(&new.path().join(file)).map_err(failed)?;
        file.write_all(bytes)
            .and_then(|()| file.sync_all())
            .map_err(failed)?;
    }
    owner::sync_folder(new.path()).map_err(failed)?;
    if is_there {
        // What comes out of the exchange goes with the temporary name.
        owner::exchange(new.path(), path, above).map_err(failed)?;
    } else {
        fs::rename(new.path(), path).map_err(failed)?;
        // It has its name now, and is not to be deleted under the old one.
        let _ = new.keep();
    }
    // As with a file: the folder stands, whole, whatever a sync that is refused leaves open.
    let _ = owner::sync_folder(above);
    Ok(())
}

/// Refuses a folder that is not one of ours; an empty one may be replaced.
fn may_replace(
    path: &Path,
    target: &str,
    known: &[&str],
    (mark, is_ours): (&str, fn(&[u8]) -> bool),
) -> Result<(), FileError> {
    let failed = |error: io::Error| FileError::from_io(target, &error);
    let mut is_empty = true;
    for entry in fs::read_dir(path).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        is_empty = false;
        let is_file = entry.file_type().map_err(failed)?.is_file();
        let file = entry.file_name();
        if !is_file || !known.iter().any(|known| file == *known) {
            return Err(refused(not_ours(target)));
        }
    }
    let marked = fs::read(path.join(mark)).is_ok_and(|bytes| is_ours(&bytes));
    if is_empty || marked {
        Ok(())
    } else {
        Err(refused(not_ours(target)))
    }
}

fn not_ours(file: &str) -> Diagnostic {
    let message = "something else stands there, which is not replaced; nothing was changed";
    Diagnostic::error(file, Place::File, message)
        .help("name a new folder, or move this one away first")
}

fn no_parent(file: &str) -> Diagnostic {
    let message = "the folder in which this one would lie does not exist";
    Diagnostic::error(file, Place::File, message).help("make it first, or check its name")
}

#[cfg(test)]
mod tests {
    use super::*;

    const KNOWN: [&str; 3] = ["a.csv", "b.csv", "mark.csv"];

    fn put(path: &Path, files: &[(&str, &str)]) -> Result<(), String> {
        let files: Vec<(&str, Vec<u8>)> = files
            .iter()
            .map(|(name, text)| (*name, text.as_bytes().to_vec()))
            .collect();
        let ours = |bytes: &[u8]| bytes == b"ours";
        put_folder(path, &files, &KNOWN, ("mark.csv", ours))
            .map_err(|error| error.diagnostic().message.clone())
    }

    fn listing(path: &Path) -> Vec<String> {
        let entries = fs::read_dir(path)
            .unwrap()
            .map(|entry| entry.unwrap().file_name());
        let mut names: Vec<_> = entries.map(|name| name.into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn a_folder_appears_whole_and_for_its_owner() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join("out");
        put(
            &path,
            &[("a.csv", "1"), ("b.csv", "2"), ("mark.csv", "ours")],
        )
        .unwrap();
        assert_eq!(listing(&path), ["a.csv", "b.csv", "mark.csv"]);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
            assert_eq!((mode(&path), mode(&path.join("a.csv"))), (0o700, 0o600));
        }
        // replaced as a whole: what is not written again is gone
        put(&path, &[("a.csv", "3"), ("mark.csv", "ours")]).unwrap();
        assert_eq!(listing(&path), ["a.csv", "mark.csv"]);
        assert_eq!(fs::read_to_string(path.join("a.csv")).unwrap(), "3");
        assert_eq!(listing(place.path()), ["out"], "nothing is left beside it");
        let empty = place.path().join("empty");
        fs::create_dir(&empty).unwrap();
        put(&empty, &[("mark.csv", "ours")]).unwrap();
        assert_eq!(listing(&empty), ["mark.csv"]);
        assert_eq!(listing(place.path()), ["empty", "out"]);
    }

    #[test]
    fn what_is_not_ours_stays() {
        let place = tempfile::tempdir().unwrap();
        let write = |name: &str, text: &str| {
            let path = place.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        };
        write("other/mark.csv", "theirs");
        write("more/mark.csv", "ours");
        write("more/notes.txt", "");
        write("deep/mark.csv", "ours");
        fs::create_dir(place.path().join("deep/a.csv")).unwrap();
        write("without/a.csv", "");
        write("file", "");
        let before = listing(place.path());
        for name in ["other", "more", "deep", "without", "file"] {
            let message = put(
                &place.path().join(name),
                &[("a.csv", "1"), ("mark.csv", "ours")],
            )
            .unwrap_err();
            assert!(message.contains("something else"), "{name}: {message}");
        }
        assert_eq!(listing(place.path()), before);
        assert_eq!(
            fs::read_to_string(place.path().join("other/mark.csv")).unwrap(),
            "theirs"
        );
        let message = put(&place.path().join("no/where"), &[]).unwrap_err();
        assert!(message.contains("does not exist"), "{message}");
    }
}
