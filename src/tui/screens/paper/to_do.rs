//! What is still to do on a paper: fields that nobody keyed, that need a look, points for working left open.
//!
//! In: the stack, a paper. Out: the first such field, or the parts in words.

use crate::marking::Reason;
use crate::record::Keying;
use crate::workflow::desk::Stack;

/// The first field that nobody keyed, this time; if there is none, the first that needs a look.
pub fn first_open(stack: &Stack, paper: usize, keying: Keying) -> usize {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let is_open = |&part: &usize| match keying {
        Keying::First => !on_desk.is_keyed(plan, part),
        Keying::Second => {
            let standing = on_desk.standing.get(&plan.parts[part].id);
            !stack.is_by_eye(part) && standing.is_none_or(|part| part.second.is_none())
        }
    };
    let open = (0..plan.parts.len()).find(is_open);
    open.unwrap_or_else(|| match keying {
        Keying::First => first_look(stack, paper),
        Keying::Second => 0,
    })
}

/// The first field that needs a look or is not keyed, or the first of all.
pub fn first_look(stack: &Stack, paper: usize) -> usize {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let looks = |&part: &usize| {
        let look =
            on_desk.mark(part).is_some_and(|mark| mark.look) && !on_desk.is_adjusted(plan, part);
        look || !on_desk.is_keyed(plan, part)
    };
    (0..plan.parts.len()).find(looks).unwrap_or(0)
}

/// The first part from `from` on whose points for working are still to be keyed.
pub(super) fn open_working(stack: &Stack, paper: usize, from: usize) -> Option<usize> {
    let on_desk = &stack.papers()[paper];
    (from..stack.plan().parts.len()).find(|&part| {
        !stack.is_by_eye(part)
            && !on_desk.is_adjusted(stack.plan(), part)
            && on_desk
                .mark(part)
                .is_some_and(|mark| mark.reasons.contains(&Reason::WorkingOpen))
    })
}

/// The parts of a paper that nobody keyed, in words.
pub(super) fn still_open(stack: &Stack, paper: usize) -> String {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let open = (0..plan.parts.len()).filter(|&part| !on_desk.is_keyed(plan, part));
    let ids: Vec<String> = open
        .map(|part| format!("({})", plan.parts[part].id))
        .collect();
    format!("{} to do", ids.join(", "))
}
