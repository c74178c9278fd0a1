//! Owner-only files and durable folders: all that differs between systems.

use std::fs::File;
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

/// Makes a rename in a folder survive a loss of power, where the system has a way to.
pub(crate) fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(folder)?.sync_all()
    } else {
        Ok(())
    }
}
