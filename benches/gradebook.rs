//! Times filling a column in a gradebook of 100,000 rows, beside copying the same file.
//!
//! In: a made-up gradebook of 100,000 students, eight columns, 4.6 megabytes. Out: a table of times: what
//! the disk needs (`copy`, and `copy_durably` with the same syncs that filling makes), each stage, and all of
//! it. `cargo bench --bench gradebook`.

mod sure;

use std::fs;
use std::io::Write as _;
use std::path::PathBuf;

use divan::Bencher;
use divan::counter::BytesCount;
use paperweight::files::Original;
use paperweight::gradebook::fill::{Changes, Entry, Gradebook, Links, Wanted, check, filled, plan};
use paperweight::text::DecimalMark;

use sure::Sure;

const ROWS: usize = 100_000;

fn wanted() -> Wanted<'static> {
    Wanted {
        id_column: Some("Student ID"),
        columns: &["ropes-1"],
        ..Wanted::default()
    }
}

fn main() {
    divan::main();
}

struct Files {
    folder: tempfile::TempDir,
    text: String,
    ids: Vec<String>,
    marks: Vec<String>,
}

impl Files {
    fn new() -> Self {
        let mut text = "Student ID,Name,Section,quiz 1,quiz 2,ropes-1,note,total\r\n".to_owned();
        let ids: Vec<String> = (0..ROWS)
            .map(|at| format!("{:07}", at * 37 % 9_999_991))
            .collect();
        for (at, id) in ids.iter().enumerate() {
            let note = if at % 5 == 0 {
                "\"says \"\"hi\"\", twice\""
            } else {
                ""
            };
            text += &format!(
                "{id},\"Surname{at}, Given\",{},{},7.5,,{note},\r\n",
                at % 9,
                at % 14
            );
        }
        let folder = tempfile::tempdir().sure();
        fs::write(folder.path().join("grades.csv"), &text).sure();
        Self {
            folder,
            text,
            ids,
            marks: (0..ROWS).map(|at| format!("{}", at % 14)).collect(),
        }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("grades.csv")
    }

    fn entries(&self) -> Vec<Entry<'_>> {
        let pairs = self.ids.iter().zip(&self.marks);
        let entries = pairs.map(|(id, mark)| Entry {
            id,
            name: "",
            text: Some(mark),
            ours: None,
        });
        entries.collect()
    }

    fn found(&self) -> Gradebook<'_> {
        Gradebook::find(self.text.as_bytes(), "grades.csv", &wanted(), &|_| true).sure()
    }

    fn plan(&self) -> Changes {
        plan(
            &self.found(),
            &self.entries(),
            &Links::default(),
            DecimalMark::Point,
        )
        .sure()
    }

    fn size(&self) -> BytesCount {
        BytesCount::new(self.text.len())
    }
}

#[divan::bench]
fn copy(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    let to = files.folder.path().join("copy.csv");
    bencher
        .counter(files.size())
        .bench_local(|| fs::copy(files.path(), &to).sure());
}

#[divan::bench]
fn copy_durably(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    let folder = files.folder.path();
    bencher.counter(files.size()).bench_local(|| {
        let bytes = fs::read(files.path()).sure();
        let mut draft = tempfile::NamedTempFile::new_in(folder).sure();
        draft.write_all(&bytes).sure();
        draft.as_file().sync_all().sure();
        draft.persist(folder.join("copy.csv")).sure();
        fs::File::open(folder).sure().sync_all().sure();
    });
}

#[divan::bench]
fn find_the_columns(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    bencher
        .counter(files.size())
        .bench_local(|| files.found().notes().len());
}

#[divan::bench]
fn find_the_cells(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    let (found, entries) = (files.found(), files.entries());
    let links = Links::default();
    bencher.counter(files.size()).bench_local(|| {
        plan(&found, &entries, &links, DecimalMark::Point)
            .sure()
            .changes
            .len()
    });
}

#[divan::bench]
fn put_the_marks_in(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    let (found, plan) = (files.found(), files.plan());
    bencher
        .counter(files.size())
        .bench_local(|| filled(&found, &plan.changes).sure().len());
}

#[divan::bench]
fn hold_against_the_old_file(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    let (found, plan) = (files.found(), files.plan());
    let after = filled(&found, &plan.changes).sure();
    bencher
        .counter(files.size())
        .bench_local(|| check(&found, &after, &plan.changes).sure());
}

/// Everything, from the file to the file.
#[divan::bench]
fn fill_the_file(bencher: Bencher<'_, '_>) {
    let files = Files::new();
    let entries = files.entries();
    let links = Links::default();
    bencher
        .counter(files.size())
        .with_inputs(|| fs::write(files.path(), &files.text).sure())
        .bench_local_values(|()| {
            let original = Original::read(&files.path()).sure();
            let found = Gradebook::find(original.bytes(), "g", &wanted(), &|_| true).sure();
            let plan = plan(&found, &entries, &links, DecimalMark::Point).sure();
            let after = filled(&found, &plan.changes).sure();
            let replaced =
                original.replace(&after, |written| check(&found, written, &plan.changes));
            replaced.map_err(|error| error.diagnostic().clone()).sure();
        });
}
