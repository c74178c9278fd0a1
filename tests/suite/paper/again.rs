//! Papers printed once more, and given once more: wording, numbers and figure are those of the day of issue.

use std::fs;

use super::{Course, FIGURE, PROBLEM, pages, with_figure};
use crate::hands::program::{program, run};

#[test]
fn one_who_joins_late_and_a_lost_paper() {
    let roster = "id,name\n1,Bo\n2,Cy\n";
    let course = Course::new(PROBLEM, roster);
    course.run("issue", &["--due", "2026-12-01"]);
    let before = pages(&course.out("papers.pdf"));
    fs::write(&course.roster, format!("{roster}0,Al\n")).unwrap();
    course.run("issue", &[]);
    let after = pages(&course.out("papers.pdf"));
    assert_eq!(before, after[..2]);
    assert!(after[2].contains("Al"));
    let code = &course.issued("issued.csv")[1]["code"];
    course.run("issue", &["--reprint", code]);
    assert_eq!(pages(&course.out("reprint.pdf")), before[1..]);
}

#[test]
fn a_reissue_after_the_file_was_changed() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n2,Cy\n");
    course.run("issue", &[]);
    let before = pages(&course.out("papers.pdf"));
    fs::write(&course.assignment, PROBLEM.replace("A cart", "A sledge")).unwrap();
    let told = course.run("reissue", &["--student", "2", "--due", "2026-12-09"]);
    assert!(
        told.stderr.contains("2 papers are still owed"),
        "{}",
        told.stderr
    );
    assert!(
        told.stderr.contains("paper 2, due 2026-12-09"),
        "{}",
        told.stderr
    );
    let [again] = &pages(&course.out("reissued.pdf"))[..] else {
        panic!("one page")
    };
    assert!(
        again.contains("Asledge") && again.contains("paper2") && again.contains("due9December2026"),
        "{again}"
    );
    // What was issued before keeps its words.
    course.run("issue", &[]);
    let after = pages(&course.out("papers.pdf"));
    assert_eq!(after[0], before[0]);
    assert_eq!(after[1], *again);
    let issued = course.issued("issued.csv");
    let row = issued.iter().find(|row| row["issue"] == "2").unwrap();
    assert!(again.contains(&row["code"]) && !before[1].contains(&row["code"]));
    let key = pages(&course.out("key.pdf")).concat();
    assert!(issued.iter().all(|row| key.contains(&row["code"])));
}

/// An assignment with another name for the mass.
fn renamed(assignment: &str) -> String {
    let names = assignment
        .replace("{m}", "{mass}")
        .replace("\nm = ", "\nmass = ");
    names.replace("m*a", "mass*a")
}

#[test]
fn a_wording_that_is_lost() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n");
    course.run("issue", &[]);
    // As if a later version could not read such a file any more.
    let record = course.folder.path().join("paperweight.sqlite");
    let record = rusqlite::Connection::open(record).unwrap();
    let guards =
        "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'files'";
    let mut statement = record.prepare(guards).unwrap();
    let guards: Vec<(String, String)> = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let lost = "UPDATE files SET texts = json('[[\"own.toml\", \"lost\"]]')";
    for (name, _) in &guards {
        record.execute(&format!("DROP TRIGGER {name}"), []).unwrap();
    }
    record.execute(lost, []).unwrap();
    for (_, guard) in &guards {
        record.execute(guard, []).unwrap();
    }
    drop(statement);
    drop(record);
    fs::write(&course.assignment, PROBLEM.replace("A cart", "A sledge")).unwrap();
    let told = course.run("issue", &[]).stderr;
    assert!(told.contains("cannot be read any more"), "{told}");
    assert!(pages(&course.out("papers.pdf"))[0].contains("Asledge"));
    // Today's text has a number that was not issued: an empty place would be worse than no paper.
    fs::write(&course.assignment, renamed(PROBLEM)).unwrap();
    fs::write(&course.roster, "id,name\n1,Bo\n2,Cy\n").unwrap();
    let mut program = program();
    program.arg("issue").arg(&course.assignment);
    program.arg("--roster").arg(&course.roster);
    let found = run(program.arg("--out").arg(course.out("")));
    assert_eq!(found.code, 2, "{}", found.stderr);
    for told in [
        "today's does not fit",
        "`mass` was not drawn then",
        "the papers are issued and in the record (1 now)",
        "issue --reprint",
    ] {
        assert!(found.stderr.contains(told), "{told}: {}", found.stderr);
    }
    assert_eq!(course.issued("issued.csv").len(), 2);
}

/// What was handed out is printed once more as it was, whatever became of the figure's file.
#[test]
fn a_paper_keeps_the_figure_that_it_was_handed_out_with() {
    let (course, figure) = with_figure("id,name\n1,Bo\n");
    let told = course.run("issue", &[]).stderr;
    assert!(!told.contains("figure"), "{told}");
    let before = fs::read(course.out("papers.pdf")).unwrap();
    let read = |name: &str| pages(&course.out(name));
    assert!(read("papers.pdf")[0].contains("cart"));
    fs::write(&figure, FIGURE.replace("cart {m}", "sledge {m}")).unwrap();
    fs::write(&course.roster, "id,name\n1,Bo\n2,Cy\n").unwrap();
    let told = course.run("issue", &[]).stderr;
    let code = course.issued("issued.csv")[0]["code"].clone();
    let said = format!("the figure is another one than on {code}, as issued");
    assert!(told.contains(&said), "{told}");
    let [first, second] = &read("papers.pdf")[..] else {
        panic!("two pages")
    };
    assert!(
        first.contains("cart") && !first.contains("sledge"),
        "{first}"
    );
    assert!(second.contains("sledge"), "{second}");
    // So it is where the file is gone, or does more than draw.
    for lost in [
        None,
        Some("<svg"),
        Some("<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>"),
    ] {
        match lost {
            None => fs::remove_file(&figure).unwrap(),
            Some(text) => fs::write(&figure, text).unwrap(),
        }
        let told = course.run("issue", &["--reprint", &code]).stderr;
        assert!(told.contains(&said), "{told}");
        assert_eq!(fs::read(course.out("reprint.pdf")).unwrap(), before);
    }
    // One text is kept once.
    let record = rusqlite::Connection::open(course.folder.path().join("paperweight.sqlite"));
    let count = |sql: &str| -> i64 {
        let record = record.as_ref().unwrap();
        record.query_row(sql, [], |row| row.get(0)).unwrap()
    };
    assert_eq!(count("SELECT count(*) FROM figures"), 2);
    assert_eq!(count("SELECT count(*) FROM issues"), 2);
}

/// Records of before say nothing of figures: today's is printed, and this is said.
#[test]
fn a_paper_of_an_old_record_has_todays_figure() {
    let (course, figure) = with_figure("id,name\n1,Bo\n");
    course.run("issue", &[]);
    let code = course.issued("issued.csv")[0]["code"].clone();
    let record = course.folder.path().join("paperweight.sqlite");
    let record = rusqlite::Connection::open(record).unwrap();
    let guard: String = record
        .query_row(
            "SELECT sql FROM sqlite_schema WHERE name = 'issues_stand'",
            [],
            |row| row.get(0),
        )
        .unwrap();
    record
        .execute_batch("DROP TRIGGER issues_stand; UPDATE issues SET figures = NULL")
        .unwrap();
    record.execute_batch(&guard).unwrap();
    drop(record);
    fs::write(&figure, FIGURE.replace("cart {m}", "sledge {m}")).unwrap();
    let told = course.run("issue", &[]).stderr;
    let said = format!("the record lacks the figure of {code}, as issued");
    assert!(told.contains(&said), "{told}");
    assert!(pages(&course.out("papers.pdf"))[0].contains("sledge"));
    // A place for a number that was not issued stays empty no more than before.
    let now = fs::read_to_string(&course.assignment).unwrap();
    fs::write(&course.assignment, renamed(&now)).unwrap();
    fs::write(&figure, FIGURE.replace("{m}", "{mass}")).unwrap();
    let told = course.run("issue", &[]).stderr;
    let expected = format!("a figure is left out that does not fit the numbers of {code}");
    assert!(told.contains(&expected), "{told}");
}
