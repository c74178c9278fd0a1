//! What the fonts have, how texts are set, and that nothing of the outside can be reached.

use super::wording::{Run, paragraphs};
use super::*;
use crate::assignment::{Piece, Template as Text};

#[test]
fn texts_become_paragraphs() {
    let pieces = vec![
        Piece::Text("\nA crate\n  rests.\tIt's still.\r\n\r\nTake mg = ".to_owned()),
        Piece::Text("5\n \n".to_owned()),
        Piece::Text("kg \n".to_owned()),
    ];
    let mut missing = Missing::default();
    let set = paragraphs(&Text { pieces }, &[], &Fonts::default(), &mut missing);
    let text = |text: &str| vec![Run::Text(text.to_owned())];
    assert_eq!(
        set,
        [
            text("A crate rests. It’s still."),
            text("Take mg = 5"),
            text("kg")
        ]
    );
    assert!(missing.is_empty());
}

#[cfg(feature = "paper")]
#[test]
fn letters_without_a_shape_are_shown_and_told() {
    let fonts = Fonts::default();
    // All that this program prints of its own accord.
    for c in "−×·²³¹⁰⁴⁵⁶⁷⁸⁹⁻°′″□μΩαβγδεζηθικλνξπρσςτυφχψωΓΔΘΛΞΠΣΦΨ’“”–…\u{A0}\u{202F}".chars()
    {
        assert!(fonts.covers(c), "{c:?}");
    }
    let mut missing = Missing::default();
    assert_eq!(
        fonts.shown("Ana Kovačić, Ἀθηνᾶ, Ольга", &mut missing),
        "Ana Kovačić, Ἀθηνᾶ, Ольга"
    );
    assert!(missing.is_empty());
    assert_eq!(
        fonts.shown("王 😀 a\u{202E}b", &mut missing),
        "□ □ a<U+202E>b"
    );
    assert!(!missing.is_empty());
}

#[cfg(feature = "paper")]
#[test]
fn nothing_but_the_templates_and_the_data_can_be_read() {
    let draw = |text| {
        let template = Template {
            name: "test.typ",
            text,
        };
        draw(template, "test-1", &["7"], &Fonts::default())
    };
    let title = "#set document(title: \"t\")\n";
    assert!(draw("#set document(title: \"t\")\n#json(\"data.json\").first()").is_ok());
    for text in [
        "#set document(title: \"t\")\n#read(\"/etc/hostname\")",
        "#set document(title: \"t\")\n#read(\"../Cargo.toml\")",
        "#set document(title: \"t\")\n#import \"@preview/x:0.1.0\": y",
        "#set document(title: \"t\")\n#datetime.today().display()",
    ] {
        assert!(text.starts_with(title));
        assert!(draw(text).is_err(), "{text}");
    }
}
