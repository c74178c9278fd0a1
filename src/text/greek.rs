//! The Greek letters and their English names, by which formulas may spell them.
//!
//! In: a letter or a name. Out: the other, if there is one.

/// Of letters with one name the first is the usual one. Not here: letters that look as Latin ones do.
#[rustfmt::skip]
const GREEK: [(char, &str); 37] = [
    ('α', "alpha"), ('β', "beta"), ('γ', "gamma"), ('δ', "delta"), ('ε', "epsilon"),
    ('ϵ', "epsilon"), ('ζ', "zeta"), ('η', "eta"), ('θ', "theta"), ('ϑ', "theta"), ('ι', "iota"),
    ('κ', "kappa"), ('λ', "lambda"), ('μ', "mu"), ('µ', "mu"), ('ν', "nu"), ('ξ', "xi"),
    ('π', "pi"), ('ρ', "rho"), ('σ', "sigma"), ('τ', "tau"), ('φ', "phi"), ('ϕ', "phi"),
    ('χ', "chi"), ('ψ', "psi"), ('ω', "omega"), ('Γ', "Gamma"), ('Δ', "Delta"), ('Θ', "Theta"),
    ('Λ', "Lambda"), ('Ξ', "Xi"), ('Π', "Pi"), ('Σ', "Sigma"), ('Φ', "Phi"), ('Ψ', "Psi"),
    ('Ω', "Omega"), ('υ', "upsilon"),
];

/// The English name of a Greek letter.
pub fn greek_name(letter: char) -> Option<&'static str> {
    let found = GREEK.iter().find(|(greek, _)| *greek == letter);
    found.map(|(_, name)| *name)
}

/// The Greek letter of this English name.
pub fn greek_letter(name: &str) -> Option<char> {
    let found = GREEK.iter().find(|(_, english)| *english == name);
    found.map(|(letter, _)| *letter)
}

/// The longest English name of a Greek letter that a text begins with and that `ends` there, told from
/// what follows.
pub fn greek_prefix(text: &str, ends: impl Fn(&str) -> bool) -> Option<&'static str> {
    let names = GREEK.iter().map(|(_, name)| *name);
    names
        .filter(|name| text.strip_prefix(name).is_some_and(&ends))
        .max_by_key(|name| name.len())
}
