//! What has changed in a file since papers were issued from it.
//!
//! In: the file then and now. Out: the lines that differ, as notes.

use std::sync::Arc;

use crate::diagnostic::{Diagnostic, Place, Source};
use crate::record::{Filed, Issue, Record, RecordError};
use crate::text::excerpt;

/// Lines shown at most.
const SHOWN: usize = 8;

/// Files longer than this are not compared line by line.
const LONGEST: usize = 4000;

/// Columns of a terminal for one line of a file.
const WIDE: usize = 60;

/// Notes on every file that papers were issued from and that is another one now. The values of
/// those papers hold; equations, parts and scheme are today's. `sources` are the files of `now`, whose
/// names the user knows.
pub(super) fn since_issued(
    record: &Record,
    issues: &[Issue],
    now: &Filed,
    sources: &[Arc<Source>],
) -> Result<Vec<Diagnostic>, RecordError> {
    let mut digests: Vec<&str> = Vec::new();
    for issue in issues {
        if issue.file != now.digest && !digests.contains(&issue.file.as_str()) {
            digests.push(&issue.file);
        }
    }
    let mut notes = Vec::new();
    for digest in digests {
        if let Some(then) = record.filed(digest)? {
            let papers = issues.iter().filter(|issue| issue.file == digest).count();
            notes.extend(notes_on(&then, now, sources, papers));
        }
    }
    Ok(notes)
}

fn notes_on(then: &Filed, now: &Filed, sources: &[Arc<Source>], papers: usize) -> Vec<Diagnostic> {
    let mut notes = Vec::new();
    for ((name, new), source) in now.texts.iter().zip(sources) {
        let old = then.texts.iter().find(|(old, _)| old == name);
        let old = old.or_else(|| then.texts.first().filter(|_| now.texts.len() == 1));
        let Some((_, old)) = old.filter(|(_, old)| old != new) else {
            continue;
        };
        let lines = changed(old, new);
        let words = if papers == 1 {
            "1 paper was issued from it".to_owned()
        } else {
            format!("{papers} papers were issued from it")
        };
        let message = format!("the file has changed since {words}");
        let help = "issued papers keep their numbers; everything else is as the file says today";
        notes.push(Diagnostic::note(&source.name, Place::File, message).help(help));
        for (line, text) in lines.iter().take(SHOWN) {
            let place = Place::Line {
                line: *line,
                column: None,
            };
            notes.push(Diagnostic::note(&source.name, place, text.clone()));
        }
        if lines.len() > SHOWN {
            let message = match lines.len() - SHOWN {
                1 => "1 more changed line is not shown".to_owned(),
                more => format!("{more} more changed lines are not shown"),
            };
            notes.push(Diagnostic::note(&source.name, Place::File, message));
        }
    }
    notes
}

/// The lines that are there no more and those that are new, with the place in the file as it is now.
fn changed(old: &str, new: &str) -> Vec<(u64, String)> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    if old.len() > LONGEST || new.len() > LONGEST {
        return vec![(1, "too many lines to compare".to_owned())];
    }
    // The longest common subsequence, from the end so that it is read from the start.
    let width = new.len() + 1;
    let mut common = vec![0_u16; (old.len() + 1) * width];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            common[i * width + j] = if old[i] == new[j] {
                common[(i + 1) * width + j + 1] + 1
            } else {
                common[(i + 1) * width + j].max(common[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut found = Vec::new();
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            (i, j) = (i + 1, j + 1);
        } else if j < new.len()
            && (i == old.len() || common[i * width + j + 1] > common[(i + 1) * width + j])
        {
            let line = excerpt(new[j].trim(), WIDE);
            found.push((j as u64 + 1, format!("is new: `{line}`")));
            j += 1;
        } else {
            let line = excerpt(old[i].trim(), WIDE);
            let at = (j as u64 + 1).min(new.len().max(1) as u64);
            found.push((at, format!("was then: `{line}`")));
            i += 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::changed;

    #[test]
    fn changed_lines_are_found() {
        let old = "a = 1\nb = 2\nc = 3\n";
        let lines = |new: &str| {
            let found = changed(old, new);
            let found = found
                .into_iter()
                .map(|(line, text)| format!("{line} {text}"));
            found.collect::<Vec<_>>().join(", ")
        };
        assert_eq!(lines(old), "");
        assert_eq!(
            lines("a = 1\nb = 5\nc = 3\n"),
            "2 was then: `b = 2`, 2 is new: `b = 5`"
        );
        assert_eq!(lines("a = 1\nc = 3\n"), "2 was then: `b = 2`");
        assert_eq!(lines("a = 1\nb = 2\nc = 3\nd = 4"), "4 is new: `d = 4`");
        assert_eq!(
            lines(""),
            "1 was then: `a = 1`, 1 was then: `b = 2`, 1 was then: `c = 3`"
        );
    }
}
