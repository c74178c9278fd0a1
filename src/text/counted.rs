//! Counts in words.
//!
//! In: a number and a noun. Out: both, the noun in its plural where it is not one. Nothing is refused.

use std::fmt::Display;

/// `1 paper`, `5 papers`; `class` becomes `classes`.
pub fn counted<N: Display + PartialEq + From<u8>>(count: N, noun: &str) -> String {
    let ending = match (count == N::from(1), noun.ends_with('s')) {
        (true, _) => "",
        (false, true) => "es",
        (false, false) => "s",
    };
    format!("{count} {noun}{ending}")
}

#[cfg(test)]
mod tests {
    use super::counted;

    #[test]
    fn one_is_not_many() {
        let counts = [0, 1, 24].map(|count: usize| counted(count, "student"));
        assert_eq!(counts, ["0 students", "1 student", "24 students"]);
        assert_eq!(counted(2_u32, "class"), "2 classes");
    }
}
