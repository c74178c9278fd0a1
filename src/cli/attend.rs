//! `paperweight attend`: who was there, who was late, what was given back.

use std::path::PathBuf;

use chrono::NaiveDate;
use serde::Serialize;

use crate::record::{Attendance, OpenMode};
use crate::text::{counted, json_line};
use crate::workflow::{self, Attended, Failure, Note, Whom};

use super::record::{ClassArguments, Opened, now};
use super::written::day;
use super::{Exit, out, report};

/// Note who was absent, excused or late, what was given back, and when papers are due
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("whom").required(true), group = clap::ArgGroup::new("note").required(true))]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// These students, by id or by the code of their paper
    #[arg(long, value_name = "ID", num_args = 1.., group = "whom")]
    student: Vec<String>,
    /// All of a section; for --due and --returned
    #[arg(long, value_name = "SECTION", group = "whom", conflicts_with_all = ["absent", "excused", "present", "late"])]
    section: Option<String>,
    /// The whole class; for --due and --returned
    #[arg(long, group = "whom", conflicts_with_all = ["absent", "excused", "present", "late"])]
    all: bool,
    /// There is no paper
    #[arg(long, group = "note")]
    absent: bool,
    /// There is no paper, and none is wanted
    #[arg(long, group = "note")]
    excused: bool,
    /// There is a paper
    #[arg(long, group = "note")]
    present: bool,
    /// There is a paper, handed in on that day (2026-11-25)
    #[arg(long, value_name = "DATE", value_parser = day, group = "note")]
    late: Option<NaiveDate>,
    /// The paper was given back
    #[arg(long, group = "note")]
    returned: bool,
    /// The paper is due on that day (2026-11-25)
    #[arg(long, value_name = "DATE", value_parser = day, group = "note")]
    due: Option<NaiveDate>,
    /// The paper is due on no day
    #[arg(long, group = "note")]
    not_due: bool,
    /// Write one JSON object about what was noted
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Line<'a> {
    papers: usize,
    noted: &'a str,
}

impl Arguments {
    fn note(&self) -> Note {
        if let Some(day) = self.late {
            Note::HandedIn(day)
        } else if self.returned {
            Note::Returned
        } else if self.absent {
            Note::Attend(Attendance::Absent)
        } else if self.excused {
            Note::Attend(Attendance::Excused)
        } else {
            Note::Attend(Attendance::Present)
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let Opened {
        prepared,
        mut record,
        class,
    } = arguments
        .class
        .open(&arguments.assignment, OpenMode::Write)?;
    let whom = if arguments.all {
        Whom::All
    } else if let Some(section) = &arguments.section {
        Whom::Section(section.clone())
    } else {
        Whom::Students(arguments.student.clone())
    };
    let (papers, what, besides) = if arguments.due.is_some() || arguments.not_due {
        let day = arguments.due;
        let papers = workflow::set_due(&prepared, &class, &whom, day, now(), &mut record)?;
        let what = day.map_or_else(|| "due on no day".to_owned(), |day| format!("due {day}"));
        (papers, what, String::new())
    } else {
        let note = arguments.note();
        let noted = workflow::attend(&prepared, &class, &whom, &note, now(), &mut record)?;
        let what = match note {
            Note::Attend(attendance) => attendance.name().to_owned(),
            Note::HandedIn(day) => format!("handed in on {day}"),
            Note::Returned => "given back".to_owned(),
        };
        let costs = prepared.plan.sheet.paper.late.is_some();
        (noted.papers, what, besides(&note, noted, costs))
    };
    if arguments.json {
        let line = Line {
            papers,
            noted: &what,
        };
        out::rows(json_line(&line).as_bytes())?;
    } else {
        let papers = counted(papers, "paper");
        report::say(&format!("{papers}: {what}{besides}\n"));
    }
    Ok(Exit::Done)
}

/// What else is to be known of what was noted; `costs` says whether being late does.
fn besides(note: &Note, noted: Attended, costs: bool) -> String {
    let mut text = String::new();
    if matches!(note, Note::HandedIn(_)) {
        match noted.called_back {
            0 => {}
            1 if noted.papers == 1 => text += ", no longer absent or excused",
            count => text += &format!(", {count} of them no longer absent or excused"),
        }
        if noted.in_time > 0 {
            text += &format!("; {} not late by the day due", noted.in_time);
        }
        if noted.in_time < noted.papers && !costs {
            text += "; the scheme takes nothing off for being late";
        }
    }
    if noted.keyed > 0 {
        let (are, they) = match noted.keyed {
            1 => ("1 is keyed and does", "--present brings it back"),
            _ => ("some are keyed and do", "--present brings them back"),
        };
        text += &format!("; {are} not count now, {they}");
    }
    text
}
