//! `paperweight issue` and `paperweight reissue`: hand papers out.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use crate::files;
use crate::gradebook::issued;
use crate::paper;
use crate::plan::Plan;
use crate::record::OpenMode;
use crate::text::{counted, safe};
use crate::workflow::{
    self, Again, Failure, IssueOutcome, IssueRequest, Owed, PaperFiles, PrintRequest,
};

use super::print::PrintArguments;
use super::reading::RosterArguments;
use super::record::{RecordArguments, now};
use super::written::day;
use super::{Exit, out, practice, report};

/// Give every student of a class their numbers, and keep them in the record
///
/// Who has a paper keeps it: the same command again shows the same numbers, and hands a first paper
/// to those who joined since. What was issued never changes afterwards, whatever becomes of the file.
#[derive(Debug, clap::Args)]
pub(super) struct IssueArguments {
    #[command(flatten)]
    to: ToArguments,
    /// The day the papers are due (2026-11-25)
    #[arg(long, value_name = "DATE", value_parser = day)]
    due: Option<NaiveDate>,
    /// Print lost papers once more, by id or by paper code, to `reprint.pdf`, and issue nothing
    #[arg(long, value_name = "ID", num_args = 1.., requires = "out")]
    reprint: Vec<String>,
}

/// Give students another paper, unlike every one they had, or something to practise
///
/// `--practice` and `--board` are for going over a sheet that was marked: they are not marked, count for
/// nothing and leave the record as it is. The same papers give the same practice, until another `--set`.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("whom").required(true).multiple(true))]
pub(super) struct ReissueArguments {
    #[command(flatten)]
    to: ToArguments,
    /// To these students, by id or by the code of their paper
    #[arg(long, value_name = "ID", num_args = 1.., group = "whom", conflicts_with = "absent")]
    student: Vec<String>,
    /// To all who are noted as absent
    #[arg(long, group = "whom")]
    absent: bool,
    /// To all who share a mistake with a known cause: fresh numbers, and of the parts those they lost; into
    /// `practice.csv`, `practice.pdf` and `practice-key.pdf` of the folder, or as a table
    #[arg(long, group = "whom", conflicts_with_all = ["student", "absent", "due"])]
    practice: bool,
    /// To nobody: numbers for the board that no one holds, with their worked solution; into `board.pdf` and
    /// `board-key.pdf` of the folder, or as text
    #[arg(long, group = "whom", conflicts_with_all = ["student", "absent", "due"])]
    board: bool,
    /// Which set of numbers to practise with
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["student", "absent"], value_parser = set)]
    set: Option<u8>,
    /// The day these papers are due (2026-11-25)
    #[arg(long, value_name = "DATE", value_parser = day)]
    due: Option<NaiveDate>,
}

fn set(text: &str) -> Result<u8, String> {
    let most = workflow::SETS;
    let set = text.parse().ok().filter(|set| (1..=most).contains(set));
    set.ok_or_else(|| format!("expected a whole number from 1 to {most}"))
}

#[derive(Debug, clap::Args)]
pub(super) struct ToArguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    pub(super) assignment: PathBuf,
    #[command(flatten)]
    pub(super) roster: RosterArguments,
    #[command(flatten)]
    pub(super) record: RecordArguments,
    /// Write into this folder, by its way from the working folder, which is made if it is not there: everyone's numbers to `issued.csv` (not to
    /// standard output), the papers to `papers.pdf` (`reissue`: to `reissued.pdf`, or the next free
    /// `reissued-2.pdf`), everyone's answers to `key.pdf`
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    /// Write one JSON object a paper instead of CSV
    #[arg(long)]
    pub(super) json: bool,
    #[command(flatten)]
    pub(super) print: PrintArguments,
}

pub(super) fn issue(arguments: &IssueArguments) -> Result<Exit, Failure> {
    match &arguments.to.out {
        Some(folder) if !arguments.reprint.is_empty() => {
            reprint(&arguments.to, &arguments.reprint, folder)
        }
        _ => run(&arguments.to, arguments.due, None),
    }
}

fn reprint(to: &ToArguments, typed: &[String], folder: &Path) -> Result<Exit, Failure> {
    let (prepared, roster) = to.roster.open(&to.assignment, &to.record)?;
    let fonts = to.print.fonts()?;
    let code = &prepared.plan.sheet.code;
    files::make_folder(folder)?;
    let draft = workflow::begin_pdf_or_fail(&folder.join("reprint.pdf"), paper::PAPERS, code)?;
    let class = to.record.class_of(&to.roster.roster);
    let record = to.record.open(&to.assignment, OpenMode::Read)?;
    let papers = workflow::issued_papers(&prepared, &class, ("--reprint", typed), &record)?;
    let figures = workflow::figures_to_reprint(&prepared, &papers)?;
    let known = record.roster_of(&class)?;
    let request = PrintRequest {
        prepared: &prepared,
        roster: &roster,
        class: &class,
        decimal: to.roster.decimal(known.as_ref()),
        papers: &papers,
        layout: to.print.layout(),
        fonts: &fonts,
        figures: &figures,
    };
    let printed = workflow::print_papers(&request, &record)?;
    report::put_pdf(draft, printed, &counted(papers.len(), "paper"))?;
    Ok(Exit::Done)
}

pub(super) fn reissue(arguments: &ReissueArguments) -> Result<Exit, Failure> {
    let asked = practice::Asked {
        practice: arguments.practice,
        board: arguments.board,
        set: arguments.set.unwrap_or(1),
    };
    if asked.practice || asked.board {
        return practice::run(&arguments.to, asked);
    }
    let again = if arguments.absent {
        Again::Absent
    } else {
        Again::Students(arguments.student.clone())
    };
    run(&arguments.to, arguments.due, Some(&again))
}

/// Letters of ids up to which a command that names them is shown whole.
const MOST_IDS: usize = 60;

fn run(to: &ToArguments, due: Option<NaiveDate>, again: Option<&Again>) -> Result<Exit, Failure> {
    let (prepared, roster) = to.roster.open(&to.assignment, &to.record)?;
    let fonts = to.print.fonts()?;
    let name = to.record.class_of(&to.roster.roster);
    // Files that stand in the way are told before anything is issued.
    let begin = |folder: &Path| {
        PaperFiles::begin(
            folder,
            again.is_some(),
            to.print.layout(),
            &prepared.plan.sheet,
            &name,
        )
    };
    let files = to.out.as_deref().map(begin).transpose()?;
    // So is a figure that cannot be printed.
    let figures = match &files {
        Some(_) => workflow::figures_to_print(&prepared)?,
        None => Vec::new(),
    };
    let mode = match again {
        None => OpenMode::Create,
        Some(_) => OpenMode::Write,
    };
    let mut record = to.record.open(&to.assignment, mode)?;
    let known = record.roster_of(&name)?;
    let request = IssueRequest {
        prepared: &prepared,
        roster: &roster,
        class: &name,
        class_is_said: to.record.class.is_some(),
        file: to.roster.file(&to.assignment, known.as_ref()),
        due,
        now: now(),
    };
    let outcome = match again {
        None => workflow::issue(&request, &mut record)?,
        Some(again) => workflow::reissue(&request, again, &mut record)?,
    };
    report::show(&outcome.findings);
    if files.is_none() || to.json {
        let sheet = &prepared.plan.sheet;
        let papers = workflow::issued_rows(&outcome.papers, &roster);
        let told = match to.json {
            true => out::rows(&issued::json(sheet, &papers)),
            false => out::rows(&issued::csv(sheet, &papers)),
        };
        let issued = workflow::still_issued(record.name(), again.is_some(), &outcome);
        told.map_err(|failure| failure.besides(issued))?;
    }
    let has_files = files.is_some();
    if let Some(files) = files {
        let request = PrintRequest {
            prepared: &prepared,
            roster: &roster,
            class: &name,
            decimal: to.roster.decimal(known.as_ref()),
            papers: &outcome.papers,
            layout: to.print.layout(),
            fonts: &fonts,
            figures: &figures,
        };
        report::show(&files.write(&request, &outcome, &record)?);
    }
    summary(&prepared.plan, &name, due, &outcome);
    if has_files && !outcome.joined.is_empty() && paper::IS_BUILT_IN {
        let ids = safe(&outcome.joined.join(" ")).into_owned();
        let with = match ids.chars().count() <= MOST_IDS {
            true => ids,
            false => "and their ids".to_owned(),
        };
        report::say(&format!(
            "papers.pdf has all of them; those issued now alone are printed with --reprint {with}\n"
        ));
    }
    if again.is_some() {
        still_owed(&workflow::owed(&prepared, &roster, &name, &record)?);
    }
    Ok(Exit::Done)
}

/// What was done, on standard error, for the numbers may go to a file.
fn summary(plan: &Plan, class: &str, due: Option<NaiveDate>, outcome: &IssueOutcome) {
    let code = crate::text::safe(&plan.sheet.code);
    let class = crate::text::safe(class);
    let (all, new) = (outcome.papers.len(), outcome.new);
    let papers = counted(new, "paper");
    let mut text = format!("{code}, class {class}: {papers} issued now");
    if all > new {
        text += &format!(", {} as issued before", all - new);
    }
    if let Some(due) = due {
        text += &format!(", due {due}");
    }
    if outcome.moved > 0 {
        text += &format!(" (another day than before for {})", outcome.moved);
    }
    report::say(&(text + "\n"));
}

/// Which papers have not come in, on standard error.
fn still_owed(owed: &[Owed]) {
    let mut text = match owed.len() {
        0 => "nothing is owed\n".to_owned(),
        1 => "1 paper is still owed:\n".to_owned(),
        count => format!("{count} papers are still owed:\n"),
    };
    for paper in owed {
        let student = crate::text::safe(&paper.student);
        text += &format!("  {student:<12} {}  paper {}", paper.code, paper.number);
        if let Some(due) = paper.due {
            text += &format!(", due {due}");
        }
        text.push('\n');
    }
    report::say(&text);
}
