//! Stacks as they lie on the desk: found, marked at once, undone, numbered.

use std::path::Path;

use chrono::{DateTime, Utc};

use super::*;
use crate::explain;
use crate::record::{Deed, Keying, NewAct, OpenMode, Record};
use crate::workflow::{Kept, class_of};

fn now(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_790_000_000 + second, 0).unwrap()
}

fn folder() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The shipped ropes and class.
fn shipped() -> (Record, Stack) {
    let prepared = Stack::sheet(&folder().join("assignments/ropes-1.toml")).unwrap();
    let path = folder().join("rosters/set-3.csv");
    let (roster, _) = crate::workflow::roster(&path, &Default::default()).unwrap();
    let class = Class {
        roster: Arc::new(roster),
        name: class_of(&path),
        decimal: DecimalMark::Point,
    };
    let record = Stack::one_off(&prepared, &class, now(0)).unwrap();
    let kept = Kept::of(&record, "ropes-1", "set-3").unwrap();
    (record, Stack::open(prepared, class, kept))
}

fn key(stack: &Stack, paper: usize, part: &str, text: &str) -> NewAct {
    let deed = Deed::Entry {
        part: part.into(),
        keying: Keying::First,
        text: text.into(),
    };
    NewAct::new(now(1), stack.papers()[paper].issue.id, deed)
}

fn done(stack: &mut Stack, new: Vec<NewAct>) -> Vec<Act> {
    let acts = stack.provisional(new);
    stack.apply(&acts);
    acts
}

#[test]
fn a_few_letters_find_a_paper() {
    let (_, stack) = shipped();
    let id = |query: &str| {
        let found = stack.find(query);
        found.first().map(|&at| stack.student(at).id.to_owned())
    };
    for (query, expected) in [
        ("ao", "004071"),
        ("71", "004071"),
        ("okonjo", "004071"),
        ("amnia", "004071"),
        ("OF", "000095"),
        ("sarg", "004788"),
        ("agard", "004788"),
        ("jwo", "004613"),
        ("thor", "004607"),
        ("欧", "004402"),
        ("θκ", "004315"),
        ("004855", "004855"),
        ("zzzz", ""),
    ] {
        let expected = (!expected.is_empty()).then(|| expected.to_owned());
        assert_eq!(id(query), expected, "{query}");
    }
    let code = stack.papers()[7].issue.code;
    assert_eq!(stack.find(&code.as_str().to_lowercase())[0], 7);
    assert_eq!(stack.find("").len(), 24);
}

#[test]
fn two_letters_find_every_paper_of_the_class() {
    let (_, stack) = shipped();
    for at in 0..stack.papers().len() {
        let student = stack.student(at);
        let folded = crate::text::folded(student.name);
        let words = folded
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty());
        let initials: String = words
            .filter_map(|word| word.chars().next())
            .take(2)
            .collect();
        let tails: String = student.id.chars().skip(student.id.len() - 2).collect();
        let code: String = stack.papers()[at]
            .issue
            .code
            .as_str()
            .chars()
            .take(2)
            .collect();
        let queries = [initials, tails, code];
        let found = queries
            .iter()
            .any(|query| stack.find(query).first() == Some(&at));
        assert!(found, "{} by any of {queries:?}", student.name);
    }
}

#[test]
fn papers_to_do_come_before_those_that_are_done() {
    let (_, mut stack) = shipped();
    let both = stack.find("ana k");
    let (first, second) = (both[0], both[1]);
    let new = ["a", "b", "c", "d"]
        .map(|part| key(&stack, first, part, ""))
        .to_vec();
    done(&mut stack, new);
    assert_eq!(stack.find("ana k")[0], second);
}

#[test]
fn an_entry_is_marked_at_once_and_taken_back() {
    let (_, mut stack) = shipped();
    let plan_parts = stack.plan().parts.len();
    assert_eq!(stack.papers()[0].progress(stack.plan()), Progress::ToDo);
    let new = vec![key(&stack, 0, "c", "55.6 N")];
    done(&mut stack, new);
    let paper = &stack.papers()[0];
    assert!(
        paper.mark(2).unwrap().verdict.is_right(),
        "{:?}",
        paper.mark(2)
    );
    assert_eq!(paper.progress(stack.plan()), Progress::Begun);
    assert_eq!(paper.marked.parts.len(), plan_parts);
    let back = stack.undo(now(2));
    done(&mut stack, back);
    assert_eq!(stack.papers()[0].entry("c"), None);
    assert_eq!(stack.papers()[0].progress(stack.plan()), Progress::ToDo);
    let again = stack.redo(now(3));
    done(&mut stack, again);
    assert_eq!(stack.papers()[0].entry("c"), Some("55.6 N"));
}

#[test]
fn numbers_of_the_record_take_the_place_of_provisional_ones() {
    let (mut record, mut stack) = shipped();
    for (part, text) in [("a", "down"), ("b", "1 m/s^2"), ("b", "2 m/s^2")] {
        let new = vec![key(&stack, 3, part, text)];
        let acts = done(&mut stack, new.clone());
        let real = record.append(&new).unwrap();
        stack.acknowledge(acts[0].id, &real);
    }
    let back = stack.undo(now(5));
    let acts = done(&mut stack, back.clone());
    // What is taken back carries the record's number by now.
    let real = record.append(&back).unwrap();
    stack.acknowledge(acts[0].id, &real);
    assert_eq!(stack.papers()[3].entry("b"), Some("1 m/s^2"));
    let kept = Kept::of(&record, "ropes-1", "set-3").unwrap();
    assert_eq!(stack.acts(), kept.acts);
}

#[test]
fn a_stack_laid_anew_stands_as_it_stood() {
    let (record, mut stack) = shipped();
    let writer = Writer::start(record, None, |_| {});
    for (paper, part, text) in [(0, "a", "down"), (0, "b", "0.899 m/s^2"), (5, "c", "?")] {
        let new = vec![key(&stack, paper, part, text)];
        writer.save(done(&mut stack, new));
    }
    // Undone before the record has answered.
    let back = stack.undo(now(9));
    writer.save(done(&mut stack, back));
    let kept = writer
        .with(|record| Ok(Kept::of(record, "ropes-1", "set-3")?))
        .unwrap();
    assert_eq!(kept.acts.len(), 4);
    let class = Class {
        roster: Arc::new(stack.roster().clone()),
        name: "set-3".into(),
        decimal: DecimalMark::Point,
    };
    let again = Stack::open(Arc::clone(&stack.prepared), class, kept);
    for (one, other) in stack.papers().iter().zip(again.papers()) {
        assert_eq!(one.standing, other.standing);
        assert_eq!(one.marked, other.marked);
    }
    writer.close();
}

#[test]
fn what_the_record_refuses_is_told_and_saved_once_it_can_be() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("paperweight.sqlite");
    let (_, mut stack) = shipped();
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let class = Class {
        roster: Arc::new(stack.roster().clone()),
        name: "set-3".into(),
        decimal: DecimalMark::Point,
    };
    let request = crate::workflow::IssueRequest {
        prepared: &stack.prepared,
        roster: &class.roster,
        class: "set-3",
        class_is_said: true,
        file: crate::record::RosterFile {
            path: "set-3.csv".into(),
            ..crate::record::RosterFile::default()
        },
        due: None,
        now: now(0),
    };
    crate::workflow::issue(&request, &mut record).unwrap();
    let (tell, told) = std::sync::mpsc::channel();
    let writer = Writer::start(record, None, move |outcome| tell.send(outcome).unwrap());
    // Another copy holds the record for longer than this one waits at first.
    let other = rusqlite::Connection::open(&path).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let new = vec![key(&stack, 0, "a", "up")];
    writer.save(done(&mut stack, new));
    let new = vec![key(&stack, 0, "a", "down")];
    writer.save(done(&mut stack, new));
    let failed = told
        .recv_timeout(std::time::Duration::from_secs(20))
        .unwrap();
    assert!(matches!(failed, Outcome::Failed(_)), "{failed:?}");
    // Nothing else is done meanwhile: it would not know of what waits.
    let refused = writer.open("ropes-1".into(), "set-3".into()).unwrap_err();
    let said = &refused.findings().list[0].message;
    assert!(said.contains("once all that was keyed is saved"), "{said}");
    other.execute_batch("COMMIT").unwrap();
    drop(other);
    let kept = writer.open("ropes-1".into(), "set-3".into()).unwrap();
    assert_eq!(kept.acts.len(), 2, "what waited comes first");
    let mut saved = Vec::new();
    while saved.len() < 2 {
        match told
            .recv_timeout(std::time::Duration::from_secs(20))
            .unwrap()
        {
            Outcome::Saved(first, ids) => saved.push((first, ids)),
            Outcome::Failed(_) | Outcome::Came(_) => {}
        }
    }
    assert!(
        saved[0].0 < saved[1].0,
        "in the order in which they were keyed"
    );
    writer.close();
    let record = Record::open(&path, OpenMode::Read).unwrap();
    assert_eq!(record.acts("ropes-1").unwrap().len(), 2);
}

#[test]
fn counts_follow_the_papers() {
    let (_, mut stack) = shipped();
    let answers = [
        ("a", "down"),
        ("b", "0.899 m/s^2"),
        ("c", "55.6 N"),
        ("d", "21.4 N"),
    ];
    let mut new: Vec<NewAct> = answers
        .map(|(part, text)| key(&stack, 0, part, text))
        .to_vec();
    let issue = stack.papers()[0].issue.id;
    let eye = Deed::Working {
        part: "e".into(),
        points: Some(3),
    };
    new.push(NewAct::new(now(1), issue, eye));
    let absent = Deed::Attend {
        attendance: crate::record::Attendance::Absent,
    };
    new.push(NewAct::new(now(1), stack.papers()[1].issue.id, absent));
    new.push(key(&stack, 2, "c", "1 N"));
    done(&mut stack, new);
    let counts = stack.counts();
    assert_eq!(
        (counts.done, counts.absent, counts.begun, counts.to_do),
        (1, 1, 1, 21)
    );
    assert_eq!(counts.totals, [rust_decimal::Decimal::from(13)]);
    assert_eq!(counts.step(), rust_decimal::Decimal::from(3));
    assert_eq!(counts.histogram(counts.step()), [0, 0, 0, 0, 1]);
    assert_eq!(counts.parts[2].keyed, 2);
    assert_eq!(
        counts.parts[2].facility(),
        Some(rust_decimal::Decimal::new(5, 1))
    );
    assert_eq!(
        counts.parts[2].mistakes[0].words,
        "wrong, nothing foreseen fits"
    );
}

#[test]
fn what_others_do_stands_in_the_order_of_the_record() {
    let (mut record, mut stack) = shipped();
    let kept = Kept::of(&record, "ropes-1", "set-3").unwrap();
    let mut watch = Watch::of(&kept, "ropes-1", "set-3");
    // Keyed here, and taken by the record only after somebody else keyed the same.
    let own = vec![key(&stack, 0, "b", "1 N")];
    let acts = done(&mut stack, own.clone());
    record.append(&[key(&stack, 0, "b", "2 N")]).unwrap();
    record.append(&[key(&stack, 7, "a", "up")]).unwrap();
    let came = stack.take_in(watch.look(&record).unwrap());
    assert_eq!(came.acts.len(), 2);
    assert_eq!(
        stack.papers()[0].entry("b"),
        Some("1 N"),
        "the last word is ours"
    );
    let real = record.append(&own).unwrap();
    stack.acknowledge(acts[0].id, &real);
    // What was keyed here comes back with the next look, and is known.
    record.append(&[key(&stack, 0, "c", "3 N")]).unwrap();
    let came = stack.take_in(watch.look(&record).unwrap());
    assert_eq!(came.acts.len(), 1);
    let kept = Kept::of(&record, "ropes-1", "set-3").unwrap();
    assert_eq!(stack.acts(), kept.acts);
    for paper in stack.papers() {
        assert_eq!(&paper.standing, kept.standing(paper.issue.id));
    }
    // Undo reaches what was done here, and nothing else.
    let back = stack.undo(now(9));
    assert_eq!(back.len(), 1);
    done(&mut stack, back);
    assert_eq!(stack.papers()[0].entry("b"), Some("2 N"));
    assert!(stack.undo(now(10)).is_empty());
}

#[test]
fn a_new_paper_of_somebody_lies_behind_the_old_one() {
    let (mut record, mut stack) = shipped();
    let kept = Kept::of(&record, "ropes-1", "set-3").unwrap();
    let mut watch = Watch::of(&kept, "ropes-1", "set-3");
    let request = crate::workflow::IssueRequest {
        prepared: &Arc::clone(&stack.prepared),
        roster: &Arc::clone(&stack.roster),
        class: "set-3",
        class_is_said: true,
        file: Default::default(),
        due: None,
        now: now(5),
    };
    let again = crate::workflow::Again::Students(vec!["004071".into()]);
    crate::workflow::reissue(&request, &again, &mut record).unwrap();
    let came = stack.take_in(watch.look(&record).unwrap());
    assert_eq!(came.papers, [1]);
    assert_eq!(came.places[..3], [0, 2, 3]);
    assert_eq!(stack.papers().len(), 25);
    let (old, new) = (&stack.papers()[0].issue, &stack.papers()[1].issue);
    assert_eq!((old.number, new.number), (1, 2));
    assert_ne!(old.values, new.values);
    for (at, paper) in stack.papers().iter().enumerate() {
        assert_eq!(stack.paper_of(paper.issue.id), Some(at));
    }
    let nothing = stack.take_in(watch.look(&record).unwrap());
    assert!(nothing.is_empty(), "{nothing:?}");
}

/// A wrong answer of which the program knows what was done. One key takes that as the
/// reason: points by the scheme, with the reason as the note.
#[test]
fn an_explanation_is_taken_as_the_reason() {
    let (_, mut stack) = shipped();
    let at = stack.find("004071")[0];
    // 55.6 N would be right.
    let new = ["down", "0.899 m/s^2", "56.5 N"];
    let new = ["a", "b", "c"].into_iter().zip(new);
    let new = new
        .map(|(part, text)| key(&stack, at, part, text))
        .collect();
    done(&mut stack, new);
    let causes = stack.causes(at);
    let first = causes.first().unwrap();
    assert_eq!((&first.explains[..], &first.misread), (&[2][..], &None));
    let reason = explain::cause(stack.plan(), first);
    let (deed, words) = stack.taken_as_reason(at, 2).unwrap();
    let Deed::Adjust {
        part,
        points,
        note,
        hint,
    } = deed.clone()
    else {
        panic!("{deed:?}");
    };
    // Half of the two points for the value: the third is for the working.
    assert_eq!(
        (part.as_str(), points),
        ("c", Some(rust_decimal::Decimal::ONE))
    );
    assert_eq!(note, reason);
    assert!(words.starts_with("(c) set to 1 of 3"), "{words}");
    assert!(stack.taken_as_reason(at, 1).is_none());
    assert_eq!(hint.as_deref(), Some(first.hint));
    // All points of the part are set, so that those of the working have to be known.
    let waits = stack.waits_for_working(at, 2).unwrap();
    assert!(waits.contains("working of (c)"), "{waits}");
    assert!(stack.waits_for_working(at, 3).is_none());
    // Nobody is told of it before it is taken, and then in words for students.
    let said = format!("At (c) it may be that {}.", first.hint);
    assert!(!stack.words(at).contains(first.hint), "{}", stack.words(at));
    let issue = stack.papers()[at].issue.id;
    let now = chrono::DateTime::UNIX_EPOCH;
    done(&mut stack, vec![NewAct::new(now, issue, deed)]);
    assert!(stack.words(at).ends_with(&said), "{}", stack.words(at));
}

/// A paper with another's numbers needs a look, says whose they are, and is moved as a whole.
#[test]
fn a_swapped_paper_is_told_and_needs_a_look() {
    let (_, mut stack) = shipped();
    let (own, other) = (stack.find("004071")[0], stack.find("004118")[0]);
    let answers = |stack: &Stack, paper: usize| -> Vec<(&'static str, String)> {
        let key = stack.papers()[paper].key.as_ref().unwrap();
        let problem = &stack.plan().problems[0];
        let parts = [("b", 1), ("c", 2), ("d", 3)];
        let answer = |(id, part): (&'static str, usize)| {
            let answer = problem.answer(part).unwrap();
            let unit = problem.sizes[answer.slot];
            let value = key.problems[0].slots[answer.slot] / unit;
            (id, crate::quantity::round_to_figures(value, 3))
        };
        parts.map(answer).to_vec()
    };
    let others = answers(&stack, other);
    let keyed = |stack: &Stack, paper: usize, answers: &[(&'static str, String)]| -> Vec<NewAct> {
        let units = ["m/s^2", "N", "N"];
        let cells = answers.iter().zip(units);
        cells
            .map(|((part, text), unit)| key(stack, paper, part, &format!("{text} {unit}")))
            .collect()
    };
    let new = keyed(&stack, own, &others);
    done(&mut stack, new);
    let paper = &stack.papers()[own];
    assert_eq!(paper.marked.status, crate::marking::Status::NeedsALook);
    assert_eq!(
        paper.fits.first().map(|fit| (fit.paper, fit.is_whole)),
        Some((other, true))
    );
    let words = stack.fits_other(own).unwrap();
    assert!(
        words.contains("004118") && words.contains("swapped"),
        "{words}"
    );
    assert!(!stack.words(own).contains("004118"));
    assert_eq!(stack.fits_other(other), None);
    // On the paper where they belong they are right.
    let new = keyed(&stack, other, &others);
    done(&mut stack, new);
    assert!(stack.papers()[other].marked.parts[1].verdict.is_right());
}
