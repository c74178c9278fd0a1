//! What is harmless stays, what is hidden is shown, what is too long is cut.

use super::*;

#[test]
fn harmless_text_is_borrowed() {
    for text in [
        "",
        "Ada",
        "Nguyễn Thị Hương",
        "Nguye\u{302}\u{303}n",
        "王秀英",
        "علی\u{200C}رضا",
        "עִבְרִית",
    ] {
        assert!(
            matches!(safe(text), Cow::Borrowed(t) if t == text),
            "{text:?}"
        );
    }
}

#[test]
fn prose_is_cut_between_words() {
    let say = "Compare the two forces on the sandbag.";
    let cases = [
        (say, 38, say),
        (say, 37, "Compare the two forces on the…"),
        (say, 30, "Compare the two forces on the…"),
        (say, 29, "Compare the two forces on…"),
        (say, 8, "Compare…"),
        (say, 7, "Compar…"),
        (" a\n b ", 9, "a b"),
        ("", 9, ""),
        ("Compare", 7, "Compare"),
    ];
    for (text, columns, expected) in cases {
        assert_eq!(opening(text, columns), expected, "{columns}");
        assert!(width(&opening(text, columns)) <= columns);
    }
}

#[test]
fn lines_are_broken_at_blanks() {
    assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
    assert_eq!(wrapped("unbreakable a b", 5), ["unbreakable", "a b"]);
    assert_eq!(wrapped("", 5), [""]);
}

#[test]
fn what_is_hidden_is_shown() {
    let cases = [
        ("A\tB", "A␉B"),
        ("\u{1b}[31mred", "␛[31mred"),
        ("a\r\nb\0", "a␍␊b␀"),
        ("\u{7f}", "␡"),
        ("\u{9b}31m", "<U+009B>31m"),
        ("x\u{85}y\u{2028}z", "x<U+0085>y<U+2028>z"),
        ("abc\u{202e}dcba", "abc<U+202E>dcba"),
        ("\u{feff}id", "<U+FEFF>id"),
        ("a\u{e0041}", "a<U+E0041>"),
        ("soft\u{ad}hyphen", "soft<U+00AD>hyphen"),
        ("a\u{200b}b", "a<U+200B>b"),
        ("\u{301}a", "◌\u{301}a"),
        (
            "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}f",
            "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}<2 more marks>f",
        ),
        (
            "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}",
            "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}<1 more mark>",
        ),
    ];
    for (text, expected) in cases {
        assert_eq!(safe(text), expected, "{text:?}");
        assert_eq!(safe(expected), expected, "safe text stays as it is");
    }
}

#[test]
fn lists_are_quoted() {
    assert_eq!(quoted([]), "");
    assert_eq!(quoted(["a"]), "'a'");
    assert_eq!(quoted(["a", "b\n", "c"]), "'a', 'b␊' and 'c'");
    assert!(quoted(["x"; 15]).ends_with("'x' and 3 more"));
    assert!(quoted(["x"; 13]).ends_with("'x' and 'x'"));
}

#[test]
fn an_excerpt_fits() {
    let cases = [
        ("short", 10, "short"),
        ("a longer name", 8, "a longe…"),
        ("王秀英", 6, "王秀英"),
        ("王秀英", 5, "王秀…"),
        ("王秀英", 4, "王…"),
        ("x", 0, "…"),
    ];
    for (text, columns, expected) in cases {
        assert_eq!(excerpt(text, columns), expected, "{text:?} in {columns}");
    }
    assert_eq!(excerpt(&"9".repeat(10_000_000), 5), "9999…");
}
