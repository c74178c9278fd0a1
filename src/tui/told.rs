//! Acts in words, short enough for a line.
//!
//! In: what was done. Out: the part and what stands there now. What is quoted is made safe by whoever
//! draws it.

use crate::record::{ActId, Deed, Message};
use crate::workflow::desk::Stack;

/// What an act did, or the act that it took back.
pub(super) fn origin(stack: &Stack, id: ActId) -> Option<&Deed> {
    let deed = &stack.acts().iter().rev().find(|act| act.id == id)?.deed;
    match deed {
        Deed::TakeBack { act } if *act < id => origin(stack, *act),
        _ => Some(deed),
    }
}

/// An act in words.
pub(super) fn told(deed: &Deed) -> String {
    match deed {
        Deed::Entry { part, text, .. } if text.trim().is_empty() => format!("({part}) blank"),
        Deed::Entry { part, text, .. } => format!("({part}) {text}"),
        Deed::Unreadable { part, .. } => format!("({part}) unreadable"),
        Deed::Clear { part, .. } => format!("({part}) cleared"),
        Deed::Working {
            part,
            points: Some(points),
        } => format!("({part}) {points} by eye"),
        Deed::Working { part, points: None } => format!("({part}) no points by eye"),
        Deed::Misread {
            given,
            value: Some(value),
        } => format!("misread {given} = {value}"),
        Deed::Misread { given, value: None } => format!("{given} not misread"),
        Deed::Adjust {
            part,
            points: Some(points),
            ..
        } => format!("({part}) set to {}", points.normalize()),
        Deed::Adjust {
            part, points: None, ..
        } => format!("({part}) as proposed"),
        Deed::Waive { part, waived, .. } => {
            let what = if *waived {
                "charge let go"
            } else {
                "charged again"
            };
            part.as_ref()
                .map_or_else(|| what.to_owned(), |part| format!("({part}) {what}"))
        }
        Deed::Attend { attendance } => attendance.name().to_owned(),
        Deed::HandedIn { day: Some(day) } => format!("handed in {day}"),
        Deed::HandedIn { day: None } => "no day handed in".to_owned(),
        Deed::Opinion { part, points, .. } => {
            format!("({part}) second marking {}", points.normalize())
        }
        Deed::Returned { .. } => "returned".to_owned(),
        Deed::Accept { .. } => "marks taken".to_owned(),
        Deed::Tell { message } => match message {
            Some(Message::Words(_)) => "told in your words".to_owned(),
            Some(Message::Withheld) => "told nothing".to_owned(),
            None => "told in the program's words".to_owned(),
        },
        Deed::TakeBack { .. } => "taken back".to_owned(),
    }
}
