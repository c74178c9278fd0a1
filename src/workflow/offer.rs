//! From an adjustment to the rule behind it.
//!
//! In: the part that was adjusted, the expression that the teacher found right or half right, and its
//! share. Out: the students whose answers it fits, and the lines that would make the file say so. The
//! file itself is not touched: the lines are tried on its text, and all papers are marked with them.
//! Refused: whatever the file would be refused for with these lines in it.

use std::ops::Range;
use std::sync::Arc;

use rust_decimal::Decimal;

use crate::assignment;
use crate::course::Course;
use crate::diagnostic::{Diagnostic, Place, Source};
use crate::marking::Reason;
use crate::roster::Roster;
use crate::text::DecimalMark;

use super::kept::Kept;
use super::marked::class::ClassMarker;
use super::{Failure, Loaded, Prepared, prepare};

/// A rule that an adjustment suggests.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// The file it would go into.
    pub file: String,
    /// The line it would go before, from 1; one more than there are for the end. Where the file says this
    /// already, the line that does.
    pub line: usize,
    /// The lines; none where the file says this already.
    pub lines: String,
    /// Students whose answers it fits, in the order in which papers were issued.
    pub fits: Vec<String>,
}

/// Tries a rule on all papers of a class.
///
/// # Errors
/// See the module.
pub(super) fn offer(
    prepared: &Prepared,
    at: usize,
    expression: &str,
    share: Decimal,
    kept: &Kept,
    reading: (Option<&Roster>, DecimalMark),
) -> Result<Offer, Failure> {
    let plan = &prepared.plan;
    let place = &plan.parts[at];
    let problem = &plan.sheet.problems[place.problem];
    let source = &problem.source;
    let (start, line) = after(&source.text, problem.parts[place.part].span.start);
    let from = problem.parts[place.part].span.start;
    if let Some(line) = known(&source.text, from..start, expression) {
        return Ok(Offer {
            file: source.name.clone(),
            line,
            lines: String::new(),
            fits: Vec::new(),
        });
    }
    let lines = rule(expression, share);
    let mut text = source.text.clone();
    text.insert_str(start, &format!("{lines}\n"));
    let tried = Arc::new(Source {
        name: source.name.clone(),
        text,
    });
    let tried = with(prepared, &tried).and_then(prepare);
    let tried = tried.map_err(|failure| not_taken(&failure, expression))?;
    let mut marker = ClassMarker::new(&tried, reading.1);
    let mut fits = Vec::new();
    for issue in &kept.issues {
        let student = reading
            .0
            .and_then(|roster| roster.get(roster.find(&issue.student)?));
        let decimal = student.and_then(|student| student.decimal);
        let counted = marker
            .mark(kept, issue, decimal)
            .map_err(|finding| Failure::input(vec![finding], tried.sources.clone()))?;
        let Some(mark) = counted.marked.parts.get(at) else {
            continue;
        };
        if mark
            .reasons
            .iter()
            .any(|reason| is_the_last(reason, &tried, at))
            && !fits.contains(&issue.student)
        {
            fits.push(issue.student.clone());
        }
    }
    Ok(Offer {
        file: source.name.clone(),
        line,
        lines,
        fits,
    })
}

/// What is wrong with the expression. The lines it was tried in are not in the file, so no place there is named.
fn not_taken(failure: &Failure, expression: &str) -> Failure {
    let list = failure.findings().list.iter().map(|found| {
        let message = format!("{}, in `{expression}`", found.message);
        let error = Diagnostic::error("--because", Place::File, message);
        // A name of the expression is one of the assignment's; none is declared for its sake.
        let help = found.help.as_deref().map(|help| {
            let rest = help.strip_prefix(assignment::DECLARE);
            rest.map_or(help, |rest| rest.trim_start_matches("; "))
        });
        Diagnostic {
            help: help.filter(|help| !help.is_empty()).map(str::to_owned),
            ..error
        }
    });
    Failure::input(list.collect(), Vec::new())
}

/// The lines as the file has them.
fn rule(expression: &str, share: Decimal) -> String {
    let expression = toml::Value::String(expression.to_owned());
    let table = if share == Decimal::ONE {
        "accept"
    } else {
        "slip"
    };
    let share = share.normalize();
    format!("  [[part.{table}]]\n  answer = {expression}\n  share = {share}\n")
}

/// The line, from 1, on which a part of the text gives this expression as an answer; blanks aside.
fn known(text: &str, part: Range<usize>, expression: &str) -> Option<usize> {
    let compact = |text: &str| -> String { text.split_whitespace().collect() };
    let wanted = compact(&format!(
        "answer = {}",
        toml::Value::String(expression.to_owned())
    ));
    let first = text.get(..part.start)?.matches('\n').count();
    let mut lines = text.get(part)?.lines();
    let at = lines.position(|line| compact(line).starts_with(&wanted))?;
    Some(first + at + 1)
}

/// Where the table of a part ends that begins at `start`, and the number of that line.
fn after(text: &str, start: usize) -> (usize, usize) {
    let first = text
        .get(..start)
        .map_or(0, |before| before.matches('\n').count());
    let mut at = 0;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let table = line.trim_start();
        let is_own = table.starts_with("[[part.") || table.starts_with("[part.");
        if number > first && table.starts_with('[') && !is_own {
            return (at, number + 1);
        }
        at += line.len();
    }
    (at, text.lines().count() + 1)
}

/// The sheet read again with one of its files changed.
fn with(prepared: &Prepared, tried: &Arc<Source>) -> Result<Loaded, Failure> {
    let sources = prepared.sources.iter().map(|source| {
        if source.name == tried.name {
            Arc::clone(tried)
        } else {
            Arc::clone(source)
        }
    });
    let sources: Vec<Arc<Source>> = sources.collect();
    let Some(first) = sources.first() else {
        return Err(Failure::input(Vec::new(), sources));
    };
    let (course, _) = Course::new(sources.iter().skip(1).cloned());
    let outcome = assignment::read(first, &course);
    match outcome.sheet {
        Some(sheet) => Ok(Loaded {
            sheet,
            sources: outcome.sources,
        }),
        None => Err(Failure::input(outcome.findings, outcome.sources)),
    }
}

/// Whether a reason names the rule that was added last to a part.
fn is_the_last(reason: &Reason, tried: &Prepared, at: usize) -> bool {
    let assignment::PartKind::Answer(answer) = &tried.plan.part(at).kind else {
        return false;
    };
    match reason {
        Reason::Accepted(index) => index + 1 == answer.accepts.len(),
        Reason::SlipMade { slip, .. } | Reason::OrSlip(slip) => slip + 1 == answer.slips.len(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_go_behind_their_part() {
        let text =
            "a = 1\n[[part]]\nid = \"a\"\n  [[part.slip]]\n  say = \"x\"\n\n[[part]]\nid = \"b\"\n";
        let first = text.find("[[part]]").unwrap();
        let last = text.rfind("[[part]]").unwrap();
        assert_eq!(after(text, first), (last, 7));
        assert_eq!(after(text, last), (text.len(), 9));
    }

    #[test]
    fn a_rule_that_is_there_is_found_blanks_aside() {
        let text = "[[part]]\nid = \"a\"\n  [[part.accept]]\n  answer = \"mB * (g+a)\"  # upheld\n";
        assert_eq!(known(text, 0..text.len(), "mB*(g + a)"), Some(4));
        assert_eq!(known(text, 0..text.len(), "mB*(g - a)"), None);
        assert_eq!(known(text, 0..20, "mB*(g + a)"), None);
    }

    #[test]
    fn rules_are_written_as_the_file_has_them() {
        let full = rule("mB*(g + a)", Decimal::ONE);
        assert_eq!(
            full,
            "  [[part.accept]]\n  answer = \"mB*(g + a)\"\n  share = 1\n"
        );
        let half = rule("mA*g", Decimal::new(50, 2));
        assert_eq!(
            half,
            "  [[part.slip]]\n  answer = \"mA*g\"\n  share = 0.5\n"
        );
    }
}
