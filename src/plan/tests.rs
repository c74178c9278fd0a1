//! Plans of made-up and shipped assignments.

use std::sync::Arc;

use crate::assignment::Sheet;
use crate::course::Course;
use crate::diagnostic::Source;

use super::*;

fn sheet(text: &str) -> Sheet {
    let source = Arc::new(Source {
        name: "test.toml".to_owned(),
        text: text.to_owned(),
    });
    let outcome = crate::assignment::read(&source, &Course::default());
    let findings: Vec<_> = outcome
        .findings
        .iter()
        .map(|finding| &finding.message)
        .collect();
    outcome.sheet.unwrap_or_else(|| panic!("{findings:?}"))
}

fn shipped(code: &str) -> Sheet {
    let folder = env!("CARGO_MANIFEST_DIR");
    sheet(&std::fs::read_to_string(format!("{folder}/assignments/{code}.toml")).unwrap())
}

/// Draws spread over the values of the givens, whatever the requirements say.
fn samples(sheet: &Sheet) -> Vec<Vec<Vec<f64>>> {
    let draw = |k: u64, assignment: &Assignment| {
        let value = |(at, given): (u64, &crate::assignment::Given)| {
            let index = (3 * k + 5 * at + 1) % given.draw.count();
            given.draw.value(index).unwrap().si()
        };
        (0..).zip(&assignment.givens).map(value).collect::<Vec<_>>()
    };
    (0..4)
        .map(|k| {
            sheet
                .problems
                .iter()
                .map(|problem| draw(k, problem))
                .collect()
        })
        .collect()
}

fn plan(sheet: Sheet) -> Result<Plan, String> {
    let samples = samples(&sheet);
    prepare(sheet, &samples).map_err(|errors| errors[0].message.clone())
}

/// The roads of a part as names: `equations from inputs`.
fn roads(plan: &Plan, part: &str, which: fn(&AnswerPlan) -> &[Road]) -> Vec<String> {
    let assignment = &plan.sheet.problems[0];
    let at = assignment.parts.iter().position(|p| p.id == part).unwrap();
    let names = |road: &Road| {
        let equations: Vec<_> = road
            .equations
            .iter()
            .map(|&e| assignment.equations[e].name.as_str())
            .collect();
        let inputs: Vec<_> = road
            .inputs
            .iter()
            .map(|slot| {
                assignment.unknowns[slot - assignment.givens.len()]
                    .name
                    .as_str()
            })
            .collect();
        format!("{} from {}", equations.join("+"), inputs.join("+"))
    };
    which(plan.problems[0].answer(at).unwrap())
        .iter()
        .map(names)
        .collect()
}

#[test]
fn roads_are_the_smallest_sets_that_give_the_answer() {
    let plan = plan(shipped("ropes-1")).unwrap();
    let forward = |part| roads(&plan, part, |answer| &answer.roads);
    assert_eq!(roads(&plan, "b", |answer| &answer.own), ["together from "]);
    assert_eq!(forward("b"), [""; 0]);
    assert_eq!(forward("c"), ["bag from a", "moon+star from a"]);
    assert_eq!(forward("d"), ["moon from a+T1", "star from a"]);
    assert_eq!(
        roads(&plan, "b", |answer| &answer.back),
        ["bag from T1", "moon from T1+T2", "star from T2"]
    );
}

#[test]
fn by_narrows_the_roads() {
    let text = std::fs::read_to_string(format!(
        "{}/assignments/ropes-1.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    let narrowed = text.replace("answer = \"T1\"", "answer = \"T1\"\nby = [[\"bag\"]]");
    let plan_of = plan(sheet(&narrowed)).unwrap();
    assert_eq!(roads(&plan_of, "c", |answer| &answer.roads), ["bag from a"]);
    // The sets that are one road for the same answers may each be named.
    let whole = text.replace(
        "answer = \"a\"\npoints",
        "answer = \"a\"\nby = [\"bag\", \"moon\", \"star\"]\npoints",
    );
    assert!(whole.len() > text.len() && plan(sheet(&whole)).is_ok());
    let no_road = text.replace("answer = \"T1\"", "answer = \"T1\"\nby = [[\"star\"]]");
    assert!(
        plan(sheet(&no_road))
            .unwrap_err()
            .contains("no road to the answer of part `c`")
    );
}

const RAMP: &str = r#"
title = "A sledge"
code = "sledge"
seed = 1
text = "Take v = {v} and t = {t}."
variants = "student"
[given]
v = { from = "2.0 m/s", to = "6.0 m/s", step = "0.5 m/s" }
t = { from = "1.0 s", to = "3.0 s", step = "0.2 s" }
[find]
s = "m"
w = "m/s"
[equation]
EQUATIONS
[scheme]
tolerance = "1%"
[[part]]
id = "a"
ask = "How far?"
answer = "s"
points = 1
[[part]]
id = "b"
ask = "How fast?"
answer = "w"
points = 1
"#;

#[test]
fn equations_that_do_not_fit_are_refused_by_name() {
    for (equations, words) in [
        (
            "one = \"s + w*t = v*t\"",
            "do not determine `s`, `w`: 1 independent for 2 unknowns",
        ),
        (
            "one = \"s = v*t\"\ntwo = \"2*s + 0*w = 2*v*t\"",
            "do not determine `w`",
        ),
        (
            "one = \"s = v*t\"\ntwo = \"w = 2*v\"\nthree = \"w*t = 3*s\"",
            "`three` contradicts",
        ),
        (
            "one = \"s = v*t\"\ntwo = \"w^2 = v^2\"",
            "`w` has several solutions",
        ),
        (
            "one = \"s = v*t\"\ntwo = \"w^2 + v^2 = 0\"",
            "`two` has no solution for `w`",
        ),
        (
            "one = \"s = v*t\"\ntwo = \"w*(v*t - s) = v*s\"",
            "`two` does not determine `w`",
        ),
        (
            "one = \"s = v*t\"\ntwo = \"w = s/(t - t)\"",
            "no finite number for `w`",
        ),
    ] {
        let error = plan(sheet(&RAMP.replace("EQUATIONS", equations))).unwrap_err();
        assert!(error.contains(words), "{equations}: {error}");
    }
}

#[test]
fn a_redundant_equation_chooses_the_root() {
    let equations = "one = \"s = v*t\"\ntwo = \"w^2 = v^2\"\nthree = \"w*t = s\"";
    let plan = plan(sheet(&RAMP.replace("EQUATIONS", equations))).unwrap();
    let mut slots = vec![3.0, 2.0, 0.0, 0.0];
    plan.problems[0].solve(&mut slots).unwrap();
    assert_eq!(slots, [3.0, 2.0, 6.0, 3.0]);
}

#[test]
fn a_difference_of_equals_is_exactly_zero() {
    let equations = "one = \"s = v*t\"\ntwo = \"w = 0.1*v + 0.2*v - 0.3*v\"";
    let plan = plan(sheet(&RAMP.replace("EQUATIONS", equations))).unwrap();
    let mut slots = vec![3.0, 2.0, 0.0, 0.0];
    plan.problems[0].solve(&mut slots).unwrap();
    assert_eq!(slots[3], 0.0);
}

#[test]
fn all_shipped_assignments_can_be_prepared() {
    for code in [
        "ropes-1",
        "pulley-disc-1",
        "incline-1",
        "projectile-1",
        "collision-1",
    ] {
        assert!(plan(shipped(code)).is_ok(), "{code}");
    }
}
