//! Which id in someone's gradebook means which student: what a teacher confirmed once, remembered.
//!
//! In: the text of `gradebook-links.csv` in the course folder, `class,student,gradebook_id`, and links that are
//! confirmed now. Out: the links of a class, and the text of the file with all of them. An id that is
//! found as it is needs no link, and comes before one. Refused: a file with another heading, rows without
//! one of the three, an id that means two students of a class.

use std::io::Cursor;

use crate::diagnostic::{Diagnostic, Findings, Place};
use crate::table::{Declared, Looks, Row, Table};
use crate::text::{QUOTED, excerpt};

use super::fill::Links;
use super::marks::{self, push_cells};
use super::spreadsheet::armed;

/// The name of the file, in the course folder.
pub const FILE: &str = "gradebook-links.csv";

/// Its heading.
pub const HEADING: [&str; 3] = ["class", "student", "gradebook_id"];

/// How a link is confirmed on the command line.
pub const HOW: &str =
    "write --link ID=CELL: the id on the roster, then what stands in the gradebook";

/// One link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The class.
    pub class: String,
    /// The id on its roster.
    pub student: String,
    /// What stands in the gradebook's column of ids.
    pub cell: String,
}

/// Reads the file.
///
/// # Errors
/// All that is wrong with it.
pub fn read(bytes: &[u8], file: &str) -> Result<Vec<Link>, Vec<Diagnostic>> {
    let mut findings = Findings::new(file);
    let mut links: Vec<Link> = Vec::new();
    if let Some(mut table) = Table::open(
        Cursor::new(bytes),
        &Declared::default(),
        &|_| Looks::No,
        &mut findings,
    ) {
        if table.format().heading() != HEADING {
            let message = format!("expected the heading '{}'", HEADING.join(","));
            let found = Diagnostic::error(file, table.format().heading_place(), message);
            findings.push(found.help("mend the heading, or move the file away to begin a new one"));
        } else {
            let mut row = Row::default();
            while table.read(&mut row, &mut findings) {
                let [class, student, cell] =
                    [0, 1, 2].map(|column| armed(row.cell(column).trim()).into_owned());
                if class.is_empty() || student.is_empty() || cell.is_empty() {
                    let found = Diagnostic::error(
                        file,
                        row.place(),
                        "expected a class, a student and an id",
                    );
                    findings.push(found.help("fill the empty cells, or delete the row"));
                    continue;
                }
                let other = links
                    .iter()
                    .find(|known| known.class == class && known.cell == cell);
                match other {
                    Some(other) if other.student != student => {
                        let found = two(file, row.place(), &cell, [&other.student, &student]);
                        findings.push(found);
                    }
                    Some(_) => {}
                    None => links.push(Link {
                        class,
                        student,
                        cell,
                    }),
                }
            }
        }
    }
    if findings.errors() > 0 {
        return Err(findings.into_vec());
    }
    Ok(links)
}

/// Adds links that are confirmed now.
///
/// # Errors
/// An id that means somebody else already.
pub fn add(links: &mut Vec<Link>, new: Vec<Link>) -> Result<(), Diagnostic> {
    for link in new {
        let known = links
            .iter()
            .find(|known| known.class == link.class && known.cell == link.cell);
        match known {
            Some(known) if known.student != link.student => {
                let students = [known.student.as_str(), link.student.as_str()];
                return Err(two("--link", Place::File, &link.cell, students));
            }
            Some(_) => {}
            None => links.push(link),
        }
    }
    Ok(())
}

/// The links of a class, by what stands in the gradebook.
pub fn of_class(links: &[Link], class: &str) -> Links {
    let own = links.iter().filter(|link| link.class == class);
    own.map(|link| (link.cell.clone(), link.student.clone()))
        .collect()
}

/// Whether a file that begins with this line is one of links.
pub fn is_heading(line: &[u8]) -> bool {
    marks::is_line(HEADING, line)
}

/// The text of the file.
pub fn file(links: &[Link]) -> Vec<u8> {
    let mut out = Vec::new();
    push_cells(HEADING, &mut out);
    for link in links {
        push_cells([&*link.class, &*link.student, &*link.cell], &mut out);
    }
    out
}

fn two(file: &str, place: Place, cell: &str, [one, other]: [&str; 2]) -> Diagnostic {
    let message = format!(
        "'{}' is linked with the student {}, and cannot be {} as well",
        excerpt(cell, QUOTED),
        excerpt(one, QUOTED),
        excerpt(other, QUOTED)
    );
    Diagnostic::error(file, place, message).help(format!("delete the wrong row in {FILE}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn link(student: &str, cell: &str) -> Link {
        Link {
            class: "set-3".into(),
            student: student.into(),
            cell: cell.into(),
        }
    }

    #[test]
    fn links_come_back() {
        let mut links = Vec::new();
        let new = vec![
            link("004071", "4071"),
            link("a,b", "1.23E+15"),
            link("004071", "4071"),
        ];
        add(&mut links, new.clone()).unwrap();
        add(&mut links, new).unwrap();
        assert_eq!(links.len(), 2);
        let text = file(&links);
        assert_eq!(
            String::from_utf8(text.clone()).unwrap(),
            "class,student,gradebook_id\r\nset-3,004071,4071\r\nset-3,\"a,b\",1.23E+15\r\n"
        );
        assert_eq!(read(&text, "l").unwrap(), links);
        assert_eq!(of_class(&links, "set-3")["4071"], "004071");
        assert!(of_class(&links, "set-5").is_empty());
    }

    #[test]
    fn links_come_back_with_ids_that_would_start_a_formula() {
        let ids = [
            "=1+1", "-a", "+49", "@x", "'a", "'", "-3.5", "=\"007\"", "＝1",
        ];
        let links: Vec<Link> = ids.iter().map(|id| link(id, id)).collect();
        let text = file(&links);
        assert_eq!(read(&text, "l").unwrap(), links);
        assert_eq!(file(&read(&text, "l").unwrap()), text);
    }

    #[test]
    fn an_id_means_one_student() {
        let mut links = vec![link("1", "x")];
        let found = add(&mut links, vec![link("2", "x")]).unwrap_err();
        assert!(found.message.contains("cannot be 2"));
        for text in [
            "class,student,gradebook_id\na,1,x\na,2,x\n",
            "class,student,gradebook_id\na,1,\n",
            "class,student,cell\na,1,x\n",
            "",
        ] {
            assert!(read(text.as_bytes(), "l").is_err(), "{text}");
        }
    }
}
