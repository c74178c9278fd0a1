//! Rows and values.
//!
//! In: rows of the tables. Out: issues, acts, days. A row that holds something else is damage, told
//! with its table and number.

use chrono::{DateTime, NaiveDate, SecondsFormat, Utc};
use rusqlite::{Connection, OptionalExtension as _, Params, Row};
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::Begun;
use super::error::{Files, RecordError};
use crate::record::act::{Act, ActId, IssueId};
use crate::record::due::{Due, Dues};
use crate::record::issue::{Filed, FiledFigure, Issue, RosterFile};
use crate::variant::PaperCode;

/// A moment as it is kept: `2026-11-25T09:30:00.000Z`.
pub(super) fn moment(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Millis, true)
}

/// A day as it is kept: `2026-11-25`.
pub(super) fn day(day: NaiveDate) -> String {
    day.format("%Y-%m-%d").to_string()
}

fn read_day(text: &str) -> Option<NaiveDate> {
    text.parse().ok()
}

/// A value of ours as JSON. Strings, numbers and lists always serialize; were it to fail, the table's
/// own check would refuse the empty text.
pub(super) fn json<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

/// What a row turns out to hold: a value, or the number of a row that does not.
type Read<T> = Result<T, String>;

fn from_json<T: DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_str(text).ok()
}

fn from_moment(text: &str) -> Option<DateTime<Utc>> {
    let at = DateTime::parse_from_rfc3339(text).ok()?;
    Some(at.with_timezone(&Utc))
}

/// Collects the rows of a query.
fn all<T>(
    connection: &Connection,
    select: &str,
    parameters: impl Params,
    files: &Files,
    read: impl Fn(&Row<'_>) -> rusqlite::Result<Read<T>>,
) -> Result<Vec<T>, RecordError> {
    let failed = |error| files.failed(error);
    let mut statement = connection.prepare(select).map_err(failed)?;
    let mut rows = statement.query(parameters).map_err(failed)?;
    let mut found = Vec::new();
    while let Some(row) = rows.next().map_err(failed)? {
        found.push(
            read(row)
                .map_err(failed)?
                .map_err(|what| files.damaged(&what))?,
        );
    }
    Ok(found)
}

const ISSUE: &str = "SELECT id, sheet, class, student, section, number, code, drawn, file, at, due, \
                     figures FROM issues";

fn issue(row: &Row<'_>) -> rusqlite::Result<Read<Issue>> {
    let id: i64 = row.get(0)?;
    let code: String = row.get(6)?;
    let drawn: String = row.get(7)?;
    let at: String = row.get(9)?;
    let due: Option<String> = row.get(10)?;
    let (sheet, class, student) = (row.get(1)?, row.get(2)?, row.get(3)?);
    let (section, number, file) = (row.get(4)?, row.get(5)?, row.get(8)?);
    let figures: Option<String> = row.get(11)?;
    let due = match due {
        None => Some(None),
        Some(due) => read_day(&due).map(Some),
    };
    let read = || {
        Some(Issue {
            id: IssueId(id),
            sheet,
            class,
            student,
            section,
            number,
            code: PaperCode::parse(&code).ok()?,
            values: from_json(&drawn)?,
            file,
            at: from_moment(&at)?,
            due: due?,
            figures: match figures {
                None => None,
                Some(figures) => Some(from_json(&figures)?),
            },
        })
    };
    Ok(read().ok_or_else(|| format!("paper no. {id} of the record cannot be read")))
}

pub(super) fn issues(
    connection: &Connection,
    sheet: &str,
    files: &Files,
) -> Result<Vec<Issue>, RecordError> {
    let select = format!("{ISSUE} WHERE sheet = ? ORDER BY id");
    all(connection, &select, [sheet], files, issue)
}

pub(super) fn issues_of_class(
    connection: &Connection,
    class: &str,
    files: &Files,
) -> Result<Vec<Issue>, RecordError> {
    let select = format!("{ISSUE} WHERE class = ? ORDER BY id");
    all(connection, &select, [class], files, issue)
}

/// Every issue there is, for a check.
pub(super) fn all_issues(
    connection: &Connection,
    files: &Files,
) -> Result<Vec<Read<Issue>>, RecordError> {
    let select = format!("{ISSUE} ORDER BY id");
    all(connection, &select, [], files, |row| Ok(Ok(issue(row)?)))
}

fn act(row: &Row<'_>) -> rusqlite::Result<Read<Act>> {
    let id: i64 = row.get(0)?;
    let at: String = row.get(2)?;
    let deed: String = row.get(4)?;
    let (group, issue) = (row.get(1)?, row.get(3)?);
    let read = || {
        Some(Act {
            id: ActId(id),
            group: ActId(group),
            at: from_moment(&at)?,
            issue: IssueId(issue),
            deed: from_json(&deed)?,
        })
    };
    Ok(read().ok_or_else(|| format!("what was keyed as no. {id} cannot be read")))
}

pub(super) fn acts(
    connection: &Connection,
    sheet: &str,
    after: ActId,
    files: &Files,
) -> Result<Vec<Act>, RecordError> {
    let select = "SELECT id, grp, at, issue, deed FROM acts
                  WHERE issue IN (SELECT id FROM issues WHERE sheet = ?1) AND id > ?2 ORDER BY id";
    all(connection, select, (sheet, after.0), files, act)
}

/// Every act there is, for a check.
pub(super) fn all_acts(
    connection: &Connection,
    files: &Files,
) -> Result<Vec<Read<Act>>, RecordError> {
    let select = "SELECT id, grp, at, issue, deed FROM acts ORDER BY id";
    all(connection, select, [], files, |row| Ok(Ok(act(row)?)))
}

fn file(row: &Row<'_>) -> rusqlite::Result<Read<Filed>> {
    let (digest, sheet, title) = (row.get::<_, String>(0)?, row.get(1)?, row.get(2)?);
    let texts: String = row.get(3)?;
    Ok(match from_json(&texts) {
        Some(texts) => Ok(Filed {
            digest,
            sheet,
            title,
            texts,
        }),
        None => Err(format!("the file {digest} cannot be read")),
    })
}

pub(super) fn filed(
    connection: &Connection,
    digest: &str,
    files: &Files,
) -> Result<Option<Filed>, RecordError> {
    let select = "SELECT digest, sheet, title, texts FROM files WHERE digest = ?";
    Ok(all(connection, select, [digest], files, file)?.pop())
}

/// Every file there is, for a check.
pub(super) fn all_filed(
    connection: &Connection,
    files: &Files,
) -> Result<Vec<Read<Filed>>, RecordError> {
    let select = "SELECT digest, sheet, title, texts FROM files ORDER BY digest";
    all(connection, select, [], files, |row| Ok(Ok(file(row)?)))
}

fn filed_figure(row: &Row<'_>) -> rusqlite::Result<Read<FiledFigure>> {
    let (digest, svg) = (row.get(0)?, row.get(1)?);
    Ok(Ok(FiledFigure { digest, svg }))
}

pub(super) fn figure(
    connection: &Connection,
    digest: &str,
    files: &Files,
) -> Result<Option<FiledFigure>, RecordError> {
    let select = "SELECT digest, svg FROM figures WHERE digest = ?";
    Ok(all(connection, select, [digest], files, filed_figure)?.pop())
}

/// Every figure there is, for a check.
pub(super) fn all_figures(
    connection: &Connection,
    files: &Files,
) -> Result<Vec<FiledFigure>, RecordError> {
    let select = "SELECT digest, svg FROM figures ORDER BY digest";
    all(connection, select, [], files, filed_figure)
}

pub(super) fn dues(
    connection: &Connection,
    sheet: &str,
    files: &Files,
) -> Result<Dues, RecordError> {
    let select = "SELECT id, class, number, who, day FROM dues WHERE sheet = ? ORDER BY id";
    let read = |row: &Row<'_>| {
        let id: i64 = row.get(0)?;
        let (class, number) = (row.get(1)?, row.get(2)?);
        let who: String = row.get(3)?;
        let day: Option<String> = row.get(4)?;
        let read = || {
            Some(Due {
                class,
                number,
                to: from_json(&who)?,
                day: match day {
                    None => None,
                    Some(day) => Some(read_day(&day)?),
                },
            })
        };
        Ok(read().ok_or_else(|| format!("due date {id} cannot be read")))
    };
    all(connection, select, [sheet], files, read).map(Dues)
}

pub(super) fn has_code(
    connection: &Connection,
    code: PaperCode,
    files: &Files,
) -> Result<bool, RecordError> {
    let select = "SELECT 1 FROM issues WHERE code = ?";
    let found = connection.query_row(select, [code.as_str()], |_| Ok(()));
    let found = found.optional().map_err(|error| files.failed(error))?;
    Ok(found.is_some())
}

pub(super) fn roster(
    connection: &Connection,
    class: &str,
    files: &Files,
) -> Result<Option<RosterFile>, RecordError> {
    let select = "SELECT roster FROM classes WHERE name = ?";
    let read = |row: &Row<'_>| {
        let text: String = row.get(0)?;
        Ok(from_json(&text).ok_or_else(|| "the place of a roster cannot be read".to_owned()))
    };
    Ok(all(connection, select, [class], files, read)?.pop())
}

/// A number of rows.
fn count(row: &Row<'_>, at: usize) -> rusqlite::Result<usize> {
    Ok(usize::try_from(row.get::<_, i64>(at)?).unwrap_or(0))
}

pub(super) fn progress(connection: &Connection, files: &Files) -> Result<Vec<Begun>, RecordError> {
    // All of it from two indexes and nothing of the rows. A student's papers are numbered from 1, so the
    // first ones are the students.
    let select = "
        WITH classed AS (
            SELECT sheet, class, sum(number = 1) AS students, max(id) AS newest,
                   sum(EXISTS (SELECT 1 FROM acts WHERE acts.issue = issues.id)) AS touched
            FROM issues GROUP BY sheet, class)
        SELECT classed.sheet, classed.class, students, min(touched, students), files.title, roster
        FROM classed
            JOIN issues ON issues.id = newest
            JOIN files ON files.digest = issues.file
            LEFT JOIN classes ON classes.name = classed.class
        ORDER BY classed.sheet, classed.class";
    let mut found = all(connection, select, [], files, |row| {
        Ok(Ok(Begun {
            last: None,
            sheet: row.get(0)?,
            class: row.get(1)?,
            students: count(row, 2)?,
            touched: count(row, 3)?,
            title: row.get(4)?,
            roster: row
                .get::<_, Option<String>>(5)?
                .as_deref()
                .and_then(from_json),
        }))
    })?;
    // Newest first: what is met first of a class is the last thing done.
    let latest = "SELECT issues.sheet, issues.class, acts.at
                  FROM acts JOIN issues ON issues.id = acts.issue
                  WHERE acts.id > (SELECT max(id) FROM acts) - 1000 ORDER BY acts.id DESC";
    let latest: Vec<(String, String, String)> = all(connection, latest, [], files, |row| {
        Ok(Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
    })?;
    for (sheet, class, at) in latest {
        let of =
            |known: &&mut Begun| known.sheet.eq_ignore_ascii_case(&sheet) && known.class == class;
        if let Some(known) = found.iter_mut().find(of)
            && known.last.is_none()
        {
            known.last = from_moment(&at);
        }
    }
    Ok(found)
}
