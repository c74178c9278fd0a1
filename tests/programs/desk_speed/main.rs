//! Times the desk: from a key to the drawn frame, and from the start to the first frame, with a
//! record of 40 assignments that 200 students each have answered.
//!
//! `cargo build --release && cargo run --release --example desk_speed`. In: the shipped ropes-1 under
//! other codes, made-up students. Out: percentiles in milliseconds, beside an empty frame and a start that
//! only says the version: divide by those to compare machines.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a program for contributors, which stops where it fails"
)]
#![allow(
    dead_code,
    reason = "the terminal is shared with the tests, which use more of it"
)]

#[path = "../../suite/hands/session.rs"]
mod session;

use std::io::Cursor;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use chrono::{DateTime, Utc};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use paperweight::record::{
    Act, ActId, Deed, IssueId, Keying, NewAct, OpenMode, Record, RosterFile,
};
use paperweight::roster::{Roster, RosterColumns};
use paperweight::text::DecimalMark;
use paperweight::tui::event::Event;
use paperweight::tui::model::Model;
use paperweight::tui::paint::Theme;
use paperweight::tui::update::update;
use paperweight::tui::view::view;
use paperweight::workflow::desk::{Class, News, Stack};
use paperweight::workflow::{IssueRequest, Kept, issue};
use portable_pty::CommandBuilder;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::widgets::Clear;
use session::Session;

const STUDENTS: usize = 200;
const ASSIGNMENTS: usize = 40;
const STARTS: usize = 30;

/// How often somebody else writes one act, and then one to every paper.
const OTHERS: usize = 100;

fn now() -> DateTime<Utc> {
    DateTime::from_timestamp(1_795_600_000, 0).unwrap()
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let class = class(folder.path());
    fill(folder.path(), &class);
    let (mut frames, mut came) = frames(folder.path(), class);
    let mut desk = starts(folder.path(), &[], "200 of 200");
    let mut bare = starts(folder.path(), &["--version"], env!("CARGO_PKG_VERSION"));
    println!("{STUDENTS} students, {ASSIGNMENTS} assignments");
    tell("an empty frame", &mut empty_frames());
    tell("key to frame", &mut frames);
    tell("an act of others to frame", &mut came[..OTHERS]);
    tell("a class of acts to frame", &mut came[OTHERS..]);
    tell("start to the version", &mut bare);
    tell("start to first frame", &mut desk);
}

fn class(folder: &Path) -> Class {
    let mut text = "id,name,section\n".to_owned();
    for at in 0..STUDENTS {
        text.push_str(&format!(
            "{:06},Student{at} Of{} The Class,A\n",
            4000 + at * 7,
            at % 13
        ));
    }
    std::fs::create_dir_all(folder.join("rosters")).unwrap();
    std::fs::write(folder.join("rosters/year.csv"), &text).unwrap();
    let read = Roster::read(Cursor::new(text), "year.csv", &RosterColumns::default());
    Class {
        roster: Arc::new(read.unwrap().0),
        name: "year".into(),
        decimal: DecimalMark::Point,
    }
}

/// A record of a year: every paper of every assignment is keyed.
fn fill(folder: &Path, class: &Class) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let ropes = std::fs::read_to_string(root.join("assignments/ropes-1.toml")).unwrap();
    std::fs::create_dir_all(folder.join("assignments")).unwrap();
    let mut record = Record::open(&folder.join("paperweight.sqlite"), OpenMode::Create).unwrap();
    for at in 1..=ASSIGNMENTS {
        let code = format!("ropes-{at}");
        let path = folder.join(format!("assignments/{code}.toml"));
        std::fs::write(&path, ropes.replace("\"ropes-1\"", &format!("\"{code}\""))).unwrap();
        let prepared = Stack::sheet(&path).unwrap();
        let request = IssueRequest {
            prepared: &prepared,
            roster: &class.roster,
            class: "year",
            class_is_said: true,
            file: RosterFile {
                path: "rosters/year.csv".into(),
                ..RosterFile::default()
            },
            due: None,
            now: now(),
        };
        let papers = issue(&request, &mut record).unwrap().papers;
        let mut acts = Vec::new();
        for (index, paper) in papers.iter().enumerate() {
            let entries = [
                ("a", "down".to_owned()),
                ("b", format!("{}.{} m/s^2", index % 4, index % 97)),
                ("c", format!("{}.1 N", 20 + index % 50)),
                ("d", "17 N".to_owned()),
            ];
            acts.extend(entries.into_iter().map(|(part, text)| {
                let deed = Deed::Entry {
                    part: part.into(),
                    keying: Keying::First,
                    text,
                };
                NewAct::new(now(), paper.id, deed)
            }));
            let deed = Deed::Working {
                part: "e".into(),
                points: Some(2),
            };
            acts.push(NewAct::new(now(), paper.id, deed));
        }
        record.append(&acts).unwrap();
    }
}

/// Keys typed on the search and on papers, each with the frame that shows it; then what others write
/// meanwhile, with the frame that shows that.
fn frames(folder: &Path, class: Class) -> (Vec<Duration>, Vec<Duration>) {
    let prepared = Stack::sheet(&folder.join("assignments/ropes-7.toml")).unwrap();
    let record = Record::open(&folder.join("paperweight.sqlite"), OpenMode::Read).unwrap();
    let kept = Kept::of(&record, "ropes-7", "year").unwrap();
    let dues = kept.dues.clone();
    let issues: Vec<IssueId> = kept.issues.iter().map(|issue| issue.id).collect();
    let mut last = kept.acts.last().unwrap().id;
    let mut model = Model::new(Theme { color: true });
    let stack = Stack::open(prepared, class, kept);
    update(&mut model, Event::Opened(Box::new(stack)), now());
    let mut terminal = Terminal::new(TestBackend::new(100, 30)).unwrap();
    let mut times = Vec::new();
    for at in 0..STUDENTS {
        let keys = format!(
            "{:06}\rup\r1.27\t55.6\t21.4 N\r3\r\r\r\r\u{1b}\u{1b}",
            4000 + at * 7
        );
        for c in keys.chars() {
            let code = match c {
                '\r' => KeyCode::Enter,
                '\t' => KeyCode::Tab,
                '\u{1b}' => KeyCode::Esc,
                c => KeyCode::Char(c),
            };
            let started = Instant::now();
            update(
                &mut model,
                Event::Key(KeyEvent::new(code, KeyModifiers::NONE)),
                now(),
            );
            terminal.draw(|frame| view(&model, frame)).unwrap();
            times.push(started.elapsed());
        }
    }
    let came = (0..2 * OTHERS).map(|at| {
        let of = if at < OTHERS {
            at..at + 1
        } else {
            0..issues.len()
        };
        let acts = of.map(|paper| {
            last = ActId(last.0 + 1);
            Act {
                id: last,
                group: last,
                at: now(),
                issue: issues[paper],
                deed: Deed::Entry {
                    part: "c".into(),
                    keying: Keying::First,
                    text: format!("{at}.1 N"),
                },
            }
        });
        let news = News {
            acts: acts.collect(),
            issues: Vec::new(),
            dues: dues.clone(),
        };
        let started = Instant::now();
        update(&mut model, Event::Came(news), now());
        terminal.draw(|frame| view(&model, frame)).unwrap();
        started.elapsed()
    });
    let came = came.collect();
    (times, came)
}

/// A screen drawn with nothing on it, as often as keys are typed.
fn empty_frames() -> Vec<Duration> {
    let mut terminal = Terminal::new(TestBackend::new(100, 30)).unwrap();
    let times = (0..STUDENTS * 30).map(|_| {
        let started = Instant::now();
        terminal
            .draw(|frame| frame.render_widget(Clear, frame.area()))
            .unwrap();
        started.elapsed()
    });
    times.collect()
}

/// Starts of the release build with arguments, until something is on the screen.
fn starts(folder: &Path, arguments: &[&str], shown: &str) -> Vec<Duration> {
    let program = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/release/paperweight");
    let times = (0..STARTS).map(|_| {
        let mut command = CommandBuilder::new(&program);
        command.args(arguments);
        command.cwd(folder);
        let started = Instant::now();
        let mut session = Session::start(command, 100, 30);
        session.wait_for(shown);
        let time = started.elapsed();
        session.send("\x03");
        session.end();
        time
    });
    times.collect()
}

fn tell(what: &str, times: &mut [Duration]) {
    times.sort_unstable();
    let at = |share: f64| {
        let index = ((times.len() - 1) as f64 * share) as usize;
        times[index].as_secs_f64() * 1e3
    };
    println!(
        "{what:<26} median {:.2} ms, 99th percentile {:.2} ms, of {}",
        at(0.5),
        at(0.99),
        times.len()
    );
}
