//! What keys do on the desk: from keys to what stands on the paper.

use std::fs;
use std::path::Path;

use paperweight::record::{Act, ActId, Attendance, Charge, Deed, IssueId, Message, Proposal};
use paperweight::tui::event::{Effect, Event};
use paperweight::tui::keys::{In, KEYS};
use paperweight::tui::model::LONGEST;
use paperweight::tui::model::{Place, Tone};

use paperweight::workflow::desk::{HandOut, News};
use rust_decimal::Decimal;

use crate::hands::typist::{Typist, now};

/// Amina Okonjo-Bello's answers of the shipped class: `down`, 0.899 m/s², 55.6 N, 21.4 N, 3.
const ALL: &str = "ao<Enter>down<Enter>0.899<Tab>55.6<Tab>21.4<Tab>3<Enter>";

#[test]
fn keys_and_what_stands_then() {
    let cases = [
        ("", "Find"),
        ("ao<Enter>", "Paper 004071 at a Entry"),
        ("<Enter>", "Paper 004071 at a Entry"),
        (
            "ao<Enter>down<Enter>",
            "Paper 004071 at b Entry; a `down` right",
        ),
        (
            "ao<Enter>down<Enter>0.899<Tab>",
            "Paper 004071 at c Entry; a `down` right; b `0.899 m/s²` right",
        ),
        // the whole paper, then back at the search
        (
            ALL,
            "Find; a `down` right; b `0.899 m/s²` right; c `55.6 N` right; d `21.4 N` right; e working 3",
        ),
        // nothing there, and something that cannot be read: one key each
        (
            "ao<Enter><Enter>?",
            "Paper 004071 at c Entry; a `` blank; b unreadable unreadable",
        ),
        // Enter behind it, out of habit, does not keep the next field as left blank; once more does
        (
            "ao<Enter><Enter>?<Enter>",
            "Paper 004071 at c Entry; a `` blank; b unreadable unreadable",
        ),
        (
            "ao<Enter><Enter>?<Enter><Enter>",
            "Paper 004071 at d Entry; a `` blank; b unreadable unreadable; c `` blank",
        ),
        (
            "ao<Enter><Enter>?1 N<Enter>",
            "Paper 004071 at d Entry; a `` blank; b unreadable unreadable; c `1 N` wrong",
        ),
        // a question mark within an entry is typed
        ("ao<Enter><Down>3?", "Paper 004071 at b Entry `3?`"),
        // back to the field before, typing replaces what stands there
        (
            "ao<Enter>up<Enter><Up>down<Enter>",
            "Paper 004071 at b Entry; a `down` right",
        ),
        // Enter on what stands there keeps it as it is
        (
            "ao<Enter>up<Enter><Up><Enter>",
            "Paper 004071 at b Entry; a `up` wrong",
        ),
        // and Backspace mends it
        (
            "ao<Enter>downn<Enter><Up><Back><Enter>",
            "Paper 004071 at b Entry; a `down` right",
        ),
        // undo and redo go to the field they are about
        (
            "ao<Enter>up<Enter>1 N<Enter><^U>",
            "Paper 004071 at b Entry; a `up` wrong",
        ),
        (
            "ao<Enter>up<Enter>1 N<Enter><^U><^U>",
            "Paper 004071 at a Entry",
        ),
        (
            "ao<Enter>up<Enter><^U><^Y>",
            "Paper 004071 at a Entry `up`; a `up` wrong",
        ),
        // what is being typed is taken away first, and nothing else
        (
            "ao<Enter>up<Enter>1.4<^U>",
            "Paper 004071 at b Entry; a `up` wrong",
        ),
        ("ao<Enter>up<Enter>1.4<^U><^U>", "Paper 004071 at a Entry"),
        (
            "ao<Enter>up<Enter><Up>d<^U>",
            "Paper 004071 at a Entry `up`; a `up` wrong",
        ),
        // what a question offers gives way to the first letter, and may be mended
        (
            "ao<Enter><Down><^A>2 right idea<Enter><^A>1 arrow<Enter>",
            "Paper 004071 at b Entry; b set 1 arrow",
        ),
        (
            "ao<Enter><Down><^A>2 idea<Enter><^A><Back>l<Enter>",
            "Paper 004071 at b Entry; b set 2 idel",
        ),
        // at a question it clears what is typed there, and takes nothing back behind it
        (
            "ao<Enter>up<Enter><^R>mB 9<^U><Esc>",
            "Paper 004071 at b Entry; a `up` wrong",
        ),
        // points for working: right at the end of an entry, a digit
        (
            "ao<Enter><Down>9 m/s^2<Right>1<Enter>",
            "Paper 004071 at c Entry; b `9 m/s^2` wrong, working 1",
        ),
        (
            "ao<Enter><Down>9 m/s^2<Right>7<Enter>",
            "Paper 004071 at b Working `7`; b `9 m/s^2` wrong",
        ),
        // a wrong answer with working leads there at the end of the paper
        (
            "ao<Enter>down<Enter>9<Tab>55.6<Tab>21.4<Tab>3<Enter>",
            "Paper 004071 at b Working; a `down` right; b `9 m/s²` wrong; c `55.6 N` right; d `21.4 N` right; e working 3",
        ),
        (
            "ao<Enter>down<Enter>9<Tab>55.6<Tab>21.4<Tab>3<Enter>2<Enter>",
            "Find; a `down` right; b `9 m/s²` wrong, working 2; c `55.6 N` right; d `21.4 N` right; e working 3",
        ),
        // entries in each other's place change places, in one go
        (
            "ao<Enter><Down><Down>21.4 N<Enter>55.6 N<Enter><Up><^T>c<Enter>",
            "Paper 004071 at d Entry `21.4 N`; c `55.6 N` right; d `21.4 N` right",
        ),
        (
            "ao<Enter><Down><Down>21.4 N<Enter>55.6 N<Enter><Up><^T>c<Enter><^U>",
            "Paper 004071 at c Entry `21.4 N`; c `21.4 N` wrong; d `55.6 N` wrong",
        ),
        (
            "ao<Enter>down<Enter><Up><^T>nod a<Enter>",
            "Paper 004071 at a Entry",
        ),
        // adjusting needs a reason
        ("ao<Enter><Down><^A>2<Enter>", "Paper 004071 at b Entry"),
        (
            "ao<Enter><Down><^A>2 right idea<Enter>",
            "Paper 004071 at b Entry; b set 2 right idea",
        ),
        (
            "ao<Enter><Down><^A>2 right idea<Enter><^A><^W><^W><Back><Back><Enter>",
            "Paper 004071 at b Entry",
        ),
        (
            "ao<Enter><Down><^A>5 too many<Enter>",
            "Paper 004071 at b Entry",
        ),
        ("ao<Enter><^A>1 x<Esc>", "Paper 004071 at a Entry"),
        // misread numbers, absence, days
        (
            "ao<Enter><^R>ms 3.2 kg<Enter>",
            "Paper 004071 at a Entry; misread mS 3.2 kg",
        ),
        (
            "ao<Enter><^R>mS = 3.2<Enter>",
            "Paper 004071 at a Entry; misread mS 3.2",
        ),
        ("ao<Enter><^R>mS 3.2 s<Enter>", "Paper 004071 at a Entry"),
        ("ao<^E>a<Enter>", "Find; Absent"),
        ("ao<^E>exc<Enter>", "Find; Excused"),
        ("ao<^E>2026-11-25<Enter>", "Find; handed in 2026-11-25"),
        ("ao<^E>soon<Enter>", "Find"),
        // a second keying does not touch the first
        (
            "ao<Enter>down<Enter><Up><^K>up<Enter>",
            "Paper 004071 at b Entry; a `down` right, second `up`",
        ),
        // to another paper in roster order
        ("ao<Enter><^N>", "Paper 004118 at a Entry"),
        ("ao<Enter><^N><^P>", "Paper 004071 at a Entry"),
        // nobody of that name
        ("qqqq<Enter>", "Find"),
    ];
    for (keys, expected) in cases {
        let mut typist = Typist::at("ropes-1", "set-3");
        typist.press(keys);
        assert_eq!(typist.facts(), expected, "{keys}");
    }
}

#[test]
fn a_charge_is_let_go_with_one_key_and_charged_again() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter><Down><Down>55.6<Enter><Up>");
    let points = |typist: &Typist| {
        typist.stack().papers()[0].points.parts[2]
            .normalize()
            .to_string()
    };
    assert_eq!(points(&typist), "2");
    typist.press("<^X>");
    assert_eq!(points(&typist), "3");
    typist.press("<^X>");
    assert_eq!(points(&typist), "2");
}

#[test]
fn each_charge_on_the_paper_may_be_let_go() {
    let mut typist = Typist::at("ropes-1", "set-3");
    // (b) with 10 m/s² for g; (c) and (d) with 1.5 kg for the star instead of 2.0 kg.
    typist.press("ao<Enter><^R>ms 1.5 kg<Enter>down<Enter>0.917<Tab>52.6<Tab>16.8<Tab><^X>");
    let text = crate::screens::text(&typist.model, 100, 24);
    for charge in [Charge::Misread, Charge::Constant] {
        assert!(text.contains(&format!("{} 1", charge.name())), "{text}");
    }
}

/// An explanation is taken as the reason with one key: points by the scheme, the reason as the note.
#[test]
fn what_may_have_been_done_is_taken_with_one_key() {
    let mut typist = Typist::at("ropes-1", "set-3");
    // Two digits of 55.6 N exchanged; nothing is known of a right answer.
    typist.press("ao<Enter>down<Enter>0.899<Tab>56.5<Tab><Up><Up><^D>");
    assert_eq!(typist.effects, [Effect::Ring]);
    assert!(typist.model.message.text.contains("nothing is known"));
    typist.effects.clear();
    // All points of the part are set, so that those of its working have to be keyed first.
    typist.press("<Down><^D>");
    let set = |typist: &Typist| typist.stack().papers()[0].standing.get("c").cloned();
    assert!(set(&typist).is_some_and(|part| part.adjustment.is_none()));
    assert!(typist.model.message.text.contains("key the working of (c)"));
    typist.press("<Right>1<Enter><Up><^D>");
    let set = set(&typist).and_then(|part| part.adjustment).unwrap();
    assert_eq!(set.points, Decimal::TWO);
    assert!(set.note.contains("by luck"), "{}", set.note);
    let hint = set.hint.unwrap();
    let told = typist.stack().words(0);
    assert!(
        told.contains(&format!("At (c) it may be that {hint}.")),
        "{told}"
    );
    let counted = |typist: &Typist| typist.stack().counts().parts[2].mistakes.clone();
    assert_eq!(counted(&typist)[0].words, hint, "its cause is known now");
    // Taken back, nobody is told of it.
    typist.press("<^U>");
    assert_eq!(counted(&typist)[0].words, "wrong, nothing foreseen fits");
    let told = typist.stack().words(0);
    assert!(!told.contains(&hint), "{told}");
}

#[test]
fn papers_are_handed_out_by_a_plain_yes_alone() {
    let mut typist = Typist::at("ropes-1", "set-3");
    let what = HandOut {
        root: "".into(),
        file: "assignments/ropes-1.toml".into(),
        class: "set-3".into(),
        due: None,
        encoding: None,
        code: "ropes-1".into(),
        students: 24,
        new: 24,
    };
    for (typed, is_done) in [
        ("no", false),
        ("n", false),
        ("", true),
        ("y", true),
        ("YES", true),
    ] {
        typist.event(Event::Considered(Box::new(what.clone())));
        typist.press(&format!("{typed}<Enter>"));
        let expected = if is_done {
            Effect::HandOut(Box::new(what.clone()))
        } else {
            Effect::Ring
        };
        assert_eq!(typist.effects, [expected], "{typed}");
        assert_eq!(typist.model.prompt.is_some(), !is_done, "{typed}");
        typist.effects.clear();
    }
}

#[test]
fn what_cannot_be_read_is_said_at_once_and_rings() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter>down<Enter>2.8.5 m/s^2<Enter>");
    assert_eq!(typist.effects, [Effect::Ring]);
    assert_eq!(typist.model.message.tone, Tone::Look);
    assert!(
        typist.facts().contains("b `2.8.5 m/s^2` unreadable"),
        "{}",
        typist.facts()
    );
}

#[test]
fn a_second_keying_that_differs_is_said_at_once() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter>down<Enter>0.899<Tab><Esc><^K>ao<Enter><Up><Up>");
    typist.press("down<Enter>");
    assert_eq!(typist.model.message.text, "");
    typist.press("0.889<Tab>");
    assert!(
        typist.model.message.text.contains("otherwise"),
        "{:?}",
        typist.model.message
    );
    assert_eq!(typist.effects, [Effect::Ring]);
}

#[test]
fn hidden_verdicts_are_hidden_everywhere() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("<^V>ao<Enter>down<Enter>9<Tab>");
    for screen in ["", "<^G>", "<Esc><^L>", "<Esc><Esc>"] {
        typist.press(screen);
        let text = crate::screens::text(&typist.model, 120, 40);
        for word in ["wrong", "right", "/4", "0 of 13"] {
            assert!(!text.contains(word), "{word} after {screen}\n{text}");
        }
    }
    // Nor does the way through the paper tell: no points for working are asked for.
    typist.press("ao<Enter>55<Tab>21.4<Tab>3<Enter>");
    assert_eq!(typist.model.place, Place::Find);
}

#[test]
fn a_paste_is_one_text_for_one_field() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter><Down>");
    typist.event(Event::Paste("1.2\r\n\u{1b}[31mm/s^2\t".into()));
    assert_eq!(typist.model.paper.input.value(), "1.2  [31mm/s^2 ");
    let megabyte = "9".repeat(1_000_000);
    typist.event(Event::Paste(megabyte));
    assert_eq!(typist.model.paper.input.value().chars().count(), LONGEST);
    assert!(
        typist.model.message.text.contains("left out"),
        "{:?}",
        typist.model.message
    );
    typist.press("<Enter>");
    assert_eq!(typist.model.paper.field, 2);
}

#[test]
fn across_a_part_points_are_keyed_paper_by_paper() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter><Down>9<Tab><Esc>nod<Enter><Down>9<Tab><Up><^G>");
    assert_eq!(typist.model.across.part, 1);
    assert_eq!(typist.model.across.found, [0, 1]);
    typist.press("<Up>1<Enter>2<Enter>");
    let working = |typist: &Typist, at: usize| typist.stack().papers()[at].standing.working("b");
    assert_eq!(
        (working(&typist, 0), working(&typist, 1)),
        (Some(1), Some(2))
    );
    // every paper with 1 on (b)'s working
    typist.press("ffffffff");
    assert_eq!(typist.model.across.found, [0]);
    // a second marking sees neither points nor verdicts
    typist.press("s");
    let text = crate::screens::text(&typist.model, 100, 30);
    assert!(!text.contains("wrong") && !text.contains("1/2"), "{text}");
    typist.press("2,5<Enter>s");
    typist.model.paper.paper = 0;
    assert!(typist.facts().contains("second 2.5"), "{}", typist.facts());
}

#[test]
fn leaving_asks_twice_only_where_something_would_be_lost() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter>down<Enter><^C>");
    assert_eq!(typist.effects, [Effect::Leave], "all is saved");
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.model.saving.in_memory = true;
    typist.press("ao<Enter>down<Enter><^C>");
    assert_eq!(typist.effects, []);
    assert_eq!(typist.model.message.tone, Tone::Alarm);
    typist.press("<^C>");
    assert_eq!(typist.effects, [Effect::Leave]);
}

#[test]
fn what_is_not_saved_is_said_until_it_is() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.record = None;
    typist.press("ao<Enter>down<Enter>");
    let shown = |typist: &Typist| crate::screens::text(&typist.model, 100, 24);
    assert!(
        shown(&typist).contains("saving    004071 (a) down"),
        "{}",
        shown(&typist)
    );
    let first = typist.model.saving.waiting[0].first;
    typist.event(Event::NotSaved("the disk is full".into()));
    let text = shown(&typist);
    assert!(text.contains("NOT SAVED: 004071 (a) down"), "{text}");
    assert!(text.contains("the disk is full"), "{text}");
    typist.event(Event::Saved(first, vec![paperweight::record::ActId(1)]));
    assert!(
        shown(&typist).contains("saved     004071 (a) down"),
        "{}",
        shown(&typist)
    );
}

#[test]
fn what_is_said_of_one_stack_is_not_taken_for_the_next() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.record = None;
    typist.press("ao<Enter>down<Enter>");
    let first = typist.model.saving.waiting[0].first;
    let next = Typist::at("incline-1", "set-5").stack().clone();
    typist.event(Event::Opened(Box::new(next)));
    typist.press("<Enter>1<Enter>");
    typist.event(Event::Saved(first, vec![ActId(101)]));
    assert_eq!(typist.model.saving.waiting.len(), 1, "this one is not");
    let own = typist.model.saving.waiting[0].first;
    assert_eq!(typist.stack().acts()[0].id, own);
    typist.event(Event::Saved(own, vec![ActId(102)]));
    assert!(typist.model.saving.waiting.is_empty());
    assert_eq!(typist.stack().acts()[0].id, ActId(102));
}

#[test]
fn a_file_of_answers_is_shown_first_and_taken_back_in_one() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter>up<Enter><Esc><^L>i");
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/ropes-1-set-3.csv");
    typist.press(file);
    typist.press("<Enter>");
    assert_eq!(typist.effects, [Effect::Preview(file.into(), None)]);
    let (changes, findings) = typist.stack().changes(file.as_ref(), None).unwrap();
    assert!(findings.is_empty(), "{findings:?}");
    let acts = changes.len();
    typist.event(Event::Previewed("answers.csv".into(), changes, Vec::new()));
    assert_eq!(typist.model.place, Place::Import);
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(
        text.contains(&format!("{} added, 1 changed", acts - 1)),
        "{text}"
    );
    typist.press("<Enter>");
    assert_eq!(typist.stack().papers()[0].entry("a"), Some("down"));
    // What was refused does not stand there.
    let refused = vec!["answers.csv: expected whole points".to_owned()];
    for (findings, said) in [
        (Vec::new(), "all of it stands there already"),
        (refused, "what is said above was left out"),
    ] {
        typist.event(Event::Previewed("answers.csv".into(), Vec::new(), findings));
        let told = &typist.model.message.text;
        assert!(told.ends_with(said), "{told}");
        typist.press("<Esc>");
    }
    assert!(
        typist
            .stack()
            .changes(file.as_ref(), None)
            .unwrap()
            .0
            .is_empty(),
        "nothing is left to do"
    );
    typist.press("<^U>");
    assert_eq!(typist.stack().papers()[0].entry("a"), Some("up"));
    assert_eq!(typist.stack().papers()[1].entry("a"), None);
}

#[test]
fn what_a_student_is_told_is_shown_and_put_in_other_words() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter><^S>");
    assert!(typist.model.prompt.is_none(), "nothing is told yet");
    typist.press(&ALL["ao<Enter>".len()..]);
    typist.press("ao<Enter><^S>");
    let screen = |typist: &Typist| crate::screens::text(&typist.model, 80, 24);
    let text = screen(&typist);
    assert!(text.contains("004071 is told: All parts right."), "{text}");
    // Enter on the program's words leaves them to the program.
    typist.press("<Enter>");
    let message = |typist: &Typist| typist.stack().papers()[0].standing.message.clone();
    assert_eq!(message(&typist), None);
    typist.press("<^S> Show it to the others.<Enter>");
    let own = "All parts right. Show it to the others.";
    assert_eq!(message(&typist), Some(Message::Words(own.into())));
    let text = screen(&typist);
    assert!(text.contains("told in your words"), "{text}");
    typist.press("<^S><^U>-<Enter>");
    assert_eq!(message(&typist), Some(Message::Withheld));
    typist.press("<^U>");
    assert_eq!(message(&typist), Some(Message::Words(own.into())));
    typist.press("<^S><^U><Enter>");
    assert_eq!(message(&typist), None);
    // A message is longer than an answer.
    let long = "word ".repeat(60);
    typist.press("<^S><^U>");
    typist.event(Event::Paste(long.clone()));
    typist.press("<Enter>");
    assert_eq!(message(&typist), Some(Message::Words(long.trim().into())));
}

#[test]
fn a_paper_that_waits_for_working_opens_there_and_a_digit_goes_there() {
    let mut typist = Typist::at("ropes-1", "set-3");
    // (b) is wrong and its working open; Enter leaves it so.
    typist.press("ao<Enter>down<Enter>9<Tab>55.6<Tab>21.4<Tab>3<Enter><Enter>");
    assert!(typist.facts().starts_with("Find"), "{}", typist.facts());
    typist.press("ao<Enter>");
    assert!(
        typist.facts().contains("at b Working"),
        "{}",
        typist.facts()
    );
    typist.press("1<Enter>");
    assert!(
        typist.facts().contains("b `9 m/s²` wrong, working 1"),
        "{}",
        typist.facts()
    );
}

#[test]
fn a_name_finds_the_paper_that_counts_before_the_one_it_replaced() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.reissue(&["004071"]);
    typist.press("ao<Enter>");
    let at = typist.model.paper.paper;
    assert_eq!(typist.stack().papers()[at].issue.number, 2);
}

#[test]
fn the_report_is_shown_from_the_class_and_goes_back_there() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("<^L>t");
    assert_eq!(typist.effects, [Effect::Report]);
    let page: String = (1..60).map(|at| format!("line {at}\n")).collect();
    typist.event(Event::Reported(page));
    assert_eq!(typist.model.place, Place::Report);
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(
        text.contains("line 1\n") || text.contains("line 1 "),
        "{text}"
    );
    typist.press("<PgDn><PgDn><PgDn><PgDn>");
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(text.contains("line 59"), "{text}");
    typist.press("<Esc>");
    assert_eq!(typist.model.place, Place::Class);
    // Where verdicts are hidden, so is this.
    typist.effects.clear();
    typist.press("<Esc><^V><^L>t");
    assert_eq!(typist.effects, []);
}

#[test]
fn another_paper_is_shown_before_it_is_drawn() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("<^L>ra");
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(text.contains("nobody is noted as absent"), "{text}");
    typist.press("<Esc><Down><^E>absent<Enter><Up>r");
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(
        text.contains("a all who are noted as absent, 1: 004118"),
        "{text}"
    );
    typist.press("c 2026-12-02");
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(
        text.contains("004071 gets another paper with new numbers, due 2026-12-02."),
        "{text}"
    );
    assert!(text.contains("no undo"), "{text}");
    typist.press("<Enter>");
    let day = chrono::NaiveDate::from_ymd_opt(2026, 12, 2);
    assert_eq!(
        typist.effects,
        [Effect::Reissue(vec!["004071".into()], day)]
    );
    typist.effects.clear();
    // What was done before is not reached by one who wants the papers back.
    typist.event(Event::Reissued(
        vec!["004071".into()],
        String::new(),
        News::default(),
    ));
    typist.press("<^U>");
    let away = |typist: &Typist| typist.stack().papers()[1].standing.attendance;
    assert_eq!(away(&typist), Some(Attendance::Absent));
    typist.press("<^U>");
    assert_eq!(away(&typist), None);
    typist.press("rx<Enter>");
    assert_eq!(typist.effects, [Effect::Ring]);
    assert!(typist.model.prompt.is_some());
}

#[test]
fn a_class_is_counted_by_its_students_whatever_papers_they_have() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press(ALL);
    typist.reissue(&["004071", "004118"]);
    let text = crate::screens::text(&typist.model, 80, 24);
    assert!(text.contains("1 of 24 done"), "{text}");
    assert!(text.contains("paper 1 of 2, replaced"), "{text}");
    assert!(text.contains("paper 2 of 2"), "{text}");
    // What was handed in counts, until something else is.
    assert_eq!(typist.stack().counts().students(), 24);
    assert_eq!(typist.stack().counts().done, 1);
    // A paper nobody handed in is not asked for again once it is replaced.
    typist.press("<Enter>");
    assert_eq!(typist.facts(), "Paper 004118 at a Entry");
    assert_eq!(
        typist.stack().papers()[typist.model.paper.paper]
            .issue
            .number,
        2
    );
}

#[test]
fn who_is_at_a_paper_stays_at_it_when_others_come_in() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("nod<Enter>up<Enter>1.4");
    let before = typist.facts();
    typist.reissue(&["004071"]);
    assert_eq!(typist.facts(), before);
    assert_eq!(typist.model.paper.paper, 2);
    typist.press("8<Tab>");
    assert_eq!(typist.stack().papers()[2].entry("b"), Some("1.48 m/s²"));
    let told = &typist.model.saving.saved;
    assert_eq!(told.as_deref(), Some("004118 (b) 1.48 m/s²"));
}

#[test]
fn that_marks_were_taken_is_no_news() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter>");
    let proposal = Proposal {
        parts: Vec::new(),
        paper_cost: Decimal::ZERO,
        late: Decimal::ZERO,
        scheme: String::new(),
        program: String::new(),
    };
    let news = |deed| News {
        acts: vec![Act {
            id: ActId(1),
            group: ActId(1),
            at: now(),
            issue: IssueId(1),
            deed,
        }],
        ..News::default()
    };
    typist.event(Event::Came(news(Deed::Accept { proposal })));
    assert_eq!(typist.model.message.text, "");
    assert_eq!(typist.effects, []);
    // The same number again is known already.
    let attendance = Attendance::Absent;
    typist.event(Event::Came(news(Deed::Attend { attendance })));
    assert_eq!(typist.model.message.text, "");
}

#[test]
fn an_adjustment_is_offered_on_papers_marked_for_the_same_reason() {
    let mut typist = Typist::at("ropes-1", "set-3");
    // The unit is missing on two papers.
    typist.press("ao<Enter><Down><Down>55.6<Enter><Esc>nod<Enter><Down><Down>50.8<Enter><Up>");
    typist.press("<^A>3 the unit stands in the line above<Enter>");
    assert!(
        typist
            .model
            .message
            .text
            .starts_with("1 other paper was marked for the same reason"),
        "{:?}",
        typist.model.message
    );
    typist.press("<^G>");
    assert_eq!(typist.model.across.found, [1, 0]);
    typist.press("<Down>a");
    let offered = typist
        .model
        .prompt
        .as_ref()
        .unwrap()
        .input
        .value()
        .to_owned();
    assert_eq!(offered, "3 the unit stands in the line above");
    typist.press("<Enter>");
    for paper in [0, 1] {
        let set = typist.stack().set(paper, 2).unwrap();
        assert_eq!(set.note, "the unit stands in the line above");
    }
}

#[test]
fn a_second_keying_goes_on_to_what_was_keyed_once() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press(ALL);
    typist.press("nod<Enter>up<Enter>1.48<Tab>50.8<Tab>20.8<Tab>3<Enter>");
    typist.press("<^K><Enter>");
    assert!(
        typist.facts().starts_with("Paper 004071 at a"),
        "{}",
        typist.facts()
    );
    // What is judged by eye is keyed once, so that the paper ends with (d).
    typist.press("down<Enter>0.899<Tab>55.6<Tab>21.4<Tab>");
    assert_eq!(typist.model.message.text, "004071: keyed twice");
    typist.press("<Enter>");
    assert!(
        typist.facts().starts_with("Paper 004118 at a"),
        "{}",
        typist.facts()
    );
}

#[test]
fn ids_typed_at_the_assignments_are_not_taken_in_silence() {
    use paperweight::workflow::desk::course::Line;
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.model.course.folder = Some("mechanics".into());
    let line = Line {
        code: "ropes-1".into(),
        title: "Moon and star".into(),
        class: "set-3".into(),
        issued: 24,
        ..Line::default()
    };
    typist.event(Event::Course(vec![line], vec!["set-3".into()]));
    typist.press("ao<Enter><Esc><Esc>");
    assert_eq!(typist.model.place, Place::Course);
    typist.effects.clear();
    typist.press("0");
    assert_eq!(typist.effects, [Effect::Ring]);
    assert!(typist.model.message.text.contains("none holds `0`"));
    typist.press("<Esc><Enter>");
    assert!(matches!(typist.effects.last(), Some(Effect::Open(_))));
}

/// Keystroke-level model (Card, Moran and Newell 1983; the times are quoted from memory): a key of an
/// average typist, a thought, and, an estimate, the paper turned over.
const KEY: f64 = 0.28;
const THOUGHT: f64 = 1.35;
const TURN: f64 = 2.0;

#[test]
fn an_answer_takes_one_key_beyond_its_own_and_a_paper_three_to_be_found() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/ropes-1-set-3.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows: Vec<std::collections::BTreeMap<String, String>> =
        reader.deserialize().map(|row| row.unwrap()).collect();
    let mut typist = Typist::at("ropes-1", "set-3");
    let (mut papers, mut answers, mut own, mut found, mut working) = (0, 0, 0, 0, 0);
    for row in rows.iter().filter(|row| row["status"].is_empty()) {
        let id = &row["student"];
        let at = typist
            .stack()
            .papers()
            .iter()
            .position(|paper| paper.issue.student == *id)
            .unwrap();
        let initials: String = typist
            .stack()
            .student(at)
            .name
            .split_whitespace()
            .filter_map(|word| word.chars().next())
            .take(2)
            .collect();
        let code = typist.stack().papers()[at].issue.code;
        let handles = [
            initials,
            id[id.len() - 2..].to_owned(),
            code.as_str()[..2].to_owned(),
            id[id.len() - 3..].to_owned(),
        ];
        let shortest = handles
            .iter()
            .find(|handle| typist.stack().find(handle).first() == Some(&at));
        let handle = shortest.unwrap_or_else(|| panic!("{id} by none of {handles:?}"));
        typist.press(handle);
        typist.press("<Enter>");
        found += handle.chars().count() + 1;
        papers += 1;
        for part in ["a", "b", "c", "d", "e"] {
            let text = row[part].as_str();
            let unit = match part {
                "b" => " m/s^2",
                _ => " N",
            };
            answers += 1;
            match text.strip_suffix(unit).filter(|number| {
                number
                    .bytes()
                    .all(|b| b.is_ascii_digit() || b"-.".contains(&b))
            }) {
                Some(number) if part != "a" => {
                    own += number.chars().count();
                    typist.press(&format!("{number}<Tab>"));
                }
                // One key keeps it as unreadable and goes on.
                _ if text == "?" => typist.press("?"),
                _ => {
                    // Left blank behind that takes a second Enter: the first may be out of habit.
                    if text.is_empty() && typist.model.paper.went_on {
                        own += 1;
                        typist.press("<Enter>");
                    }
                    own += text.chars().count();
                    typist.press(&format!("{text}<Enter>"));
                }
            }
        }
        // Points for the working that is open, a digit and Enter each.
        while typist.model.paper.closing && typist.model.place == Place::Paper {
            let part = &typist.stack().plan().parts[typist.model.paper.field].id;
            let points = row[&format!("{part}.working")].clone();
            working += points.chars().count() + 1;
            typist.press(&format!("{points}<Enter>"));
        }
        assert_eq!(typist.model.place, Place::Find, "{id}");
        typist.effects.clear();
    }
    assert_eq!(
        typist.count,
        own + answers + found + working,
        "no key beyond these"
    );
    assert!(found <= 3 * papers, "{found} keys for {papers} papers");
    // Five answers of four characters with the unit key: a thought for each and one for the paper.
    let keys = 5.0 * (4.0 + 1.0) + found as f64 / papers as f64;
    let seconds = keys * KEY + 6.0 * THOUGHT + TURN;
    assert!(seconds <= 20.0, "{seconds}");
}

/// A whole paper that was keyed under another code goes where it belongs, with all that was keyed from it, and
/// what was keyed there comes back; undo takes that back as one.
#[test]
fn a_whole_paper_is_moved_with_all_that_was_keyed_from_it() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<^E>2026-11-25<Enter>");
    typist.press("ao<Enter>down<Enter>9 m/s^2<Right>1<Enter><Up><^A>2 right idea<Enter>");
    typist.press("<^R>mS 3.2 kg<Enter><Esc>nod<^E>a<Enter>");
    let standing = |typist: &Typist, at: usize| typist.stack().papers()[at].standing.clone();
    let before = [0, 1].map(|at| standing(&typist, at));
    assert_eq!(before[1].attendance, Some(Attendance::Absent));
    typist.press("ao<Enter><Up><^T>all nod<Enter>");
    let after = [0, 1].map(|at| standing(&typist, at));
    for (here, there) in [(&after[0], &before[1]), (&after[1], &before[0])] {
        for part in ["a", "b", "c", "d", "e"] {
            let adjusted = |standing: &paperweight::record::Standing| {
                let set = standing.get(part)?.adjustment.clone()?;
                Some((set.points, set.note))
            };
            assert_eq!(here.entry(part), there.entry(part), "{part}");
            assert_eq!(here.working(part), there.working(part), "{part}");
            assert_eq!(adjusted(here), adjusted(there), "{part}");
        }
        assert_eq!(here.misread, there.misread);
        assert_eq!(here.handed_in, there.handed_in);
    }
    assert_eq!(after[1].working("b"), Some(1));
    assert!(after[1].handed_in.is_some() && after[0].handed_in.is_none());
    // Whose paper it turns out to be was not absent.
    assert_eq!(after[1].attendance, Some(Attendance::Present));
    let said = &typist.model.message.text;
    assert!(
        said.contains("exchanged") && said.contains("messages stay"),
        "{said}"
    );
    typist.press("<^U>");
    for at in [0, 1] {
        let (now, then) = (standing(&typist, at), &before[at]);
        assert_eq!(
            (now.misread.clone(), now.handed_in),
            (then.misread.clone(), then.handed_in)
        );
        assert_eq!(now.attendance, then.attendance);
        assert_eq!(now.working("b"), then.working("b"));
    }
}

/// All text of a file of the desk, or of the files of a folder.
fn text_of(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("src/tui")
        .join(name);
    if path.is_dir() {
        let entries = fs::read_dir(path).unwrap();
        let files = entries.map(|entry| fs::read_to_string(entry.unwrap().path()).unwrap());
        return files.collect();
    }
    fs::read_to_string(path.with_extension("rs")).unwrap()
}

/// An action that nothing mentions would be drawn as a key and do nothing.
#[test]
fn each_key_is_acted_upon() {
    let everywhere = text_of("update");
    for binding in KEYS {
        let own = match binding.place {
            In::Everywhere => String::new(),
            In::Prompt => text_of("screens/prompt"),
            In::Help => text_of("screens/help"),
            In::Screen(place) => text_of(&format!("screens/{place:?}").to_lowercase()),
        };
        let action = format!("Action::{:?}", binding.action);
        let mentions = |text: &str| {
            let mut behind = text.split(&action).skip(1);
            behind.any(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()))
        };
        assert!(mentions(&own) || mentions(&everywhere), "{binding:?}");
    }
}
