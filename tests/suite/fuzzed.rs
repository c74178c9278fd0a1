//! The corpora of the fuzz targets, each input through what its target asserts. How they were made stands in
//! `DEVELOPERS.md`.

use std::fs;
use std::panic;
use std::path::Path;

#[path = "../fuzz/src/lib.rs"]
#[allow(
    unreachable_pub,
    reason = "public for the fuzz targets, which are programs of their own"
)]
mod fuzz;

#[test]
fn every_input_of_the_corpora() {
    let corpora = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus");
    for (target, run) in fuzz::TARGETS {
        let folder = fs::read_dir(corpora.join(target)).unwrap();
        let mut paths: Vec<_> = folder.map(|entry| entry.unwrap().path()).collect();
        paths.sort();
        assert!(paths.len() >= 10, "{target}: {} inputs", paths.len());
        for path in paths {
            let bytes = fs::read(&path).unwrap();
            let outcome = panic::catch_unwind(|| run(&bytes));
            assert!(outcome.is_ok(), "{}", path.display());
        }
    }
}
