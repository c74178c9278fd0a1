//! What stands on a paper after its acts, a case a line, and undo as a property.

use super::*;
use crate::record::act::IssueId;
use proptest::prelude::*;

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_700_000_000 + second, 0).unwrap()
}

fn entry(part: &str, text: &str) -> Deed {
    Deed::Entry {
        part: part.into(),
        keying: Keying::First,
        text: text.into(),
    }
}

/// A record in memory: numbers as the store gives them.
#[derive(Default)]
struct Acts(Vec<Act>);

impl Acts {
    fn append(&mut self, new: Vec<NewAct>) {
        let group = ActId(self.0.len() as i64 + 1);
        for new in new {
            let id = ActId(self.0.len() as i64 + 1);
            self.0.push(Act {
                id,
                group,
                at: new.at,
                issue: new.issue,
                deed: new.deed,
            });
        }
    }

    fn does(&mut self, deeds: impl IntoIterator<Item = (i64, Deed)>) {
        let new = deeds.into_iter();
        let new = new.map(|(issue, deed)| NewAct::new(at(0), IssueId(issue), deed));
        self.append(new.collect());
    }

    fn undo(&mut self) -> usize {
        let new = undo(&self.0, at(1));
        let count = new.len();
        self.append(new);
        count
    }

    fn redo(&mut self) -> usize {
        let new = redo(&self.0, at(2));
        let count = new.len();
        self.append(new);
        count
    }

    fn standing(&self, issue: i64) -> Standing {
        Standing::of(self.0.iter().filter(|act| act.issue == IssueId(issue)))
    }
}

#[test]
fn the_last_act_about_a_thing_counts() {
    let mut acts = Acts::default();
    acts.does([(1, entry("a", "3.2 m"))]);
    acts.does([(1, entry("a", "3.27 m"))]);
    let adjust = |points: Option<i64>| Deed::Adjust {
        part: "a".into(),
        points: points.map(Decimal::from),
        note: "shown on the back".into(),
        hint: None,
    };
    acts.does([(1, adjust(Some(2)))]);
    let standing = acts.standing(1);
    let part = standing.get("a").unwrap();
    assert_eq!(part.first, Some(Keyed::Text("3.27 m".into())));
    assert_eq!(part.keyed_times, 2);
    assert_eq!(part.adjustment.as_ref().unwrap().points, Decimal::from(2));
    assert!(standing.has_paper());
    acts.does([(1, adjust(None))]);
    assert_eq!(acts.standing(1).get("a").unwrap().adjustment, None);
    assert_eq!(acts.standing(2), Standing::default());
    assert!(!acts.standing(2).has_paper());
}

#[test]
fn charges_are_let_go_one_by_one() {
    let mut acts = Acts::default();
    let waive = |part: Option<&str>, charge, waived| Deed::Waive {
        part: part.map(str::to_owned),
        charge,
        waived,
        note: String::new(),
    };
    acts.does([(1, waive(Some("a"), Charge::Unit, true))]);
    acts.does([(1, waive(None, Charge::Late, true))]);
    let standing = acts.standing(1);
    assert!(standing.is_waived(Some("a"), Charge::Unit));
    assert!(standing.is_waived(None, Charge::Late));
    assert!(!standing.is_waived(Some("a"), Charge::Figures));
    assert!(!standing.is_waived(Some("b"), Charge::Unit));
    acts.does([(1, waive(Some("a"), Charge::Unit, false))]);
    assert!(!acts.standing(1).is_waived(Some("a"), Charge::Unit));
}

#[test]
fn a_move_between_papers_is_undone_in_one() {
    let mut acts = Acts::default();
    acts.does([(1, entry("a", "3.2 m"))]);
    let clear = Deed::Clear {
        part: "a".into(),
        keying: Keying::First,
    };
    acts.does([(1, clear), (2, entry("b", "3.2 m"))]);
    assert_eq!(acts.standing(1).entry("a"), None);
    assert_eq!(
        acts.standing(2).entry("b"),
        Some(&Keyed::Text("3.2 m".into()))
    );
    assert_eq!(acts.undo(), 2);
    assert_eq!(
        acts.standing(1).entry("a"),
        Some(&Keyed::Text("3.2 m".into()))
    );
    assert_eq!(acts.standing(2).entry("b"), None);
    assert_eq!(acts.redo(), 2);
    assert_eq!(acts.standing(1).entry("a"), None);
}

#[test]
fn undo_goes_back_and_redo_forth() {
    let mut acts = Acts::default();
    for text in ["1", "2", "3"] {
        acts.does([(1, entry("a", text))]);
    }
    let stands = |acts: &Acts| {
        let standing = acts.standing(1);
        standing.entry("a").map_or("", Keyed::as_entry).to_owned()
    };
    assert_eq!(acts.redo(), 0, "nothing was undone");
    for expected in ["2", "1", ""] {
        assert_eq!(acts.undo(), 1);
        assert_eq!(stands(&acts), expected);
    }
    assert_eq!(acts.undo(), 0, "nothing is left");
    for expected in ["1", "2"] {
        assert_eq!(acts.redo(), 1);
        assert_eq!(stands(&acts), expected);
    }
    acts.undo();
    assert_eq!(stands(&acts), "1");
    acts.does([(1, entry("a", "4"))]);
    assert_eq!(acts.redo(), 0, "something else was done since");
    acts.undo();
    assert_eq!(stands(&acts), "1");
}

#[test]
fn what_the_program_keeps_is_not_undone() {
    let mut acts = Acts::default();
    acts.does([(1, entry("a", "1"))]);
    let proposal = Proposal {
        parts: Vec::new(),
        paper_cost: Decimal::ZERO,
        late: Decimal::ZERO,
        scheme: "x".into(),
        program: "0".into(),
    };
    acts.does([(1, Deed::Accept { proposal })]);
    assert_eq!(acts.undo(), 1);
    let standing = acts.standing(1);
    assert_eq!(standing.entry("a"), None);
    assert!(standing.accepted.is_some());
    assert_eq!(acts.redo(), 1);
    assert!(acts.standing(1).entry("a").is_some());
}

#[test]
fn keyings_that_differ_are_told() {
    let mut acts = Acts::default();
    let second = |text: &str| Deed::Entry {
        part: "a".into(),
        keying: Keying::Second,
        text: text.into(),
    };
    acts.does([(1, entry("a", "3.2 m"))]);
    assert!(!acts.standing(1).get("a").unwrap().differs());
    acts.does([(1, second("3.1 m"))]);
    assert!(acts.standing(1).get("a").unwrap().differs());
    acts.does([(1, second(" 3.2 m "))]);
    assert!(!acts.standing(1).get("a").unwrap().differs());
}

#[test]
fn deeds_read_as_they_were_written() {
    let deeds = [
        entry("b", "3,27 m s⁻²"),
        Deed::HandedIn {
            day: NaiveDate::from_ymd_opt(2026, 11, 25),
        },
        Deed::Adjust {
            part: "b".into(),
            points: Some(Decimal::new(25, 1)),
            note: "\"so\"".into(),
            hint: Some("one term is left out".into()),
        },
        Deed::Returned { on: at(0) },
        Deed::TakeBack { act: ActId(7) },
    ];
    for deed in deeds {
        let text = serde_json::to_string(&deed).unwrap();
        assert_eq!(serde_json::from_str::<Deed>(&text).unwrap(), deed, "{text}");
    }
    // The spelling in files of old, which has to stay.
    let text = r#"{"deed":"entry","part":"b","keying":"first","text":"3.27 m/s^2"}"#;
    assert_eq!(
        serde_json::to_string(&entry("b", "3.27 m/s^2")).unwrap(),
        text
    );
}

#[derive(Clone, Debug)]
enum Step {
    Does(Vec<(i64, u8, u8)>),
    Undo,
    Redo,
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let deeds = prop::collection::vec((1..4_i64, 0..3_u8, 0..5_u8), 1..4);
    let step =
        prop_oneof![3 => deeds.prop_map(Step::Does), 2 => Just(Step::Undo), 1 => Just(Step::Redo)];
    prop::collection::vec(step, 0..40)
}

proptest! {
    /// Undo and redo do what a stack of states kept aside does.
    #[test]
    fn undo_is_a_stack_of_states(steps in steps()) {
        let mut acts = Acts::default();
        let state = |acts: &Acts| (1..4).map(|issue| {
            let mut standing = acts.standing(issue);
            // A part that was touched and undone is as one never touched; how often a part was keyed
            // follows.
            standing.parts.retain(|_, part| part.first.is_some() || part.keyed_times > 0);
            standing
        }).collect::<Vec<_>>();
        let (mut past, mut future) = (Vec::new(), Vec::new());
        for step in steps {
            match step {
                Step::Does(deeds) => {
                    past.push(state(&acts));
                    future.clear();
                    let deed = |part: u8, what: u8| {
                        let part = ["a", "b", "c"][usize::from(part)];
                        match what {
                            0 => Deed::Clear { part: part.into(), keying: Keying::First },
                            1 => Deed::Unreadable { part: part.into(), keying: Keying::First },
                            _ => entry(part, &what.to_string()),
                        }
                    };
                    acts.does(deeds.into_iter().map(|(issue, part, what)| (issue, deed(part, what))));
                }
                Step::Undo => {
                    let before = state(&acts);
                    let count = acts.undo();
                    prop_assert_eq!(count > 0, !past.is_empty());
                    if let Some(expected) = past.pop() {
                        prop_assert_eq!(&state(&acts), &expected);
                        future.push(before);
                    }
                }
                Step::Redo => {
                    let before = state(&acts);
                    let count = acts.redo();
                    prop_assert_eq!(count > 0, !future.is_empty());
                    if let Some(expected) = future.pop() {
                        prop_assert_eq!(&state(&acts), &expected);
                        past.push(before);
                    }
                }
            }
        }
    }

    /// One act after the other, where nothing is taken back, comes to the same as all at once.
    #[test]
    fn the_fold_can_stop_anywhere(texts in prop::collection::vec((0..3_usize, "[0-9]{1,3}"), 0..20), cut in 0..20_usize) {
        let mut acts = Acts::default();
        for (part, text) in &texts {
            acts.does([(1, entry(["a", "b", "c"][*part], text))]);
        }
        let cut = cut.min(acts.0.len());
        let mut standing = Standing::of(&acts.0[..cut]);
        acts.0[cut..].iter().for_each(|act| standing.apply(act));
        prop_assert_eq!(standing, Standing::of(&acts.0));
    }
}

/// A paper that was said not to be there, and is keyed, has turned up; what came with the word does not count.
#[test]
fn a_paper_that_is_keyed_is_there() {
    let absent = || Deed::Attend {
        attendance: Attendance::Absent,
    };
    let points = |points| Deed::Working {
        part: "a".into(),
        points,
    };
    for (deed, is_there) in [
        (entry("a", "1 N"), true),
        (points(Some(1)), true),
        (points(None), false),
        (Deed::Returned { on: at(3) }, false),
    ] {
        let mut acts = Acts::default();
        acts.does([(1, absent()), (1, deed.clone())]);
        assert_eq!(acts.standing(1).has_paper(), is_there, "{deed:?}");
    }
    let mut acts = Acts::default();
    acts.does([(1, entry("a", "1 N"))]);
    acts.does([(1, absent())]);
    assert!(!acts.standing(1).has_paper(), "the last word counts");
    acts.undo();
    assert!(acts.standing(1).has_paper());
}
