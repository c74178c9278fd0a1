//! Codes that stand for students where their names are nobody's business.
//!
//! In: how many students there are, and 32 random bytes. Out: a code for each and an order for the rows,
//! both drawn from these bytes alone; with the same bytes the same comes out. The codes are no hashes
//! of ids or names, so nothing but the key file, `code,student,name`, leads back. They are six letters
//! without look-alikes: no spreadsheet program takes one for a number.

use rustc_hash::FxHashSet;

use crate::roster::Student;

use super::marks::push_cells;

/// The heading of the key file.
pub const KEY: [&str; 3] = ["code", "student", "name"];

/// Letters of a code; no I, L, O and U, which are misread.
const LETTERS: &[u8; 22] = b"ABCDEFGHJKMNPQRSTVWXYZ";

/// How many letters a code has: 113 million codes, so that far fewer students than that find one soon.
const LENGTH: usize = 6;

/// Codes by student, and the students in the order of the rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pseudonyms {
    /// The code of each student, by place on the roster.
    pub codes: Vec<String>,
    /// The places in the order in which they are written.
    pub order: Vec<usize>,
}

/// Draws codes and an order for so many students, some millions at most.
pub fn draw(students: usize, random: &[u8; 32]) -> Pseudonyms {
    let mut stream = Stream::new(random);
    let mut taken = FxHashSet::default();
    let mut codes = Vec::with_capacity(students);
    while codes.len() < students {
        let letters = (0..LENGTH).map(|_| char::from(LETTERS[stream.below(LETTERS.len())]));
        let code: String = letters.collect();
        if taken.insert(code.clone()) {
            codes.push(code);
        }
    }
    let mut order: Vec<usize> = (0..students).collect();
    for last in (1..students).rev() {
        order.swap(last, stream.below(last + 1));
    }
    Pseudonyms { codes, order }
}

impl Pseudonyms {
    /// The text of the key file, in the order of the codes, which is no order of the roster.
    pub fn key<'a>(&self, students: impl Iterator<Item = Student<'a>>) -> Vec<u8> {
        let mut rows: Vec<_> = self.codes.iter().zip(students).collect();
        rows.sort_by_key(|(code, _)| *code);
        let mut out = Vec::new();
        push_cells(KEY, &mut out);
        for (code, student) in rows {
            push_cells([code, student.id, student.name], &mut out);
        }
        out
    }
}

/// Random numbers out of the bytes given: BLAKE3's output, which can be drawn out to any length.
struct Stream(blake3::OutputReader);

impl Stream {
    fn new(random: &[u8; 32]) -> Self {
        Self(blake3::Hasher::new_keyed(random).finalize_xof())
    }

    /// A number from 0 on below another, each as likely; what would favour the small ones is drawn again.
    fn below(&mut self, end: usize) -> usize {
        let end = end as u64;
        let fair = u64::MAX - u64::MAX % end;
        loop {
            let mut bytes = [0; 8];
            self.0.fill(&mut bytes);
            let drawn = u64::from_le_bytes(bytes);
            if drawn < fair {
                return (drawn % end) as usize;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bytes_decide_and_nothing_else() {
        let one = draw(1000, &[7; 32]);
        assert_eq!(one, draw(1000, &[7; 32]));
        let other = draw(1000, &[8; 32]);
        assert_ne!(one.codes, other.codes);
        assert_ne!(one.order, other.order);
        let different: FxHashSet<&String> = one.codes.iter().collect();
        assert_eq!(different.len(), 1000);
        let mut sorted = one.order.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, (0..1000).collect::<Vec<_>>());
        assert_ne!(one.order, sorted);
        for code in &one.codes {
            assert!(code.len() == LENGTH && code.bytes().all(|letter| LETTERS.contains(&letter)));
        }
        assert_eq!(draw(0, &[7; 32]).codes.len(), 0);
        assert_eq!(draw(1, &[7; 32]).order, [0]);
    }

    /// Each place of a short roster comes first about equally often.
    #[test]
    fn the_order_is_fair() {
        let mut first = [0_u32; 5];
        for at in 0..2000_u32 {
            let mut random = [0; 32];
            random[..4].copy_from_slice(&at.to_le_bytes());
            first[draw(5, &random).order[0]] += 1;
        }
        // 400 each, six standard deviations of 17.9
        assert!(
            first.iter().all(|count| (293..=507).contains(count)),
            "{first:?}"
        );
    }

    #[test]
    fn the_key_tells_who_is_who() {
        let student = |id, name| Student {
            id,
            name,
            ..Student::default()
        };
        let drawn = Pseudonyms {
            codes: vec!["KKKKKK".into(), "AAAAAA".into()],
            order: vec![1, 0],
        };
        let key = drawn.key([student("007", "=Ada"), student("008", "Bo")].into_iter());
        assert_eq!(
            String::from_utf8(key).unwrap(),
            "code,student,name\r\nAAAAAA,008,Bo\r\nKKKKKK,007,'=Ada\r\n"
        );
    }
}
