//! The 24 SI prefixes, symbols and names (SI Brochure, 9th edition, table 7).
//!
//! In: the start of a unit as written. Out: the power of ten it stands for and what is left.
//! Prefixes never combine.

/// One prefix.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Prefix {
    /// The symbol it is printed with.
    pub symbol: &'static str,
    /// The name, in the spelling of the SI Brochure.
    pub name: &'static str,
    /// The power of ten.
    pub power: i8,
}

const fn prefix(symbol: &'static str, name: &'static str, power: i8) -> Prefix {
    Prefix {
        symbol,
        name,
        power,
    }
}

/// All prefixes, the largest first.
pub const PREFIXES: [Prefix; 24] = [
    prefix("Q", "quetta", 30),
    prefix("R", "ronna", 27),
    prefix("Y", "yotta", 24),
    prefix("Z", "zetta", 21),
    prefix("E", "exa", 18),
    prefix("P", "peta", 15),
    prefix("T", "tera", 12),
    prefix("G", "giga", 9),
    prefix("M", "mega", 6),
    prefix("k", "kilo", 3),
    prefix("h", "hecto", 2),
    prefix("da", "deca", 1),
    prefix("d", "deci", -1),
    prefix("c", "centi", -2),
    prefix("m", "milli", -3),
    prefix("µ", "micro", -6),
    prefix("n", "nano", -9),
    prefix("p", "pico", -12),
    prefix("f", "femto", -15),
    prefix("a", "atto", -18),
    prefix("z", "zepto", -21),
    prefix("y", "yocto", -24),
    prefix("r", "ronto", -27),
    prefix("q", "quecto", -30),
];

/// Other ways to write a prefix: the Greek letter mu (the table has the micro sign), the letter
/// u of keyboards without it, the American spelling of deca.
const ALSO: &[(&str, i8)] = &[("\u{3bc}", -6), ("u", -6)];
const ALSO_NAMES: &[(&str, i8)] = &[("deka", 1)];

/// The symbol printed for a power of ten; empty for 0 and for powers without a prefix.
pub(crate) fn symbol(power: i8) -> &'static str {
    PREFIXES
        .iter()
        .find(|p| p.power == power)
        .map_or("", |p| p.symbol)
}

/// Every way in which `text` starts with a prefix symbol: the power of ten and what follows.
pub(crate) fn symbols_at(text: &str) -> impl Iterator<Item = (i8, &str)> {
    let first = text.chars().next();
    let table = PREFIXES
        .iter()
        .map(|p| (p.symbol, p.power))
        .chain(ALSO.iter().copied());
    // Most prefixes are out by their first letter.
    table
        .filter(move |(symbol, _)| symbol.chars().next() == first)
        .filter_map(move |(symbol, power)| {
            let rest = text.strip_prefix(symbol)?;
            (!rest.is_empty()).then_some((power, rest))
        })
}

/// Every way in which lower-case `text` starts with a prefix name.
pub(crate) fn names_at(text: &str) -> impl Iterator<Item = (i8, &str)> {
    let first = text.as_bytes().first();
    let table = PREFIXES
        .iter()
        .map(|p| (p.name, p.power))
        .chain(ALSO_NAMES.iter().copied());
    table
        .filter(move |(name, _)| name.as_bytes().first() == first)
        .filter_map(move |(name, power)| {
            let rest = text.strip_prefix(name)?;
            (!rest.is_empty()).then_some((power, rest))
        })
}
