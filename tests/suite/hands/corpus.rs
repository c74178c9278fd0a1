//! Corpora: a snapshot for each file of a folder.
//!
//! In: a folder below `tests/corpus`, what its files end in, and the test of one. Out: nothing, or the names of all files
//! that failed, each with its difference above. (The loop that the crate offers counts in one place for all threads: a
//! difference of another test that runs beside it is put down to it, and the other test passes.)

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

/// Tests each file of a folder; its name distinguishes its snapshots.
pub(crate) fn each(folder: &str, ending: &str, mut test: impl FnMut(&Path)) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/corpus")
        .join(folder);
    let entries = fs::read_dir(&folder).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|found| found == ending));
    paths.sort();
    assert!(!paths.is_empty(), "{}", folder.display());
    let mut failed = Vec::new();
    for path in &paths {
        let name = path.file_name().unwrap().to_string_lossy();
        let mut settings = insta::Settings::clone_current();
        settings.set_input_file(path);
        settings.set_snapshot_suffix(&*name);
        let tested = catch_unwind(AssertUnwindSafe(|| settings.bind(|| test(path))));
        if tested.is_err() {
            failed.push(name);
        }
    }
    assert!(failed.is_empty(), "of {}: {failed:?}", folder.display());
}
