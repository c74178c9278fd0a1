//! The table of a paper: a row a part, with the entry, what was understood, the verdict, points.
//!
//! In: the desk at a paper. Out: its heading, the row of each part, the sum. What is left of the width
//! goes to what was understood, then to reasons.

use crate::explain;
use crate::marking::{Reason, Verdict};
use crate::record::{Keyed, Keying};
use crate::text;
use crate::text::counted;
use crate::workflow::desk::{OnDesk, Stack, Understood};

use super::super::super::model::Model;
use super::super::super::paint::{self, Role, Row, Side};
use super::super::judged;
use super::Column;

const WORKING: usize = 6;
const POINTS: usize = 9;

/// Where the columns of the table begin.
#[derive(Clone, Copy, Debug)]
pub(super) struct Table {
    /// Columns before the entry: the mark of the line one is at, and the part's id.
    lead: usize,
    entry: usize,
    read: usize,
    verdict: usize,
    /// Columns for the first reason; none where there is no room.
    why: usize,
}

impl Table {
    /// For the parts of a stack on so many columns.
    pub(super) fn of(stack: &Stack, columns: usize) -> Self {
        let ids = stack.plan().parts.iter().map(|part| text::width(&part.id));
        let lead = (ids.max().unwrap_or(1) + 4).clamp(6, 14);
        let rest = columns.saturating_sub(lead + WORKING + POINTS + 4);
        let entry = (rest * 26 / 100).clamp(8, 28);
        let verdict = (rest * 32 / 100).min(22);
        let read = rest.saturating_sub(entry + verdict).min(34);
        let why = rest.saturating_sub(entry + verdict + read);
        Self {
            lead,
            entry,
            read,
            verdict,
            why: if why < 12 { 0 } else { why },
        }
    }

    /// Whether a reason is told whole in the table.
    pub(super) fn has_room_for(self, why: &str) -> bool {
        self.why > 0 && text::width(why) <= self.why - 2
    }

    /// First column and width of a field.
    pub(super) fn field(self, column: Column) -> (usize, usize) {
        match column {
            Column::Entry => (self.lead, self.entry),
            Column::Working => (
                self.lead + self.entry + 1 + self.read + 1 + self.verdict + 1,
                WORKING,
            ),
        }
    }

    /// What was understood for the part one is at, where its column is too narrow for it.
    pub(super) fn beyond(self, model: &Model, stack: &Stack, paper: &OnDesk) -> Option<String> {
        let read = read(model, stack, paper, model.paper.field);
        (text::width(&read) > self.read).then_some(read)
    }

    fn row(self, cells: [(&str, Role); 6], why: &str, model: &Model) -> Row {
        let [lead, entry, read, verdict, working, points] = cells;
        let row = Row::new(model.theme)
            .cell(self.lead, Side::Left, lead.1, lead.0)
            .cell(self.entry, Side::Left, entry.1, entry.0)
            .gap(1)
            .cell(self.read, Side::Left, read.1, read.0)
            .gap(1)
            .cell(self.verdict, Side::Left, verdict.1, verdict.0)
            .gap(1)
            .cell(WORKING, Side::Left, working.1, working.0)
            .cell(POINTS, Side::Right, points.1, points.0);
        if self.why > 0 {
            row.gap(2)
                .cell(self.why.saturating_sub(2), Side::Left, Role::Dim, why)
        } else {
            row
        }
    }

    pub(super) fn heading(self, model: &Model) -> Row {
        let dim = |text: &'static str| (text, Role::Dim);
        let second = model.keying == Keying::Second;
        let verdict = if second {
            "with the first"
        } else if model.hide {
            ""
        } else {
            "verdict"
        };
        let points = if model.hides() { "" } else { "points" };
        let entry = if second { "second time" } else { "entry" };
        self.row(
            [
                dim(" part"),
                dim(entry),
                dim("read as"),
                dim(verdict),
                dim(if second { "" } else { "work" }),
                dim(points),
            ],
            if model.hides() { "" } else { "because" },
            model,
        )
    }

    /// The row of a part.
    pub(super) fn part(self, model: &Model, stack: &Stack, paper: &OnDesk, part: usize) -> Row {
        let state = &model.paper;
        let is_here = state.field == part;
        let second = model.keying == Keying::Second;
        let typing = |column: Column| is_here && state.column == column;
        let id = &stack.plan().parts[part].id;
        let standing = paper.standing.get(id);
        let points = standing.and_then(|part| part.working);
        let by_eye = stack.is_by_eye(part);
        let most = stack.most_by_eye(part);
        let keyed = standing.and_then(|part| match model.keying {
            Keying::First => part.first.as_ref(),
            Keying::Second => part.second.as_ref(),
        });
        let entry = if typing(Column::Entry) {
            paint::typed(&state.input, self.entry).0
        } else if by_eye {
            points.map_or_else(String::new, |points| points.to_string())
        } else {
            keyed.map_or_else(String::new, |keyed| keyed.as_entry().to_owned())
        };
        let read = read(model, stack, paper, part);
        let working = if typing(Column::Working) {
            paint::typed(&state.input, WORKING - 2).0 + &format!("/{most}")
        } else if by_eye || second || most == 0 {
            String::new()
        } else {
            points.map_or_else(|| format!("·/{most}"), |points| format!("{points}/{most}"))
        };
        let working_role = if typing(Column::Working) {
            Role::Here
        } else {
            Role::Dim
        };
        let entry_role = if typing(Column::Entry) && state.fresh && !entry.is_empty() {
            Role::Here
        } else {
            Role::Plain
        };
        let lead = format!("{} {id}", if is_here { "▸" } else { " " });
        let (verdict, points) = self.judged(model, stack, paper, part);
        self.row(
            [
                (&lead, if is_here { Role::Strong } else { Role::Plain }),
                (&entry, entry_role),
                (&read, Role::Dim),
                (&verdict.1, verdict.0),
                (&working, working_role),
                (&points, Role::Plain),
            ],
            &why(model, stack, paper, part).unwrap_or_default(),
            model,
        )
    }

    /// Verdict and points, as far as they are to be seen.
    fn judged(
        self,
        model: &Model,
        stack: &Stack,
        paper: &OnDesk,
        part: usize,
    ) -> ((Role, String), String) {
        let id = &stack.plan().parts[part].id;
        if model.keying == Keying::Second {
            let standing = paper.standing.get(id);
            let both = standing.is_some_and(|part| part.first.is_some() && part.second.is_some());
            let words = match (both, stack.differs(model.paper.paper, part)) {
                (true, true) => (Role::Look, "differs".to_owned()),
                (true, false) => (Role::Good, "the same".to_owned()),
                _ => (Role::Plain, String::new()),
            };
            return (words, String::new());
        }
        let seen = !model.hide && paper.is_keyed(stack.plan(), part);
        let Some(mark) = paper.mark(part).filter(|_| seen) else {
            return ((Role::Plain, String::new()), String::new());
        };
        let adjusted = paper.is_adjusted(stack.plan(), part);
        (
            judged::verdict_in(self.verdict, mark, adjusted),
            judged::points(stack.plan(), paper, part),
        )
    }

    /// The sum, and how many parts are not shown.
    pub(super) fn total(self, model: &Model, paper: &OnDesk, hidden: usize) -> Row {
        let more = match hidden {
            0 => String::new(),
            _ => format!("  {} more", counted(hidden, "part")),
        };
        if model.hides() || paper.marked.parts.is_empty() {
            return Row::new(model.theme).text(Role::Dim, &more);
        }
        let points = &paper.points;
        let end = self.lead + self.entry + self.read + self.verdict + WORKING + POINTS + 3;
        let mut words = Vec::new();
        for (name, amount) in [("paper", points.paper_cost), ("late", points.late)] {
            if !amount.is_zero() {
                words.push(format!("{name} {}", amount.normalize()));
            }
        }
        words.push(format!(
            "{} of {}",
            points.total.normalize(),
            points.out_of.normalize()
        ));
        Row::new(model.theme)
            .text(Role::Dim, &more)
            .ending(end, Role::Strong, &words.join("   "))
    }
}

/// What was understood of what is typed or keyed for a part.
fn read(model: &Model, stack: &Stack, paper: &OnDesk, part: usize) -> String {
    let state = &model.paper;
    if stack.is_by_eye(part) {
        return match model.keying {
            Keying::First => format!("by eye, of {}", stack.most_by_eye(part)),
            Keying::Second => "by eye, keyed once".to_owned(),
        };
    }
    if state.field == part && state.column == Column::Entry {
        let text = state.input.value();
        let understood = (!text.is_empty()).then(|| stack.understood(state.paper, part, text));
        return understood.map_or_else(String::new, |understood| understood.words);
    }
    let standing = paper.standing.get(&stack.plan().parts[part].id);
    let keyed = standing.and_then(|part| match model.keying {
        Keying::First => part.first.as_ref(),
        Keying::Second => part.second.as_ref(),
    });
    keyed.map_or_else(String::new, |keyed| {
        read_as(stack, model, part, keyed).words
    })
}

/// What was understood of what is keyed; what counts was read already when it was marked.
fn read_as(stack: &Stack, model: &Model, part: usize, keyed: &Keyed) -> Understood {
    let paper = model.paper.paper;
    match model.keying {
        Keying::First => stack.read_as(paper, part),
        Keying::Second => stack.understood(paper, part, keyed.as_entry()),
    }
}

/// The first reason for the mark of a part, or the teacher's; nothing where it is not to be seen.
pub(super) fn why(model: &Model, stack: &Stack, paper: &OnDesk, part: usize) -> Option<String> {
    let plan = stack.plan();
    if model.hides() || !paper.is_keyed(plan, part) {
        return None;
    }
    let set = paper.standing.get(&plan.parts[part].id);
    if let Some(set) = set.and_then(|part| part.adjustment.as_ref()) {
        return Some(format!("* {}", set.note));
    }
    let mark = paper.mark(part)?;
    let open = Reason::WorkingOpen;
    match mark.reasons.iter().find(|reason| **reason != open) {
        Some(reason) => Some(explain::reason(plan, part, reason)),
        // Points that are still to be keyed are no reason for a verdict.
        None if mark.verdict == Verdict::Wrong => {
            let cause = stack.first_cause(model.paper.paper, part);
            Some(cause.map_or_else(
                || explain::UNFORESEEN.to_owned(),
                |cause| format!("{cause}; ^O"),
            ))
        }
        None => Some(explain::reason(plan, part, mark.reasons.first()?)),
    }
}
