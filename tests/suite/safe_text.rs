//! Foreign text on its way to a terminal: whatever stands in a file, what is drawn, printed or logged holds
//! no character that a terminal obeys or that hides (CWE-150).

use paperweight::diagnostic::{Diagnostic, Place, Source, Span, render};
use paperweight::text::{excerpt, safe, width};
use proptest::prelude::*;

/// Written down a second time, by what terminals and readers are known to do with them.
fn is_dangerous(c: char) -> bool {
    matches!(c,
        '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}'            // C0, DEL, C1
        | '\u{2028}' | '\u{2029}'                           // line and paragraph separator
        | '\u{61c}' | '\u{200e}' | '\u{200f}'               // direction marks
        | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' // embeddings, overrides, isolates
        | '\u{feff}' | '\u{ad}' | '\u{200b}'                // byte order mark, soft hyphen, zero width space
        | '\u{2060}'..='\u{2064}' | '\u{180e}'
        | '\u{e0000}'..='\u{e007f}'                         // tags
        | '\u{e0100}'..='\u{e01ef}'                         // variation selectors that can carry bytes
    )
}

fn texts() -> impl Strategy<Value = String> {
    let dangerous = prop::sample::select(vec![
        '\0',
        '\u{7}',
        '\u{8}',
        '\t',
        '\n',
        '\r',
        '\u{1b}',
        '\u{7f}',
        '\u{85}',
        '\u{9b}',
        '\u{9d}',
        '\u{2028}',
        '\u{2029}',
        '\u{61c}',
        '\u{200e}',
        '\u{202e}',
        '\u{2066}',
        '\u{feff}',
        '\u{ad}',
        '\u{200b}',
        '\u{e0041}',
        '\u{e0100}',
        '\u{301}',
        '\u{489}',
        '\u{200d}',
        '\u{200c}',
        '王',
        'é',
        '<',
        '>',
        '◌',
    ]);
    prop_oneof![
        any::<String>(),
        prop::collection::vec(prop_oneof![dangerous, any::<char>()], 0..40)
            .prop_map(String::from_iter)
    ]
}

proptest! {
    #[test]
    fn nothing_dangerous_is_left_and_nothing_is_lost(text in texts()) {
        let shown = safe(&text);
        prop_assert!(!shown.contains(is_dangerous), "{shown:?}");
        prop_assert_eq!(safe(&shown), shown.clone(), "safe text stays as it is");
        // what is not shown by a stand-in is still there, in its order
        let mut rest = shown.chars();
        for c in text.chars().filter(|c| !is_dangerous(*c) && width(&c.to_string()) > 0 && !paperweight::text::is_hidden(*c)) {
            prop_assert!(rest.any(|other| other == c), "{c:?} of {text:?} is lost in {shown:?}");
        }
        // a text that was changed is never the one that would be shown for a harmless text
        prop_assert!(text.contains(is_dangerous) <= (shown != text));
    }

    #[test]
    fn an_excerpt_is_safe_and_fits(text in texts(), columns in 1usize..30) {
        let shown = excerpt(&text, columns);
        prop_assert!(!shown.contains(is_dangerous));
        prop_assert!(width(&shown) <= columns, "{shown:?} takes {} of {columns}", width(&shown));
    }

    #[test]
    fn diagnostics_draw_nothing_dangerous(text in texts(), name in texts(), from in 0usize..80, length in 0usize..20) {
        let source = Source { name: name.clone(), text: text.clone() };
        let list = [
            Diagnostic::error(&name, Place::Span(Span::new(from, from + length)), text.clone()).label(text.clone()).help(text.clone()),
            Diagnostic::note(&name, Place::Line { line: 3, column: Some(1) }, text.clone()).help(text.clone()),
        ];
        let plain = render(&list, &[&source], false);
        prop_assert!(!plain.contains(|c| c != '\n' && is_dangerous(c)), "{plain:?}");
        // with colour, nothing but colours is added
        let colored = render(&list, &[&source], true);
        let escape = '\u{1b}';
        let mut stripped = String::new();
        let mut pieces = colored.split(escape);
        stripped += pieces.next().unwrap_or_default();
        for piece in pieces {
            let (code, rest) = piece.split_once('m').unwrap();
            prop_assert!(code.strip_prefix('[').is_some_and(|code| code.bytes().all(|b| b.is_ascii_digit() || b == b';')), "{code:?}");
            stripped += rest;
        }
        prop_assert_eq!(stripped, plain);
    }
}
