//! What others wrote to the record while the desk was open, as it is shown here.
//!
//! In: what came. Out: the stack with it, every screen at the papers it was at, and a line that says what
//! came; it rings if the paper one is at has changed. What is being typed is left alone.

use crate::record::{Act, Deed};
use crate::text::counted;
use crate::workflow::desk::{CameIn, News, Stack};

use super::event::Effect;
use super::model::{Model, Place, Tone};
use super::screens::{across, class, find, paper};
use super::told::{origin, told};

/// Said before what others wrote.
const ELSEWHERE: &str = "from elsewhere: ";

/// Takes in what came.
pub(super) fn came(model: &mut Model, news: News) -> Vec<Effect> {
    let mut effects = Vec::new();
    if model.place == Place::Course {
        effects.push(Effect::Refresh);
    }
    let Some(stack) = &mut model.stack else {
        return effects;
    };
    let came = stack.take_in(news);
    if came.is_empty() {
        return effects;
    }
    stay(model, &came.places);
    let Some(stack) = &model.stack else {
        return effects;
    };
    let words = words(stack, &came);
    let here = model.paper.paper;
    let is_here = |at: usize| {
        stack.papers().get(at).map(|paper| &paper.issue.student)
            == stack.papers().get(here).map(|paper| &paper.issue.student)
    };
    let acts = came.acts.iter().filter(|act| is_told(act));
    let acts = acts.filter_map(|act| stack.paper_of(act.issue));
    let touched = acts.chain(came.papers.iter().copied()).any(is_here);
    if model.place == Place::Paper && touched {
        if model.paper.fresh {
            paper::refresh(model);
        }
        effects.push(Effect::Ring);
    }
    if model.place != Place::Course && !words.is_empty() {
        let before = &model.message.text;
        let text = match model.message.tone {
            Tone::Look if before.starts_with(ELSEWHERE) => format!("{before} · {words}"),
            Tone::Look | Tone::Alarm => format!("{before} · {ELSEWHERE}{words}"),
            Tone::Plain => format!("{ELSEWHERE}{words}"),
        };
        model.tell(Tone::Look, text);
    }
    effects
}

/// Papers lie in other places than before; whoever was at one stays at it.
pub(super) fn stay(model: &mut Model, places: &[usize]) {
    let moved = |at: usize| places.get(at).copied().unwrap_or(at);
    model.paper.paper = moved(model.paper.paper);
    for change in &mut model.preview.changes {
        change.paper = moved(change.paper);
    }
    if let Some(prompt) = &mut model.prompt
        && let Some(paper) = prompt.ask.paper_mut()
    {
        *paper = moved(*paper);
    }
    model.across.like = model.across.like.map(moved);
    let chosen = |found: &[usize], at: usize| found.get(at).map(|&at| moved(at));
    let to_find = chosen(&model.find.found, model.find.at).map(|at| {
        let stack = model.stack.as_ref();
        // Nobody did anything to the paper chosen, and another took its place: that one is meant.
        let is_gone = |stack: &&Stack| stack.papers()[at].progress(stack.plan()).is_nothing();
        let latest = stack.filter(is_gone).map(|stack| stack.latest_of(at));
        latest.unwrap_or(at)
    });
    let across = chosen(&model.across.found, model.across.at);
    let class = chosen(&model.class.found, model.class.at);
    find::list_again(model, to_find);
    across::list_again(model, across);
    class::list_again(model, class);
}

/// Whether an act is news to a teacher. That marks were taken changes nothing on a paper, and may be the
/// doing of this desk's own export.
fn is_told(act: &Act) -> bool {
    !matches!(act.deed, Deed::Accept { .. })
}

/// What came, in a line; nothing where nothing is to be told.
fn words(stack: &Stack, came: &CameIn) -> String {
    let mut words = Vec::new();
    let mut acts = came.acts.iter().filter(|act| is_told(act));
    if let Some(first) = acts.next() {
        let id = stack
            .paper_of(first.issue)
            .map_or("", |paper| stack.student(paper).id);
        let done = match first.deed {
            Deed::TakeBack { act } => {
                let what = origin(stack, act).map_or_else(|| "the last thing".to_owned(), told);
                format!("{what}, taken back")
            }
            ref deed => told(deed),
        };
        let more = match acts.count() {
            0 => String::new(),
            more => format!(", and {more} more"),
        };
        words.push(format!("{id} {done}{more}"));
    }
    match came.papers.as_slice() {
        [] => {}
        [one] => {
            let paper = &stack.papers()[*one];
            let (number, code) = (paper.issue.number, paper.issue.code.as_str());
            let id = stack.student(*one).id;
            words.push(format!("{id} has a new paper, paper {number}, {code}"));
        }
        several => words.push(format!("{} new papers", several.len())),
    }
    if came.due > 0 {
        let papers = counted(came.due, "paper");
        words.push(format!("another day due on {papers}"));
    }
    if let Some(first) = came.strangers.first() {
        words.push(format!(
            "{first} has a paper and is not on the roster as it was read: open the stack again"
        ));
    }
    words.join(" · ")
}
