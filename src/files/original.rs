//! A file that belongs to someone else, and a new one in its place.
//!
//! In: a path. Out: its bytes as they were read; later a file with other bytes takes its place in one step,
//! with the permissions of the old one. Before that step the new file is read back from the disk and
//! shown to whoever asked for it, and the old one is read once more. Refused: a folder, a device or a
//! pipe, a file that may not be written, one that was changed since it was read. (Whoever writes between that
//! look and the step after it is not seen: no system offers that without locks that others would have
//! to respect.)

use std::fs::{self, Permissions};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use super::{FileError, draft, folder, name, owner, refused, temporary};
use crate::diagnostic::{Diagnostic, Place};

/// A gradebook of 100,000 rows takes some 10 megabytes.
const LARGEST: u64 = 1 << 30;

/// A file as it was read.
#[derive(Debug)]
pub struct Original {
    bytes: Vec<u8>,
    /// Where it is, links followed.
    target: PathBuf,
    name: String,
    permissions: Permissions,
}

impl Original {
    /// Reads a file that will be replaced.
    pub fn read(path: &Path) -> Result<Self, FileError> {
        let name = name(path);
        let failed = |error: io::Error| FileError::from_io(&name, &error);
        let target = fs::canonicalize(path).map_err(failed)?;
        let found = fs::metadata(&target).map_err(failed)?;
        if found.is_dir() {
            return Err(refused(folder(&name)));
        }
        let wrong = |message: &str, help: &str| {
            Err(refused(
                Diagnostic::error(&name, Place::File, message).help(help),
            ))
        };
        if !found.is_file() {
            return wrong("expected a file, found a device or a pipe", "name a file");
        }
        if found.permissions().readonly() {
            return wrong(
                "the file is read-only, and is left as it is",
                "check whose file it is; make it writable if it may be filled",
            );
        }
        let mut bytes = Vec::new();
        let file = fs::File::open(&target).map_err(failed)?;
        file.take(LARGEST + 1)
            .read_to_end(&mut bytes)
            .map_err(failed)?;
        if bytes.len() as u64 > LARGEST {
            return wrong(
                "the file has more than a gibibyte",
                "check the name of the file",
            );
        }
        Ok(Self {
            bytes,
            target,
            name,
            permissions: found.permissions(),
        })
    }

    /// Its bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Its name without the folder.
    pub fn file_name(&self) -> String {
        let name = self.target.file_name().unwrap_or_default();
        name.to_string_lossy().into_owned()
    }

    /// Puts a file with other bytes in its place, durably. `is_right` is shown what stands on the disk before
    /// that is done, and may refuse it.
    ///
    /// # Errors
    /// A file that was changed since, a full disk; then the old one stands as it did.
    pub fn replace(
        &self,
        bytes: &[u8],
        is_right: impl FnOnce(&[u8]) -> Result<(), Diagnostic>,
    ) -> Result<(), FileError> {
        let failed = |error: io::Error| FileError::from_io(&self.name, &error);
        let parent = draft::parent(&self.target);
        let (_listed, mut temporary) = temporary::file(parent).map_err(failed)?;
        temporary.write_all(bytes).map_err(failed)?;
        let file = temporary.as_file();
        file.set_permissions(self.permissions.clone())
            .map_err(failed)?;
        file.sync_all().map_err(failed)?;
        let written = fs::read(temporary.path()).map_err(failed)?;
        is_right(&written).map_err(|found| FileError::Failed(Box::new(found)))?;
        if written != bytes {
            let found = Diagnostic::error(
                &self.name,
                Place::File,
                "what was written cannot be read back",
            );
            return Err(FileError::Failed(Box::new(
                found.help("the file was left as it is; check the disk"),
            )));
        }
        if !self.is_unchanged() {
            return Err(refused(changed(&self.name)));
        }
        let kept = temporary.persist(&self.target);
        kept.map_err(|error| failed(error.error))?;
        // As for a draft: the file stands, and only a loss of power could bring the old one back.
        let _ = owner::sync_folder(parent);
        Ok(())
    }

    fn is_unchanged(&self) -> bool {
        fs::read(&self.target).is_ok_and(|now| now == self.bytes)
    }
}

fn changed(file: &str) -> Diagnostic {
    let message = "another program changed the file since it was read; it was left as it is";
    Diagnostic::error(file, Place::File, message)
        .help("close the file in the spreadsheet program, and run the command again")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fine(_: &[u8]) -> Result<(), Diagnostic> {
        Ok(())
    }

    fn in_folder() -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("grades.csv");
        fs::write(&path, "old").unwrap();
        (folder, path)
    }

    fn only(folder: &Path) -> usize {
        fs::read_dir(folder).unwrap().count()
    }

    #[test]
    fn a_new_file_takes_the_place_of_the_old() {
        let (folder, path) = in_folder();
        let original = Original::read(&path).unwrap();
        assert_eq!(
            (original.bytes(), original.file_name()),
            (&b"old"[..], "grades.csv".into())
        );
        original.replace(b"new", fine).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(only(folder.path()), 1);
    }

    #[test]
    fn what_somebody_else_did_meanwhile_is_noticed() {
        let (folder, path) = in_folder();
        let original = Original::read(&path).unwrap();
        // even between reading back and the step that replaces it
        let meanwhile = |_: &[u8]| {
            fs::write(&path, "odd").unwrap();
            Ok(())
        };
        let found = original.replace(b"new", meanwhile).unwrap_err();
        assert!(
            found
                .diagnostic()
                .message
                .contains("another program changed")
        );
        assert_eq!(fs::read(&path).unwrap(), b"odd");
        fs::remove_file(&path).unwrap();
        assert!(original.replace(b"new", fine).is_err());
        assert_eq!(
            only(folder.path()),
            0,
            "nothing is put where there is nothing"
        );
    }

    #[test]
    fn what_is_not_right_on_the_disk_is_not_put_in_place() {
        let (folder, path) = in_folder();
        let original = Original::read(&path).unwrap();
        let wrong = |bytes: &[u8]| {
            assert_eq!(bytes, b"new");
            Err(Diagnostic::error("grades.csv", Place::File, "wrong"))
        };
        let found = original.replace(b"new", wrong).unwrap_err();
        assert!(matches!(found, FileError::Failed(_)));
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(only(folder.path()), 1);
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_stay() {
        use std::os::unix::fs::PermissionsExt as _;
        let (folder, path) = in_folder();
        let link = folder.path().join("link.csv");
        std::os::unix::fs::symlink(&path, &link).unwrap();
        fs::set_permissions(&path, Permissions::from_mode(0o664)).unwrap();
        let original = Original::read(&link).unwrap();
        original.replace(b"new", fine).unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(
            fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o664
        );
        fs::set_permissions(&path, Permissions::from_mode(0o444)).unwrap();
        let found = Original::read(&path).unwrap_err();
        assert!(found.diagnostic().message.contains("read-only"));
        assert!(
            Original::read(folder.path())
                .unwrap_err()
                .diagnostic()
                .message
                .contains("folder")
        );
        assert!(Original::read(Path::new("/dev/null")).is_err());
    }
}
