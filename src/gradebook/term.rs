//! A term as tables.
//!
//! In: a term. Out: CSV with a row a sheet and class, or with a row a student and sheet, which is for the
//! teacher alone. What so few papers do not allow one to say is an empty cell.

use super::marks::push_cells;
use crate::statistics::term::{Term, lines};

/// A row a sheet and class; of several classes one more for all together.
pub fn sheets_csv(term: &Term) -> Vec<u8> {
    let heading = [
        "assignment",
        "class",
        "papers",
        "handed_out",
        "not_come_in",
        "out_of",
        "mean",
        "median",
        "sd",
        "alpha",
        "hardest_part",
        "hardest_facility",
    ];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    for sheet in &term.sheets {
        for (class, report) in sheet.all() {
            let (analysis, totals) = (&report.analysis, &report.analysis.totals);
            let decimal = |value: Option<rust_decimal::Decimal>| {
                value.map_or_else(String::new, |value| value.normalize().to_string())
            };
            let number =
                |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
            let hardest = report.hardest();
            rows.push(vec![
                sheet.code().to_owned(),
                class.to_owned(),
                analysis.papers.to_string(),
                report.handed_out().to_string(),
                report.owed().to_string(),
                decimal(Some(totals.out_of)),
                decimal(totals.mean),
                decimal(totals.median),
                number(totals.sd),
                number(analysis.reliability.as_ref().map(|found| found.alpha)),
                hardest.map_or_else(String::new, |(id, _)| id.to_owned()),
                number(hardest.map(|(_, share)| share)),
            ]);
        }
    }
    written(&rows)
}

/// A row a student and sheet.
pub fn students_csv(term: &Term) -> Vec<u8> {
    let heading = [
        "class",
        "student",
        "name",
        "assignment",
        "status",
        "total",
        "out_of",
    ];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    for course in &term.students {
        for (sheet, stand) in term.sheets.iter().zip(&course.sheets) {
            let Some(stand) = stand else { continue };
            let total = stand.total.ok();
            rows.push(vec![
                course.class.clone(),
                course.student.clone(),
                course.name.clone(),
                sheet.code().to_owned(),
                lines::status(stand.total.err()).to_owned(),
                total.map_or_else(String::new, |total| total.normalize().to_string()),
                stand.out_of.normalize().to_string(),
            ]);
        }
    }
    written(&rows)
}

fn written(rows: &[Vec<String>]) -> Vec<u8> {
    let mut out = Vec::new();
    for row in rows {
        push_cells(row.iter().map(String::as_str), &mut out);
    }
    out
}
