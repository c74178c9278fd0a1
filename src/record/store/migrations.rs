//! The tables, version by version.
//!
//! In: a file of some version. Out: the same file in the newest one. A step is never changed once
//! it was released, only steps are added: each old record has to become what a new one is. Refused:
//! a file from a newer version of the program, with both numbers, and one that holds other tables,
//! views or triggers than its version has: they would run with each act.

use std::collections::BTreeSet;

use rusqlite::{Connection, Transaction};

use super::begin;
use super::error::{Files, RecordError};

/// Marks a SQLite file as a record of this program: "PWrc" in ASCII.
pub(super) const APPLICATION_ID: i32 = 0x5057_7263;

/// Step `n` leads from version `n` to `n + 1`.
const STEPS: [&str; VERSION] = [
    // What was handed out stands in `files` and `issues`, what the teacher did in `acts`. None of
    // them is ever changed, and the triggers see to it; only a purge deletes.
    "
    CREATE TABLE files (
        digest TEXT PRIMARY KEY,
        sheet  TEXT NOT NULL,
        title  TEXT NOT NULL,
        texts  TEXT NOT NULL CHECK (json_valid(texts))
    ) STRICT;
    CREATE TABLE classes (
        name   TEXT PRIMARY KEY,
        roster TEXT NOT NULL CHECK (json_valid(roster))
    ) STRICT;
    CREATE TABLE issues (
        id      INTEGER PRIMARY KEY AUTOINCREMENT,
        sheet   TEXT NOT NULL COLLATE NOCASE,
        class   TEXT NOT NULL,
        student TEXT NOT NULL,
        section TEXT,
        number  INTEGER NOT NULL CHECK (number >= 1),
        code    TEXT NOT NULL UNIQUE,
        drawn   TEXT NOT NULL CHECK (json_valid(drawn)),
        file    TEXT NOT NULL REFERENCES files (digest),
        at      TEXT NOT NULL,
        due     TEXT,
        UNIQUE (sheet, class, student, number)
    ) STRICT;
    CREATE TABLE acts (
        id     INTEGER PRIMARY KEY AUTOINCREMENT,
        grp    INTEGER NOT NULL CHECK (grp BETWEEN 1 AND id),
        at     TEXT NOT NULL,
        issue  INTEGER NOT NULL REFERENCES issues (id),
        deed   TEXT NOT NULL CHECK (json_valid(deed))
    ) STRICT;
    CREATE INDEX acts_by_issue ON acts (issue);
    CREATE TABLE dues (
        id     INTEGER PRIMARY KEY AUTOINCREMENT,
        at     TEXT NOT NULL,
        sheet  TEXT NOT NULL COLLATE NOCASE,
        class  TEXT NOT NULL,
        number INTEGER NOT NULL CHECK (number >= 1),
        who    TEXT NOT NULL CHECK (json_valid(who)),
        day    TEXT
    ) STRICT;
    CREATE TRIGGER files_stand BEFORE UPDATE ON files
        BEGIN SELECT raise(ABORT, 'what was issued never changes'); END;
    CREATE TRIGGER issues_stand BEFORE UPDATE ON issues
        BEGIN SELECT raise(ABORT, 'what was issued never changes'); END;
    CREATE TRIGGER acts_stand BEFORE UPDATE ON acts
        BEGIN SELECT raise(ABORT, 'acts never change'); END;
    ",
    // From here on acts may say what a student is told, which a program of version 1 cannot read.
    "",
    // What was written into someone's gradebook, cell by cell, so that a mark that was changed there by
    // hand is told from one of ours.
    "
    CREATE TABLE written (
        id      INTEGER PRIMARY KEY AUTOINCREMENT,
        at      TEXT NOT NULL,
        sheet   TEXT NOT NULL COLLATE NOCASE,
        class   TEXT NOT NULL,
        file    TEXT NOT NULL,
        heading TEXT NOT NULL,
        student TEXT NOT NULL,
        text    TEXT NOT NULL
    ) STRICT;
    CREATE INDEX written_by_class ON written (sheet, class, heading);
    CREATE TRIGGER written_stands BEFORE UPDATE ON written
        BEGIN SELECT raise(ABORT, 'what was written never changes'); END;
    ",
    // The figures that papers were handed out with, once for each text, and for each problem of a paper the
    // digest of its figure. Papers issued before have no such list: theirs are nowhere but in the course folder.
    "
    CREATE TABLE figures (
        digest TEXT PRIMARY KEY,
        svg    TEXT NOT NULL
    ) STRICT;
    CREATE TRIGGER figures_stand BEFORE UPDATE ON figures
        BEGIN SELECT raise(ABORT, 'what was issued never changes'); END;
    ALTER TABLE issues ADD COLUMN figures TEXT CHECK (json_valid(figures));
    ",
];

/// The version this program writes.
pub(super) const VERSION: usize = 4;

/// Brings a file to the newest version; a file without tables becomes a record.
///
/// # Errors
/// A newer file, and whatever keeps it from being written.
pub(super) fn migrate(connection: &mut Connection, files: &Files) -> Result<(), RecordError> {
    let failed = |error| files.failed(error);
    // Another copy may be making the same step: look again once nobody else can.
    let transaction = begin(connection, files)?;
    steps_from(&transaction, version(&transaction, files)?).map_err(failed)?;
    transaction.commit().map_err(failed)
}

/// The version of a file.
///
/// # Errors
/// One that this program does not know.
pub(super) fn version(connection: &Connection, files: &Files) -> Result<usize, RecordError> {
    let read = connection.pragma_query_value(None, "user_version", |row| row.get::<_, i64>(0));
    let found = read.map_err(|error| files.failed(error))?;
    match usize::try_from(found) {
        Ok(version) if version <= VERSION => Ok(version),
        _ => Err(files.newer(found, VERSION)),
    }
}

/// Looks whether a file has what its version has, and nothing besides.
///
/// # Errors
/// A file in which somebody put a trigger, a view or a table of theirs, or from which one of ours was taken.
pub(super) fn only_ours(connection: &Connection, files: &Files) -> Result<(), RecordError> {
    let failed = |error| files.failed(error);
    // In one go, for another copy may be making or migrating the file.
    let reading = connection.unchecked_transaction().map_err(failed)?;
    let (version, found) = (version(&reading, files)?, schema(&reading));
    let found = found.map_err(failed)?;
    reading.finish().map_err(failed)?;
    let ours = Connection::open_in_memory().map_err(failed)?;
    for step in STEPS.iter().take(version) {
        ours.execute_batch(step).map_err(failed)?;
    }
    let ours = schema(&ours).map_err(failed)?;
    if let Some((kind, name, _)) = found.difference(&ours).next() {
        return Err(files.foreign(kind, name));
    }
    match ours.difference(&found).next() {
        Some((kind, name, _)) => Err(files.lacks(kind, name)),
        None => Ok(()),
    }
}

/// Kind, name and text of all that a file holds, blanks apart; what SQLite counts for itself is left out.
fn schema(connection: &Connection) -> rusqlite::Result<BTreeSet<(String, String, String)>> {
    let all = "SELECT type, name, sql FROM sqlite_schema WHERE type <> 'table' OR sql NOT IN
               ('CREATE TABLE sqlite_stat1(tbl,idx,stat)',
                'CREATE TABLE sqlite_stat4(tbl,idx,neq,nlt,ndlt,sample)')";
    let mut all = connection.prepare(all)?;
    let rows = all.query_map([], |row| {
        let sql: Option<String> = row.get(2)?;
        let words: Vec<&str> = sql.iter().flat_map(|sql| sql.split_whitespace()).collect();
        Ok((row.get(0)?, row.get(1)?, words.join(" ")))
    })?;
    rows.collect()
}

fn steps_from(transaction: &Transaction<'_>, version: usize) -> rusqlite::Result<()> {
    if version == VERSION {
        return Ok(());
    }
    for step in STEPS.iter().skip(version) {
        transaction.execute_batch(step)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
    transaction.pragma_update(None, "user_version", VERSION as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tables(connection: &Connection) -> Vec<String> {
        let mut select = connection
            .prepare("SELECT sql FROM sqlite_schema WHERE sql NOT NULL ORDER BY name")
            .unwrap();
        let rows = select.query_map([], |row| row.get(0)).unwrap();
        rows.map(Result::unwrap).collect()
    }

    /// What somebody added or took away is named; what SQLite's own `ANALYZE` leaves is nobody's.
    #[test]
    fn what_is_not_ours_is_refused() {
        let files = Files::named("r.sqlite");
        let delete = "BEGIN DELETE FROM acts WHERE id <> new.id; END";
        let cases = [
            (
                format!("CREATE TRIGGER zz AFTER INSERT ON acts {delete}"),
                "trigger `zz`",
            ),
            ("CREATE VIEW v AS SELECT 1".to_owned(), "view `v`"),
            ("CREATE TABLE more (x)".to_owned(), "table `more`"),
            (
                "ALTER TABLE acts ADD COLUMN x TEXT".to_owned(),
                "table `acts`",
            ),
            ("DROP TRIGGER acts_stand".to_owned(), "trigger `acts_stand`"),
            ("ANALYZE".to_owned(), ""),
        ];
        for (change, named) in cases {
            let mut connection = Connection::open_in_memory().unwrap();
            migrate(&mut connection, &files).unwrap();
            only_ours(&connection, &files).unwrap();
            connection.execute_batch(&change).unwrap();
            match only_ours(&connection, &files) {
                Ok(()) => assert_eq!(named, "", "{change}"),
                Err(error) => {
                    let message = &error.diagnostic().message;
                    assert!(!named.is_empty() && message.contains(named), "{message}");
                }
            }
        }
    }

    /// Every version there ever was becomes what a new file is.
    #[test]
    fn old_records_become_new_ones() {
        let files = Files::named(":memory:");
        let mut fresh = Connection::open_in_memory().unwrap();
        migrate(&mut fresh, &files).unwrap();
        for old in 0..=VERSION {
            let mut connection = Connection::open_in_memory().unwrap();
            for step in &STEPS[..old] {
                connection.execute_batch(step).unwrap();
            }
            connection
                .pragma_update(None, "user_version", old as i64)
                .unwrap();
            migrate(&mut connection, &files).unwrap();
            assert_eq!(tables(&connection), tables(&fresh), "from version {old}");
            assert_eq!(version(&connection, &files).unwrap(), VERSION);
        }
    }

    #[test]
    fn a_newer_record_is_refused_with_both_numbers() {
        let files = Files::named("r.sqlite");
        let mut connection = Connection::open_in_memory().unwrap();
        connection.pragma_update(None, "user_version", 99).unwrap();
        let error = migrate(&mut connection, &files).unwrap_err();
        let message = &error.diagnostic().message;
        assert!(
            message.contains("99") && message.contains(&VERSION.to_string()),
            "{message}"
        );
    }

    #[test]
    fn what_was_issued_and_done_cannot_be_changed() {
        let mut connection = Connection::open_in_memory().unwrap();
        migrate(&mut connection, &Files::named(":memory:")).unwrap();
        let fill = "
            INSERT INTO files VALUES ('d', 's', 't', '[]');
            INSERT INTO issues (sheet, class, student, number, code, drawn, file, at)
                VALUES ('s', 'c', '1', 1, 'x', '[]', 'd', '');
            INSERT INTO acts (grp, at, issue, deed) VALUES (1, '', 1, '{}');
            INSERT INTO written (at, sheet, class, file, heading, student, text)
                VALUES ('', 's', 'c', 'f', 'h', '1', '13');
            INSERT INTO figures VALUES ('d', '<svg/>');";
        connection.execute_batch(fill).unwrap();
        for update in [
            "UPDATE files SET title = ''",
            "UPDATE issues SET drawn = '[1]'",
            "UPDATE acts SET deed = '[]'",
            "UPDATE written SET text = '14'",
            "UPDATE figures SET svg = ''",
            "UPDATE issues SET figures = '[]'",
        ] {
            let error = connection.execute_batch(update).unwrap_err();
            assert!(error.to_string().contains("never change"), "{error}");
        }
    }
}
