//! How a mark is written into someone's gradebook: as points, as a percentage or as a step of a scale,
//! and the words for students who have none.
//!
//! In: what a student's paper came to, as it was decided. Out: the text of a cell, or nothing where the cell is
//! left as it is. No mark is reckoned here. Points and percentages are rounded to the decimals of the style,
//! ties away from zero, and zeros at the end are left out; steps of a scale are found by the share that
//! was earned, unrounded. Refused: a share of a paper that is out of nothing.

use rust_decimal::{Decimal, RoundingStrategy};

use crate::marking::Status;
use crate::text::DecimalMark;

/// What stands for the mark in the words for a late paper.
pub const MARK: &str = "{mark}";

/// In what marks are told.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Marks {
    /// Points, as they are.
    #[default]
    Points,
    /// Points, turned into points out of so many.
    OutOf(Decimal),
    /// Percent of the student's own paper, without a sign.
    Percent,
    /// The step of a scale.
    Scale(Scale),
}

/// Steps with the share of the points from which on each holds, the highest first; the last from 0 on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scale(Vec<(Decimal, String)>);

/// How marks are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Style {
    /// In what.
    pub marks: Marks,
    /// Decimals at most, 0 to 4.
    pub decimals: u32,
    /// The decimal mark; none for that which the class writes.
    pub decimal: Option<DecimalMark>,
    /// For students who were absent; `None` leaves the cell as it is. Likewise below.
    pub absent: Option<String>,
    /// For students who were excused.
    pub excused: Option<String>,
    /// For papers that are not keyed, not fully marked or need a look.
    pub unmarked: Option<String>,
    /// How the mark of a late paper is written; [`MARK`] in it is the mark.
    pub late: Option<String>,
}

impl Default for Style {
    fn default() -> Self {
        Self {
            marks: Marks::Points,
            decimals: 2,
            decimal: None,
            absent: None,
            excused: None,
            unmarked: None,
            late: None,
        }
    }
}

/// What a student's paper came to, for a gradebook.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Total {
    /// How far it is.
    pub status: Status,
    /// Whether it was handed in late.
    pub is_late: bool,
    /// The sum, as decided.
    pub total: Decimal,
    /// What this student's own paper is out of.
    pub out_of: Decimal,
}

impl Scale {
    /// The steps in any order.
    ///
    /// # Errors
    /// No step from 0 on, or two steps from the same share on: both names.
    pub fn new(mut steps: Vec<(Decimal, String)>) -> Result<Self, Unfit> {
        steps.sort_by_key(|(share, _)| std::cmp::Reverse(*share));
        if steps.last().is_none_or(|(share, _)| !share.is_zero()) {
            return Err(Unfit::NoBottom);
        }
        let same = steps.windows(2).find(|pair| pair[0].0 == pair[1].0);
        match same {
            Some(pair) => Err(Unfit::Same(pair[0].1.clone(), pair[1].1.clone())),
            None => Ok(Self(steps)),
        }
    }

    /// The step of a total: compared without rounding or dividing.
    fn step(&self, total: Decimal, out_of: Decimal) -> Option<&str> {
        let reached = self.0.iter().find(|(share, _)| total >= *share * out_of);
        reached.map(|(_, step)| step.as_str())
    }
}

/// What is wrong with the steps of a scale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// No step holds from 0 on.
    NoBottom,
    /// Two steps hold from the same share on.
    Same(String, String),
}

impl Style {
    /// The text of a student's cell; `None` leaves the cell as it is. `partial` also takes totals of papers
    /// that are partly marked or need a look.
    pub fn written(&self, paper: &Total, partial: bool) -> Option<String> {
        match paper.status {
            Status::Absent => return self.absent.clone(),
            Status::Excused => return self.excused.clone(),
            // Who has merely not been keyed is not absent.
            Status::NotKeyed | Status::NoPaper => return self.unmarked.clone(),
            Status::PartlyMarked | Status::NeedsALook if !partial => return self.unmarked.clone(),
            _ => {}
        }
        let mark = self.mark(paper.total, paper.out_of)?;
        Some(match &self.late {
            Some(late) if paper.is_late => late.replace(MARK, &mark),
            _ => mark,
        })
    }

    fn mark(&self, total: Decimal, out_of: Decimal) -> Option<String> {
        let share_of = |whole: Decimal| total.checked_mul(whole)?.checked_div(out_of);
        let number = match &self.marks {
            Marks::Points => total,
            Marks::OutOf(whole) => share_of(*whole)?,
            Marks::Percent => share_of(Decimal::ONE_HUNDRED)?,
            Marks::Scale(_) if out_of.is_zero() => return None,
            Marks::Scale(scale) => return scale.step(total, out_of).map(str::to_owned),
        };
        let rounded =
            number.round_dp_with_strategy(self.decimals, RoundingStrategy::MidpointAwayFromZero);
        let text = rounded.normalize().to_string();
        Some(match self.decimal {
            None | Some(DecimalMark::Point) => text,
            Some(DecimalMark::Comma) => text.replace('.', ","),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decimal(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    fn paper(status: Status, total: &str) -> Total {
        Total {
            status,
            is_late: false,
            total: decimal(total),
            out_of: decimal("13"),
        }
    }

    fn written(style: &Style, total: &str) -> String {
        style.written(&paper(Status::Marked, total), false).unwrap()
    }

    #[test]
    fn a_whole_beyond_all_numbers_leaves_the_cell() {
        let style = Style {
            marks: Marks::OutOf(Decimal::MAX),
            ..Style::default()
        };
        assert_eq!(style.written(&paper(Status::Marked, "12.5"), false), None);
    }

    #[test]
    fn points_percent_and_other_wholes() {
        let style = |marks, decimals| Style {
            marks,
            decimals,
            ..Style::default()
        };
        for (marks, decimals, total, expected) in [
            (Marks::Points, 2, "12.50", "12.5"),
            (Marks::Points, 0, "12.5", "13"),
            (Marks::Points, 0, "11.5", "12"),
            (Marks::Points, 1, "0.25", "0.3"),
            (Marks::Points, 2, "0", "0"),
            (Marks::Percent, 2, "10", "76.92"),
            (Marks::Percent, 0, "10", "77"),
            (Marks::Percent, 2, "13", "100"),
            (Marks::OutOf(decimal("20")), 1, "13", "20"),
            (Marks::OutOf(decimal("20")), 1, "10", "15.4"),
        ] {
            let style = style(marks, decimals);
            assert_eq!(written(&style, total), expected, "{style:?} {total}");
        }
        let comma = Style {
            decimal: Some(DecimalMark::Comma),
            ..Style::default()
        };
        assert_eq!(written(&comma, "12.5"), "12,5");
    }

    #[test]
    fn a_step_holds_from_its_share_on_without_rounding() {
        let steps = [("0.9", "A"), ("0", "C"), ("0.5", "B")];
        let steps = steps.map(|(share, step)| (decimal(share), step.to_owned()));
        let style = Style {
            marks: Marks::Scale(Scale::new(steps.to_vec()).unwrap()),
            ..Style::default()
        };
        for (total, expected) in [
            ("13", "A"),
            ("11.7", "A"),
            ("11.69", "B"),
            ("6.5", "B"),
            ("6.49", "C"),
            ("0", "C"),
        ] {
            assert_eq!(written(&style, total), expected, "{total}");
        }
        let same = [("0.5", "A"), ("0.5", "B"), ("0", "C")]
            .map(|(share, step)| (decimal(share), step.to_owned()));
        assert_eq!(
            Scale::new(same.to_vec()),
            Err(Unfit::Same("A".into(), "B".into()))
        );
        assert_eq!(
            Scale::new(vec![(Decimal::ONE, "A".into())]),
            Err(Unfit::NoBottom)
        );
        assert_eq!(Scale::new(Vec::new()), Err(Unfit::NoBottom));
        let nothing = Total {
            out_of: Decimal::ZERO,
            ..paper(Status::Marked, "0")
        };
        assert_eq!(style.written(&nothing, false), None);
    }

    #[test]
    fn who_has_no_mark_gets_a_word_or_nothing_and_never_0_by_itself() {
        let plain = Style::default();
        let worded = Style {
            absent: Some("abs".into()),
            excused: Some("ex".into()),
            unmarked: Some("open".into()),
            late: Some("{mark} late".into()),
            ..Style::default()
        };
        for (status, word) in [
            (Status::Absent, "abs"),
            (Status::Excused, "ex"),
            (Status::PartlyMarked, "open"),
            (Status::NeedsALook, "open"),
            (Status::NotKeyed, "open"),
            (Status::NoPaper, "open"),
        ] {
            assert_eq!(plain.written(&paper(status, "0"), false), None);
            assert_eq!(
                worded.written(&paper(status, "0"), false).as_deref(),
                Some(word)
            );
        }
        assert_eq!(
            plain
                .written(&paper(Status::PartlyMarked, "4"), true)
                .as_deref(),
            Some("4")
        );
        let late = Total {
            is_late: true,
            ..paper(Status::Marked, "4")
        };
        assert_eq!(worded.written(&late, false).as_deref(), Some("4 late"));
        assert_eq!(plain.written(&late, false).as_deref(), Some("4"));
    }
}
