//! What stands on the disk afterwards, in each case.

use std::fs;
use std::io::{Read as _, Write as _};
use std::path::Path;

use super::*;

fn ours(line: &[u8]) -> bool {
    line == b"ours\n"
}

fn listing(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<_> = entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

fn write(path: &Path, text: &str) -> Result<(), FileError> {
    let mut draft = Draft::create(path, ours)?;
    draft.write_all(text.as_bytes()).unwrap();
    draft.commit()
}

#[test]
fn a_file_is_written_whole_and_for_its_owner() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("marks.csv");
    write(&path, "ours\n1\n").unwrap();
    write(&path, "ours\n2\n").unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "ours\n2\n");
    assert_eq!(listing(folder.path()), ["marks.csv"]);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        assert_eq!(
            fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o600
        );
    }
}

/// A folder in which files can be made, but which cannot be opened and so not synced.
#[test]
#[cfg(unix)]
fn a_folder_that_cannot_be_synced_is_no_failure() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let allow = |mode| {
        let permissions = fs::Permissions::from_mode(mode);
        fs::set_permissions(folder.path(), permissions).unwrap();
    };
    let path = folder.path().join("marks.csv");
    allow(0o300);
    let outcome = write(&path, "ours\n1\n");
    allow(0o700);
    outcome.unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "ours\n1\n");
}

#[test]
fn a_draft_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("marks.csv");
    fs::write(&path, "ours\nold\n").unwrap();
    let mut draft = Draft::create(&path, ours).unwrap();
    draft.write_all(b"ours\nhalf").unwrap();
    drop(draft);
    assert_eq!(fs::read_to_string(&path).unwrap(), "ours\nold\n");
    assert_eq!(listing(folder.path()), ["marks.csv"]);
}

#[test]
fn what_is_not_ours_stays() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("gradebook.csv");
    for theirs in ["", "ours", "id,total\n1,2\n", "\u{feff}ours\n"] {
        fs::write(&path, theirs).unwrap();
        let error = write(&path, "ours\n").unwrap_err();
        assert!(
            matches!(&error, FileError::Refused(found) if found.message.contains("not replaced")),
            "{error:?}"
        );
        assert_eq!(fs::read_to_string(&path).unwrap(), theirs);
    }
    // it came to stand there while the draft was written
    let late = folder.path().join("late.csv");
    let draft = Draft::create(&late, ours).unwrap();
    fs::write(&late, "theirs").unwrap();
    assert!(draft.commit().is_err());
    assert_eq!(fs::read_to_string(&late).unwrap(), "theirs");
    assert_eq!(listing(folder.path()), ["gradebook.csv", "late.csv"]);
}

#[test]
fn places_where_no_file_can_stand() {
    let folder = tempfile::tempdir().unwrap();
    let message = |path: &Path| write(path, "x").unwrap_err().diagnostic().message.clone();
    assert!(message(folder.path()).contains("found a folder"));
    assert!(message(&folder.path().join("no/such.csv")).contains("does not exist"));
    fs::write(folder.path().join("file"), "").unwrap();
    assert!(message(&folder.path().join("file/x.csv")).contains("does not exist"));
    #[cfg(unix)]
    {
        assert!(message(Path::new("/dev/null")).contains("device"));
        let link = folder.path().join("link.csv");
        std::os::unix::fs::symlink(folder.path().join("gone.csv"), &link).unwrap();
        assert!(message(&link).contains("leads nowhere"));
    }
}

#[test]
#[cfg(unix)]
fn a_link_is_followed() {
    let folder = tempfile::tempdir().unwrap();
    let (path, link) = (
        folder.path().join("real.csv"),
        folder.path().join("link.csv"),
    );
    fs::write(&path, "ours\nold\n").unwrap();
    std::os::unix::fs::symlink(&path, &link).unwrap();
    write(&link, "ours\nnew\n").unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "ours\nnew\n");
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
}

#[test]
fn a_full_disk_is_the_machines_fault() {
    let error = FileError::from_io("x.csv", &io::ErrorKind::StorageFull.into());
    assert!(matches!(error, FileError::Failed(found) if found.message.contains("full")));
}

#[test]
fn inputs_are_opened_or_explained() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ropes-1.toml");
    fs::write(&path, "\u{feff}a = 1\n").unwrap();
    assert_eq!(read_source(&path).unwrap().text, "a = 1\n");
    let explain = |path: &Path| read_source(path).unwrap_err().diagnostic().clone();
    let wrong = explain(&folder.path().join("rope-1.toml"));
    assert!(wrong.help.unwrap().contains("ropes-1.toml"));
    let rosters = folder.path().join("rosters");
    fs::create_dir(&rosters).unwrap();
    fs::write(rosters.join("set-3.csv"), "id\n").unwrap();
    for (typed, meant) in [("ropes-1", "ropes-1.toml"), ("set-3", "rosters/set-3.csv")] {
        let help = explain(&folder.path().join(typed)).help.unwrap();
        assert!(help.ends_with(&format!("{meant}'?")), "{typed}: {help}");
    }
    assert!(explain(folder.path()).message.contains("folder"));
    assert!(
        explain(&folder.path().join("no/x.toml"))
            .help
            .unwrap()
            .contains("does not exist")
    );
    fs::write(&path, b"a = 1\nb\xC3\xA9 = \"\xE9\"\n").unwrap();
    let found = explain(&path);
    assert_eq!(
        found.place,
        Place::Line {
            line: 2,
            column: Some(7)
        }
    );
    assert!(found.message.ends_with("E9"));
    let mut text = String::new();
    Input::from_pipe(&b"piped"[..], "-")
        .unwrap()
        .read_to_string(&mut text)
        .unwrap();
    assert_eq!(text, "piped");
}
