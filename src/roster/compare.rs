//! What changed from one version of a roster to the next.
//!
//! In go two rosters, out come [`Changes`]: who joined, left, goes by another name or moved to another section.
//! A student is who has the same id, letter for letter; two ids with the same name are pointed out and never
//! joined, for papers and marks belong to the id. Nothing is refused.

use rustc_hash::FxHashMap;

use super::Roster;

/// The differences, as places on the old and the new roster.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changes {
    /// On the new one only.
    pub joined: Vec<usize>,
    /// On the old one only.
    pub left: Vec<usize>,
    /// Same id, another name: old and new place.
    pub renamed: Vec<(usize, usize)>,
    /// Same id, another section: old and new place.
    pub moved: Vec<(usize, usize)>,
    /// One who left and one who joined that have the same name, each the only one of it: perhaps one student
    /// whose id was changed.
    pub perhaps: Vec<(usize, usize)>,
}

impl Changes {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        let lists = [&self.renamed, &self.moved];
        self.joined.is_empty() && self.left.is_empty() && lists.iter().all(|list| list.is_empty())
    }

    /// Compares two versions. Sections count only if both have any, names only if both students have one.
    pub fn between(old: &Roster, new: &Roster) -> Self {
        let mut changes = Self::default();
        let has_sections = old.sections().len() > 0 && new.sections().len() > 0;
        for (before, student) in old.iter().enumerate() {
            let Some(after) = new.find(student.id) else {
                changes.left.push(before);
                continue;
            };
            let now = new.get(after).unwrap_or_default();
            if ![student.name, now.name].contains(&"") && student.name != now.name {
                changes.renamed.push((before, after));
            }
            if has_sections && student.section != now.section {
                changes.moved.push((before, after));
            }
        }
        let joined = (0..new.len()).filter(|after| old.find(new.id(*after)).is_none());
        changes.joined = joined.collect();
        changes.perhaps = same_names(old, &changes.left, new, &changes.joined);
        changes
    }
}

/// Pairs of the same name, which nobody else in either list has.
fn same_names(old: &Roster, left: &[usize], new: &Roster, joined: &[usize]) -> Vec<(usize, usize)> {
    let by_name = |roster: &Roster, places: &[usize]| {
        let mut names: FxHashMap<String, Vec<usize>> = FxHashMap::default();
        for place in places {
            let name = roster.get(*place).unwrap_or_default().name.to_lowercase();
            if !name.is_empty() {
                names.entry(name).or_default().push(*place);
            }
        }
        names
    };
    let (before, after) = (by_name(old, left), by_name(new, joined));
    let mut pairs: Vec<(usize, usize)> = before
        .iter()
        .filter_map(
            |(name, old)| match (old.as_slice(), after.get(name)?.as_slice()) {
                ([old], [new]) => Some((*old, *new)),
                _ => None,
            },
        )
        .collect();
    pairs.sort_unstable();
    pairs
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;
    use crate::roster::RosterColumns;

    fn roster(text: &str) -> Roster {
        let declared = RosterColumns::default();
        Roster::read(Cursor::new(text), "r.csv", &declared)
            .unwrap()
            .0
    }

    #[test]
    fn changes_by_id() {
        let old = roster("id,name,section\n1,Ada,A\n2,Bo,A\n3,Cy,B\n4,Di,B\n5,Di,B\n6,Ed,\n");
        let new = roster("id,name,section\n3,Cy,A\n1,Ada B.,A\n9,bo,A\n10,Di,A\n6,,B\n07,Flo,A\n");
        let changes = Changes::between(&old, &new);
        let expected = Changes {
            joined: vec![2, 3, 5],
            left: vec![1, 3, 4],
            renamed: vec![(0, 1)],
            moved: vec![(2, 0), (5, 4)],
            // there were two of the name Di
            perhaps: vec![(1, 2)],
        };
        assert_eq!(changes, expected);
        assert!(!changes.is_empty());
        assert!(Changes::between(&old, &old).is_empty());
    }

    #[test]
    fn what_one_version_does_not_say_is_no_change() {
        let old = roster("id,name,section\n1,Ada,A\n");
        assert!(Changes::between(&old, &roster("id\n1\n")).is_empty());
        assert!(Changes::between(&roster("id\n1\n"), &old).is_empty());
    }
}
