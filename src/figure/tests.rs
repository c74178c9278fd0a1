//! Filling a figure by hand: what is lettering, and what stays as it is. What is refused stands in
//! `tests/corpus/figures`.

use std::sync::Arc;

use super::Figure;
use crate::assignment::{self, Assignment};
use crate::course::Course;
use crate::diagnostic::Source;

fn assignment() -> Assignment {
    let text = r#"
        title = "A cart"
        code = "cart-1"
        text = "{m} {theta}"
        given = { m = { fixed = "2.0 kg" }, theta = { fixed = "-15.0 deg" } }
        find = { F = "N" }
        equation = { newton = "F = m*[9.8 m/s^2]*sin(theta)" }
        part = [{ id = "a", ask = "Find the force.", answer = "F", points = 1 }]
    "#;
    let name = "cart-1.toml".to_owned();
    let text = text.to_owned();
    let source = Arc::new(Source { name, text });
    let outcome = assignment::read(&source, &Course::default());
    outcome.sheet.unwrap().problems.remove(0)
}

fn values() -> Vec<String> {
    ["2.0\u{202f}kg", "\u{2212}15.0°"]
        .map(str::to_owned)
        .to_vec()
}

fn figure(inside: &str) -> Figure {
    let name = "cart-1.svg".to_owned();
    let text = format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{inside}</svg>");
    Figure::read(&Source { name, text }, &assignment()).unwrap()
}

#[test]
fn lettering_is_filled_and_nothing_else() {
    for (inside, filled) in [
        ("<text>{m}</text>", "<text>2.0\u{202f}kg</text>"),
        (
            "<text>a <tspan>{theta}</tspan> b</text>",
            "<text>a <tspan>\u{2212}15.0°</tspan> b</text>",
        ),
        ("<text>{{m}} {m}</text>", "<text>{m} 2.0\u{202f}kg</text>"),
        (
            "<text>&lt; &#123; {m}</text>",
            "<text>&lt; &#123; 2.0\u{202f}kg</text>",
        ),
        (
            "<style>text{fill:black}</style><!-- {m} -->",
            "<style>text{fill:black}</style><!-- {m} -->",
        ),
        ("<path id='{m}' d='M0 0'/>", "<path id='{m}' d='M0 0'/>"),
        ("<title>{m}</title>", "<title>2.0\u{202f}kg</title>"),
    ] {
        let expected = format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{filled}</svg>");
        assert_eq!(figure(inside).svg(&values()), expected, "{inside}");
    }
}

#[test]
fn the_description_speaks_for_the_figure_and_else_the_title() {
    for (inside, expected) in [
        (
            "<title>Cart</title><desc>A cart of\n  {m} &amp; more</desc>",
            Some("A cart of 2.0\u{202f}kg & more"),
        ),
        ("<title>Cart</title>", Some("Cart")),
        ("<title> </title>", None),
        ("<g><desc>part of it</desc></g>", None),
        ("", None),
    ] {
        let found = figure(inside).words(&values());
        assert_eq!(found.as_deref(), expected, "{inside}");
    }
}

#[test]
fn the_givens_that_stand_in_it_are_known() {
    let figure = figure("<text>{theta}</text><text>{theta} {m}</text>");
    assert_eq!(figure.givens().collect::<Vec<_>>(), [1, 1, 0]);
}
