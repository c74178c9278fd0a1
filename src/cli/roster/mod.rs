//! `paperweight roster`: what was understood of a list, how two versions differ, and rosters out of what a
//! school gives out. One file a command; here is what they say alike.

mod compare;
mod show;
mod take;

use std::fmt::Write as _;

use crate::diagnostic::Severity;
use crate::roster::{Changes, Roster, Student};
use crate::text::safe;
use crate::workflow::{Failure, Findings};

use super::Exit;

/// See what is understood of a class list, compare two, or take rosters from a school's export
#[derive(Debug, clap::Args)]
pub(super) struct RosterCommand {
    #[command(subcommand)]
    command: OnRoster,
}

#[derive(Debug, clap::Subcommand)]
enum OnRoster {
    Show(show::Arguments),
    Compare(compare::Arguments),
    Take(take::Arguments),
}

pub(super) fn on_roster(command: &RosterCommand) -> Result<Exit, Failure> {
    match &command.command {
        OnRoster::Show(arguments) => show::run(arguments),
        OnRoster::Compare(arguments) => compare::run(arguments),
        OnRoster::Take(arguments) => take::run(arguments),
    }
}

fn exit(findings: &Findings) -> Exit {
    let warned = findings
        .list
        .iter()
        .any(|found| found.severity == Severity::Warning);
    if warned { Exit::Findings } else { Exit::Done }
}

/// A line for each change. `papers` says what the record holds of a student who left.
fn lines(
    old: &Roster,
    new: &Roster,
    changes: &Changes,
    papers: &dyn Fn(&str) -> String,
    text: &mut String,
) {
    let who = |roster: &Roster, place: usize| {
        let student = roster.get(place).unwrap_or_default();
        format!("{}  {}", safe(student.id), safe(student.name))
    };
    let mut line = |what: &str, said: String| {
        let _ = writeln!(text, "  {what:<8}  {}", said.trim_end());
    };
    for place in &changes.joined {
        line("joined", who(new, *place));
    }
    for place in &changes.left {
        line(
            "left",
            format!("{}{}", who(old, *place), papers(old.id(*place))),
        );
    }
    for (before, after) in &changes.renamed {
        let name = old.get(*before).unwrap_or_default().name;
        line(
            "renamed",
            format!("{}, was {}", who(new, *after), safe(name)),
        );
    }
    for (before, after) in &changes.moved {
        let section = |student: Student<'_>| safe(student.section.unwrap_or("none")).into_owned();
        let (from, to) = (
            old.get(*before).unwrap_or_default(),
            new.get(*after).unwrap_or_default(),
        );
        line(
            "moved",
            format!(
                "{}, from {} to {}",
                who(new, *after),
                section(from),
                section(to)
            ),
        );
    }
}
