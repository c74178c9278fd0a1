//! What may have been done on a paper, and what follows where the teacher takes it to be so.
//!
//! In: a paper of the stack. Out: its explanations, the best first; for a part the act that takes the first of
//! them as the reason: the number that was misread, or the points that the scheme gives for such a mistake,
//! with the reason as the note and its words for the student. Nothing is taken by itself.

use rust_decimal::Decimal;

use crate::explain;
use crate::marking::{Explanation, Kind, Marker};
use crate::record::Deed;

use super::super::marked::diagnosed;
use super::Stack;

impl Stack {
    /// What may have been done on a paper.
    pub fn causes(&self, paper: usize) -> &[Explanation] {
        let Some(on_desk) = self.papers.get(paper) else {
            return &[];
        };
        let Ok(key) = &on_desk.key else {
            return &[];
        };
        let plan = self.plan();
        let (mistakes, papers) = (self.prepared.mistakes(), (key, &on_desk.paper));
        on_desk.causes.get_or_init(|| {
            let marker = &mut Marker::new(plan);
            diagnosed::causes(plan, mistakes, marker, papers, &on_desk.marked)
        })
    }

    /// The first explanation of a part in a line, and how far the evidence goes; nothing where none is known,
    /// or what may be done wrong is still being prepared.
    pub fn first_cause(&self, paper: usize, part: usize) -> Option<String> {
        if !self.prepared.knows_mistakes() {
            return None;
        }
        let mut causes = self.causes(paper).iter();
        let cause = causes.find(|cause| cause.explains.contains(&part))?;
        Some(format!(
            "{}: {}",
            cause.strength.name(),
            explain::cause(self.plan(), cause)
        ))
    }

    /// What keeps the first explanation of a part from being taken as the reason, in words: its points are set
    /// as a whole, and those of the working are not keyed yet.
    pub fn waits_for_working(&self, paper: usize, part: usize) -> Option<String> {
        let id = &self.plan().parts[part].id;
        let keyed = self.papers.get(paper)?.standing.working(id);
        let wanted = self.part(part).working.len();
        let is_open = wanted > 0 && keyed.is_none();
        is_open.then(|| format!("key the working of ({id}) first: ^D sets all of its points"))
    }

    /// What is done where the first explanation of a part is taken as the reason, and that in words; nothing
    /// where nothing is known.
    pub fn taken_as_reason(&self, paper: usize, part: usize) -> Option<(Deed, String)> {
        let plan = self.plan();
        let mark = self.papers.get(paper)?.mark(part)?;
        let causes = self.causes(paper);
        let mut causes = causes.iter().filter(|cause| cause.explains.contains(&part));
        let cause = causes.next()?;
        if let Some((given, value)) = &cause.misread {
            // On a sheet of several problems givens go by other names.
            let index = plan.parts[part].problem;
            let mut ids = plan.sheet.given_ids();
            let (name, ..) = ids.find(|(_, problem, at)| {
                *problem == index && plan.sheet.problems[index].givens[*at].name == *given
            })?;
            let words = format!("taken as misread: {name} = {value}");
            let deed = Deed::Misread {
                given: name,
                value: Some(value.clone()),
            };
            return Some((deed, words));
        }
        let model = self.part(part);
        let share = match cause.kind {
            Kind::Slip => self.slip_share(paper, part)?,
            // Where the scheme gives nothing by itself, what it gives for a slip that was foreseen.
            _ if model.rules.diagnosed_share > Decimal::ZERO => model.rules.diagnosed_share,
            _ => model.rules.slip_share,
        };
        let value = model.points - Decimal::from(model.working.len());
        let costs = mark.unit_cost + mark.figures_cost;
        let points = (value * share + mark.working - costs).max(Decimal::ZERO);
        let points = points.round_dp(2).normalize();
        let note = explain::cause(plan, cause);
        let id = &plan.parts[part].id;
        let words = format!(
            "({id}) set to {points} of {}: {note}",
            model.points.normalize()
        );
        let deed = Deed::Adjust {
            part: id.clone(),
            points: Some(points),
            note,
            hint: Some(cause.hint.to_owned()).filter(|hint| !hint.is_empty()),
        };
        Some((deed, words))
    }

    /// The share of the foreseen slip that was found in a part.
    fn slip_share(&self, paper: usize, part: usize) -> Option<Decimal> {
        let plan = self.plan();
        let place = &plan.parts[part];
        let mark = self.papers.get(paper)?.mark(part)?;
        let answer = plan.problems[place.problem].answer(place.part)?;
        let slip = mark.reasons.iter().find_map(|reason| match reason {
            crate::marking::Reason::SlipMade { slip, .. } => Some(*slip),
            _ => None,
        })?;
        Some(answer.slips.get(slip)?.share)
    }
}
