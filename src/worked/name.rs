//! Names of the file as they are set on a board: `mA` is m with a small A, `mu_k` is μ with a small k.
//!
//! In: a name that formulas may use. Out: a letter and what stands below it; a word stays a word.

use super::maths::Maths;

/// Greek letters by the names that people type.
const GREEK: [(&str, char); 27] = [
    ("alpha", 'α'),
    ("beta", 'β'),
    ("gamma", 'γ'),
    ("delta", 'δ'),
    ("epsilon", 'ε'),
    ("zeta", 'ζ'),
    ("eta", 'η'),
    ("theta", 'θ'),
    ("kappa", 'κ'),
    ("lambda", 'λ'),
    ("mu", 'μ'),
    ("nu", 'ν'),
    ("xi", 'ξ'),
    ("rho", 'ρ'),
    ("sigma", 'σ'),
    ("tau", 'τ'),
    ("phi", 'φ'),
    ("chi", 'χ'),
    ("psi", 'ψ'),
    ("omega", 'ω'),
    ("Delta", 'Δ'),
    ("Theta", 'Θ'),
    ("Lambda", 'Λ'),
    ("Sigma", 'Σ'),
    ("Phi", 'Φ'),
    ("Omega", 'Ω'),
    ("pi", 'π'),
];

/// A name of the file as it is set.
pub fn set(name: &str) -> Maths {
    let (letter, below) = split(name);
    Maths::Name {
        letter: letter.to_owned(),
        below: below.to_owned(),
    }
}

fn split(name: &str) -> (String, &str) {
    // The answer of a part that asks for an expression has no letter of its own.
    if name.contains(' ') {
        return ("answer".to_owned(), "");
    }
    if let Some((head, below)) = name.split_once('_') {
        return (letter(head), below);
    }
    let greek = GREEK.iter().find_map(|(typed, letter)| {
        let rest = name.strip_prefix(typed)?;
        let goes_on = rest.chars().next().is_some_and(char::is_lowercase);
        (!goes_on).then(|| (letter.to_string(), rest))
    });
    if let Some(found) = greek {
        return found;
    }
    let first = name.chars().next().map_or(0, char::len_utf8);
    let (head, rest) = name.split_at(first);
    let mut letters = rest.chars();
    let is_index = match (letters.next(), letters.as_str()) {
        (Some(next), _) if next.is_numeric() || next.is_uppercase() => true,
        // vx, vy: a component.
        (Some('x' | 'y' | 'z'), "") => true,
        // Ek, Fres: a capital begins no word in lower case.
        _ => head.chars().all(char::is_uppercase),
    };
    if is_index {
        (head.to_owned(), rest)
    } else {
        (name.to_owned(), "")
    }
}

/// A Greek letter for its name.
fn letter(head: &str) -> String {
    let greek = GREEK.iter().find(|(typed, _)| *typed == head);
    greek.map_or_else(|| head.to_owned(), |(_, letter)| letter.to_string())
}

#[cfg(test)]
mod tests {
    use super::split;

    #[test]
    fn names_have_a_letter_and_what_stands_below_it() {
        for (name, letter, below) in [
            ("a", "a", ""),
            ("mA", "m", "A"),
            ("T1", "T", "1"),
            ("TL", "T", "L"),
            ("mu_k", "μ", "k"),
            ("mu", "μ", ""),
            ("theta1", "θ", "1"),
            ("alpha", "α", ""),
            ("θ", "θ", ""),
            ("v0y", "v", "0y"),
            ("vx", "v", "x"),
            ("Ek", "E", "k"),
            ("W", "W", ""),
            ("surplus", "surplus", ""),
            ("up", "up", ""),
            ("Deltax", "D", "eltax"),
            ("Delta_x", "Δ", "x"),
            ("answer of b", "answer", ""),
        ] {
            let (found, index) = split(name);
            assert_eq!((found.as_str(), index), (letter, below), "{name}");
        }
    }
}
