//! Assignment files, from TOML to marked papers.
//!
//! Input that begins with `~` fills the gaps of an assignment that is right but for them, one a line; all other is
//! the file itself. Held: there is a sheet or there are errors, each in its place in the file; drawing, planning,
//! solving, checking and marking end, within the fuzzer's limits of time and memory; whoever writes the key gets
//! it right; the points of any paper add up and lie between nothing and all; what is told may be shown.

use std::sync::Arc;

use paperweight::answer::{self, Context};
use paperweight::assignment::{self, Outcome, PartKind, Sheet};
use paperweight::course::Course;
use paperweight::diagnostic::{Diagnostic, Source};
use paperweight::lint::{Draws, lint, show};
use paperweight::marking::{Entry, Key, Marked, Marker, Paper};
use paperweight::plan::{self, PartPlan, Plan, key_diagnostic};
use paperweight::quantity::{Quantity, round_to_figures};
use paperweight::text::DecimalMark;
use paperweight::variant::{Allocator, Space, Taken};
use paperweight::{explain, feedback};
use rust_decimal::Decimal;

use super::told::{self, has_errors};

/// As many draws are tried when a plan is made by the program.
const SAMPLES: usize = 8;

/// Spaces of at most so many draws are checked as `check` does it, and so many equations: that takes its time.
const SMALL: u64 = 40;
const FEW: usize = 3;

/// A file with gaps for values, a derived name, a requirement, an unknown, equations, a slip, a tolerance and
/// an answer; `§` stands for the next line.
const GAPS: &str = r#"title = "Gaps"
code = "gaps-1"
text = "{p} {q} {r}"
variants = "student"
[given]
p = { fixed = "§" }
q = { from = "§", to = "§", step = "§" }
r = { pick = ["§", "§", "§"] }
[derived]
d = "§"
[find]
x = { unit = "§", above = "§" }
y = "§"
[require]
one = "§"
[possible]
two = "§"
[equation]
first = "§"
second = "§"
[scheme]
tolerance = "§"
figures = 3
[[part]]
id = "a"
ask = "?"
answer = "x"
points = 2
  [[part.slip]]
  answer = "§"
[[part]]
id = "b"
ask = "?"
answer = "§"
unit = "§"
points = 3
[[part]]
id = "c"
ask = "?"
choose = { more = "§", less = "§" }
points = 1
"#;

pub fn run(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let text = match text.strip_prefix('~') {
        Some(gaps) => filled(gaps),
        None => text.into_owned(),
    };
    let name = "a.toml".to_owned();
    let source = Arc::new(Source { name, text });
    let outcome = assignment::read(&source, &Course::default());
    let Outcome {
        sheet, findings, ..
    } = outcome;
    assert_eq!(sheet.is_none(), has_errors(&findings));
    told::findings(&findings, &[&source]);
    if let Some(sheet) = sheet {
        hand_out(sheet, &source);
    }
}

fn filled(gaps: &str) -> String {
    let mut lines = gaps.lines();
    let mut pieces = GAPS.split('§');
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        for c in lines.next().unwrap_or_default().chars() {
            match c {
                '"' | '\\' => out.extend(['\\', c]),
                c if c.is_control() => out += &format!("\\u{:04X}", u32::from(c)),
                c => out.push(c),
            }
        }
        out += piece;
    }
    out
}

/// Draws, plans, solves, checks and marks.
fn hand_out(sheet: Sheet, source: &Source) {
    let refused = |found: Diagnostic| told::findings(&[found], &[source]);
    let again = sheet.clone();
    let mut spaces = Vec::new();
    for problem in &again.problems {
        match Space::new(problem) {
            Ok(space) => spaces.push(space),
            Err(why) => return refused(why.diagnostic(problem)),
        }
    }
    let mut samples = vec![Vec::new(); SAMPLES];
    let mut drawn: Vec<Vec<Vec<Quantity>>> = vec![Vec::new(); SAMPLES];
    for (space, problem) in spaces.iter().zip(&again.problems) {
        let mut allocator = Allocator::new(space, Taken::default());
        for (at, sample) in samples.iter_mut().enumerate() {
            if let Err(why) = allocator.next(&format!("sample {at}"), 1, &[]) {
                return refused(why.diagnostic(problem));
            }
            let picks = allocator.picks();
            assert!(space.admits(picks));
            let values: Vec<Quantity> = space.values(picks).collect();
            assert_eq!(space.picks_of(&values).as_deref(), Some(picks));
            sample.push(values.iter().map(Quantity::si).collect());
            drawn[at].push(values);
        }
    }
    let plan = match plan::prepare(sheet, &samples) {
        Ok(plan) => plan,
        Err(errors) => {
            assert!(has_errors(&errors));
            return told::findings(&errors, &[source]);
        }
    };
    for values in drawn.iter().take(2) {
        let mut key = Key::default();
        let draws = values.iter().map(Vec::as_slice);
        match key.fill(&plan, draws) {
            Ok(()) => papers(&plan, &key),
            Err((at, why)) => {
                let draw: Vec<f64> = values[at].iter().map(Quantity::si).collect();
                refused(key_diagnostic(&plan.sheet.problems[at], &draw, &why));
            }
        }
    }
    let is_small = |space: &Space<'_>| {
        space.size().is_some_and(|size| size <= SMALL) && space.assignment().equations.len() <= FEW
    };
    if spaces.iter().all(is_small) {
        let draws: Result<Vec<Draws<'_>>, _> = spaces.iter().map(Draws::of).collect();
        if let Ok(draws) = draws {
            let report = lint(&plan, &draws, &[]);
            told::findings(&report.findings, &[source]);
            told::is_clean(&show(&report));
            assert!(serde_json::to_string(&report.problems).is_ok());
        }
    }
}

/// Marks a paper that is right, one that is odd and one that is blank.
fn papers(plan: &Plan, key: &Key) {
    let mut marker = Marker::new(plan);
    let right = paper(plan, |at| right(plan, key, at));
    let marked = marker.mark(key, &right);
    adds_up(plan, key, &marked);
    for (at, mark) in marked.parts.iter().enumerate() {
        let place = &plan.parts[at];
        if matches!(
            plan.problems[place.problem].parts[place.part],
            PartPlan::Answer(_)
        ) {
            let written = &right.entries[at];
            assert!(mark.verdict.is_right(), "{written:?}: {mark:?}, {key:?}");
        }
    }
    let odd = ["0", "-1e300 m", "7 or 8", "more", "1/3", "√2 N", "?", ""];
    let odd = paper(plan, |at| odd[at % odd.len()].to_owned());
    adds_up(plan, key, &marker.mark(key, &odd));
    adds_up(
        plan,
        key,
        &marker.mark(key, &paper(plan, |_| String::new())),
    );
}

/// The key of a part as a careful student writes it.
fn right(plan: &Plan, key: &Key, at: usize) -> String {
    let place = &plan.parts[at];
    let assignment = plan.assignment(at);
    let PartPlan::Answer(answer) = &plan.problems[place.problem].parts[place.part] else {
        return "more".to_owned();
    };
    let value = key.problems[place.problem].slots[answer.slot];
    let unit = plan::answer_part(assignment, place.part).map(|part| part.unit);
    let unit = unit.unwrap_or(paperweight::quantity::Unit::ONE);
    let number = round_to_figures(unit.from_si(value), 12);
    if unit.is_one() {
        return number;
    }
    format!("{number} {unit}")
}

fn paper(plan: &Plan, written: impl Fn(usize) -> String) -> Paper {
    let context = Context::plain(DecimalMark::Point);
    let mut paper = Paper::default();
    for (at, place) in plan.parts.iter().enumerate() {
        let part = &plan.assignment(at).parts[place.part];
        let text = written(at);
        paper.entries.push(match &part.kind {
            PartKind::Answer(_) => Entry::Answer(answer::read(&text, &context)),
            PartKind::Choose(choice) => Entry::Choice(answer::choice(&text, choice)),
            PartKind::Eye(_) => Entry::Eye(None),
        });
        paper.working.push(None);
    }
    paper
}

fn adds_up(plan: &Plan, key: &Key, marked: &Marked) {
    let parts: Decimal = marked.parts.iter().map(|part| part.points).sum();
    assert_eq!(parts + marked.paper_cost + marked.late, marked.total);
    assert!(marked.total >= Decimal::ZERO && marked.total <= marked.out_of);
    for part in &marked.parts {
        assert!(
            part.points >= Decimal::ZERO && part.points <= part.out_of,
            "{part:?}"
        );
    }
    let mut said = String::new();
    feedback::paper(plan, key, marked, &mut said);
    told::is_clean(&said);
    told::json(&said);
    assert!(!said.contains('\n'));
    told::is_clean(&explain::key(plan, key));
}
