//! Owner-only files, durable folders, files that are being written, signals: all that differs between systems.
//!
//! In: paths. Out: files and folders that nobody else may read, renames that are on the disk. Refused: what
//! the system refuses.

use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::Path;
use std::time::Duration;

use super::temporary;

/// Has what a builder makes be for its owner alone.
pub(super) fn restrict(builder: &mut tempfile::Builder<'_, '_>, mode: u32) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(mode));
    }
    #[cfg(not(unix))]
    let _ = (builder, mode);
}

/// Tells other copies of the program that a file is being written, as long as it is open. (On Windows a lock would
/// keep the writer itself from reading the file back.)
pub(super) fn claim(file: &File) {
    // Where a file system has no locks nobody can get one, and the file is left alone for good.
    #[cfg(unix)]
    let _ = file.try_lock();
    #[cfg(not(unix))]
    let _ = file;
}

/// A file that its writer left, claimed by the caller: a plain one, no link, of the owner of `own`, last written so
/// long before that one was, and claimed by nobody. Nothing where that is not so or cannot be told.
pub(super) fn abandoned(path: &Path, own: &File, left_for: Duration) -> io::Result<Option<File>> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        let (found, own) = (fs::symlink_metadata(path)?, own.metadata()?);
        // By the clock of the file system, whoever's that is.
        let left = own.modified()?.duration_since(found.modified()?);
        let is_left = left.is_ok_and(|left| left >= left_for);
        if !found.is_file() || found.uid() != own.uid() || !is_left {
            return Ok(None);
        }
        let file = File::open(path)?;
        let opened = file.metadata()?;
        let is_same = (opened.dev(), opened.ino()) == (found.dev(), found.ino());
        Ok((is_same && file.try_lock().is_ok()).then_some(file))
    }
    #[cfg(not(unix))]
    {
        let _ = (path, own, left_for);
        Ok(None)
    }
}

/// Has something done before a signal ends the program. A signal that is to be ignored by the will of whoever started
/// the program stays so: `nohup` does that, and a shell to what runs in the background.
pub(super) fn before_ending(clear: impl FnOnce() + Send + 'static) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::sync::Arc;
        use std::sync::atomic::{AtomicUsize, Ordering};

        use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
        /// How often it is looked whether a signal came.
        const LOOK: Duration = Duration::from_millis(10);
        let ignored = ignored();
        let ends = [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| {
            // Where the system does not say, only `nohup` is common.
            ignored.map_or(*signal != SIGHUP, |mask| mask >> (signal - 1) & 1 == 0)
        });
        let came = Arc::new(AtomicUsize::new(0));
        let seen = Arc::clone(&came);
        // Looked at now and then: to be woken by a signal takes a pair of sockets, and this program has none.
        // Somebody looks before the first signal is caught: one that nobody saw would end nothing.
        std::thread::Builder::new().spawn(move || {
            while seen.load(Ordering::Relaxed) == 0 {
                std::thread::sleep(LOOK);
            }
            clear();
            let signal = seen.load(Ordering::Relaxed) as i32;
            let _ = signal_hook::low_level::emulate_default_handler(signal);
        })?;
        for signal in ends {
            signal_hook::flag::register_usize(
                signal,
                Arc::clone(&came),
                signal.unsigned_abs() as usize,
            )?;
        }
    }
    #[cfg(not(unix))]
    let _ = clear;
    Ok(())
}

/// The signals that are ignored, a bit each; Linux alone says which.
#[cfg(unix)]
fn ignored() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let mask = status
        .lines()
        .find_map(|line| line.strip_prefix("SigIgn:"))?;
    u64::from_str_radix(mask.trim(), 16).ok()
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
    let aside = temporary::aside(parent)?;
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
