//! Draws the line that is asked for, and above it what may be typed.
//!
//! In: what is asked for and what was typed so far. Out: rows; where papers would be drawn, what that would
//! do.

use ratatui::Frame;
use ratatui::layout::Rect;
use rust_decimal::Decimal;

use crate::record::Message;
use crate::workflow::desk::Stack;

use super::super::super::model::{Model, Place};
use super::super::super::paint::{self, Role, Row};
use super::ask::{Ask, Prompt};
use super::read::{self, for_whom};
use super::telling::{WITHHELD, message};

/// Ids as they fit into a line or two.
fn ids(stack: &Stack, papers: &[usize]) -> String {
    const NAMED: usize = 8;
    let named = papers.iter().take(NAMED).map(|&at| stack.student(at).id);
    let more = papers.len().saturating_sub(NAMED);
    let list = named.collect::<Vec<_>>().join(", ");
    if more > 0 {
        format!("{list} and {more} more")
    } else {
        list
    }
}

/// What is asked for, and what may be typed.
fn words(model: &Model, asked: &Ask, typed: &str) -> (String, String) {
    let id = |part: &usize| {
        let stack = model.stack.as_ref();
        stack.map_or_else(String::new, |stack| stack.plan().parts[*part].id.clone())
    };
    match asked {
        Ask::Adjust { paper, part } => {
            let stack = model.stack.as_ref();
            let who = match model.place {
                Place::Across => stack.map_or("", |stack| stack.student(*paper).id),
                _ => "",
            };
            let most = model.stack.as_ref().map_or(Decimal::ZERO, |stack| stack.part(*part).points);
            (
                format!("{who} points for ({}), then why", id(part)).trim_start().to_owned(),
                format!("0 to {}, as in `2 right idea, arrow missing`; nothing leaves it to the program", most.normalize()),
            )
        }
        Ask::Misread => {
            let stack = model.stack.as_ref();
            let givens = stack.map_or_else(Vec::new, Stack::givens);
            let names: Vec<&str> = givens.iter().map(|(name, _)| name.as_str()).collect();
            ("misread".to_owned(), format!("one of {} and the number used; without a number it is taken away", names.join(", ")))
        }
        Ask::Tell { paper, proposed } => {
            let stack = model.stack.as_ref();
            let student = stack.map_or("", |stack| stack.student(*paper).id);
            let told = match message(typed.trim(), proposed) {
                Some(Message::Withheld) => {
                    "is told nothing; the points stand on the slip all the same.".to_owned()
                }
                Some(Message::Words(words)) => format!("is told, in your words: {words}"),
                None if typed.trim().is_empty() => {
                    format!("is told, in the program's words: {proposed}")
                }
                None => format!("is told: {proposed}"),
            };
            let keeps = match message(typed.trim(), proposed) {
                None => format!("Enter leaves it to the program, also where it changes; {WITHHELD} withholds it."),
                Some(_) => format!("Enter keeps this; nothing leaves it to the program, {WITHHELD} withholds it."),
            };
            ("told".to_owned(), format!("{student} {told}\n{keeps}"))
        }
        Ask::Move { part } => (
            format!("move ({}) to", id(part)),
            "a part, as in `c`, or letters of another paper's name, id or code and a part; two entries change places; `all` and a name moves everything".to_owned(),
        ),
        Ask::Waive { charges } => {
            let list = charges.iter().enumerate().map(|(index, charge)| {
                let state = if charge.waived { " (let go)" } else { "" };
                format!("{} {}{state}", index + 1, charge.words)
            });
            ("let go which".to_owned(), list.collect::<Vec<_>>().join(" · "))
        }
        Ask::Attend { paper } => {
            let stack = model.stack.as_ref();
            let student = stack.map_or("", |stack| stack.student(*paper).id);
            (student.to_owned(), "a absent · e excused · p present · t handed in today · or a day, 2026-11-25 · - no day".to_owned())
        }
        Ask::Reissue { paper } => {
            let told = model.stack.as_ref().map(|stack| {
                match for_whom(stack, *paper, typed) {
                    Some((papers, due)) => {
                        let due = due.map_or_else(String::new, |day| format!(", due {day}"));
                        let who = match papers.as_slice() {
                            [one] => format!("{} gets", stack.student(*one).id),
                            several => format!("{} students get", several.len()),
                        };
                        let list = if papers.len() > 1 { format!(": {}", ids(stack, &papers)) } else { String::new() };
                        format!("{who} another paper with new numbers{due}{list}. Enter draws them, and no undo takes papers back.")
                    }
                    None => {
                        let absent = stack.absent();
                        let who = match absent.len() {
                            0 => "nobody is noted as absent".to_owned(),
                            count => format!("a all who are noted as absent, {count}: {}", ids(stack, &absent)),
                        };
                        format!("c the student chosen, {} · {who} · a day due may follow, as in `c 2026-12-02`", stack.student(*paper).id)
                    }
                }
            });
            ("another paper for".to_owned(), told.unwrap_or_default())
        }
        Ask::Issue { line } => (
            format!("hand out {} to", line.code),
            match model.course.classes.as_slice() {
                [] => read::NO_CLASS.to_owned(),
                classes => format!("a class of this folder: {}; a day due may follow, as in `2026-12-02`, and what its list is written in, as in `as windows-1252`. What would be done is shown first.", classes.join(", ")),
            },
        ),
        Ask::HandOut { what } => ("Enter hands out, Esc leaves it".to_owned(), what.words()),
        Ask::Export => ("marks to".to_owned(), "a CSV file; only a file of marks is replaced. `into GRADES.csv` fills this sheet's column of a gradebook, and nothing else in it (`into GRADES.csv column Test 2 as windows-1252`, where that is to be said)".to_owned()),
        Ask::Import => ("answers from".to_owned(), "a CSV file of answers (`FILE as windows-1252`, where that is to be said); what it would change is shown first".to_owned()),
    }
}

/// The line that is asked for, and above it what may be typed or what is wrong with it.
pub fn rows(model: &Model, prompt: &Prompt, columns: usize, most: usize) -> Vec<Row> {
    let (label, hint) = words(model, &prompt.ask, prompt.input.value());
    let (role, above) = match &prompt.fault {
        Some(fault) => (Role::Look, fault),
        None => (Role::Plain, &hint),
    };
    let lines = paint::wrapped(above, columns.saturating_sub(2));
    let row = |line: String| Row::new(model.theme).gap(1).text(role, &line);
    let mut rows: Vec<Row> = lines.into_iter().take(most.max(1)).map(row).collect();
    let (label, room) = field(&label, columns);
    let (shown, _) = paint::typed(&prompt.input, room);
    rows.push(
        Row::new(model.theme)
            .text(Role::Strong, &label)
            .text(Role::Plain, &shown),
    );
    rows
}

/// The label before what is typed, and the columns left for that.
fn field(label: &str, columns: usize) -> (String, usize) {
    let label = format!(" {label}: ");
    let room = columns.saturating_sub(crate::text::width(&crate::text::safe(&label)) + 1);
    (label, room)
}

/// Puts the cursor where one types, in the line that was asked for.
pub fn cursor(model: &Model, prompt: &Prompt, frame: &mut Frame<'_>, line: Rect) {
    let columns = usize::from(line.width);
    let (label, _) = words(model, &prompt.ask, prompt.input.value());
    let (_, room) = field(&label, columns);
    let (_, at) = paint::typed(&prompt.input, room);
    paint::cursor(frame, line, columns.saturating_sub(room + 1) + at, 0);
}
