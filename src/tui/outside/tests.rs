//! What the desk does outside, while something is still on its way into the record.

use std::sync::mpsc;

use super::super::acts::deeds;
use super::super::paint::Theme;
use super::*;
use crate::record::{Deed, Keying};
use crate::text::DecimalMark;
use crate::workflow::{class_of, roster};

#[test]
fn own_acts_are_not_taken_for_others_when_papers_are_handed_out_again() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let now = DateTime::from_timestamp(1_790_000_000, 0).unwrap();
    let prepared = Stack::sheet(&folder.join("assignments/ropes-1.toml")).unwrap();
    let path = folder.join("rosters/set-3.csv");
    let class = Class {
        roster: Arc::new(roster(&path, &Default::default()).unwrap().0),
        name: class_of(&path),
        decimal: DecimalMark::Point,
    };
    let record = Stack::one_off(&prepared, &class, now).unwrap();
    let start = Start::Stack {
        folder: folder.to_owned(),
        prepared,
        class,
        record,
    };
    let mut model = Model::new(Theme { color: false });
    let (tell, told) = mpsc::channel();
    let mut outside = Outside::open(start, &mut model, now, tell).unwrap();
    let entry = Deed::Entry {
        part: "a".to_owned(),
        keying: Keying::First,
        text: "down".to_owned(),
    };
    for effect in deeds(&mut model, 0, vec![entry], now) {
        outside.carry_out(effect, &mut model, now);
    }
    // What the record says waits in `told`, and is not heard yet.
    let reissue = || Effect::Reissue(vec!["004071".to_owned()], None);
    outside.carry_out(reissue(), &mut model, now);
    assert!(
        model.message.text.contains("not everything is saved yet"),
        "{}",
        model.message.text
    );
    assert_eq!(model.stack.as_ref().unwrap().papers().len(), 24);
    while !model.saving.waiting.is_empty() {
        update(&mut model, told.recv().unwrap(), now);
    }
    outside.carry_out(reissue(), &mut model, now);
    let stack = model.stack.as_ref().unwrap();
    assert_eq!(stack.papers().len(), 25, "{}", model.message.text);
    assert_eq!(stack.acts().len(), 1);
    assert_eq!(stack.undo(now).len(), 1, "it is the desk's own");
    outside.close();
}

/// What keeps a file from being read is said before all else, and no option that the desk does not have.
#[test]
fn a_failure_is_told_by_its_first_error() {
    let at = |severity: Severity, file: &str, help: &str| Diagnostic {
        severity,
        help: Some(help.to_owned()).filter(|help| !help.is_empty()),
        ..Diagnostic::note(file, crate::diagnostic::Place::File, "found")
    };
    use Severity::{Error, Note, Warning};
    for (list, expected) in [
        (vec![], "it failed"),
        (vec![at(Warning, "a.csv", "look")], "a.csv: found; look"),
        (
            vec![at(Warning, "a.csv", ""), at(Error, "b.csv", "mend it")],
            "b.csv: found; mend it",
        ),
        (
            vec![
                at(Error, "b", ""),
                at(Error, "c", ""),
                at(Error, "d", ""),
                at(Note, "e", ""),
            ],
            "b: found (and 2 more errors; the command line shows all); e: found",
        ),
        (
            vec![at(Error, "--encoding", "write utf-8"), at(Warning, "c", "")],
            "found; write utf-8",
        ),
        (
            vec![at(Error, "b", "--keep leaves it")],
            "b: found; --keep leaves it (on the command line)",
        ),
    ] {
        let failure = Failure::input(list, Vec::new());
        assert_eq!(in_a_line(&failure), expected);
    }
}
