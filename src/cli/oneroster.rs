//! `paperweight export --oneroster`: marks for the school's own system.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Local, NaiveDate, Utc};

use crate::record::Record;
use crate::roster::oneroster::Version;
use crate::text::{counted, safe};
use crate::workflow::{self, ExportRequest, Failure, OneRosterRequest};

use super::record::today;
use super::written::day;
use super::{Exit, report};

/// What OneRoster files need besides the marks.
#[derive(Debug, clap::Args)]
pub(super) struct OneRosterArguments {
    /// Write OneRoster CSV files into this new folder, or into a zip if it ends in .zip; always as changes, so
    /// that nothing is deleted where they are read. One that this program wrote is replaced
    #[arg(long, value_name = "DIR|ZIP", conflicts_with_all = ["out", "json", "letters", "into"])]
    pub(super) oneroster: Option<PathBuf>,
    /// The version of the OneRoster standard
    #[arg(
        long,
        value_name = "VERSION",
        default_value = "1.2",
        requires = "oneroster"
    )]
    oneroster_version: Which,
    /// What kind of work it is in the school's system
    #[arg(
        long,
        value_name = "NAME",
        default_value = "Assignments",
        requires = "oneroster"
    )]
    category: String,
    /// The day it was handed out, by default that of the first paper
    #[arg(long, value_name = "DATE", value_parser = day, requires = "oneroster")]
    assigned: Option<NaiveDate>,
    /// The day it was due, where the record does not say one for all
    #[arg(long, value_name = "DATE", value_parser = day, requires = "oneroster")]
    due: Option<NaiveDate>,
    /// The sourcedId of the session (term) it counts in, where the class has several
    #[arg(long, value_name = "ID", requires = "oneroster")]
    session: Option<String>,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Which {
    #[value(name = "1.1")]
    V1p1,
    #[value(name = "1.2")]
    V1p2,
}

/// Writes the files to `to`. `roster` is the roster's file, for messages.
pub(super) fn run(
    arguments: &OneRosterArguments,
    to: &Path,
    export: &ExportRequest<'_>,
    roster: &str,
    record: &mut Record,
) -> Result<Exit, Failure> {
    let request = OneRosterRequest {
        export,
        roster_name: roster,
        version: match arguments.oneroster_version {
            Which::V1p1 => Version::V1p1,
            Which::V1p2 => Version::V1p2,
        },
        category: &arguments.category,
        assigned: arguments.assigned,
        due: arguments.due,
        session: arguments.session.as_deref(),
        today: today(),
        day_of: &|at: DateTime<Utc>| at.with_timezone(&Local).date_naive(),
    };
    let made = workflow::oneroster(&request, record)?;
    report::show(&made.findings);
    made.put(to, record)?;
    let name = to.to_string_lossy();
    let version = request.version.number();
    // The files stand where they belong: that nobody reads this is no failure.
    let _ = writeln!(
        io::stdout(),
        "{} of {} in {}, OneRoster CSV {version}, as changes",
        counted(made.results, "result"),
        safe(export.class),
        safe(&name)
    );
    Ok(if made.has_findings {
        Exit::Findings
    } else {
        Exit::Done
    })
}
