//! Counts over a class as papers are marked.
//!
//! In: marked papers, one after the other, in any grouping. Out: how many have which status, how
//! each part went, and the first papers that the teacher should look at. Grows with the parts, not
//! with the papers; two tallies of neighbouring shards join into that of both.

use rust_decimal::Decimal;

use crate::marking::{Marked, Status, Verdict};

/// How many papers to look at are named.
const NAMED: usize = 12;

/// Counts over a class.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// All students.
    pub students: usize,
    /// Fully marked papers.
    pub marked: usize,
    /// Papers that lack points judged by eye.
    pub partly_marked: usize,
    /// Papers to look at.
    pub needs_a_look: usize,
    /// Students who handed in no paper.
    pub absent: usize,
    /// Students of whom none is wanted.
    pub excused: usize,
    /// Students of whom nothing was keyed yet.
    pub not_keyed: usize,
    /// Students to whom no paper was handed out.
    pub no_paper: usize,
    /// The totals of all fully marked papers.
    pub total: Decimal,
    /// How the parts went, in the order of the paper.
    pub parts: Vec<PartTally>,
    /// The first papers to look at: index on the roster, and the first part in question.
    pub looks: Vec<(usize, Option<usize>)>,
}

/// How one part went.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartTally {
    /// Right, on whatever numbers.
    pub right: usize,
    /// Followed from the student's own answers.
    pub followed: usize,
    /// Foreseen slips and wrong signs.
    pub slip: usize,
    /// Wrong, or several answers.
    pub wrong: usize,
    /// Nothing there.
    pub blank: usize,
    /// Cannot be read.
    pub unreadable: usize,
    /// Judged by eye, with points.
    pub by_eye: usize,
    /// Units at fault.
    pub units: usize,
    /// Figures at fault.
    pub figures: usize,
    /// Points earned, the teacher's word included, before the paper's costs.
    pub points: Decimal,
}

impl Tally {
    /// Adds a student's paper, with what stands in the end: the points of its parts, status and total.
    pub fn add(
        &mut self,
        student: usize,
        marked: &Marked,
        points: impl IntoIterator<Item = Decimal>,
        (status, total): (Status, Decimal),
    ) {
        self.students += 1;
        match status {
            Status::Marked => {
                self.marked += 1;
                self.total += total;
            }
            Status::PartlyMarked => self.partly_marked += 1,
            Status::NeedsALook => {
                self.needs_a_look += 1;
                if self.looks.len() < NAMED {
                    self.looks
                        .push((student, marked.parts.iter().position(|part| part.look)));
                }
            }
            Status::Absent => self.absent += 1,
            Status::Excused => self.excused += 1,
            Status::NotKeyed => self.not_keyed += 1,
            Status::NoPaper => self.no_paper += 1,
        }
        if self.parts.len() < marked.parts.len() {
            self.parts
                .resize_with(marked.parts.len(), PartTally::default);
        }
        let parts = self.parts.iter_mut().zip(&marked.parts);
        for ((tally, mark), points) in parts.zip(points) {
            let count = match mark.verdict {
                Verdict::Right | Verdict::RightOtherConstant | Verdict::RightMisread => {
                    &mut tally.right
                }
                Verdict::Followed => &mut tally.followed,
                Verdict::Slip | Verdict::WrongSign => &mut tally.slip,
                Verdict::Wrong | Verdict::Several => &mut tally.wrong,
                Verdict::Blank => &mut tally.blank,
                Verdict::Unreadable => &mut tally.unreadable,
                Verdict::ByEye => &mut tally.by_eye,
            };
            *count += 1;
            tally.units += usize::from(mark.unit.is_some_and(|unit| unit.is_fault()));
            tally.figures += usize::from(mark.figures.is_some_and(|figures| figures.is_fault()));
            tally.points += points;
        }
    }

    /// Adds the tally of the shard that comes next.
    pub fn join(&mut self, next: Self) {
        self.students += next.students;
        self.marked += next.marked;
        self.partly_marked += next.partly_marked;
        self.needs_a_look += next.needs_a_look;
        self.absent += next.absent;
        self.excused += next.excused;
        self.not_keyed += next.not_keyed;
        self.no_paper += next.no_paper;
        self.total += next.total;
        self.looks.extend(next.looks);
        self.looks.truncate(NAMED);
        if self.parts.len() < next.parts.len() {
            self.parts.resize_with(next.parts.len(), PartTally::default);
        }
        for (tally, next) in self.parts.iter_mut().zip(&next.parts) {
            tally.right += next.right;
            tally.followed += next.followed;
            tally.slip += next.slip;
            tally.wrong += next.wrong;
            tally.blank += next.blank;
            tally.unreadable += next.unreadable;
            tally.by_eye += next.by_eye;
            tally.units += next.units;
            tally.figures += next.figures;
            tally.points += next.points;
        }
    }

    /// How many papers there are.
    pub fn papers(&self) -> usize {
        self.marked + self.partly_marked + self.needs_a_look
    }
}
