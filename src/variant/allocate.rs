//! Allocation: who gets which draw.
//!
//! In: students, what they held before, and what is taken. Out: for each the number of the first
//! try that meets `[require]` and is free. Pure: the same input gives the same tries on every
//! machine.

use super::hash::Holder;
use super::refusal::NoDraw;
use super::search::{PATIENCE, Search};
use super::space::{COUNTABLE, Draft, MISSES, Space};
use super::taken::Taken;
use crate::assignment::Variants;

/// Hands out the draws of one problem, one student at a time.
#[derive(Clone, Debug)]
pub struct Allocator<'s, 'a> {
    space: &'s Space<'a>,
    taken: Taken,
    /// How many draws meet `[require]`, once that had to be known; `None` inside where they are too
    /// many to count.
    draws: Option<Option<u64>>,
    draft: Draft,
}

impl<'s, 'a> Allocator<'s, 'a> {
    /// Goes on from what is taken: nothing, or what a record holds.
    pub fn new(space: &'s Space<'a>, taken: Taken) -> Self {
        Self::with(space, taken, remembering(space))
    }

    fn with(space: &'s Space<'a>, taken: Taken, draft: Draft) -> Self {
        Self {
            space,
            taken,
            draws: None,
            draft,
        }
    }

    /// The try for a student's issue (from 1), which is taken from then on; [`Self::picks`] are its
    /// picks. `held` are the marks of what the student had before, which are not given again.
    ///
    /// # Errors
    /// Where `[require]` is too hard to meet, or the student held everything.
    pub fn next(&mut self, student: &str, issue: u32, held: &[u64]) -> Result<u32, NoDraw> {
        match self.space.assignment().variants {
            Variants::PerStudent => self.next_own(student, issue, held),
            Variants::Versions(_) => {
                let attempt = self.version(issue, held)?;
                Ok(self.hand_out(attempt))
            }
        }
    }

    /// The same with numbers of the student's own, also where papers come in versions.
    ///
    /// # Errors
    /// As [`Self::next`].
    pub fn next_own(&mut self, student: &str, issue: u32, held: &[u64]) -> Result<u32, NoDraw> {
        let search = Search::new(self.space, Holder::Student(student), issue);
        let attempt = self.own(search, None, held)?;
        Ok(self.hand_out(attempt))
    }

    /// The draft is taken from now on.
    fn hand_out(&mut self, attempt: u32) -> u32 {
        self.taken.add(self.space.mark(&self.draft.picks));
        attempt
    }

    /// The same as the first issue of a student whose first try was drawn already.
    fn next_behind(&mut self, student: &str, first: &First) -> Result<u32, NoDraw> {
        self.settle();
        if self.taken.is_free(first.mark) {
            self.taken.add(first.mark);
            return Ok(first.attempt);
        }
        let Some(search) = Search::behind(self.space, Holder::Student(student), 1, first.attempt)
        else {
            return self.next_own(student, 1, &[]);
        };
        let attempt = self.own(search, Some(first), &[])?;
        Ok(self.hand_out(attempt))
    }

    /// Opens the next round where all draws are known to be in use.
    fn settle(&mut self) {
        if let Some(Some(draws)) = self.draws {
            self.taken.settle(draws);
        }
    }

    /// The picks of the try handed out last.
    pub fn picks(&self) -> &[u32] {
        &self.draft.picks
    }

    /// The first free try of a student's own, from where a search begins: with the first, or behind one
    /// that is not free.
    fn own(
        &mut self,
        mut search: Search<'_, 'a>,
        passed: Option<&First>,
        held: &[u64],
    ) -> Result<u32, NoDraw> {
        let uses = |first: &First| (self.taken.uses(first.mark), first.attempt);
        let mut least: Option<(u32, u32)> = passed.map(uses);
        let mut missed = u32::from(passed.is_some());
        self.settle();
        loop {
            let attempt = search.next(&mut self.draft)?;
            let mark = self.space.mark(&self.draft.picks);
            if held.contains(&mark) {
                missed += 1;
            } else if self.taken.is_free(mark) {
                return Ok(attempt);
            } else {
                missed += 1;
                let uses = self.taken.uses(mark);
                if least.is_none_or(|(fewest, _)| uses < fewest) {
                    least = Some((uses, attempt));
                }
            }
            if missed == MISSES {
                let draws = self.count();
                if let Some(draws) = draws {
                    let distinct = distinct(held);
                    if distinct >= draws {
                        return Err(NoDraw::AllHeld { draws });
                    }
                    let is_opened = self.taken.settle(draws);
                    let own = held_free(held, &self.taken);
                    if self.taken.free(draws) == own {
                        return self.least_used(search.again(), held, draws);
                    }
                    // What has just become free may have gone by already.
                    if is_opened {
                        search = search.again();
                    }
                }
            }
            // More draws than can be counted, and ten thousand in a row were taken: they are all but
            // used up, and one of the least used will do.
            if missed >= PATIENCE
                && self.draws == Some(None)
                && let Some((_, attempt)) = least
            {
                search.back_to(attempt, &mut self.draft);
                return Ok(attempt);
            }
        }
    }

    /// Where all free draws are the student's own of before: the first of the others that is used
    /// as seldom as any of them.
    fn least_used(
        &mut self,
        mut search: Search<'_, 'a>,
        held: &[u64],
        draws: u64,
    ) -> Result<u32, NoDraw> {
        let mut fewest = u32::MAX;
        let (mut picks, mut slots) = (Vec::new(), Vec::new());
        let size = self
            .space
            .size()
            .filter(|size| *size <= COUNTABLE)
            .unwrap_or(draws);
        for index in 0..size {
            self.space.nth(index, &mut picks);
            if !held.contains(&index) && self.space.broken(&picks, &mut slots).is_none() {
                fewest = fewest.min(self.taken.uses(index));
            }
        }
        loop {
            let attempt = search.next(&mut self.draft)?;
            let mark = self.space.mark(&self.draft.picks);
            if !held.contains(&mark) && self.taken.uses(mark) <= fewest {
                return Ok(attempt);
            }
        }
    }

    /// The least used version of an issue, the first of several.
    fn version(&mut self, issue: u32, held: &[u64]) -> Result<u32, NoDraw> {
        let later;
        let versions = if issue == 1 {
            self.space.versions()
        } else {
            later = self.space.versions_of(issue)?;
            &later
        };
        let marks = versions.iter().map(|picks| self.space.mark(picks));
        let best = marks
            .enumerate()
            .filter(|(_, mark)| !held.contains(mark))
            .min_by_key(|(at, mark)| (self.taken.uses(*mark), *at));
        let Some((at, _)) = best else {
            return Err(NoDraw::AllHeld {
                draws: distinct(held),
            });
        };
        self.draft.picks.clone_from(&versions[at]);
        Ok(at as u32)
    }

    /// How many draws meet `[require]`, counted at most once.
    fn count(&mut self) -> Option<u64> {
        *self
            .draws
            .get_or_insert_with(|| self.space.valid().map(|(draws, _)| draws))
    }
}

/// Room for a draw that remembers of a small space which draws meet `[require]`.
fn remembering(space: &Space<'_>) -> Draft {
    let small = space.size().filter(|&size| size <= COUNTABLE).unwrap_or(0);
    Draft {
        judged: vec![0; usize::try_from(small).unwrap_or(0)],
        ..Draft::default()
    }
}

fn distinct(marks: &[u64]) -> u64 {
    let (mut first, mut count) = (Vec::with_capacity(marks.len()), 0);
    for mark in marks {
        if !first.contains(mark) {
            first.push(*mark);
            count += 1;
        }
    }
    count
}

/// How many of the draws a student held are among the least used.
fn held_free(held: &[u64], taken: &Taken) -> u64 {
    let free: Vec<u64> = held
        .iter()
        .copied()
        .filter(|mark| taken.is_free(*mark))
        .collect();
    distinct(&free)
}

/// The tries of all students of a roster.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tries {
    problems: usize,
    tries: Vec<u32>,
}

impl Tries {
    /// The try of each problem for a student, by place in the roster.
    pub fn of(&self, student: usize) -> &[u32] {
        let from = student * self.problems;
        self.tries.get(from..from + self.problems).unwrap_or(&[])
    }
}

/// A student's first try that meets `[require]`.
struct First {
    /// Where the student stands in the order.
    place: u64,
    mark: u64,
    /// The student's place in the roster.
    at: u32,
    attempt: u32,
}

/// Gives every student of a roster a first issue of a sheet, nothing being taken before. The
/// roster is the whole history: its students are served in the order of a hash of their ids.
/// `spaces` are those of the sheet's problems. Ids must differ. The tries take 4 bytes a student and
/// problem; while it works there are 24 more, and those of [`Taken`].
///
/// # Errors
/// The first problem, by its index, that cannot be drawn.
pub fn allocate(spaces: &[Space<'_>], students: &[&str]) -> Result<Tries, (usize, NoDraw)> {
    let problems = spaces.len();
    let mut tries = vec![0; problems * students.len()];
    for (problem, space) in spaces.iter().enumerate() {
        let mut give = |at: u32, attempt: u32| tries[at as usize * problems + problem] = attempt;
        serve(space, students, &mut give).map_err(|why| (problem, why))?;
    }
    Ok(Tries { problems, tries })
}

/// Serves a roster in order for one problem.
fn serve(
    space: &Space<'_>,
    students: &[&str],
    give: &mut dyn FnMut(u32, u32),
) -> Result<(), NoDraw> {
    let own = space.assignment().variants == Variants::PerStudent;
    let mut draft = remembering(space);
    // First tries are drawn in the order of the roster, where its ids lie one behind the other in
    // memory; served in the order of the hash, each would be fetched from far away.
    let mut order = Vec::with_capacity(students.len());
    for (at, student) in students.iter().enumerate() {
        let mut first = First {
            place: space.place(student),
            mark: 0,
            at: at as u32,
            attempt: 0,
        };
        if own {
            first.attempt = Search::new(space, Holder::Student(student), 1).next(&mut draft)?;
            first.mark = space.mark(&draft.picks);
        }
        order.push(first);
    }
    order.sort_unstable_by(|one, other| {
        // Two ids of one hash: 2⁻⁶⁴, but then the ids decide, not the rows.
        let ids = || students[one.at as usize].cmp(students[other.at as usize]);
        one.place.cmp(&other.place).then_with(ids)
    });
    let taken = Taken::with_room(if own { students.len() } else { 0 }, space.size());
    let mut allocator = Allocator::with(space, taken, draft);
    for first in &order {
        let student = students[first.at as usize];
        let attempt = if own {
            allocator.next_behind(student, first)?
        } else {
            allocator.next(student, 1, &[])?
        };
        give(first.at, attempt);
    }
    Ok(())
}
