//! Mistakes that teachers know, each found from a paper that makes it.

use std::path::Path;

use paperweight::diagnosis::{Classmates, Fit, Mistakes, diagnose, diagnose_within};
use paperweight::marking::{Diagnosed, Explanation, Key, Kind, Marker, Status, Strength, Verdict};
use rust_decimal::Decimal;

use crate::hands::desk::Desk;

/// What is said of a paper.
fn told(
    (desk, mistakes): (&Desk, &Mistakes),
    givens: &[(&str, &str)],
    cells: &[(&str, &str)],
) -> Vec<Explanation> {
    let key = desk.key(givens);
    let paper = desk.paper(cells);
    let evidence = Marker::new(&desk.plan).evidence(&key, &paper);
    diagnose(&desk.plan, mistakes, &key, &evidence)
}

/// Two buckets on one side of a well's wheel, one below the other, and one on the other side.
const WELL: &str = r#"
title = "Three buckets at the well"
code  = "well-3"
seed  = 5
text  = "Bucket {m1} with bucket {m2} below it, bucket {m3} on the other side, a disc of {M} and {R}."

[given]
m1 = { from = "2.00 kg", to = "6.00 kg", step = "0.10 kg" }
m2 = { from = "1.00 kg", to = "4.00 kg", step = "0.10 kg" }
m3 = { from = "1.00 kg", to = "4.00 kg", step = "0.10 kg" }
M  = { from = "2.00 kg", to = "5.00 kg", step = "0.10 kg" }
R  = { from = "10.0 cm", to = "30.0 cm", step = "0.5 cm" }
h  = { from = "1.00 m", to = "3.00 m", step = "0.05 m" }
g  = { fixed = "9.80 m/s^2" }

[derived]
I = "M*R^2/2"

[find]
a  = "m/s^2"
TA = "N"
TL = "N"
TB = "N"
alpha = "rad/s^2"
v  = { unit = "m/s", above = "0" }
t  = { unit = "s", above = "0" }

[require]
sinks = "m1 + m2 > m3 + [0.5 kg]"

[equation]
upper    = "m1*g + TL - TA = m1*a"
lower    = "m2*g - TL = m2*a"
side     = "(m1 + m2)*g - TA = (m1 + m2)*a"
other    = "TB - m3*g = m3*a"
wheel    = "(TA - TB)*R = I*alpha"
rim      = "a = alpha*R"
together = "(m1 + m2 - m3)*g = (m1 + m2 + m3 + M/2)*a"
speed    = "v^2 = 2*a*h"
fall     = "h = a*t^2/2"

[scheme]
figures = 4
tolerance = "0.2%"

[[part]]
id = "a"
ask = "The acceleration."
answer = "a"
points = 3
[[part]]
id = "heavy"
ask = "The tension in the upper rope on the heavy side."
answer = "TA"
points = 2
[[part]]
id = "low"
ask = "The tension in the rope between the two buckets."
answer = "TL"
points = 2
[[part]]
id = "light"
ask = "The tension on the light side."
answer = "TB"
points = 2
[[part]]
id = "alpha"
ask = "The angular acceleration."
answer = "alpha"
points = 2
[[part]]
id = "v"
ask = "The speed after h."
answer = "v"
points = 2
[[part]]
id = "t"
ask = "The time for h."
answer = "t"
points = 2
"#;

/// The student's numbers, as drawn.
const GIVENS: [(&str, &str); 6] = [
    ("m1", "4.30 kg"),
    ("m2", "1.90 kg"),
    ("m3", "2.60 kg"),
    ("M", "3.10 kg"),
    ("R", "23.5 cm"),
    ("h", "1.85 m"),
];

/// The same to reckon with.
const M1: f64 = 4.30;
const M2: f64 = 1.90;
const M3: f64 = 2.60;
const DISC: f64 = 3.10;
const R: f64 = 0.235;
const H: f64 = 1.85;
const G: f64 = 9.80;

/// Likely wrong ways with two bodies on one side of a pulley with mass, by their formulas: with D = m1 + m2 −
/// m3 and S = m1 + m2 + m3 right is a = D g/(S + M/2), (m1 + m2)(g − a), m2 (g − a) and m3 (g + a). The
/// list is common practice of the trade; the formulas follow from Newton's second law by hand.
#[test]
fn likely_wrong_ways_over_a_pulley_with_mass_are_found() {
    let (d, s) = (M1 + M2 - M3, M1 + M2 + M3);
    let right = d * G / (s + DISC / 2.0);
    let heavy = (M1 + M2) * (G - right);
    let rows: &[(&str, &str, f64, &str)] = &[
        (
            "the pulley's mass ignored",
            "a",
            d * G / s,
            "`M/2` left out",
        ),
        (
            "the pulley as a hoop",
            "a",
            d * G / (s + DISC),
            "the number `2` in",
        ),
        (
            "the moment of inertia for a mass",
            "a",
            d * G / (s + DISC * R * R / 2.0),
            "`I` in the place of `M/2`",
        ),
        (
            "the weights added",
            "a",
            s * G / (s + DISC / 2.0),
            "the sign of `m3` turned",
        ),
        (
            "one side's mass as the inertia",
            "a",
            d * G / (M1 + M2),
            "`m1 + m2` in the place of",
        ),
        (
            "the other side's mass as the inertia",
            "a",
            d * G / M3,
            "`m3` in the place of",
        ),
        ("free fall", "a", G, "`g` answered"),
        ("g forgotten", "a", d / (s + DISC / 2.0), "the factor `g`"),
        (
            "the lower body left out",
            "a",
            (M1 - M3) * G / (M1 + M3 + DISC / 2.0),
            "`TL` left out",
        ),
        (
            "the lower body left out of the drive",
            "a",
            (M1 - M3) * G / (s + DISC / 2.0),
            "`m2` left out",
        ),
        (
            "the lower body left out of the inertia",
            "a",
            d * G / (M1 + M3 + DISC / 2.0),
            "`m2` left out",
        ),
        (
            "the pulley's weight in the drive",
            "a",
            (d + DISC) * G / (s + DISC / 2.0),
            "`M` added",
        ),
        ("tension as own weight", "heavy", (M1 + M2) * G, "answered"),
        (
            "tension as the lighter side's weight",
            "heavy",
            M3 * G,
            "`m3*g` answered",
        ),
        (
            "tension as the sum of the weights",
            "heavy",
            s * G,
            "answered",
        ),
        (
            "tension as the difference of the weights",
            "heavy",
            d * G,
            "answered",
        ),
        (
            "the sign in the tension step, heavy side",
            "heavy",
            (M1 + M2) * (G + right),
            "the sign of",
        ),
        (
            "the sign in the tension step, light side",
            "light",
            M3 * (G - right),
            "the sign of",
        ),
        ("both tensions equal", "light", heavy, "`TA` answered"),
        (
            "another body at the lower rope",
            "low",
            M1 * (G - right),
            "`m1` in all places of `m2`",
        ),
        (
            "both bodies at the lower rope",
            "low",
            heavy,
            "`TA` answered",
        ),
        (
            "a weight taken off",
            "low",
            heavy - M1 * G,
            "`m1*a` left out",
        ),
        ("v without the root", "v", 2.0 * right * H, "not"),
        (
            "v without the 2",
            "v",
            (right * H).sqrt(),
            "the number `2` in",
        ),
        (
            "v with the 2 before the root",
            "v",
            2.0 * (right * H).sqrt(),
            "taken twice",
        ),
        (
            "t without the half",
            "t",
            (H / right).sqrt(),
            "the number `2` in",
        ),
        ("t without the root", "t", 2.0 * H / right, "not"),
        (
            "alpha multiplied",
            "alpha",
            right * R,
            "divided in `alpha*R`",
        ),
        (
            "alpha with the diameter",
            "alpha",
            right / (2.0 * R),
            "twice `R`",
        ),
    ];
    let desk = Desk::of(WELL);
    let mistakes = Mistakes::of(&desk.plan);
    let units = [
        ("a", "m/s^2"),
        ("heavy", "N"),
        ("low", "N"),
        ("light", "N"),
        ("alpha", "rad/s^2"),
        ("v", "m/s"),
        ("t", "s"),
    ];
    let mut missed = Vec::new();
    for (name, part, value, words) in rows {
        // Right up to there, and nothing after it.
        let all = [
            ("a", right),
            ("heavy", heavy),
            ("low", M2 * (G - right)),
            ("light", M3 * (G + right)),
            ("alpha", right / R),
            ("v", (2.0 * right * H).sqrt()),
            ("t", (2.0 * H / right).sqrt()),
        ];
        let mut cells = Vec::new();
        for ((id, own), (_, unit)) in all.into_iter().zip(units) {
            let value = if id == *part { *value } else { own };
            let text = paperweight::quantity::round_to_figures(value, 4);
            cells.push((id, format!("{text} {unit}")));
            if id == *part {
                break;
            }
        }
        let cells: Vec<(&str, &str)> = cells
            .iter()
            .map(|(id, text)| (*id, text.as_str()))
            .collect();
        let found = told((&desk, &mistakes), &GIVENS, &cells);
        if !found.iter().any(|found| found.says.contains(words)) {
            let said: Vec<String> = found.iter().map(|found| found.says.clone()).collect();
            missed.push(format!("{name}: {value:.4}: {said:?}"));
        }
        // One answer is never strong.
        assert!(
            found.iter().all(|found| found.strength != Strength::Strong),
            "{name}"
        );
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

/// One mistake that shows in two answers is strong; what follows from a faulty answer is no evidence.
#[test]
fn what_explains_two_faulty_answers_is_strong() {
    let desk = Desk::of(WELL);
    let mistakes = Mistakes::of(&desk.plan);
    let m2 = 9.10;
    let a = (M1 + m2 - M3) * G / (M1 + m2 + M3 + DISC / 2.0);
    let cells = [
        ("a", format!("{a:.3} m/s^2")),
        ("low", format!("{:.2} N", m2 * (G - a))),
    ];
    let cells: Vec<(&str, &str)> = cells
        .iter()
        .map(|(id, text)| (*id, text.as_str()))
        .collect();
    let found = told((&desk, &mistakes), &GIVENS, &cells);
    let misread = Some(("m2".to_owned(), "9.10 kg".to_owned()));
    let is_told = found
        .iter()
        .any(|at| at.kind == Kind::Entry && at.misread == misread);
    assert!(is_told, "{found:?}");
    for at in &found {
        assert_eq!(
            (at.strength, &at.explains[..]),
            (Strength::Strong, &[0, 2][..])
        );
        assert!(at.chance < 0.001, "{}", at.chance);
    }
}

/// A digit copied wrongly in one answer; what else fits depends on how much may be tried.
#[test]
fn work_is_bounded_and_what_is_left_out_is_told() {
    let desk = Desk::of(WELL);
    let mistakes = Mistakes::of(&desk.plan);
    let right = (M1 + M2 - M3) * G / (M1 + M2 + M3 + DISC / 2.0);
    let tenfold = format!("{:.2} m/s^2", 10.0 * right);
    let key = desk.key(&GIVENS);
    let paper = desk.paper(&[("a", tenfold.as_str())]);
    let evidence = Marker::new(&desk.plan).evidence(&key, &paper);
    let within = |most| diagnose_within(&desk.plan, &mistakes, &key, &evidence, most);
    let ten = |found: &[Explanation]| {
        let mut found = found.iter();
        found
            .find(|found| found.says.contains("power of ten"))
            .map(|found| (found.strength, found.untried))
    };
    assert_eq!(ten(&within(u64::MAX)), Some((Strength::Likely, 0)));
    assert_eq!(
        within(u64::MAX),
        diagnose(&desk.plan, &mistakes, &key, &evidence)
    );
    // Of no other mistake is known that it has other numbers.
    let (strength, none_tried) = ten(&within(0)).unwrap();
    assert_eq!(strength, Strength::Possible);
    let (_, some_tried) = ten(&within(500)).unwrap();
    assert!(0 < some_tried && some_tried < none_tried);
}

/// Three laws more, which say what others say and are not linear, as `check` tells. Everything on the shelf
/// stays within the bound.
#[test]
fn only_what_is_dear_goes_beyond_the_bound() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("assignments");
    for drawer in paperweight::shelf::drawers() {
        for item in drawer.items {
            let share = Mistakes::of(&Desk::of(item.text).plan).share_of_budget(0);
            assert!(share < 0.9, "{}: {share}", item.name);
        }
    }
    let text = std::fs::read_to_string(folder.join("momentum/ice-1.toml")).unwrap();
    let law = "direction  = \"phi = atan(vy/vx)\"\n";
    let more = format!(
        "{law}ratio = \"tan(phi) = m2*v2/(m1*v1)\"\neast = \"(m1 + m2)*v*cos(phi) = m1*v1\"\nnorth = \"(m1 + m2)*v*sin(phi) = m2*v2\"\n"
    );
    let dear = text
        .replace(law, &more)
        .replace("by = [\"eastwards\", \"northwards\", \"direction\"]\n", "");
    assert_ne!(dear, text);
    let share = Mistakes::of(&Desk::of(&dear).plan).share_of_budget(0);
    assert!(share > 1.0, "{share}");
}

/// A sledge on a slope, with misconceptions of angles, constants and the pen.
const SLOPE: &str = r#"
title = "A sledge on a slope"
code  = "slope-9"
seed  = 6
text  = "A sledge of {m} slides without friction down a slope of {theta} and of the length {s} from rest."

[given]
m     = { from = "21.0 kg", to = "48.0 kg", step = "0.5 kg" }
theta = { from = "18.0 deg", to = "33.0 deg", step = "0.5 deg" }
s     = { from = "11.0 m", to = "29.0 m", step = "0.5 m" }
g     = { fixed = "9.80 m/s^2" }

[find]
a = "m/s^2"
N = "N"
v = { unit = "m/s", above = "0" }

[equation]
along  = "m*a = m*g*sin(theta)"
across = "N = m*g*cos(theta)"
speed  = "v^2 = 2*a*s"

[scheme]
figures = 4
tolerance = "0.2%"

[[part]]
id = "a"
ask = "The acceleration."
answer = "a"
points = 1
[[part]]
id = "n"
ask = "The force from the slope."
answer = "N"
points = 1
[[part]]
id = "v"
ask = "The speed at the end."
answer = "v"
points = 1
"#;

/// Misconceptions of the trade beside those over a pulley, by their formulas: right is g sin θ, m g cos θ and
/// √(2as).
#[test]
fn misconceptions_of_angles_constants_and_the_pen_are_found() {
    let (m, theta, s) = (34.5, 23.0_f64.to_radians(), 17.5);
    let givens = [("m", "34.5 kg"), ("theta", "23.0 deg"), ("s", "17.5 m")];
    let a = G * libm::sin(theta);
    let force = m * G * libm::cos(theta);
    let v = (2.0 * a * s).sqrt();
    let four = |x: f64| paperweight::quantity::round_to_figures(x, 4);
    let swapped = |x: f64| {
        let mut letters: Vec<char> = four(x).chars().collect();
        let last = letters.len() - 1;
        letters.swap(last - 1, last);
        letters.into_iter().collect::<String>()
    };
    // What stands for each part, the first of them that is wrong, and words that name the mistake.
    let rows: &[(&str, [String; 3], &str)] = &[
        (
            "cosine for sine",
            [four(G * libm::cos(theta)), four(force), four(v)],
            "`cos` for `sin(theta)`",
        ),
        (
            "tangent for sine",
            [four(G * libm::tan(theta)), four(force), four(v)],
            "`tan` for `sin(theta)`",
        ),
        (
            "sine for cosine",
            [four(a), four(m * G * libm::sin(theta)), four(v)],
            "`sin` for `cos(theta)`",
        ),
        (
            "degrees as radians",
            [four(a), four(m * G * libm::cos(23.0)), four(v)],
            "in degrees taken as radians",
        ),
        (
            "the weight as the force",
            [four(a), four(m * G), four(v)],
            "`cos(theta)` in",
        ),
        (
            "g forgotten",
            [four(libm::sin(theta)), four(force), four(v)],
            "the factor `g`",
        ),
        (
            "another g",
            [four(10.0 * libm::sin(theta)), four(force), four(v)],
            "g = 10 m/s² used",
        ),
        ("no root", [four(a), four(force), four(2.0 * a * s)], "not"),
        (
            "ten times",
            [four(10.0 * a), four(force), four(v)],
            "power of ten",
        ),
        (
            "digits exchanged",
            [swapped(a), four(force), four(v)],
            "neighbouring digits exchanged",
        ),
        (
            "another box",
            [four(a), four(force), four(a)],
            "the answer to (a) in the box of (v)",
        ),
        (
            "rounded early",
            [four(a), four(force), four((2.0 * 4.0 * s).sqrt())],
            "rounded to one figure",
        ),
        (
            "a given misread",
            [four(a), four(43.5 * G * libm::cos(theta)), four(v)],
            "m = 43.5 kg used for 34.5 kg",
        ),
    ];
    let desk = Desk::of(SLOPE);
    let mistakes = Mistakes::of(&desk.plan);
    let mut missed = Vec::new();
    for (name, [own_a, own_force, own_v], words) in rows {
        let (own_a, own_force, own_v) = (
            format!("{own_a} m/s^2"),
            format!("{own_force} N"),
            format!("{own_v} m/s"),
        );
        let cells = [
            ("a", own_a.as_str()),
            ("n", own_force.as_str()),
            ("v", own_v.as_str()),
        ];
        let found = told((&desk, &mistakes), &givens, &cells);
        if !found.iter().any(|found| found.says.contains(words)) {
            let said: Vec<String> = found.iter().map(|found| found.says.clone()).collect();
            missed.push(format!("{name}: {cells:?}: {said:?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

/// A slip of the pen is made once: two of them have no single cause, so that nothing is strong.
#[test]
fn slips_of_the_pen_in_two_answers_are_not_one_mistake() {
    let desk = Desk::of(WELL);
    let mistakes = Mistakes::of(&desk.plan);
    // 3.409 m/s² and 34.34 N, in both two digits exchanged.
    let cells = [("a", "3.490 m/s^2"), ("light", "43.34 N")];
    let found = told((&desk, &mistakes), &GIVENS, &cells);
    let pen = |part: usize| {
        let mut found = found.iter();
        found.any(|at| at.explains == [part] && at.says.contains("digits exchanged"))
    };
    assert!(pen(0) && pen(3), "{found:?}");
    let strong = found.iter().find(|at| at.strength == Strength::Strong);
    assert_eq!(strong, None);
}

/// What a paper says of the others of its class; the student's own is the first.
fn fits(desk: &Desk, keys: &[Key], cells: &[(&str, String)]) -> Vec<Fit> {
    let classmates = Classmates::of(&desk.plan, keys.iter());
    let cells: Vec<(&str, &str)> = cells
        .iter()
        .map(|(id, cell)| (*id, cell.as_str()))
        .collect();
    let paper = desk.paper(&cells);
    let evidence = Marker::new(&desk.plan).evidence(&keys[0], &paper);
    classmates.fits(&desk.plan, 0, &evidence)
}

/// Another paper's answers are known by their last digits; two of three figures, or three of two. What follows
/// from the student's own answers is no second one, and an own mistake is nobody's numbers.
#[test]
fn another_papers_numbers_are_known_by_their_last_digits() {
    let desk = Desk::of(WELL);
    let mut others = GIVENS;
    others[0] = ("m1", "5.20 kg");
    others[1] = ("m2", "2.40 kg");
    others[2] = ("m3", "1.70 kg");
    let keys = [desk.key(&GIVENS), desk.key(&others)];
    let units = [
        ("a", "m/s^2"),
        ("heavy", "N"),
        ("low", "N"),
        ("light", "N"),
        ("alpha", "rad/s^2"),
        ("v", "m/s"),
        ("t", "s"),
    ];
    let cell = |of: &Key, id: &'static str, figures: u8| {
        let part = units.iter().position(|(known, _)| *known == id).unwrap();
        let slot = desk.plan.problems[0].answer(part).unwrap().slot;
        let text = paperweight::quantity::round_to_figures(of.problems[0].slots[slot], figures);
        (id, format!("{text} {}", units[part].1))
    };
    let [own, other] = &keys;
    let two = [cell(other, "a", 3), cell(other, "low", 3)];
    let found = fits(&desk, &keys, &two);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].paper, &found[0].parts[..]), (1, &[0, 2][..]));
    assert!(found[0].is_whole);
    let beside = [
        cell(other, "a", 3),
        cell(other, "low", 3),
        cell(own, "light", 3),
    ];
    assert!(fits(&desk, &keys, &beside).iter().all(|fit| !fit.is_whole));
    // One is not enough, nor are two of two figures; three are.
    assert!(fits(&desk, &keys, &two[..1]).is_empty());
    let coarse = ["a", "low", "light"].map(|id| cell(other, id, 2));
    assert!(fits(&desk, &keys, &coarse[..2]).is_empty());
    assert_eq!(fits(&desk, &keys, &coarse).len(), 1);
    // R is the same on both papers: α follows from the a that was taken over, and says nothing more.
    let following = [cell(other, "a", 3), cell(other, "alpha", 3)];
    assert!(fits(&desk, &keys, &following).is_empty());
    // A last digit that is off by one.
    let slots = &other.problems[0].slots;
    let slot = |part: usize| desk.plan.problems[0].answer(part).unwrap().slot;
    let near = [
        cell(other, "a", 3),
        ("low", format!("{:.1} N", slots[slot(2)] + 0.1)),
    ];
    assert!(fits(&desk, &keys, &near).is_empty());
    // The pulley's mass ignored, and on from there.
    let a = (M1 + M2 - M3) * G / (M1 + M2 + M3);
    let own_mistake = [
        ("a", format!("{a:.2} m/s^2")),
        ("low", format!("{:.1} N", M2 * (G - a))),
    ];
    assert!(fits(&desk, &keys, &own_mistake).is_empty());
}

/// A mistake that was worked out earns what the scheme says: by default nothing, and nothing before the
/// teacher has looked where it may be luck.
#[test]
fn a_mistake_that_was_found_earns_what_the_scheme_says() {
    let half = |text: String| text.replace("[scheme]\n", "[scheme]\ndiagnosed_share = \"50%\"\n");
    let (desk, plain) = (Desk::changed("ropes-1", half), Desk::shipped("ropes-1"));
    let marked = |desk: &Desk, chance: f64| {
        let paper = desk.paper(&[("c", "1.00 N")]);
        let diagnosed = [Diagnosed { part: 2, chance }];
        let key = desk.drawn("somebody");
        let marked = Marker::new(&desk.plan).mark_diagnosed(&key, &paper, &diagnosed);
        let part = &marked.parts[2];
        assert_eq!(part.verdict, Verdict::Wrong);
        (
            part.points,
            part.look && part.working.is_zero(),
            marked.status,
        )
    };
    // Of three points one is for the working, which nobody keyed.
    let (points, _, _) = marked(&desk, 0.001);
    assert_eq!(points, Decimal::ONE);
    let (points, look, status) = marked(&desk, 0.05);
    assert_eq!(
        (points, look, status),
        (Decimal::ZERO, true, Status::NeedsALook)
    );
    let (points, ..) = marked(&plain, 0.001);
    assert_eq!(points, Decimal::ZERO);
}

/// A direction is another's wherever it is counted from, by whole turns; where a sign counts, a number with the
/// other sign is not.
#[test]
fn another_papers_direction_is_known_by_any_turn() {
    let text = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("assignments/statics/dogs-1.toml"),
    );
    let desk = Desk::of(&text.unwrap());
    let keys = [desk.drawn("s1"), desk.drawn("s2")];
    let value = |part: usize| {
        let slot = desk.plan.problems[0].answer(part).unwrap().slot;
        keys[1].problems[0].slots[slot]
    };
    let number = |value: f64| paperweight::quantity::round_to_figures(value, 4);
    let of = |x: f64, turns: f64| {
        let degrees = value(3).to_degrees() + 360.0 * turns;
        [
            ("a", format!("{} N", number(x))),
            ("d", format!("{degrees:.1} deg")),
        ]
    };
    for turns in [0.0, 1.0, -1.0, 2.0] {
        let found = fits(&desk, &keys, &of(value(0), turns));
        assert_eq!(found.len(), 1, "{turns}");
        assert!(found[0].is_whole, "{turns}");
    }
    assert!(fits(&desk, &keys, &of(-value(0), 0.0)).is_empty());
}

/// A calculator left on radians is one mistake, not one for each angle: sizes count, so that the signs are no
/// matter.
#[test]
fn what_is_done_throughout_is_one_mistake() {
    let desk = Desk::of(SLOPE);
    let mistakes = Mistakes::of(&desk.plan);
    let (m, theta) = (34.5, 23.0);
    let four = |x: f64| paperweight::quantity::round_to_figures(x, 4);
    let a = format!("{} m/s^2", four(G * libm::sin(theta)));
    let force = format!("{} N", four(m * G * libm::cos(theta)));
    let givens = [("m", "34.5 kg"), ("theta", "23.0 deg"), ("s", "17.5 m")];
    let found = told(
        (&desk, &mistakes),
        &givens,
        &[("a", a.as_str()), ("n", force.as_str())],
    );
    let radians = found
        .iter()
        .find(|at| at.says.contains("radians throughout"));
    let radians = radians.unwrap_or_else(|| panic!("{found:?}"));
    assert_eq!(
        (radians.strength, &radians.explains[..]),
        (Strength::Strong, &[0, 1][..])
    );
}

/// Three figures are asked for and more are given: 100 N is no 132 N, though it may be read with one figure.
#[test]
fn zeros_at_the_end_are_figures_where_so_many_are_asked_for() {
    let desk = Desk::of(SLOPE);
    let mistakes = Mistakes::of(&desk.plan);
    let givens = [("m", "34.5 kg"), ("theta", "23.0 deg"), ("s", "17.5 m")];
    let sine = |cell: &str| {
        let found = told((&desk, &mistakes), &givens, &[("n", cell)]);
        found.iter().any(|at| at.says.contains("`sin` for"))
    };
    assert!(sine("132.1 N"));
    assert!(!sine("100 N"));
}

/// A lift that slows down on its way up, as it is felt on the scales in it.
const LIFT: &str = r#"
title = "A crate in a lift"
code  = "lift-9"
seed  = 8
text  = "A cable pulls with {F} on a lift of {M}, a crate of {m} in it."

[given]
M = { from = "400 kg", to = "600 kg", step = "5 kg" }
m = { from = "21.0 kg", to = "48.0 kg", step = "0.5 kg" }
F = { from = "3000 N", to = "4000 N", step = "10 N" }
g = { fixed = "9.80 m/s^2" }

[find]
a = "m/s^2"
N = "N"

[equation]
lift  = "F - (M + m)*g = (M + m)*a"
crate = "N - m*g = m*a"

[scheme]
figures = 4
tolerance = "0.2%"

[[part]]
id = "a"
ask = "The size of the acceleration."
answer = "a"
points = 1
[[part]]
id = "n"
ask = "The force from the floor on the crate."
answer = "N"
points = 1
"#;

/// Where a size is asked for it is right without its sign, and yet it is gone on with the wrong way.
#[test]
fn a_size_that_is_carried_on_without_its_sign_is_found() {
    let desk = Desk::of(LIFT);
    let mistakes = Mistakes::of(&desk.plan);
    let (all, m, pull) = (500.0 + 34.5, 34.5, 3500.0);
    let a: f64 = pull / all - G;
    assert!(a < 0.0);
    let givens = [("M", "500 kg"), ("m", "34.5 kg"), ("F", "3500 N")];
    let four = |x: f64| paperweight::quantity::round_to_figures(x, 4);
    let size = format!("{} m/s^2", four(-a));
    let force = format!("{} N", four(m * (G - a)));
    let found = told(
        (&desk, &mistakes),
        &givens,
        &[("a", size.as_str()), ("n", force.as_str())],
    );
    let carried = found.iter().find(|at| at.says.contains("wrong sign"));
    assert!(carried.is_some_and(|at| at.explains == [1]), "{found:?}");
    // With its sign there is nothing to find.
    let signed = format!("{} m/s^2", four(a));
    let right = format!("{} N", four(m * (G + a)));
    let found = told(
        (&desk, &mistakes),
        &givens,
        &[("a", signed.as_str()), ("n", right.as_str())],
    );
    assert!(found.is_empty(), "{found:?}");
}
