//! One line asked for at the bottom: an adjustment, a misread number, where an entry goes, which
//! charge, who is absent, a file.
//!
//! In: what was typed. Out: acts, or what is to be done outside. Refused, in words and with what was
//! typed kept: what does not say enough.

use std::str::FromStr;

use chrono::{DateTime, NaiveDate, Utc};
use ratatui::Frame;
use ratatui::layout::Rect;
use rust_decimal::Decimal;
use tui_input::Input;

use crate::record::{Attendance, Charge, Deed, Keyed, Keying, NewAct};
use crate::workflow::desk::Stack;

use super::super::keys::Action;
use super::super::model::{Ask, Model, Place, Prompt, Waivable};
use super::super::paint::{self, Role, Row};
use super::super::update::{Effect, deeds, save};
use super::paper;

fn ask(model: &mut Model, ask: Ask, text: String) {
    model.prompt = Some(Prompt {
        ask,
        input: Input::new(text),
        fault: None,
    });
}

/// Asks for the points of the part one is at.
pub fn adjust(model: &mut Model) {
    let part = model.paper.field;
    let text = model.stack.as_ref().and_then(|stack| {
        let id = &stack.plan().parts[part].id;
        let standing = stack.papers().get(model.paper.paper)?.standing.get(id)?;
        let set = standing.adjustment.as_ref()?;
        Some(format!("{} {}", set.points.normalize(), set.note))
    });
    ask(model, Ask::Adjust { part }, text.unwrap_or_default());
}

/// Asks for a misread number.
pub fn misread(model: &mut Model) {
    ask(model, Ask::Misread, String::new());
}

/// Asks where the entry goes.
pub fn r#move(model: &mut Model) {
    let part = model.paper.field;
    ask(model, Ask::Move { part }, String::new());
}

/// Asks whether the student handed in a paper.
pub fn attend(model: &mut Model) {
    let paper = match model.place {
        Place::Find => model.find.found.get(model.find.at).copied(),
        Place::Paper => Some(model.paper.paper),
        Place::Class => model.class.found.get(model.class.at).copied(),
        Place::Course | Place::Across | Place::Import => None,
    };
    if let Some(paper) = paper {
        ask(model, Ask::Attend { paper }, String::new());
    }
}

/// Asks where the marks go.
pub fn export(model: &mut Model) {
    let text = model.stack.as_ref().map_or_else(String::new, |stack| {
        format!("{}-{}-marks.csv", stack.plan().sheet.code, stack.class())
    });
    ask(model, Ask::Export, text);
}

/// Asks for a file of answers.
pub fn import(model: &mut Model) {
    ask(model, Ask::Import, String::new());
}

/// Lets the only charge of the part or the paper go, or asks which.
pub fn waive(model: &mut Model, now: DateTime<Utc>) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let charges = charges(stack, model.paper.paper, model.paper.field);
    match charges.as_slice() {
        [] => {
            model.say(
                "nothing is charged for unit, figures, misread numbers, a constant or lateness",
            );
            Vec::new()
        }
        [one] => {
            let deed = waived(one, "");
            deeds(model, model.paper.paper, vec![deed], now)
        }
        _ => {
            ask(model, Ask::Waive { charges }, String::new());
            Vec::new()
        }
    }
}

fn waived(charge: &Waivable, note: &str) -> Deed {
    Deed::Waive {
        part: charge.part.clone(),
        charge: charge.charge,
        waived: !charge.waived,
        note: note.to_owned(),
    }
}

/// What is charged on a part of a paper and on the paper.
fn charges(stack: &Stack, paper: usize, part: usize) -> Vec<Waivable> {
    let on_desk = &stack.papers()[paper];
    let id = &stack.plan().parts[part].id;
    let mut charges = Vec::new();
    let mut push = |part: Option<&str>, charge: Charge, cost: Decimal| {
        if !cost.is_zero() {
            let words = charge.name();
            let words = part.map_or_else(|| words.to_owned(), |part| format!("({part}) {words}"));
            charges.push(Waivable {
                part: part.map(str::to_owned),
                charge,
                words: format!("{words} {}", cost.abs().normalize()),
                waived: on_desk.standing.is_waived(part, charge),
            });
        }
    };
    if let Some(mark) = on_desk.mark(part) {
        push(Some(id), Charge::Unit, mark.unit_cost);
        push(Some(id), Charge::Figures, mark.figures_cost);
    }
    let on_misread = on_desk
        .marked
        .parts
        .iter()
        .any(|mark| mark.reasons.contains(&crate::marking::Reason::OnMisread));
    let charge = if on_misread {
        Charge::Misread
    } else {
        Charge::Constant
    };
    push(None, charge, on_desk.marked.paper_cost);
    push(None, Charge::Late, on_desk.marked.late);
    charges
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    match action {
        Action::Back => {
            model.prompt = None;
            Vec::new()
        }
        Action::Enter => {
            let Some(prompt) = model.prompt.take() else {
                return Vec::new();
            };
            let text = prompt.input.value().trim().to_owned();
            match done(model, &prompt.ask, &text, now) {
                Ok(effects) => effects,
                Err(fault) => {
                    model.prompt = Some(Prompt {
                        fault: Some(fault),
                        ..prompt
                    });
                    vec![Effect::Ring]
                }
            }
        }
        _ => Vec::new(),
    }
}

fn done(
    model: &mut Model,
    ask: &Ask,
    text: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Effect>, String> {
    let paper = model.paper.paper;
    match ask {
        Ask::Adjust { part } => {
            let deed = adjusted(model.stack.as_ref(), *part, text)?;
            Ok(deeds(model, paper, vec![deed], now))
        }
        Ask::Misread => {
            let deed = misread_as(model.stack.as_ref(), paper, text)?;
            Ok(deeds(model, paper, vec![deed], now))
        }
        Ask::Move { part } => moved(model, *part, text, now),
        Ask::Waive { charges } => {
            let number = text.split_whitespace().next().unwrap_or("");
            let index = number
                .parse::<usize>()
                .ok()
                .and_then(|number| number.checked_sub(1));
            let Some(charge) = index.and_then(|index| charges.get(index)) else {
                return Err(format!("expected a number from 1 to {}", charges.len()));
            };
            let note = text.strip_prefix(number).unwrap_or("").trim();
            Ok(deeds(model, paper, vec![waived(charge, note)], now))
        }
        Ask::Attend { paper } => {
            let deed = attended(text, now)?;
            let effects = deeds(model, *paper, vec![deed], now);
            if model.place == Place::Paper {
                paper::refresh(model);
            }
            Ok(effects)
        }
        Ask::Export if text.is_empty() => Err("expected the name of a file".to_owned()),
        Ask::Export => Ok(vec![Effect::Export(text.to_owned())]),
        Ask::Import if text.is_empty() => Err("expected the name of a file".to_owned()),
        Ask::Import => Ok(vec![Effect::Preview(text.to_owned())]),
    }
}

/// `2 arrow drawn, not the number`; nothing for the program's own points.
fn adjusted(stack: Option<&Stack>, part: usize, text: &str) -> Result<Deed, String> {
    let Some(stack) = stack else {
        return Err("no paper is open".to_owned());
    };
    let id = stack.plan().parts[part].id.clone();
    if text.is_empty() {
        return Ok(Deed::Adjust {
            part: id,
            points: None,
            note: String::new(),
        });
    }
    let most = stack.part(part).points;
    let (points, note) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let points = Decimal::from_str(&points.replace(',', "."))
        .ok()
        .filter(|points| *points >= Decimal::ZERO && *points <= most)
        .ok_or_else(|| format!("expected points from 0 to {}, then why", most.normalize()))?;
    if note.trim().is_empty() {
        return Err("expected a word or two of why behind the points".to_owned());
    }
    Ok(Deed::Adjust {
        part: id,
        points: Some(points),
        note: note.trim().to_owned(),
    })
}

/// `mA 6.0 kg` or `mA = 6.0 kg`; the given alone takes it away.
fn misread_as(stack: Option<&Stack>, paper: usize, text: &str) -> Result<Deed, String> {
    let Some(stack) = stack else {
        return Err("no paper is open".to_owned());
    };
    let (name, value) = text
        .split_once(|c: char| c == '=' || c.is_whitespace())
        .unwrap_or((text, ""));
    let value = value.trim_start_matches(|c: char| c == '=' || c.is_whitespace());
    let givens = stack.givens();
    let exact = givens.iter().find(|(given, _)| given == name);
    let mut loose = givens
        .iter()
        .filter(|(given, _)| given.eq_ignore_ascii_case(name));
    let given = match (exact, loose.next(), loose.next()) {
        (Some(given), ..) | (None, Some(given), None) => given.0.clone(),
        _ => {
            let names: Vec<&str> = givens.iter().map(|(given, _)| given.as_str()).collect();
            return Err(format!(
                "expected one of {}, then the number used",
                names.join(", ")
            ));
        }
    };
    if value.is_empty() {
        return Ok(Deed::Misread { given, value: None });
    }
    stack.misread(paper, &given, value)?;
    Ok(Deed::Misread {
        given,
        value: Some(value.to_owned()),
    })
}

fn attended(text: &str, now: DateTime<Utc>) -> Result<Deed, String> {
    let is = |word: &str| !text.is_empty() && word.starts_with(&text.to_lowercase());
    if let Ok(day) = NaiveDate::parse_from_str(text, "%Y-%m-%d") {
        return Ok(Deed::HandedIn { day: Some(day) });
    }
    match text {
        "-" => Ok(Deed::HandedIn { day: None }),
        _ if is("absent") => Ok(Deed::Attend { attendance: Attendance::Absent }),
        _ if is("excused") => Ok(Deed::Attend { attendance: Attendance::Excused }),
        _ if is("present") => Ok(Deed::Attend { attendance: Attendance::Present }),
        _ if is("today") => Ok(Deed::HandedIn { day: Some(now.date_naive()) }),
        _ => Err("expected a (absent), e (excused), p (present), t (handed in today) or a day such as 2026-11-25".to_owned()),
    }
}

/// Moves an entry to a part of this paper or of another; what is keyed there comes back in exchange.
fn moved(
    model: &mut Model,
    from: usize,
    text: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Effect>, String> {
    let Some(stack) = &model.stack else {
        return Err("no paper is open".to_owned());
    };
    let (paper, keying) = (model.paper.paper, model.keying);
    let (to_paper, to) = target(stack, paper, from, text)?;
    if (to_paper, to) == (paper, from) {
        return Err("the entry stands there already".to_owned());
    }
    if stack.is_by_eye(to) {
        return Err("expected a part with an entry, found one judged by eye".to_owned());
    }
    let keyed = |paper: usize, part: usize| {
        let id = &stack.plan().parts[part].id;
        let standing = stack.papers()[paper].standing.get(id)?;
        match keying {
            Keying::First => standing.first.clone(),
            Keying::Second => standing.second.clone(),
        }
    };
    let act = |paper: usize, part: usize, keyed: Option<Keyed>| {
        let part = stack.plan().parts[part].id.clone();
        let deed = match keyed {
            Some(Keyed::Text(text)) => Deed::Entry { part, keying, text },
            Some(Keyed::Unreadable) => Deed::Unreadable { part, keying },
            None => Deed::Clear { part, keying },
        };
        NewAct::new(now, stack.papers()[paper].issue.id, deed)
    };
    let here = keyed(paper, from);
    let there = keyed(to_paper, to);
    let new = vec![act(to_paper, to, here), act(paper, from, there)];
    let (from_id, to_id) = (&stack.plan().parts[from].id, &stack.plan().parts[to].id);
    let words = if to_paper == paper {
        format!("{} ({from_id}) moved to ({to_id})", stack.student(paper).id)
    } else {
        let (id, other) = (stack.student(paper).id, stack.student(to_paper).id);
        format!("{id} ({from_id}) moved to {other} ({to_id})")
    };
    let effects = save(model, new, words.clone());
    paper::refresh(model);
    model.say(words);
    Ok(effects)
}

/// `c`, `okonjo c`, or `okonjo` for the same part.
fn target(stack: &Stack, paper: usize, from: usize, text: &str) -> Result<(usize, usize), String> {
    let part = |text: &str| {
        stack
            .plan()
            .parts
            .iter()
            .position(|place| place.id.eq_ignore_ascii_case(text))
    };
    if let Some(part) = part(text) {
        return Ok((paper, part));
    }
    let (who, to) = match text.rsplit_once(char::is_whitespace) {
        Some((who, last)) if part(last).is_some() => (who, part(last).unwrap_or(from)),
        _ => (text, from),
    };
    match stack.find(who).as_slice() {
        [] => Err(format!("no paper fits `{who}`")),
        _ if who.trim().is_empty() => {
            Err("expected a part, or letters of a name, id or code, and a part".to_owned())
        }
        [found, ..] => Ok((*found, to)),
    }
}

/// What is asked for, and what may be typed.
fn words(model: &Model, asked: &Ask) -> (String, String) {
    let id = |part: &usize| {
        let stack = model.stack.as_ref();
        stack.map_or_else(String::new, |stack| stack.plan().parts[*part].id.clone())
    };
    match asked {
        Ask::Adjust { part } => {
            let most = model.stack.as_ref().map_or(Decimal::ZERO, |stack| stack.part(*part).points);
            (
                format!("points for ({}), then why", id(part)),
                format!("0 to {}, as in `2 right idea, arrow missing`; nothing leaves it to the program", most.normalize()),
            )
        }
        Ask::Misread => {
            let stack = model.stack.as_ref();
            let givens = stack.map_or_else(Vec::new, Stack::givens);
            let names: Vec<&str> = givens.iter().map(|(name, _)| name.as_str()).collect();
            ("misread".to_owned(), format!("one of {} and the number used; without a number it is taken away", names.join(", ")))
        }
        Ask::Move { part } => (
            format!("move ({}) to", id(part)),
            "a part, as in `c`, or letters of another paper's name, id or code and a part; two entries change places".to_owned(),
        ),
        Ask::Waive { charges } => {
            let list = charges.iter().enumerate().map(|(index, charge)| {
                let state = if charge.waived { " (let go)" } else { "" };
                format!("{} {}{state}", index + 1, charge.words)
            });
            ("let go which".to_owned(), list.collect::<Vec<_>>().join("   "))
        }
        Ask::Attend { paper } => {
            let stack = model.stack.as_ref();
            let student = stack.map_or("", |stack| stack.student(*paper).id);
            (student.to_owned(), "a absent   e excused   p present   t handed in today   or a day, 2026-11-25   - no day".to_owned())
        }
        Ask::Export => ("marks to".to_owned(), "a CSV file; only a file of marks is replaced".to_owned()),
        Ask::Import => ("answers from".to_owned(), "a CSV file of answers; what it would change is shown first".to_owned()),
    }
}

/// Draws the two lines.
pub fn view(model: &Model, prompt: &Prompt, frame: &mut Frame<'_>, area: Rect) {
    let columns = usize::from(area.width);
    let (label, hint) = words(model, &prompt.ask);
    let label = format!(" {label}: ");
    let start = crate::text::width(&crate::text::safe(&label));
    let (shown, cursor) = paint::typed(&prompt.input, columns.saturating_sub(start + 1));
    let hint = match &prompt.fault {
        Some(fault) => Row::new(model.theme).gap(1).cell(
            columns.saturating_sub(1),
            paint::Side::Left,
            Role::Look,
            fault,
        ),
        None => Row::new(model.theme).gap(1).cell(
            columns.saturating_sub(1),
            paint::Side::Left,
            Role::Dim,
            &hint,
        ),
    };
    let line = Row::new(model.theme)
        .text(Role::Strong, &label)
        .text(Role::Plain, &shown);
    paint::rows(frame, area, [hint, line]);
    paint::cursor(frame, area, start + cursor, 1);
}
