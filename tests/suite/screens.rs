//! Every screen, as it is drawn at three sizes, in colour and without.
//!
//! The text of a screen must be the same in both; what a colour says, words say too.

use std::fmt::Write as _;
use std::path::PathBuf;

use paperweight::tui::event::Event;
use paperweight::tui::model::{Model, Place};
use paperweight::tui::paint::Theme;
use paperweight::tui::update::update;
use paperweight::tui::view::view;
use paperweight::workflow::desk::course::Line;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;

use crate::hands::typist::{Typist, now};

fn drawn(model: &Model, columns: u16, lines: u16) -> Buffer {
    let mut terminal = Terminal::new(TestBackend::new(columns, lines)).unwrap();
    terminal.draw(|frame| view(model, frame)).unwrap();
    terminal.backend().buffer().clone()
}

/// The text of a screen.
pub(crate) fn text(model: &Model, columns: u16, lines: u16) -> String {
    text_of(&drawn(model, columns, lines))
}

fn text_of(buffer: &Buffer) -> String {
    let mut text = String::new();
    for y in 0..buffer.area.height {
        let mut line = String::new();
        let mut covered = 0;
        for x in 0..buffer.area.width {
            // The cell behind a wide character is drawn by it.
            if covered > 0 {
                covered -= 1;
                continue;
            }
            let symbol = buffer[(x, y)].symbol();
            covered = paperweight::text::width(symbol).saturating_sub(1);
            line.push_str(symbol);
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Which texts have which style, run by run.
fn styles_of(buffer: &Buffer) -> String {
    let mut told = String::new();
    for y in 0..buffer.area.height {
        let mut x = 0;
        while x < buffer.area.width {
            let style = buffer[(x, y)].style();
            let mut run = String::new();
            while x < buffer.area.width && buffer[(x, y)].style() == style {
                run.push_str(buffer[(x, y)].symbol());
                x += 1;
            }
            let mut words: Vec<String> = Vec::new();
            words.extend(
                style
                    .fg
                    .filter(|fg| *fg != ratatui::style::Color::Reset)
                    .map(|fg| format!("{fg:?}")),
            );
            if !style.add_modifier.is_empty() {
                words.push(format!("{:?}", style.add_modifier));
            }
            if !run.trim().is_empty() && !words.is_empty() {
                let _ = writeln!(told, "{y:>2} {:<24} {}", words.join(" "), run.trim());
            }
        }
    }
    told
}

/// A stack in the middle of the work.
fn worked() -> Typist {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter>down<Enter>0.899<Tab>55.6<Tab>21.4<Tab>3<Enter>");
    typist.press("nod<Enter>up<Enter>1.48 m/s/s<Enter>50.8N<Enter>20.8<Enter>3<Enter>");
    typist.press("欧<Enter>down<Enter>1.77<Enter>60.2<Enter>27.8 N<Enter>3<Enter>");
    typist.press(
        "72<Enter>down<Enter>1.34 m/s²<Enter>83.5 N<Enter>21.2 N<Enter>2<Enter>2<Enter>0<Enter>",
    );
    typist.press(
        "41<Enter>up<Enter>1.20 m/s^2<Enter>15.5 N<Enter>41.3 N<Enter>3<Enter>2<Enter>0<Enter>",
    );
    typist.press("31<^E>excused<Enter><^U>");
    typist.press("<Esc>88<^E>absent<Enter><Esc>31<^E>e<Enter><Esc>");
    typist.press("मक<Esc>512<Enter>down<Enter>7g/18<Enter>");
    typist
}

fn screens() -> Vec<(&'static str, Typist)> {
    let mut all = Vec::new();
    let mut add = |name, keys: &str| {
        let mut typist = worked();
        typist.press(keys);
        all.push((name, typist));
    };
    add("paper", "44.9");
    add("paper-why", "<Esc>72<Enter><Down><Down><^O>");
    add("paper-hidden", "<^V>44.9");
    add(
        "paper-second",
        "<Esc>72<^K><Enter>down<Enter>1.43 m/s^2<Enter>",
    );
    add(
        "paper-adjust",
        "<Esc>72<Enter><Down><Down><^A>1 the idea is there<Enter>",
    );
    add("paper-ask", "<Esc>72<Enter><Down><Down><^A>1");
    add("find", "<Esc>ana");
    add("class", "<^L>");
    add("across", "<^G>");
    add("help", "<F1>");
    let mut import = worked();
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/ropes-1-set-3.csv");
    let (changes, _) = import.stack().changes(file.as_ref(), None).unwrap();
    import.event(Event::Previewed(
        "answers.csv".into(),
        changes,
        vec!["answers.csv, line 9: no student of this roster has the id 4999".into()],
    ));
    all.push(("import", import));
    let mut course = worked();
    let line = |code: &str, title: &str, class: &str, issued, touched| Line {
        file: Some(PathBuf::from("x.toml")),
        code: code.into(),
        title: title.into(),
        class: class.into(),
        roster: None,
        issued,
        touched,
    };
    course.model.course.folder = Some("mechanics".into());
    course.model.place = Place::Course;
    course.event(Event::Course(
        vec![
            line("ropes-1", "Moon and star above the stage", "set-3", 24, 9),
            line(
                "ropes-1",
                "Moon and star above the stage",
                "組4 — Zoë’s class",
                18,
                18,
            ),
            line(
                "incline-1",
                "A crate on a ramp, with a title that is far too long for any line of a screen",
                "set-5",
                21,
                0,
            ),
            line("collision-1", "Two carts", "", 0, 0),
        ],
        vec!["set-3".into(), "set-5".into()],
    ));
    course.model.say("");
    all.push(("course", course));
    // Another paper for two who were absent, and for one who was not.
    let mut again = worked();
    again.reissue(&["004788", "004071"]);
    again.press("<Esc>ao");
    all.push(("find-again", again));
    let mut again = worked();
    again.reissue(&["004071"]);
    again.press("<^L>ra 2026-12-02");
    all.push(("class-again", again));
    let mut alike = worked();
    alike.press("<Esc>nod<Enter><Down><Down>50.8<Enter><Up><^A>3 unit above<Enter><^G><Down>a");
    all.push(("across-alike", alike));
    all
}

#[test]
fn every_screen_at_three_sizes() {
    for (name, mut typist) in screens() {
        for (columns, lines) in [(80, 24), (100, 30), (160, 50)] {
            typist.model.theme = Theme { color: true };
            let colored = drawn(&typist.model, columns, lines);
            typist.model.theme = Theme { color: false };
            let plain = drawn(&typist.model, columns, lines);
            assert_eq!(text_of(&colored), text_of(&plain), "{name}");
            assert!(
                plain
                    .content()
                    .iter()
                    .all(|cell| cell.fg == ratatui::style::Color::Reset),
                "{name}"
            );
            insta::with_settings!({ snapshot_path => "../corpus/screens", prepend_module_to_snapshot => false }, {
                insta::assert_snapshot!(format!("{name}-{columns}x{lines}"), text_of(&plain));
                if columns == 80 {
                    insta::assert_snapshot!(format!("{name}-styles"), styles_of(&colored) + "\nwithout colour\n" + &styles_of(&plain));
                }
            });
        }
    }
}

#[test]
fn a_small_terminal_gets_a_sentence() {
    let typist = worked();
    let text = text(&typist.model, 20, 5);
    assert_eq!(
        text,
        "Too small a window:\nthe desk needs 60 by\n14. All is kept; ^C\nleaves.\n\n"
    );
}

#[test]
fn no_size_is_too_odd_to_be_drawn() {
    for (_, typist) in screens() {
        for (columns, lines) in [(1, 1), (60, 14), (61, 200), (300, 14), (20, 5), (80, 15)] {
            drawn(&typist.model, columns, lines);
        }
    }
}

#[test]
fn nothing_foreign_reaches_the_screen_unseen() {
    let mut typist = Typist::at("ropes-1", "set-3");
    typist.press("ao<Enter><Down>");
    for c in "1\u{202e}2\u{1b}[2J".chars() {
        let text = c.to_string();
        // Keys never carry controls; a paste that does is cleaned, and text from files is shown.
        if !c.is_control() {
            typist.press(&text);
        }
    }
    typist.press("<Enter>");
    update(
        &mut typist.model,
        Event::Failed("a\u{9b}31mb\u{202e}c".into()),
        now(),
    );
    for (columns, lines) in [(80, 24), (160, 50)] {
        for symbol in drawn(&typist.model, columns, lines)
            .content()
            .iter()
            .map(|cell| cell.symbol())
        {
            assert!(
                !symbol.chars().any(paperweight::text::is_hidden),
                "{symbol:?}"
            );
        }
        let text = text(&typist.model, columns, lines);
        assert!(text.contains("1<U+202E>2[2J"), "{text}");
        assert!(text.contains("a<U+009B>31mb<U+202E>c"), "{text}");
    }
}

#[test]
fn only_one_file_makes_text_for_the_screen() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/tui");
    let mut files = vec![folder];
    let mut seen = 0;
    while let Some(path) = files.pop() {
        if path.is_dir() {
            files.extend(
                std::fs::read_dir(path)
                    .unwrap()
                    .map(|entry| entry.unwrap().path()),
            );
        } else if path.file_name().is_some_and(|name| name != "paint.rs") {
            seen += 1;
            let code = std::fs::read_to_string(&path).unwrap();
            for maker in [
                "Span",
                "Line::",
                "Paragraph",
                "set_string",
                "buffer_mut",
                "Text::",
            ] {
                let used = code.lines().any(|line| {
                    line.contains(maker)
                        && !line.trim_start().starts_with("//")
                        && !line.contains("course::Line")
                });
                assert!(
                    !used || maker == "Line::" && path.ends_with("course.rs"),
                    "{maker} in {}",
                    path.display()
                );
            }
        }
    }
    assert!(seen > 10);
}
