//! Files of handing out take the place of their own kind alone.

use std::fs;
use std::path::Path;

use super::{Course, PROBLEM, pages};
use crate::hands::program::{program, run};

/// A folder that is not there is made, papers given once more stay until they are taken away, and the table of
/// one class does not take the place of another's.
#[test]
fn files_of_handing_out_take_no_others_place() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n2,Cy\n");
    fs::remove_dir(course.out("")).unwrap();
    course.run("issue", &[]);
    course.run("reissue", &["--student", "1"]);
    let first = fs::read(course.out("reissued.pdf")).unwrap();
    let told = course.run("reissue", &["--student", "2"]).stderr;
    assert!(told.contains("reissued-2.pdf: note: "), "{told}");
    assert!(first == fs::read(course.out("reissued.pdf")).unwrap());
    let [second] = &pages(&course.out("reissued-2.pdf"))[..] else {
        panic!("one page")
    };
    assert!(second.contains("Cy"), "{second}");
    // Without PDFs beside it the table alone says whose the folder is.
    let table = fs::read(course.out("issued.csv")).unwrap();
    for file in ["papers.pdf", "key.pdf", "reissued.pdf", "reissued-2.pdf"] {
        fs::remove_file(course.out(file)).unwrap();
    }
    let refused = |more: &[&str]| {
        let mut program = program();
        program.arg("issue").arg(&course.assignment);
        program.arg("--roster").arg(&course.roster);
        let found = run(program.args(more).arg("--out").arg(course.out("")));
        assert_eq!(found.code, 2, "{}", found.stderr);
        let told = "issued.csv: error: another file stands there";
        assert!(found.stderr.contains(told), "{}", found.stderr);
        assert!(table == fs::read(course.out("issued.csv")).unwrap());
    };
    refused(&["--class", "another"]);
    let own = fs::read_to_string(&course.assignment).unwrap();
    fs::write(&course.assignment, own.replace("push-1", "push-2")).unwrap();
    refused(&[]);
    fs::write(&course.assignment, own).unwrap();
    course.run("issue", &[]);
}

#[test]
fn files_of_others_stay() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n");
    fs::write(course.out("papers.pdf"), "%PDF-1.7\nnot ours").unwrap();
    let mut program = program();
    program
        .arg("issue")
        .arg(&course.assignment)
        .arg("--roster")
        .arg(&course.roster);
    let found = run(program.arg("--out").arg(course.out("")));
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(
        found.stderr.contains("another file stands there"),
        "{}",
        found.stderr
    );
    assert_eq!(
        fs::read(course.out("papers.pdf")).unwrap(),
        b"%PDF-1.7\nnot ours"
    );
    assert!(!course.out("issued.csv").exists(), "nothing was issued");
}

#[test]
fn a_document_of_another_kind_or_sheet_stays() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n");
    course.run("issue", &[]);
    let papers = fs::read(course.out("papers.pdf")).unwrap();
    let refused = |command: &str, more: &[&Path]| {
        let mut program = program();
        program.arg(command).arg(&course.assignment);
        program.arg("--roster").arg(&course.roster);
        let found = run(program.args(more));
        assert_eq!(found.code, 2, "{command}: {}", found.stderr);
        let told = "another file stands there";
        assert!(found.stderr.contains(told), "{command}: {}", found.stderr);
        assert!(papers == fs::read(course.out("papers.pdf")).unwrap());
    };
    let out = course.out("papers.pdf");
    refused("worked", &[Path::new("--all"), Path::new("--out"), &out]);
    refused("feedback", &[Path::new("--out"), &out]);
    // A code that begins as the other does is another code all the same.
    for code in ["push-10", "push-"] {
        let other = PROBLEM.replace("push-1", code);
        fs::write(&course.assignment, other).unwrap();
        refused("issue", &[Path::new("--out"), &course.out("")]);
    }
    fs::write(&course.assignment, PROBLEM).unwrap();
    course.run("issue", &["--nameless"]);
    assert!(papers != fs::read(&out).unwrap(), "its own are replaced");
}
