//! Finding a paper by a few letters.
//!
//! In: what was typed. Out: the papers it may mean, the likeliest first. Letters may be those of
//! the paper code, of the id (its end is enough), of the name, or the initials; capitals and
//! diacritics make no difference, and from four letters on one of them may be wrong. Among equals
//! a paper that another took the place of comes last, those still to be keyed come first, then the order of
//! the roster.

use frizbee::{Config, Matcher, SortStrategy};

use crate::record::Issue;
use crate::roster::Student;
use crate::text::{folded, words};

use super::{Progress, Stack};

/// From so many letters on one may be wrong.
const FORGIVING: usize = 4;

/// How well a paper fits, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    /// All of the code or of the id.
    Exact,
    /// The beginning of the code, the end of the id, the initials.
    Handle,
    /// The beginning of a word of the name.
    Word,
    /// The letters in their order, fewer gaps first.
    Letters(std::cmp::Reverse<u16>),
}

/// What a paper is found by: code, id, initials, name; folded.
pub fn handles(issue: &Issue, student: &Student<'_>) -> Vec<String> {
    let name = folded(student.name);
    let initials: String = words(&name)
        .filter_map(|word| word.chars().next())
        .collect();
    vec![
        folded(issue.code.as_str()),
        folded(student.id),
        initials,
        name,
    ]
}

impl Stack {
    /// The papers that `query` may mean, likeliest first; without a query all of them, in roster
    /// order.
    pub fn find(&self, query: &str) -> Vec<usize> {
        let query = folded(query.trim());
        if query.is_empty() {
            return (0..self.papers.len()).collect();
        }
        let typos = u16::from(query.chars().count() >= FORGIVING);
        let config = Config::default()
            .max_typos(Some(typos))
            .sort(SortStrategy::IndexAsc);
        let mut matcher = Matcher::new(query.as_str(), &config);
        let mut found: Vec<(Fit, bool, bool, usize)> = Vec::new();
        for (at, paper) in self.papers.iter().enumerate() {
            let best = |text: &str| matcher.match_list(&[text]).first().map(|found| found.score);
            if let Some(fit) = fit(&query, &paper.handles, best) {
                let done = paper.progress(self.plan()) != Progress::ToDo;
                found.push((fit, self.is_replaced(at), done, at));
            }
        }
        found.sort();
        found.into_iter().map(|(.., at)| at).collect()
    }
}

fn fit(query: &str, handles: &[String], mut score: impl FnMut(&str) -> Option<u16>) -> Option<Fit> {
    let [code, id, initials, name] = handles else {
        return None;
    };
    if code == query || id == query {
        return Some(Fit::Exact);
    }
    if code.starts_with(query) || id.ends_with(query) || initials.starts_with(query) {
        return Some(Fit::Handle);
    }
    if words(name).any(|word| word.starts_with(query)) {
        return Some(Fit::Word);
    }
    let best = [name, id].into_iter().filter_map(|text| score(text)).max();
    best.map(|score| Fit::Letters(std::cmp::Reverse(score)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_exact_handle_comes_before_a_beginning_and_that_before_letters() {
        let handles = ["k7m2q4x", "004071", "aob", "amina okonjo-bello"].map(str::to_owned);
        let fit = |query: &str| fit(query, &handles, |_| None);
        for (query, expected) in [
            ("004071", Some(Fit::Exact)),
            ("k7m2q4x", Some(Fit::Exact)),
            ("k7", Some(Fit::Handle)),
            ("71", Some(Fit::Handle)),
            ("ao", Some(Fit::Handle)),
            ("bel", Some(Fit::Word)),
            ("xyz", None),
        ] {
            assert_eq!(fit(query), expected, "{query}");
        }
    }
}
