//! What is reported of a class.
//!
//! In: an analysis, and what it was made from. Out: [`ClassReport`], which `page` draws on a terminal
//! and `lines` writes for programs. It names no student.

use std::borrow::Cow;

use rust_decimal::Decimal;

use super::{Analysis, Paper, moments::f64_of};

/// Of fewer students figures alone may tell who somebody is: common practice, no source.
pub const SMALL: usize = 10;

/// Papers that the analysis leaves out, and why.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Partly marked.
    pub partly_marked: usize,
    /// They need a look.
    pub needs_a_look: usize,
    /// Nothing is keyed yet, and nobody said that there is none.
    pub not_keyed: usize,
    /// Students who were handed none.
    pub without_paper: usize,
    /// Nobody handed one in.
    pub absent: usize,
    /// None is wanted.
    pub excused: usize,
}

/// Why a student's paper is left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Left {
    /// It is partly marked.
    PartlyMarked,
    /// It needs a look.
    NeedsALook,
    /// Nothing is keyed yet, and nobody said that there is none.
    NotKeyed,
    /// The student was handed none.
    WithoutPaper,
    /// It was not handed in.
    Absent,
    /// None is wanted.
    Excused,
}

impl LeftOut {
    /// Counts one more.
    pub fn add(&mut self, why: Left) {
        let count = match why {
            Left::PartlyMarked => &mut self.partly_marked,
            Left::NeedsALook => &mut self.needs_a_look,
            Left::NotKeyed => &mut self.not_keyed,
            Left::WithoutPaper => &mut self.without_paper,
            Left::Absent => &mut self.absent,
            Left::Excused => &mut self.excused,
        };
        *count += 1;
    }

    /// Counts those of another class, too.
    pub fn join(&mut self, other: Self) {
        self.partly_marked += other.partly_marked;
        self.needs_a_look += other.needs_a_look;
        self.not_keyed += other.not_keyed;
        self.without_paper += other.without_paper;
        self.absent += other.absent;
        self.excused += other.excused;
    }
}

/// A mistake that several papers share.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shared {
    /// The parts on which it shows, by id.
    pub parts: Vec<String>,
    /// What was done.
    pub says: String,
    /// Whether on some paper another mistake explains the same as well.
    pub is_tied: bool,
    /// The equation it was made in: its name, and how it stands on the board.
    pub equation: Option<(String, String)>,
    /// Which of all that may be done wrong in that equation: words may say the same of two places in it.
    pub alteration: Option<usize>,
    /// On how many papers.
    pub papers: usize,
}

impl Shared {
    /// Adds papers that made a mistake to those of the same one in a list, or behind them; gives its place.
    pub fn add_to(self, list: &mut Vec<Self>) -> usize {
        let same = |known: &Self| {
            known.says == self.says
                && known.equation == self.equation
                && known.alteration == self.alteration
        };
        let Some(place) = list.iter().position(same) else {
            list.push(self);
            return list.len() - 1;
        };
        let known = &mut list[place];
        known.papers += self.papers;
        known.is_tied |= self.is_tied;
        for id in self.parts {
            if !known.parts.contains(&id) {
                known.parts.push(id);
            }
        }
        place
    }

    /// What was done, and that it may have been something else with the same number.
    pub fn words(&self) -> Cow<'_, str> {
        match self.is_tied {
            true => format!("{}, or another mistake with the same number", self.says).into(),
            false => self.says.as_str().into(),
        }
    }

    /// Whether more than one paper made it.
    pub fn is_by_several(&self) -> bool {
        self.papers > 1
    }
}

/// What is reported of a class.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassReport {
    /// The sheet's title.
    pub title: String,
    /// The sheet's code.
    pub code: String,
    /// The class.
    pub class: String,
    /// The figures.
    pub analysis: Analysis,
    /// Papers not in them.
    pub left_out: LeftOut,
    /// Mistakes with a known cause, commonest first.
    pub shared: Vec<Shared>,
    /// For each part the share of its points on each paper, strongest paper first; none left blank.
    pub map: Vec<Vec<Option<f64>>>,
}

impl ClassReport {
    /// The part that earned the least of its points, and their share; none of so few papers that it cannot be
    /// said.
    pub fn hardest(&self) -> Option<(&str, f64)> {
        let parts = self.analysis.parts.iter();
        let shares = parts.filter_map(|part| Some((part.id.as_str(), part.facility?.share)));
        shares.min_by(|(_, a), (_, b)| a.total_cmp(b))
    }

    /// Papers that were handed out to students of the roster.
    pub fn handed_out(&self) -> usize {
        let left = self.left_out;
        self.analysis.papers + left.partly_marked + left.needs_a_look + left.excused + self.owed()
    }

    /// Papers that were handed out and have not come in.
    pub fn owed(&self) -> usize {
        self.left_out.not_keyed + self.left_out.absent
    }
}

/// The map of papers of which the parts are out of so much.
pub fn map(out_of: &[Decimal], papers: &[Paper]) -> Vec<Vec<Option<f64>>> {
    let mut order: Vec<&Paper> = papers.iter().collect();
    order.sort_by_cached_key(|paper| std::cmp::Reverse(paper.points()));
    let row = |(at, out_of): (usize, &Decimal)| {
        let share = |paper: &&Paper| {
            let cell = paper.cells.get(at)?;
            let is_there = cell.verdict != crate::marking::Verdict::Blank;
            (is_there && !out_of.is_zero()).then(|| f64_of(cell.points) / f64_of(*out_of))
        };
        order.iter().map(share).collect()
    };
    out_of.iter().enumerate().map(row).collect()
}
