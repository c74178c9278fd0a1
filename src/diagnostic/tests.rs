//! What is drawn, as a teacher sees it, and what is suggested.

use super::*;

fn source(text: &str) -> Source {
    Source {
        name: "ropes.toml".into(),
        text: text.into(),
    }
}

fn spot(text: &str, marked: &str) -> Place {
    let start = text.find(marked).unwrap();
    Place::Span(Span::new(start, start + marked.len()))
}

#[test]
fn a_span_draws_its_line() {
    let text = "[given]\nmA = \"6.0 kgg\"\n";
    let found = Diagnostic::error("ropes.toml", spot(text, "kgg"), "unknown unit 'kgg'")
        .label("not a unit")
        .help("did you mean 'kg'?");
    insta::assert_snapshot!(render(&[found], &[&source(text)], false));
}

#[test]
fn a_long_line_is_cut_around_the_mark() {
    let text = format!(
        "[given]\n{}é = bad{}\r\nnext",
        "x".repeat(100_000),
        " y".repeat(50_000)
    );
    let found = Diagnostic::warning("ropes.toml", spot(&text, "bad"), "odd");
    insta::assert_snapshot!(render(&[found], &[&source(&text)], false));
}

#[test]
fn what_hides_in_a_line_is_drawn() {
    let text = "a\u{202e}b\t\u{9b}31m = oops";
    let mut source = source(text);
    source.name = "a\u{1b}[31m.toml".into();
    let found = Diagnostic::note(&source.name, spot(text, "oops"), "see\nhere\u{7}")
        .label("\u{2028}")
        .help("\u{200b}");
    insta::assert_snapshot!(render(&[found], &[&source], false));
}

#[test]
fn a_streamed_place_is_told_in_a_line() {
    let line = |line, column| Place::Line { line, column };
    let list = [
        Diagnostic::error("set-3.csv", line(12, Some(3)), "id '042' stands twice")
            .help("give each student one row"),
        Diagnostic::warning("set-3.csv", line(13, None), "no name"),
        Diagnostic::note("-", Place::File, "comma taken as the separator"),
        Diagnostic::error(
            "gone.toml",
            Place::Span(Span::new(3, 4)),
            "its text is not at hand",
        ),
    ];
    insta::assert_snapshot!(render(&list, &[], false));
    insta::assert_snapshot!(render(&list[..1], &[], true).replace('\u{1b}', "ESC"));
}

#[test]
fn any_span_can_be_drawn() {
    let source = source("é\r\nb\n");
    for start in 0..9 {
        for end in 0..9 {
            let found = Diagnostic::error("ropes.toml", Place::Span(Span::new(start, end)), "m");
            let drawn = render(&[found], &[&source], start % 2 == 0);
            assert!(drawn.contains("ropes.toml:"), "{drawn}");
        }
    }
}

#[test]
fn did_you_mean() {
    let known = [
        "tolerance",
        "figures",
        "units",
        "a",
        "b",
        "mA",
        "mB",
        "turn",
    ];
    let cases = [
        ("tolerence", Some("tolerance")),
        ("figure", Some("figures")),
        ("Units", Some("units")),
        ("ma", Some("mA")),
        ("A", Some("a")),
        ("c", None),
        ("mC", None),
        ("tunr", Some("turn")),
        ("colour", None),
        ("", None),
    ];
    for (typed, expected) in cases {
        assert_eq!(nearest(typed, known), expected, "{typed}");
    }
    assert_eq!(nearest(&"x".repeat(1_000_000), known), None);
}
