//! From a file of answers to acts.
//!
//! In: a file of answers, the papers they may be about and what stands on each. Out: for every student
//! of whom the file says something the paper, and what brings it to what the row says: nothing for what
//! stands there already. A cell that is blank says nothing where something was keyed before (a dash says
//! that there is nothing); where nothing was, the part is blank. What the teacher keyed wrongly is left
//! out and told. Refused: what the reader of answers refuses.

use crate::answer;
use crate::answer::sheet::{Answers, Codes, Status, StudentEntries};
use crate::assignment::PartKind;
use crate::diagnostic::{Diagnostic, Place};
use crate::files::Input;
use crate::marking::Paper;
use crate::plan::Plan;
use crate::record::{Attendance, Deed, Keying, Standing};
use crate::roster::Roster;
use crate::table::Declared;
use crate::text::DecimalMark;
use crate::variant::PaperCode;

use super::paper::{PaperReader, columns};

/// What answers were asked, and of whom.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked<'a> {
    pub(super) plan: &'a Plan,
    pub(super) roster: &'a Roster,
    /// The decimal mark of students for whom the roster does not say it.
    pub(super) decimal: DecimalMark,
    /// Whose the papers are, by their codes.
    pub(super) codes: &'a Codes,
}

/// A file of answers to be read.
#[derive(Debug)]
pub struct AnswersFile<'a> {
    /// Its bytes.
    pub input: Input,
    /// Its name in messages.
    pub name: &'a str,
    /// How it is written, as far as somebody said so.
    pub declared: Declared,
}

/// What a file of answers says.
#[derive(Debug)]
pub(super) struct Import<P> {
    /// What was assumed of the file, or left aside.
    pub(super) findings: Vec<Diagnostic>,
    /// Whether rows belong to nobody, or none says anything.
    pub(super) leaves_open: bool,
    /// In the order of the roster; nothing of students without a row.
    pub(super) students: Vec<Said<P>>,
}

/// What a file of answers says of one student.
#[derive(Debug)]
pub(super) struct Said<P> {
    /// The place on the roster.
    pub(super) student: usize,
    /// The paper; `None` where none was issued.
    pub(super) paper: Option<P>,
    /// What the file would do to it, in the order of the paper.
    pub(super) deeds: Vec<Deed>,
    /// What was keyed wrongly.
    pub(super) faults: Vec<Diagnostic>,
}

/// Reads a file of answers to issued papers. `paper` finds the paper of a student, by its code where
/// the file has one, and what stands on it.
///
/// # Errors
/// As the reader of answers.
pub(super) fn read<'s, P>(
    file: AnswersFile<'_>,
    asked: &Asked<'_>,
    paper: impl Fn(usize, Option<PaperCode>) -> Option<(P, &'s Standing)>,
) -> Result<Import<P>, Vec<Diagnostic>> {
    let Asked {
        plan,
        roster,
        decimal,
        codes,
    } = *asked;
    let one = |finding: Box<Diagnostic>| vec![*finding];
    let columns = columns(&plan.sheet);
    let AnswersFile {
        input,
        name,
        declared,
    } = file;
    let mut answers = Answers::scan_with(input, name, &declared, roster, &columns, codes)?;
    let typed: Vec<Option<PaperCode>> = (0..roster.len())
        .map(|at| answers.code(at)?.parse().ok())
        .collect();
    let mut import = Import {
        findings: answers.findings().to_vec(),
        leaves_open: answers.leave_open(),
        students: Vec::new(),
    };
    let papers = PaperReader::new(plan, None, decimal);
    let mut reader = answers.reader().map_err(one)?;
    let mut entries = StudentEntries::default();
    let mut written = Paper::default();
    for (at, student) in roster.iter().enumerate() {
        if !reader.read(at, &mut entries).map_err(one)? {
            continue;
        }
        let Some((paper, standing)) = paper(at, typed.get(at).copied().flatten()) else {
            import.students.push(Said {
                student: at,
                paper: None,
                deeds: Vec::new(),
                faults: Vec::new(),
            });
            continue;
        };
        let mut faults = Vec::new();
        papers.fill(&entries, student.decimal, &mut written, &mut faults);
        let is_read = |problem: usize, given: usize| {
            let mut misread = written.misread.iter();
            misread.any(|(p, g, _)| (*p, *g) == (problem, given))
        };
        let misread = plan.sheet.given_ids().enumerate();
        let misread = misread
            .filter(|(_, (_, problem, given))| is_read(*problem, *given))
            .map(|(index, (name, ..))| (name, entries.given(index).trim().to_owned()));
        let row = Row {
            plan,
            entries: &entries,
            misread: misread.collect(),
            standing,
        };
        import.students.push(Said {
            student: at,
            paper: Some(paper),
            deeds: row.deeds(),
            faults: faults
                .iter()
                .map(|why| not_keyed(name, student.id, &entries, why))
                .collect(),
        });
    }
    Ok(import)
}

/// What the teacher keyed wrongly among the entries of a student in the file of this name.
pub(super) fn not_keyed(
    file: &str,
    student: &str,
    entries: &StudentEntries,
    why: &str,
) -> Diagnostic {
    let message = format!("student {student}, {why}");
    let place = Place::Line {
        line: entries.line(),
        column: None,
    };
    Diagnostic::warning(file, place, message)
        .help("it counts as not keyed until it is mended: correct the cell, or empty it")
}

/// What is keyed by one row.
struct Row<'a> {
    plan: &'a Plan,
    entries: &'a StudentEntries,
    /// The givens that the row says were misread, by name, where they can be read.
    misread: Vec<(String, String)>,
    /// What stands on the paper before.
    standing: &'a Standing,
}

impl Row<'_> {
    /// What it does, in the order of the paper.
    fn deeds(&self) -> Vec<Deed> {
        let mut deeds = Vec::new();
        let status = self.entries.status();
        let attendance = match status {
            Status::Present | Status::Empty => Attendance::Present,
            Status::Absent => Attendance::Absent,
            Status::Excused => Attendance::Excused,
        };
        let is_there = attendance == Attendance::Present;
        let said = self.standing.attendance;
        // A row of blanks says nothing against the teacher, who said that there is no paper.
        if status == Status::Present
            && matches!(said, Some(Attendance::Absent | Attendance::Excused))
            && self.is_blank()
        {
            return deeds;
        }
        if is_there {
            for at in 0..self.plan.parts.len() {
                self.part(at, status == Status::Empty, &mut deeds);
            }
            for (given, value) in &self.misread {
                if self.standing.misread.get(given) != Some(value) {
                    deeds.push(Deed::Misread {
                        given: given.clone(),
                        value: Some(value.clone()),
                    });
                }
            }
        }
        let day = self.entries.handed_in();
        if day.is_some() && day != self.standing.handed_in {
            deeds.push(Deed::HandedIn { day });
        }
        let is_known = match attendance {
            // An empty paper is one that somebody handed in; of others the entries say so.
            Attendance::Present => match said {
                Some(said) => said == Attendance::Present,
                None => !deeds.is_empty() || self.standing.has_paper(),
            },
            other => said == Some(other),
        };
        if !is_known {
            deeds.push(Deed::Attend { attendance });
        }
        deeds
    }

    /// Whether nothing stands in the row.
    fn is_blank(&self) -> bool {
        let mut parts = 0..self.plan.parts.len();
        self.misread.is_empty()
            && self.entries.handed_in().is_none()
            && parts.all(|at| {
                let is_blank = |cell: &str| cell.trim().is_empty();
                is_blank(self.entries.entry(at)) && is_blank(self.entries.working(at))
            })
    }

    fn part(&self, at: usize, empty: bool, deeds: &mut Vec<Deed>) {
        let place = &self.plan.parts[at];
        let part = self.plan.part(at);
        let cell = if empty { "" } else { self.entries.entry(at) };
        let working = |cell: &str, most: usize| {
            let points = answer::points(cell, most).ok().flatten();
            (points.is_some() && points != self.standing.working(&place.id)).then(|| {
                Deed::Working {
                    part: place.id.clone(),
                    points,
                }
            })
        };
        if let PartKind::Eye(items) = &part.kind {
            deeds.extend(working(cell, items.len()));
            return;
        }
        let stands = self.standing.entry(&place.id);
        let says = match stands {
            None => true,
            Some(stands) => !cell.trim().is_empty() && stands.as_entry() != cell,
        };
        if says {
            deeds.push(Deed::Entry {
                part: place.id.clone(),
                keying: Keying::First,
                text: cell.to_owned(),
            });
        }
        deeds.extend(working(self.entries.working(at), part.working.len()));
    }
}
