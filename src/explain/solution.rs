//! Worked solutions as text for a terminal.
//!
//! In: a plan, a student's key and decimal mark. Out: for each part the question, the working line by line,
//! the answer and what bears it out. What the lines say is `worked`'s.

use crate::marking::Key;
use crate::plan::Plan;
use crate::text::DecimalMark;
use crate::worked::{self, Held, Line, Outcome};

use super::page::{Page, TOGETHER};
use super::{asked, looked_for, together};

/// The worked solution of every part, for one student's numbers and with their decimal mark.
pub fn worked(plan: &Plan, key: &Key, mark: DecimalMark) -> String {
    let mut page = Page::default();
    for (problem, mut solution) in worked::solutions(plan, key).into_iter().enumerate() {
        solution.each_leaf(&mut |leaf| leaf.write(mark));
        page.gap();
        page.heading(&format!("{} ({})", solution.title, solution.code));
        let numbers = solution.numbers.iter();
        let numbers: Vec<String> = numbers.map(|chain| together(&chain.text())).collect();
        page.line("numbers", &numbers.join(", "));
        for (at, name) in solution.names.iter().enumerate() {
            page.line(if at == 0 { "with" } else { "" }, &name.text());
        }
        held("required", &solution.required, &mut page);
        let places = plan.parts_of(problem);
        for (part, place) in solution.parts.iter().zip(places) {
            let model = &plan.assignment(place).parts[plan.parts[place].part];
            page.gap();
            page.heading(&format!("({})", part.id));
            asked(model, &key.problems[problem], mark, &mut page);
            for stage in &part.stages {
                stage.lines.iter().for_each(|told| line(told, &mut page));
            }
            outcome(&part.outcome, &mut page);
            held("check", &part.checks, &mut page);
        }
    }
    page.finish()
}

fn line(line: &Line, page: &mut Page) {
    let chains: Vec<String> = line.chains.iter().map(|chain| chain.text()).collect();
    let between = format!(" {} ", line.say.between());
    let text = format!("{} {}", chains.join(&between), line.say.after());
    page.line(&line.say.label(), text.trim_end());
}

fn outcome(outcome: &Outcome, page: &mut Page) {
    match outcome {
        Outcome::Answer { chain, size } => {
            let size = size.as_ref().map(|size| format!(", size {}", size.text()));
            page.line("answer", &(chain.text() + &size.unwrap_or_default()));
        }
        Outcome::Word { word, held: why } => {
            held("", why, page);
            page.line("answer", word);
        }
        Outcome::Eye(items) => looked_for(items, page),
    }
}

fn held(label: &str, held: &[Held], page: &mut Page) {
    for (at, Held { names, numbers }) in held.iter().enumerate() {
        let label = if at == 0 { label } else { "" };
        let numbers = numbers.as_ref().map(|numbers| {
            let numbers = numbers.text().replace(' ', &TOGETHER.to_string());
            format!(", that is {numbers}")
        });
        page.line(label, &(names.text() + &numbers.unwrap_or_default()));
    }
}
