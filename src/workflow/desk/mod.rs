//! A stack of papers in memory: one sheet, one class, and what the teacher did to each paper.
//!
//! In: a prepared sheet, a roster, what was issued, and acts. Out: for each paper what stands on
//! it, how it was read and how it is marked, at once after each act; the papers that a few letters
//! mean; counts over the class. Pure: no disk, no clock. Refused: a paper whose numbers do not fit
//! the sheet is kept, says why, and is not marked.
//!
//! Acts that the record has not acknowledged yet carry provisional numbers, above all real ones
//! ([`Stack::provisional`]); [`Stack::acknowledge`] puts the real ones in their place.

mod alike;
mod causes;
mod changes;
mod counts;
pub mod course;
pub(crate) mod exchange;
mod export;
mod find;
mod hand_out;
mod open;
mod points;
mod report;
mod second;
mod several;
mod take_in;
#[cfg(test)]
mod tests;
mod watch;
mod writer;

use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::answer::{Choice, Reading};
use crate::assignment::{ChoicePart, Part, PartKind};
use crate::diagnosis::{Classmates, Fit};
use crate::explain;
use crate::marking::{Entry, Key, Marked, Marker, Paper, PartMark};
use crate::plan::{Plan, answer_part};
use crate::quantity::Unit;
use crate::record::{Act, ActId, Deed, Issue, IssueId, NewAct, Standing, account, redo, undo};
use crate::roster::{Roster, Student};
use crate::text::DecimalMark;

use super::marked::{classmates, diagnosed};
use super::paper::PaperReader;
use super::{Prepared, told};

pub use changes::Change;
pub use counts::{Counts, Mistake, PartCounts, Progress};
pub use find::handles;
pub use hand_out::{HandOut, HandedOut};
pub use open::Class;
pub use points::Points;
pub use second::Twice;
pub use take_in::CameIn;
pub use watch::{News, Watch};
pub use writer::{Outcome, Writer};

/// Provisional numbers of acts begin here, far above those a record gives.
const PROVISIONAL: i64 = i64::MAX / 2;

/// One sheet and one class.
#[derive(Clone, Debug)]
pub struct Stack {
    prepared: Arc<Prepared>,
    roster: Arc<Roster>,
    class: String,
    decimal: DecimalMark,
    papers: Vec<OnDesk>,
    by_issue: FxHashMap<IssueId, usize>,
    /// The keys of the papers.
    classmates: Arc<Classmates>,
    acts: Vec<Act>,
    /// Those that others did while the stack lay here.
    foreign: FxHashSet<ActId>,
    /// The next provisional number, above those of all stacks that lay on the desk before.
    next: i64,
}

/// One paper of the stack.
#[derive(Clone, Debug)]
pub struct OnDesk {
    /// What was handed out.
    pub issue: Issue,
    /// The day it is due.
    pub due: Option<NaiveDate>,
    /// The student's place on the roster.
    pub student: usize,
    /// The student's own key, or why there is none.
    pub key: Result<Key, String>,
    /// What stands on the paper.
    pub standing: Standing,
    /// How that was read.
    pub paper: Paper,
    /// How it is marked.
    pub marked: Marked,
    /// What the teacher counts for each part, and in all.
    pub points: Points,
    /// Other papers of the stack that its wrong answers fit, the best first. For the teacher alone.
    pub fits: Vec<Fit>,
    /// Misread numbers that could not be used, in words.
    pub faults: Vec<String>,
    /// What finds it: folded id, code, name and initials.
    handles: Vec<String>,
}

impl Stack {
    /// What is prepared of the sheet.
    pub fn plan(&self) -> &Plan {
        &self.prepared.plan
    }

    /// The class's name.
    pub fn class(&self) -> &str {
        &self.class
    }

    /// The class.
    pub fn roster(&self) -> &Roster {
        &self.roster
    }

    /// The papers, in the order of the roster, a student's later issues behind the first.
    pub fn papers(&self) -> &[OnDesk] {
        &self.papers
    }

    /// All acts, in their order.
    pub fn acts(&self) -> &[Act] {
        &self.acts
    }

    /// The student of a paper.
    pub fn student(&self, at: usize) -> Student<'_> {
        let student = self
            .papers
            .get(at)
            .map_or(usize::MAX, |paper| paper.student);
        self.roster.get(student).unwrap_or_default()
    }

    /// The part of that index as the file has it.
    pub fn part(&self, at: usize) -> &Part {
        let plan = self.plan();
        &plan.assignment(at).parts[plan.parts[at].part]
    }

    /// The names of givens that may be misread, with their units.
    pub fn givens(&self) -> Vec<(String, Unit)> {
        let sheet = &self.plan().sheet;
        sheet
            .given_ids()
            .map(|(name, problem, given)| (name, sheet.problems[problem].givens[given].unit))
            .collect()
    }

    /// The unit asked for in a part, if one is and the student writes it.
    pub fn unit(&self, part: usize) -> Option<Unit> {
        let plan = self.plan();
        let answer = answer_part(plan.assignment(part), plan.parts[part].part)?;
        let judged = self.part(part).rules.units == crate::assignment::Units::Written;
        (judged && !answer.unit.is_one()).then_some(answer.unit)
    }

    /// Whether a part is judged by eye alone.
    pub fn is_by_eye(&self, part: usize) -> bool {
        self.plan().is_by_eye(part)
    }

    /// The most points that may be keyed for a part by eye: its steps, or all of it.
    pub fn most_by_eye(&self, part: usize) -> usize {
        self.part(part).by_eye().len()
    }

    /// What would be understood of a text for a part of a paper: what a number was read as, the
    /// word chosen.
    pub fn understood(&self, paper: usize, part: usize, text: &str) -> Understood {
        let decimal = self.student(paper).decimal.unwrap_or(self.decimal);
        match &self.part(part).kind {
            PartKind::Answer(_) => {
                let reader = PaperReader::new(self.plan(), None, self.decimal);
                let reading = reader.read(self.plan().parts[part].problem, text, decimal);
                Understood::number(text, &reading)
            }
            PartKind::Choose(options) => {
                Understood::choice(options, crate::answer::choice(text, options))
            }
            PartKind::Eye(_) => Understood::default(),
        }
    }

    /// What was understood of what is keyed for a part, as it was marked; nothing where nothing is.
    pub fn read_as(&self, paper: usize, part: usize) -> Understood {
        let keyed = self.papers.get(paper).and_then(|paper| {
            let text = paper.entry(&self.plan().parts[part].id)?;
            Some((text, paper.paper.entries.get(part)?))
        });
        match (keyed, &self.part(part).kind) {
            (Some((text, Entry::Answer(reading))), _) => Understood::number(text, reading),
            (Some((_, Entry::Choice(choice))), PartKind::Choose(options)) => {
                Understood::choice(options, *choice)
            }
            _ => Understood::default(),
        }
    }

    /// A misread number as it would be used, or what is wrong with it.
    ///
    /// # Errors
    /// In words, what was expected.
    pub fn misread(&self, paper: usize, given: &str, value: &str) -> Result<String, String> {
        let known = self
            .plan()
            .sheet
            .given_ids()
            .find(|(name, ..)| name == given);
        let Some((_, problem, index)) = known else {
            return Err(format!("expected a given of this paper, found `{given}`"));
        };
        let decimal = self.student(paper).decimal.unwrap_or(self.decimal);
        let reader = PaperReader::new(self.plan(), None, self.decimal);
        let value = reader.misread(problem, index, value, decimal)?;
        Ok(value.to_string())
    }

    /// The whole reckoning of one part of a paper.
    pub fn reckoning(&self, paper: usize, part: usize) -> String {
        let Some(on_desk) = self.papers.get(paper) else {
            return String::new();
        };
        let key = match &on_desk.key {
            Ok(key) => key,
            Err(why) => return why.clone(),
        };
        let plan = self.plan();
        let entries: Vec<&str> = plan
            .parts
            .iter()
            .map(|part| on_desk.entry(&part.id).unwrap_or(""))
            .collect();
        let causes = self.causes(paper);
        let (mistakes, papers) = (self.prepared.mistakes(), (key, &on_desk.paper));
        let marker = &mut Marker::new(plan);
        let untried = diagnosed::untried(plan, mistakes, marker, papers, &causes);
        let case = explain::Case {
            plan,
            key,
            paper: &on_desk.paper,
            marked: &on_desk.marked,
            told: &on_desk.marked,
            causes: &causes,
            untried,
            entries: &entries,
        };
        explain::one_part(&case, part)
    }

    /// What is said of a paper whose wrong answers are another's; nothing where they are nobody's.
    pub fn fits_other(&self, paper: usize) -> Option<String> {
        let of = |other: usize| {
            let student = self.student(other);
            let code = self.papers[other].issue.code;
            format!("{} {} ({})", student.id, student.name, code.as_str())
        };
        classmates::words(self.plan(), &self.papers.get(paper)?.fits, &of)
    }

    /// What the program would tell the student of a paper; empty where there is none.
    pub fn words(&self, paper: usize) -> String {
        let mut words = String::new();
        if let Some(on_desk) = self.papers.get(paper)
            && let Ok(key) = &on_desk.key
        {
            let (plan, marked, standing) = (self.plan(), &on_desk.marked, &on_desk.standing);
            let account = account(plan, marked, standing);
            let told = told::told(plan, marked, &account, standing);
            told::by_program(plan, key, &told, standing, &mut words);
        }
        words
    }

    /// Numbers for acts that the record has still to acknowledge: makes acts of what is to be done,
    /// in one group.
    pub fn provisional(&mut self, new: Vec<NewAct>) -> Vec<Act> {
        let group = ActId(PROVISIONAL + self.next);
        new.into_iter()
            .map(|new| {
                let id = ActId(PROVISIONAL + self.next);
                self.next += 1;
                Act {
                    id,
                    group,
                    at: new.at,
                    issue: new.issue,
                    deed: new.deed,
                }
            })
            .collect()
    }

    /// Does what was done: acts in their order, after all that are there already.
    pub fn apply(&mut self, acts: &[Act]) {
        let mut touched = Vec::new();
        for act in acts {
            let Some(&at) = self.by_issue.get(&act.issue) else {
                continue;
            };
            self.acts.push(act.clone());
            if matches!(act.deed, Deed::TakeBack { .. }) {
                let issue = act.issue;
                let own = self.acts.iter().filter(|act| act.issue == issue);
                self.papers[at].standing = Standing::of(own);
            } else {
                self.papers[at].standing.apply(act);
            }
            if !touched.contains(&at) {
                touched.push(at);
            }
        }
        for at in touched {
            self.mark(at);
        }
    }

    /// Puts the record's numbers in the place of provisional ones; `real` belongs to the acts from
    /// `first` on.
    pub fn acknowledge(&mut self, first: ActId, real: &[ActId]) {
        let renumbered = |id: ActId| {
            let behind = usize::try_from(id.0 - first.0).ok();
            behind.and_then(|behind| real.get(behind)).copied()
        };
        // Those that wait stand at the end.
        for act in self.acts.iter_mut().rev() {
            let waits = act.id.0 >= PROVISIONAL;
            if let Some(id) = renumbered(act.id) {
                act.id = id;
            }
            if let Some(id) = renumbered(act.group) {
                act.group = id;
            }
            if let Deed::TakeBack { act: back } = &mut act.deed
                && let Some(id) = renumbered(*back)
            {
                *back = id;
            }
            if !waits && act.group.0 < first.0 {
                break;
            }
        }
    }

    /// What undoes the last thing done, over all papers; what others did meanwhile is left to them.
    pub fn undo(&self, at: DateTime<Utc>) -> Vec<NewAct> {
        undo(&self.own_acts(), at)
    }

    /// What brings back what was undone last.
    pub fn redo(&self, at: DateTime<Utc>) -> Vec<NewAct> {
        redo(&self.own_acts(), at)
    }

    /// Whether something can be taken back.
    pub fn can_undo(&self) -> bool {
        let mut acts = self.acts.iter();
        acts.any(|act| act.deed.is_own() && !self.foreign.contains(&act.id))
    }

    /// All but what others did while the stack lay here. That they took something back holds here, too.
    fn own_acts(&self) -> Vec<Act> {
        let is_own = |act: &&Act| {
            !self.foreign.contains(&act.id) || matches!(act.deed, Deed::TakeBack { .. })
        };
        self.acts.iter().filter(is_own).cloned().collect()
    }

    /// The paper that an issue belongs to.
    pub fn paper_of(&self, issue: IssueId) -> Option<usize> {
        self.by_issue.get(&issue).copied()
    }

    /// Reads and marks a paper anew.
    fn mark(&mut self, at: usize) {
        let prepared = Arc::clone(&self.prepared);
        let plan = &prepared.plan;
        let decimal = self.student(at).decimal;
        let paper = &mut self.papers[at];
        let reader = PaperReader::new(plan, None, self.decimal);
        paper.faults.clear();
        reader.fill_from(
            &paper.standing,
            paper.due,
            decimal,
            &mut paper.paper,
            &mut paper.faults,
        );
        paper.fits.clear();
        if let Ok(key) = &paper.key {
            let mut marker = Marker::new(plan);
            let papers = (key, &paper.paper);
            paper.marked = diagnosed::mark(plan, &|| prepared.mistakes(), &mut marker, papers);
            let others = (&*self.classmates, at);
            paper.fits = classmates::note(plan, others, &mut marker, papers, &mut paper.marked);
        }
        paper.points = Points::of(plan, &paper.standing, &paper.marked);
    }
}

/// What was understood of a text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Understood {
    /// In words; empty where nothing is to be understood. May quote what was typed.
    pub words: String,
    /// Whether it could not be read.
    pub is_unreadable: bool,
}

impl Understood {
    fn number(text: &str, reading: &Reading) -> Self {
        Self {
            words: crate::answer::describe(text, reading),
            is_unreadable: matches!(reading, Reading::Unreadable(_)),
        }
    }

    fn choice(known: &ChoicePart, choice: Choice) -> Self {
        let words = match choice {
            Choice::Blank => "blank".to_owned(),
            Choice::Option(option) => known.options[option].label.clone(),
            Choice::Several => "more than one of the words".to_owned(),
            Choice::Unreadable => {
                let known = known.options.iter().map(|option| option.label.as_str());
                let known: Vec<&str> = known.collect();
                format!("not read: expected {}", known.join(" or "))
            }
        };
        Self {
            words,
            is_unreadable: choice == Choice::Unreadable,
        }
    }
}

impl OnDesk {
    /// What was keyed for a part, as it stands in a file of answers; `None` if nobody got there.
    pub fn entry(&self, part: &str) -> Option<&str> {
        self.standing
            .entry(part)
            .map(crate::record::Keyed::as_entry)
    }

    /// The proposed mark of a part; `None` where there is no paper.
    pub fn mark(&self, part: usize) -> Option<&PartMark> {
        self.marked.parts.get(part)
    }
}
