//! Owner-only files and durable folders: all that differs between systems.
//!
//! In: paths. Out: files and folders that nobody else may read, renames that are on the disk. Refused: what
//! the system refuses.

use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::Path;

/// A new file beside its later place, readable by its owner from the first moment on, and deleted
/// unless it is kept. Its name tells nothing.
pub(crate) fn temporary(folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".paperweight-").suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o600));
    }
    builder.tempfile_in(folder)
}

/// A new folder beside its later place, for its owner alone, and deleted with all in it unless it is kept.
pub(super) fn temporary_folder(folder: &Path) -> io::Result<tempfile::TempDir> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".paperweight-").suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o700));
    }
    builder.tempdir_in(folder)
}

/// A new file that its owner alone can read.
pub(crate) fn create(path: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    options.open(path)
}

/// Whether others than the owner may read or write the file; systems without such bits keep it to themselves.
pub(crate) fn is_open_to_others(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        fs::metadata(path).is_ok_and(|found| found.permissions().mode() & 0o077 != 0)
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        false
    }
}

/// Puts a folder in the place of another, which gets its name.
pub(super) fn exchange(new: &Path, old: &Path, parent: &Path) -> io::Result<()> {
    #[cfg(any(target_os = "linux", target_os = "macos"))]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        if renameat_with(CWD, new, CWD, old, RenameFlags::EXCHANGE).is_ok() {
            return Ok(());
        }
    }
    // A file system that cannot: the old one steps aside, and comes back if the new one cannot follow.
    let aside = temporary_folder(parent)?;
    let place = aside.path().join("old");
    fs::rename(old, &place)?;
    if let Err(error) = fs::rename(new, old) {
        fs::rename(&place, old)?;
        return Err(error);
    }
    Ok(())
}

/// Makes a rename in a folder survive a loss of power, where the system has a way to.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(folder)?.sync_all()
    } else {
        Ok(())
    }
}

/// Makes a folder and those above it that only their owner may enter; one that is there stays as it is.
pub(crate) fn make_folder(folder: &Path) -> io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    builder.create(folder)
}
