//! The draws of one problem: what can be drawn, what is drawn for whom, and what meets `[require]`.
//!
//! In: a checked assignment. Out: *picks*, the index of each given's value, and from them values.
//! Prepared once; drawing and judging allocate nothing.

use num_rational::BigRational;

use super::hash::{Holder, Message, Name, ProblemKey, siphash};
use super::mix::Mix;
use super::refusal::{NoDraw, TooLongCondition};
use super::search::Search;
use super::taken::Taken;
use crate::assignment::{Assignment, Draw, Variants};
use crate::formula::exact::{self, Strict};
use crate::plan;
use crate::quantity::Quantity;

/// Values in SI of givens with at most so many values are kept; others are worked out each time.
const KEPT: u64 = 4096;

/// Taken draws met in a row before the space is counted.
pub(super) const MISSES: u32 = 32;

/// Spaces up to this size are counted through where that is needed.
pub(super) const COUNTABLE: u64 = 1 << 22;

/// The draws of one problem.
#[derive(Clone, Debug)]
pub struct Space<'a> {
    assignment: &'a Assignment,
    key: ProblemKey,
    names: Vec<Name>,
    counts: Vec<u64>,
    size: Option<u64>,
    /// For each given its values in coherent SI units, where there are few.
    kept: Vec<Vec<f64>>,
    requirements: Vec<Strict>,
    mix: Mix,
    /// For each version of the first issue its picks; empty where each student has their own.
    versions: Vec<Vec<u32>>,
}

impl<'a> Space<'a> {
    /// Prepares the draws of an assignment, and draws its versions where it has some.
    ///
    /// # Errors
    /// A requirement that is too long; versions that cannot be drawn.
    pub fn new(assignment: &'a Assignment) -> Result<Self, NoDraw> {
        let counts: Vec<u64> = assignment
            .givens
            .iter()
            .map(|given| given.draw.count())
            .collect();
        let kept = assignment
            .givens
            .iter()
            .map(|given| match given.draw.count() {
                count if count <= KEPT => (0..count).map(|at| si(&given.draw, at)).collect(),
                _ => Vec::new(),
            });
        let meaning = |name: &str| plan::meaning(assignment, name);
        let too_long = |span, cause| NoDraw::TooLong(TooLongCondition { span, cause });
        let requirements = assignment.requirements.iter().map(|named| {
            Strict::of(&named.item, &meaning).map_err(|cause| too_long(named.span, cause))
        });
        let requirements: Vec<Strict> = requirements.collect::<Result<_, _>>()?;
        let mix = Mix::of(assignment, &meaning)
            .map_err(|(at, cause)| too_long(assignment.mix[at].span, cause))?;
        let mut space = Self {
            assignment,
            names: assignment
                .givens
                .iter()
                .map(|given| Name::new(&given.name))
                .collect(),
            key: ProblemKey::new(assignment.seed, &assignment.code),
            size: counts
                .iter()
                .try_fold(1_u64, |size, count| size.checked_mul(*count)),
            counts,
            kept: kept.collect(),
            requirements,
            mix,
            versions: Vec::new(),
        };
        space.versions = space.versions_of(1)?;
        Ok(space)
    }

    /// The assignment it draws for.
    pub fn assignment(&self) -> &'a Assignment {
        self.assignment
    }

    /// How many draws there are before `[require]`; `None` beyond 2⁶⁴.
    pub fn size(&self) -> Option<u64> {
        self.size
    }

    /// How many draws meet `[require]`, and how many there are, where these are at most 2²² and can
    /// be counted through.
    pub fn valid(&self) -> Option<(u64, u64)> {
        let size = self.size?;
        if self.requirements.is_empty() {
            return Some((size, size));
        }
        if size > COUNTABLE {
            return None;
        }
        let (mut picks, mut slots) = (Vec::new(), Vec::new());
        let mut valid = 0;
        for index in 0..size {
            self.nth(index, &mut picks);
            valid += u64::from(self.broken(&picks, &mut slots).is_none());
        }
        Some((valid, size))
    }

    /// The picks of a number below [`Self::size`], which [`Self::mark`] turns back into it.
    pub fn nth(&self, mut index: u64, picks: &mut Vec<u32>) {
        picks.clear();
        for count in &self.counts {
            picks.push((index % count) as u32);
            index /= count;
        }
    }

    /// A number that tells picks apart: their place among all, or, where there are more than 2⁶⁴, a
    /// hash (two that meet are then taken for the same, which only costs a try).
    pub fn mark(&self, picks: &[u32]) -> u64 {
        if self.size.is_none() {
            let bytes: Vec<u8> = picks.iter().flat_map(|pick| pick.to_le_bytes()).collect();
            return siphash([0, 0], &bytes);
        }
        let pairs = picks.iter().zip(&self.counts).rev();
        pairs.fold(0, |index, (pick, count)| index * count + u64::from(*pick))
    }

    /// The picks of a student's try. Of an assignment with versions the try is the version, and
    /// picks are empty where there is no such version.
    ///
    /// # Errors
    /// Only with versions: those of a later issue that cannot be drawn.
    pub fn picks(
        &self,
        student: &str,
        issue: u32,
        attempt: u32,
        draft: &mut Draft,
    ) -> Result<(), NoDraw> {
        match self.assignment.variants {
            Variants::PerStudent => self.drawn(Holder::Student(student), issue, attempt, draft),
            Variants::Versions(_) => {
                let later;
                let versions = if issue == 1 {
                    &self.versions
                } else {
                    later = self.versions_of(issue)?;
                    &later
                };
                draft.picks.clear();
                let version = usize::try_from(attempt)
                    .ok()
                    .and_then(|at| versions.get(at));
                draft.picks.extend(version.into_iter().flatten());
            }
        }
        Ok(())
    }

    /// The values of picks, in the order of the assignment's givens.
    pub fn values<'p>(&self, picks: &'p [u32]) -> impl Iterator<Item = Quantity> + use<'a, 'p> {
        let givens = self.assignment.givens.iter();
        givens
            .zip(picks)
            .filter_map(|(given, pick)| given.draw.value(u64::from(*pick)))
    }

    /// The value of a given in coherent SI units; not a number where there is no such pick.
    pub fn si(&self, given: usize, pick: u32) -> f64 {
        let kept = self
            .kept
            .get(given)
            .and_then(|values| values.get(pick as usize));
        kept.copied().unwrap_or_else(|| {
            let draw = self.assignment.givens.get(given).map(|given| &given.draw);
            draw.map_or(f64::NAN, |draw| si(draw, u64::from(pick)))
        })
    }

    /// The picks that have these values, as numbers (`2.0 kg` is `2.00 kg`); `None` where the file
    /// has changed and they can no longer be drawn.
    pub fn picks_of(&self, values: &[Quantity]) -> Option<Vec<u32>> {
        if values.len() != self.counts.len() {
            return None;
        }
        let givens = self.assignment.givens.iter().zip(values);
        givens
            .map(|(given, value)| pick_of(&given.draw, value))
            .collect()
    }

    /// What is taken where these values were issued before. Values that can no longer be drawn, since
    /// the file has changed, are in nobody's way and are left out.
    pub fn taken<'v>(&self, issued: impl IntoIterator<Item = &'v [Quantity]>) -> Taken {
        let mut taken = Taken::default();
        let picks = issued
            .into_iter()
            .filter_map(|values| self.picks_of(values));
        for picks in picks.filter(|picks| self.admits(picks)) {
            taken.add(self.mark(&picks));
        }
        taken
    }

    /// Whether picks meet `[require]`.
    pub fn admits(&self, picks: &[u32]) -> bool {
        self.broken(picks, &mut Vec::new()).is_none()
    }

    /// The first requirement that picks break; `slots` is only room to work in.
    pub fn broken(&self, picks: &[u32], slots: &mut Vec<f64>) -> Option<usize> {
        if self.requirements.is_empty() {
            return None;
        }
        self.fill(picks, slots);
        let exact = |name: &str| self.exact(name, picks);
        self.requirements
            .iter()
            .position(|requirement| !requirement.holds(slots, &exact))
    }

    /// The kind of draw that picks are, by its place in the file; `slots` is only room to work in.
    pub fn kind(&self, picks: &[u32], slots: &mut Vec<f64>) -> Option<usize> {
        if self.mix.is_empty() {
            return None;
        }
        self.fill(picks, slots);
        let exact = |name: &str| self.exact(name, picks);
        self.mix.kind(|when| when.holds(slots, &exact))
    }

    /// The kind of draw that a holder is to get; `None` for any, `Some(None)` for one of no kind.
    pub(super) fn wanted(&self, holder: Holder<'_>, issue: u32) -> Option<Option<usize>> {
        if self.mix.is_empty() {
            return None;
        }
        let mut message = Message::default();
        holder.write(&mut message);
        let chances = self.key.chances(&mut message, issue, 0);
        Some(self.mix.wanted(holder, self.assignment.variants, chances))
    }

    /// The values of picks in SI units, slot by slot.
    fn fill(&self, picks: &[u32], slots: &mut Vec<f64>) {
        slots.clear();
        let values = picks.iter().enumerate();
        slots.extend(values.map(|(given, pick)| self.si(given, *pick)));
    }

    /// How many requirements there are.
    pub(super) fn requirements(&self) -> usize {
        self.requirements.len()
    }

    /// Where a student stands in the order of allocation, which the order of a roster does not change.
    pub fn place(&self, student: &str) -> u64 {
        self.key.place(student)
    }

    pub(super) fn versions(&self) -> &[Vec<u32>] {
        &self.versions
    }

    /// Draws one try of a holder.
    pub(super) fn drawn(&self, holder: Holder<'_>, issue: u32, attempt: u32, draft: &mut Draft) {
        holder.write(&mut draft.message);
        self.again(issue, attempt, draft);
    }

    /// Draws another try of the holder that [`Self::drawn`] drew for last.
    pub(super) fn again(&self, issue: u32, attempt: u32, draft: &mut Draft) {
        let chances = self.key.chances(&mut draft.message, issue, attempt);
        draft.picks.clear();
        draft
            .picks
            .extend(self.names.iter().zip(&self.counts).map(|(name, count)| {
                if *count == 1 {
                    0
                } else {
                    chances.index(name, *count) as u32
                }
            }));
    }

    /// The versions of an issue, unlike each other and all those of the issues before it.
    pub(super) fn versions_of(&self, issue: u32) -> Result<Vec<Vec<u32>>, NoDraw> {
        let Variants::Versions(count) = self.assignment.variants else {
            return Ok(Vec::new());
        };
        let mut seen = rustc_hash::FxHashSet::default();
        let mut draft = Draft::default();
        let mut versions = Vec::new();
        let wanted = u64::from(count) * u64::from(issue);
        for issue in 1..=issue {
            versions.clear();
            for version in 0..count {
                let mut search = Search::new(self, Holder::Version(version), issue);
                let mut missed = 0_u32;
                search.next(&mut draft)?;
                while !seen.insert(self.mark(&draft.picks)) {
                    missed += 1;
                    if missed == MISSES {
                        self.enough(seen.len() as u64, wanted)?;
                    }
                    search.next(&mut draft)?;
                }
                versions.push(draft.picks.clone());
            }
        }
        Ok(versions)
    }

    /// An error where all draws are used up and more versions are wanted.
    fn enough(&self, used: u64, wanted: u64) -> Result<(), NoDraw> {
        match self.valid() {
            Some((draws, _)) if draws <= used => Err(NoDraw::TooFewForVersions { wanted, draws }),
            _ => Ok(()),
        }
    }

    /// What to say after so many draws in vain, of which each requirement broke so many.
    pub(super) fn hard(&self, tried: u32, broken: &[u32]) -> NoDraw {
        let most = broken
            .iter()
            .enumerate()
            .max_by_key(|(at, count)| (**count, std::cmp::Reverse(*at)));
        NoDraw::Hard {
            tried,
            requirement: most.map_or(0, |(at, _)| at),
            valid: self.valid(),
        }
    }

    /// The exact value of a given or of what is derived from givens.
    fn exact(&self, name: &str, picks: &[u32]) -> Option<BigRational> {
        let mut givens = self.assignment.givens.iter().zip(picks);
        if let Some((given, pick)) = givens.find(|(given, _)| given.name == name) {
            return given.draw.value(u64::from(*pick))?.exact_si();
        }
        let derived = self
            .assignment
            .derived
            .iter()
            .find(|derived| derived.name == name)?;
        exact::value(&derived.expr, &|name| self.exact(name, picks))
    }
}

/// Room for one draw, used again and again.
#[derive(Clone, Debug, Default)]
pub struct Draft {
    /// The index of each given's value.
    pub picks: Vec<u32>,
    pub(super) message: Message,
    pub(super) slots: Vec<f64>,
    /// For each draw of a small space, by its mark, what [`Space::broken`] said of it: 0 not asked yet, 1
    /// nothing broken, from 2 on the requirement. Empty where nothing is remembered.
    pub(super) judged: Vec<u8>,
}

fn si(draw: &Draw, index: u64) -> f64 {
    draw.value(index).map_or(f64::NAN, |value| value.si())
}

fn pick_of(draw: &Draw, value: &Quantity) -> Option<u32> {
    let same = |other: &Quantity| {
        other.unit.same_as(&value.unit) && other.numeral.same_value(&value.numeral)
    };
    let index = match draw {
        Draw::Fixed(fixed) => same(fixed).then_some(0)?,
        Draw::Pick(values) => values.iter().position(same)? as u64,
        Draw::Steps { from, step, .. } => {
            let index = (value.numeral.exact() - from.numeral.exact()) / step.exact();
            let index = index.is_integer().then(|| index.to_integer())?;
            let index = u64::try_from(index).ok()?;
            draw.value(index).filter(same).map(|_| index)?
        }
    };
    u32::try_from(index).ok()
}
