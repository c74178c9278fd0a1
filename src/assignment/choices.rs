//! Parts that ask for a word.
//!
//! In: `choose` and `also`. Out: the words, each with its condition and its other spellings.
//! Refused: fewer than two words, spellings of a word that is not there, and a spelling that
//! stands for two.

use rustc_hash::FxHashMap;

use super::model::{ChoiceOption, ChoicePart};
use super::names::{Scope, Use};
use super::raw::{Field, Fields, Node};
use super::report::Report;
use super::terms;
use crate::diagnostic::Span;

/// Reads the words a part lets choose from.
pub(crate) fn read(fields: &Fields, scope: &Scope, report: &mut Report<'_>) -> Option<ChoicePart> {
    let field = fields.get("choose")?;
    let words = &field.node.table()?.entries;
    if words.len() < 2 {
        report
            .error(
                field.node.span,
                "there must be at least two words to choose from",
            )
            .help("write choose = { up = \"a > 0\", down = \"a < 0\" }");
    }
    let spellings = fields.names("also");
    for entry in spellings {
        if !words.iter().any(|word| word.name == entry.name) {
            let known = words.iter().map(|word| word.name.as_str());
            let help = match report.nearest(&entry.name, known) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "each key of `also` is one of the words under `choose`".to_owned(),
            };
            report
                .error(
                    entry.key,
                    format!("`{}` is not among the words to choose from", entry.name),
                )
                .help(help);
        }
    }
    let mut taken = FxHashMap::default();
    let mut options = Vec::with_capacity(words.len());
    for word in words {
        claim(&word.name, word.key, word, &mut taken, report);
        let mut also = Vec::new();
        let entry = spellings.iter().find(|entry| entry.name == word.name);
        for text in entry
            .iter()
            .flat_map(|entry| entry.node.list())
            .filter_map(Node::text)
        {
            claim(text.text, text.inner(), word, &mut taken, report);
            also.push(text.text.to_owned());
        }
        let condition = word.node.text();
        let condition = condition.and_then(|text| terms::condition(text, Use::All, scope, report));
        if let Some(condition) = condition {
            options.push(ChoiceOption {
                label: word.name.clone(),
                condition,
                also,
            });
        }
    }
    Some(ChoicePart { options })
}

/// Takes a spelling for a word, unless it is blank or stands for one already.
fn claim<'a>(
    spelling: &str,
    span: Span,
    word: &'a Field,
    taken: &mut FxHashMap<String, &'a str>,
    report: &mut Report<'_>,
) {
    let plain = spelling.trim().to_lowercase();
    if plain.is_empty() {
        report
            .error(span, "a word to choose from is empty")
            .help("write what a student would write, or take it out");
    } else if let Some(other) = taken.insert(plain, &word.name) {
        report
            .error(span, format!("\"{spelling}\" stands for `{other}` already"))
            .help("capitals make no difference; each spelling stands once");
    }
}
