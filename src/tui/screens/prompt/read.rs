//! What was typed where a line was asked for, understood.
//!
//! In: the text. Out: a deed, a paper and a part, students and a day. Refused, in words: what does not say
//! enough.

use chrono::NaiveDate;
use rust_decimal::Decimal;

use crate::record::{Attendance, Deed};
use crate::table::Declared;
use crate::table::declared::Options;
use crate::table::encoding::Encoding;
use crate::text;
use crate::workflow::FillRequest;
use crate::workflow::desk::Stack;

/// A day at the end of what was typed, and what stands before it.
pub(super) fn class_and_day(text: &str) -> (&str, Option<NaiveDate>) {
    let (before, last) = text.rsplit_once(char::is_whitespace).unwrap_or(("", text));
    match NaiveDate::parse_from_str(last, "%Y-%m-%d") {
        Ok(day) => (before.trim(), Some(day)),
        Err(_) => (text, None),
    }
}

/// `c` or `a`, and perhaps a day: whose papers these are, and the day due. Nothing if that says nothing,
/// or nobody was absent.
pub(super) fn for_whom(
    stack: &Stack,
    chosen: usize,
    text: &str,
) -> Option<(Vec<usize>, Option<NaiveDate>)> {
    let (who, due) = class_and_day(text.trim());
    let is = |word: &str| !who.is_empty() && word.starts_with(&who.to_lowercase());
    let papers = if is("chosen") {
        vec![chosen]
    } else if is("absent") {
        stack.absent()
    } else {
        Vec::new()
    };
    (!papers.is_empty()).then_some((papers, due))
}

/// The class that a few letters mean.
pub(super) fn chosen(classes: &[String], typed: &str) -> Result<String, String> {
    let lower = typed.to_lowercase();
    let exact = classes.iter().find(|class| *class == typed);
    let mut begins = classes
        .iter()
        .filter(|class| class.to_lowercase().starts_with(&lower));
    match (exact, begins.next(), begins.next()) {
        (Some(class), ..) | (None, Some(class), None) => Ok(class.clone()),
        _ if classes.is_empty() => Err(NO_CLASS.to_owned()),
        _ => match typed.rsplit_once(char::is_whitespace) {
            // A class that is followed by what is no day.
            Some((class, rest)) if chosen(classes, class.trim()).is_ok() => Err(format!(
                "expected a day such as 2026-12-02 behind the class, found `{rest}`"
            )),
            _ => Err(format!("expected a class: {}", classes.join(", "))),
        },
    }
}

/// Said where papers are to be handed out and the folder has no class.
pub(super) const NO_CLASS: &str = "there is no class yet: put its CSV file into rosters/";

/// A file or a class, and behind it what the file is written in: `marks.csv as windows-1252`. No encoding has a dot
/// in its name, so `answers as sent.csv` is a file.
pub(super) fn read_as(text: &str) -> Result<(&str, Option<Encoding>), String> {
    let behind = text.rsplit_once(" as ");
    let Some((name, encoding)) = behind.filter(|(_, encoding)| !encoding.contains('.')) else {
        return Ok((text, None));
    };
    match Encoding::named(encoding.trim()) {
        Ok(encoding) => Ok((name.trim(), Some(encoding))),
        Err(fault) => {
            let help = fault.help.unwrap_or_default();
            Err(format!("{}; {help}", fault.message))
        }
    }
}

/// A gradebook, and behind it its column and what it is written in, in either order.
pub(super) fn gradebook(text: &str) -> Result<FillRequest, String> {
    let (text, behind) = text.split_once(" column ").unwrap_or((text, ""));
    let (file, first) = read_as(text)?;
    let (column, last) = read_as(behind)?;
    let column = (!column.is_empty()).then(|| column.trim().to_owned());
    Ok(FillRequest {
        into: file.trim().into(),
        column,
        declared: Declared {
            encoding: first.or(last),
            options: Options::Desk,
            ..Declared::default()
        },
        ..FillRequest::default()
    })
}

/// Points from 0 to `most`, with a point or a comma.
pub(in super::super) fn points_of(text: &str, most: Decimal) -> Option<Decimal> {
    let points = text::points(text)?;
    (Decimal::ZERO..=most).contains(&points).then_some(points)
}

/// `2 arrow drawn, not the number`; nothing for the program's own points.
pub(super) fn adjusted(stack: Option<&Stack>, part: usize, text: &str) -> Result<Deed, String> {
    let Some(stack) = stack else {
        return Err("no paper is open".to_owned());
    };
    let id = stack.plan().parts[part].id.clone();
    if text.is_empty() {
        return Ok(Deed::Adjust {
            part: id,
            points: None,
            note: String::new(),
            hint: None,
        });
    }
    let most = stack.part(part).points;
    let (points, note) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let points = points_of(points, most)
        .ok_or_else(|| format!("expected points from 0 to {}, then why", most.normalize()))?;
    if note.trim().is_empty() {
        return Err("expected a word or two of why behind the points".to_owned());
    }
    Ok(Deed::Adjust {
        part: id,
        points: Some(points),
        note: note.trim().to_owned(),
        hint: None,
    })
}

/// `mA 6.0 kg` or `mA = 6.0 kg`; the given alone takes it away.
pub(super) fn misread_as(stack: Option<&Stack>, paper: usize, text: &str) -> Result<Deed, String> {
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

pub(super) fn attended(text: &str, today: NaiveDate) -> Result<Deed, String> {
    let is = |word: &str| !text.is_empty() && word.starts_with(&text.to_lowercase());
    if let Ok(day) = NaiveDate::parse_from_str(text, "%Y-%m-%d") {
        return Ok(Deed::HandedIn { day: Some(day) });
    }
    match text {
        "-" => Ok(Deed::HandedIn { day: None }),
        _ if is("absent") => Ok(Deed::Attend { attendance: Attendance::Absent }),
        _ if is("excused") => Ok(Deed::Attend { attendance: Attendance::Excused }),
        _ if is("present") => Ok(Deed::Attend { attendance: Attendance::Present }),
        _ if is("today") => Ok(Deed::HandedIn { day: Some(today) }),
        _ => Err("expected a (absent), e (excused), p (present), t (handed in today) or a day such as 2026-11-25".to_owned()),
    }
}

/// `c`, `okonjo c`, or `okonjo` for the same part.
pub(super) fn target(
    stack: &Stack,
    paper: usize,
    from: usize,
    text: &str,
) -> Result<(usize, usize), String> {
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
