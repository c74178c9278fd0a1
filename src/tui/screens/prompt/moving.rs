//! Moving an entry to another part or another paper; what is keyed there comes back in exchange.
//!
//! In: the entry one is at, and where it goes; `all` before a name moves everything. Out: acts that one undo takes
//! back. Refused, in words: a place without entries, the place where it stands.

use chrono::{DateTime, Utc};

use crate::record::{Keyed, Keying, NewAct};
use crate::workflow::desk::exchange;

use super::super::super::acts::save;
use super::super::super::event::Effect;
use super::super::super::model::Model;
use super::super::paper;
use super::ask::Ask;
use super::read::target;

/// Asks where the entry goes. Of a paper of which every number is another's it offers to move all.
pub fn r#move(model: &mut Model) {
    let part = model.paper.field;
    let asked = Ask::Move { part };
    match whole(model) {
        Some(id) => model.offer(asked, format!("{ALL} {id}")),
        None => model.ask(asked, String::new()),
    }
}

/// Typed before a name to move everything.
const ALL: &str = "all";

/// The student of whom every number on the paper is, where that may be told.
fn whole(model: &Model) -> Option<String> {
    let stack = model.stack.as_ref().filter(|_| !model.hides())?;
    let best = stack.papers().get(model.paper.paper)?.fits.first()?;
    best.is_whole
        .then(|| stack.student(best.paper).id.to_owned())
}

/// Moves an entry to a part of this paper or of another; what is keyed there comes back in exchange.
pub(super) fn moved(
    model: &mut Model,
    from: usize,
    text: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Effect>, String> {
    let Some(stack) = &model.stack else {
        return Err("no paper is open".to_owned());
    };
    let (paper, keying) = (model.paper.paper, model.keying);
    let (all, text) = match text.split_once(char::is_whitespace) {
        Some((ALL, who)) => (true, who.trim()),
        _ => (false, text),
    };
    let (to_paper, to) = target(stack, paper, from, text)?;
    if all && to_paper == paper {
        return Err("expected another paper to move everything to".to_owned());
    }
    if (to_paper, to) == (paper, from) {
        return Err("the entry stands there already".to_owned());
    }
    if stack.is_by_eye(to) {
        return Err("expected a part with an entry, found one judged by eye".to_owned());
    }
    let keyed = |paper: usize, part: usize| {
        let id = &stack.plan().parts[part].id;
        let standing = stack.papers()[paper].standing.get(id)?;
        match keying {
            Keying::First => standing.first.clone(),
            Keying::Second => standing.second.clone(),
        }
    };
    let act = |paper: usize, part: usize, keyed: Option<Keyed>| {
        let part = stack.plan().parts[part].id.clone();
        let deed = exchange::entry(part, keying, keyed);
        NewAct::new(now, stack.papers()[paper].issue.id, deed)
    };
    let exchanged = |from: usize, to: usize| {
        let (here, there) = (keyed(paper, from), keyed(to_paper, to));
        [act(to_paper, to, here), act(paper, from, there)]
    };
    if all {
        let new = stack.exchanged((paper, to_paper), keying, now);
        let (id, other) = (stack.student(paper).id, stack.student(to_paper).id);
        let words = format!(
            "all that was keyed for {id} and for {other} exchanged; charges let go and messages stay"
        );
        let effects = save(model, new, words.clone());
        paper::refresh(model);
        model.say(words);
        return Ok(effects);
    }
    let new = exchanged(from, to).to_vec();
    let (from_id, to_id) = (&stack.plan().parts[from].id, &stack.plan().parts[to].id);
    let words = if to_paper == paper {
        format!("{} ({from_id}) moved to ({to_id})", stack.student(paper).id)
    } else {
        let (id, other) = (stack.student(paper).id, stack.student(to_paper).id);
        format!("{id} ({from_id}) moved to {other} ({to_id})")
    };
    let effects = save(model, new, words.clone());
    paper::refresh(model);
    model.say(words);
    Ok(effects)
}
