//! What `check` finds: one small assignment for each finding, and the shipped ones, which give none.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use paperweight::assignment;
use paperweight::course::Course;
use paperweight::diagnostic::{Place, Source, render};
use paperweight::lint::{AnswerReport, Asks, Draws, Report, lint, show};
use paperweight::plan::{self, Plan};
use paperweight::text::width;
use paperweight::variant::{Allocator, Space, Taken};

use crate::hands::corpus;

fn source(path: &Path) -> Arc<Source> {
    let name = path.file_name().unwrap().to_str().unwrap().to_owned();
    let text = fs::read_to_string(path).unwrap();
    Arc::new(Source { name, text })
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The shipped assignments, for sheets that name them.
fn course() -> Course {
    let mut paths: Vec<_> = fs::read_dir(root().join("assignments"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    paths.sort();
    Course::new(paths.iter().map(|path| source(path))).0
}

/// A plan tried on a few draws, as the program makes it.
fn plan(path: &Path) -> (Plan, Vec<Arc<Source>>) {
    let outcome = assignment::read(&source(path), &course());
    let sources = outcome.sources;
    let drawn: Vec<&Source> = sources.iter().map(|source| &**source).collect();
    let Some(sheet) = outcome.sheet else {
        panic!("{}", render(&outcome.findings, &drawn, false));
    };
    let mut samples = vec![Vec::new(); 8];
    for problem in &sheet.problems {
        let space = Space::new(problem).unwrap();
        let mut allocator = Allocator::new(&space, Taken::default());
        for (at, sample) in samples.iter_mut().enumerate() {
            allocator.next(&format!("sample {at}"), 1, &[]).unwrap();
            let picks = allocator.picks().iter().enumerate();
            sample.push(
                picks
                    .map(|(given, &pick)| space.si(given, pick))
                    .collect::<Vec<f64>>(),
            );
        }
    }
    match plan::prepare(sheet, &samples) {
        Ok(plan) => (plan, sources),
        Err(errors) => panic!("{}", render(&errors, &drawn, false)),
    }
}

fn check(plan: &Plan) -> Report {
    let spaces: Vec<Space<'_>> = plan
        .sheet
        .problems
        .iter()
        .map(|problem| Space::new(problem).unwrap())
        .collect();
    let draws: Vec<Draws<'_>> = spaces
        .iter()
        .map(|space| Draws::of(space).unwrap())
        .collect();
    lint(plan, &draws, &[])
}

/// What a teacher reads: findings with their places and remedies, and a report that fits the screen.
fn told(path: &Path) -> String {
    let (plan, sources) = plan(path);
    let report = check(&plan);
    for finding in &report.findings {
        let told = &finding.message;
        assert!(finding.help.is_some(), "{told}");
        assert!(!told.ends_with('.'), "{told}");
        assert_eq!(finding.file, sources[0].name, "{told}");
        if let Place::Span(span) = finding.place {
            let length = sources[0].text.len();
            assert!(span.start < span.end && span.end <= length, "{told}");
        }
    }
    for line in show(&report).lines() {
        assert!(width(line) <= 80, "{line}");
        assert_eq!(line, line.trim_end());
    }
    let sources: Vec<&Source> = sources.iter().map(|source| &**source).collect();
    format!(
        "{}\n{}",
        render(&report.findings, &sources, false),
        show(&report)
    )
}

#[test]
fn each_finding_is_told() {
    insta::with_settings!({ snapshot_path => "../corpus/lint/told", prepend_module_to_snapshot => false }, {
        corpus::each("lint", "toml", |path| {
            insta::assert_snapshot!(told(path));
        });
    });
}

#[test]
fn the_same_plan_gives_the_same_report() {
    for name in ["luck.toml", "hard-draws.toml", "versions-agree.toml"] {
        let path = root().join("tests/corpus/lint").join(name);
        assert_eq!(told(&path), told(&path));
    }
}

#[test]
fn shipped_assignments_give_no_warning() {
    // The sheet holds the other three.
    for code in ["sheet-1", "pulley-disc-1", "projectile-1"] {
        let path = root().join(format!("assignments/{code}.toml"));
        let (plan, sources) = plan(&path);
        let report = check(&plan);
        let drawn: Vec<&Source> = sources.iter().map(|source| &**source).collect();
        let found = render(&report.findings, &drawn, false);
        assert!(found.is_empty(), "{code}\n{found}");
    }
}

/// A plan of a text, tried on a few draws.
fn plan_of(text: &str) -> Plan {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made-up.toml");
    fs::write(&path, text).unwrap();
    plan(&path).0
}

fn push(given: &str, rest: &str) -> String {
    format!(
        "title = \"t\"\ncode = \"t-1\"\nseed = 1\ntext = \"{{F}} {{m}}\"\nvariants = \"student\"\n[given]\n{given}\n[find]\na = \"m/s^2\"\n[equation]\npush = \"F = m*a\"\n[scheme]\nfigures = 3\n[[part]]\nid = \"a\"\nask = \"?\"\nanswer = \"a\"\npoints = 2\n{rest}"
    )
}

fn answer(report: &Report) -> &AnswerReport {
    match &report.problems[0].parts[0].asks {
        Asks::Answer(answer) => answer,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_lone_window_takes_its_share_of_random_values() {
    let given = "F = { from = \"400 N\", to = \"900 N\", step = \"10 N\" }\nm = { from = \"101 kg\", to = \"199 kg\", step = \"1 kg\" }";
    // Half-width over the 30 % that values lie within; rounding widens it by at most a tenth.
    for (tolerance, expected) in [("1%", 1.0 / 30.0), ("2%", 2.0 / 30.0), ("3%", 3.0 / 30.0)] {
        let plan = plan_of(&push(given, &format!("tolerance = \"{tolerance}\"\n")));
        let credit = answer(&check(&plan)).credit.unwrap();
        assert!(
            (credit - expected).abs() < 0.1 * expected,
            "{tolerance}: {credit}"
        );
    }
}

#[test]
fn keys_and_pairs_are_counted() {
    // a = 3, 4, 5, 6 times 10/6 m/s² twice: 1 of 8 values for each, the other given being idle.
    let given = "F = { pick = [\"30.0 N\", \"40.0 N\", \"50.0 N\", \"60.0 N\"] }\nm = { fixed = \"6.00 kg\" }\nh = { pick = [\"1.00 m\", \"2.00 m\", \"3.00 m\", \"4.00 m\", \"5.00 m\", \"6.00 m\", \"7.00 m\", \"8.00 m\", \"9.00 m\"] }";
    let plan = plan_of(&push(given, "tolerance = \"1%\"\n"));
    let report = check(&plan);
    let problem = &report.problems[0];
    assert_eq!(
        (problem.solved, problem.extent.of, problem.size),
        (36, Some(36), Some(36))
    );
    // Each of 4 values goes with 9 heights: 4 · 36 pairs of 630.
    assert!((problem.agree.unwrap() - 4.0 * 36.0 / 630.0).abs() < 1e-12);
    let (least, most) = answer(&report).keys.unwrap();
    assert!((least - 5.0).abs() < 1e-12 && (most - 10.0).abs() < 1e-12);
}

#[test]
fn rounding_on_the_way_is_what_it_does_by_hand() {
    // v = a·t with a to three figures: a = 3.00 ± 0.005 moves v by 1 part in 600, t is given.
    let text = "title = \"t\"\ncode = \"t-1\"\nseed = 1\ntext = \"{t}\"\nvariants = 1\n[given]\nt = { fixed = \"4.00 s\" }\n[find]\na = \"m/s^2\"\nv = \"m/s\"\n[equation]\none = \"a*t = [12.0 m/s]\"\ntwo = \"v = a*t\"\n[scheme]\ntolerance = \"1%\"\nfigures = 3\n[[part]]\nid = \"a\"\nask = \"?\"\nanswer = \"a\"\npoints = 1\n[[part]]\nid = \"b\"\nask = \"?\"\nanswer = \"v\"\npoints = 1\n";
    let report = check(&plan_of(text));
    let Asks::Answer(answer) = &report.problems[0].parts[1].asks else {
        panic!("{report:?}");
    };
    assert!(
        (answer.rounding.unwrap() - 1.0 / 600.0).abs() < 1e-12,
        "{answer:?}"
    );
    assert_eq!(answer.roads[0].from, ["a"]);
}

#[test]
fn at_a_stationary_point_rounding_is_seen_too() {
    // A range at 45°: the slope in theta is 0, half a degree costs 1 − cos 1° of it.
    let text = "title = \"t\"\ncode = \"t-1\"\nseed = 1\ntext = \"{v}\"\nvariants = 1\n[given]\nv = { fixed = \"20.0 m/s\" }\n[find]\ntheta = { unit = \"deg\", above = \"0\", below = \"[80 deg]\" }\nx = \"m\"\n[equation]\none = \"tan(theta) = 1\"\ntwo = \"x = v^2*sin(2*theta)/[9.8 m/s^2]\"\n[scheme]\nfigures = 2\n[[part]]\nid = \"a\"\nask = \"?\"\nanswer = \"theta\"\npoints = 1\n[[part]]\nid = \"b\"\nask = \"?\"\nanswer = \"x\"\npoints = 1\n";
    let report = check(&plan_of(text));
    let Asks::Answer(answer) = &report.problems[0].parts[1].asks else {
        panic!("{report:?}");
    };
    let expected = 1.0 - libm::cos(std::f64::consts::PI / 180.0);
    assert!(
        (answer.rounding.unwrap() - expected).abs() < 1e-9,
        "{answer:?}"
    );
}

#[test]
fn large_spaces_are_sampled_and_small_ones_gone_through() {
    for (to, checked, of) in [
        ("50.0 kg", 401 * 301, Some(401 * 301)),
        ("60.0 kg", 20_000, None),
    ] {
        let given = format!(
            "F = {{ from = \"400 N\", to = \"800 N\", step = \"1 N\" }}\nm = {{ from = \"20.0 kg\", to = \"{to}\", step = \"0.1 kg\" }}"
        );
        let plan = plan_of(&push(&given, ""));
        let space = Space::new(&plan.sheet.problems[0]).unwrap();
        let draws = Draws::of(&space).unwrap();
        assert_eq!((draws.len(), draws.extent.of), (checked, of));
        let mut picks: Vec<&[u32]> = (0..draws.len()).map(|draw| draws.picks(draw)).collect();
        picks.sort_unstable();
        picks.dedup();
        assert_eq!(picks.len(), checked, "all different");
    }
}

#[test]
fn a_tolerance_wide_enough_for_zero_needs_no_word() {
    let path = root().join("tests/corpus/lint/zero-key.toml");
    let text = fs::read_to_string(path).unwrap();
    let mended = text.replace("tolerance = \"1%\"", "").replace(
        "sign = \"fixed\"",
        "sign = \"fixed\"\ntolerance = [\"1%\", \"0.02 m/s^2\"]",
    );
    let report = check(&plan_of(&mended));
    assert!(report.findings.is_empty(), "{:?}", report.findings);
}

#[test]
fn sheets_are_checked_problem_by_problem() {
    let (sheet, _) = plan(&root().join("assignments/sheet-1.toml"));
    let report = check(&sheet);
    let codes: Vec<&str> = report.problems.iter().map(|p| p.code.as_str()).collect();
    assert_eq!(codes, ["ropes-1", "incline-1", "collision-1"]);
    let shown = show(&report);
    let heading: Vec<&str> = shown.lines().take(4).collect();
    assert_eq!(
        heading,
        [
            "sheet-1  Sheet 1: forces, slopes and collisions",
            "  a sheet of 3 problems with 17 parts, out of 40",
            "",
            "ropes-1  Moon and star above the stage",
        ]
    );
    let (alone, _) = plan(&root().join("assignments/ropes-1.toml"));
    assert!(check(&alone).sheet.is_none());
    assert_eq!(report.problems[1].parts[2].id, "2c");
    let told = serde_json::to_value(&report.problems[1].parts[2]).unwrap();
    assert_eq!(
        told["asks"]["answer"]["roads"][0]["from"],
        serde_json::json!(["f", "a"])
    );
}
