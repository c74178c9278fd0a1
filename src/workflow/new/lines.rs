//! The lines that the form is filled in with, understood.
//!
//! In: a line such as `t = 1.20..2.40 0.02 s` or `h = g*t^2/2`. Out: a name and its value as the file has it.
//! Refused, in words: a line of another form.

use crate::quantity::Unit;
use crate::shelf::toml_string;

use super::form::{Entry, Form, Named};

/// A list of names.
pub(super) struct List {
    pub(super) prompt: &'static str,
    pub(super) none: &'static str,
    pub(super) read: fn(&Form, &str) -> Result<Named, String>,
    pub(super) of: fn(&mut Form) -> &mut Vec<Named>,
    pub(super) entry: fn(String) -> Entry,
}

pub(super) const GIVENS: List = List {
    prompt: "Given: `t = 1.20..2.40 0.02 s` (from..to step unit) or `g = 9.8 m/s^2`",
    none: "an assignment that gives nothing has one variant: name a given",
    read: given,
    of: |form| &mut form.givens,
    entry: Entry::Given,
};

pub(super) const UNKNOWNS: List = List {
    prompt: "Unknown with its unit: `h = m` (of two solutions one: `t = s above 0`)",
    none: "name what is sought",
    read: unknown,
    of: |form| &mut form.unknowns,
    entry: Entry::Unknown,
};

pub(super) const EQUATIONS: List = List {
    prompt: "Equation, such as `h = g*t^2/2`, with a name if you like: `fall: h = g*t^2/2`",
    none: "write at least one equation",
    read: equation,
    of: |form| &mut form.equations,
    entry: Entry::Equation,
};

/// The last word of a title that a code can begin with: `well` of "A stone in the well".
pub(super) fn stem(title: &str) -> String {
    let words = title.split(|letter: char| !letter.is_ascii_alphanumeric());
    let mut words = words.filter(|word| (3..=20).contains(&word.len()));
    let last = words.next_back().unwrap_or("problem");
    format!("{}-0", last.to_lowercase())
}

/// A tolerance for an answer of which a percentage has no meaning.
pub(super) fn own_tolerance(form: &Form, answer: &str) -> Option<&'static str> {
    let (_, unit) = form.unknowns.iter().find(|(name, _)| name == answer)?;
    // The unit is the first string, with a range or without.
    let unit = Unit::parse(unit.split('"').nth(1)?).ok()?;
    if unit.offset() != 0.0 {
        Some("0.5 K")
    } else if unit.is_angle() && !unit.is_turns() {
        Some("0.5 deg")
    } else {
        None
    }
}

/// `name = rest`.
fn split<'a>(line: &'a str, example: &str) -> Result<(&'a str, &'a str), String> {
    let found = line
        .split_once('=')
        .map(|(name, rest)| (name.trim(), rest.trim()));
    found
        .filter(|(name, _)| !name.is_empty())
        .ok_or_else(|| format!("expected {example}, found \"{line}\""))
}

/// `t = 1.20..2.40 0.02 s`, `g = 9.8 m/s^2`, or `n = 2, 3, 4` for a choice of values.
fn given(_: &Form, line: &str) -> Result<Named, String> {
    let example = "`t = 1.20..2.40 0.02 s`, `g = 9.8 m/s^2` or `m = 1.5 kg, 2.0 kg`";
    let (name, rest) = split(line, example)?;
    let no_step = || format!("a range needs a step behind it: {example}");
    let value = if let Some((from, rest)) = rest.split_once("..") {
        let (to, rest) = rest
            .trim()
            .split_once(char::is_whitespace)
            .ok_or_else(no_step)?;
        let rest = rest.trim();
        let rest = rest.strip_prefix("step ").unwrap_or(rest).trim();
        let is_number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        if !is_number(rest) {
            return Err(match rest.split_whitespace().position(is_number) {
                Some(at) => {
                    let step: Vec<&str> = rest.split_whitespace().skip(at).collect();
                    let from = from.split_whitespace().next().unwrap_or_default();
                    let step = step.join(" ");
                    format!("the unit stands once, behind the step: `{name} = {from}..{to} {step}`")
                }
                None => no_step(),
            });
        }
        let (step, unit) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
        let with = |number: &str| toml_string(format!("{} {}", number.trim(), unit.trim()).trim());
        format!(
            "{{ from = {}, to = {}, step = {} }}",
            with(from),
            with(to),
            with(step)
        )
    } else if rest.contains(", ") {
        let values: Vec<String> = rest
            .split(", ")
            .map(|value| toml_string(value.trim()))
            .collect();
        format!("{{ pick = [{}] }}", values.join(", "))
    } else if is_dashed(rest) {
        return Err(format!("from..to is written with two dots: {example}"));
    } else {
        format!("{{ fixed = {} }}", toml_string(rest))
    };
    Ok((name.to_owned(), value))
}

/// Whether it begins as a range with a dash does, `20-40`.
fn is_dashed(text: &str) -> bool {
    let number = |text: &str| {
        text.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.')
            .len()
    };
    let behind = &text[text.len() - number(text)..];
    let end = behind
        .trim_start()
        .strip_prefix(['-', '–'])
        .map(str::trim_start);
    behind.len() < text.len() && end.is_some_and(|end| number(end) < end.len())
}

/// `h = m`, or `t = s above 0 below v/g`; the unit of a plain number is left out: `n =`.
fn unknown(_: &Form, line: &str) -> Result<Named, String> {
    let (name, rest) = split(
        line,
        "`h = m`, `t = s above 0`, or `mu =` for a plain number",
    )?;
    let rest = format!(" {rest}");
    let bounds = [" above ", " below "].map(|word| rest.find(word).map(|at| (at, word)));
    let mut bounds: Vec<(usize, &str)> = bounds.into_iter().flatten().collect();
    bounds.sort_unstable();
    let unit = bounds.first().map_or(rest.len(), |(at, _)| *at);
    let unit = toml_string(rest[..unit].trim());
    if bounds.is_empty() {
        return Ok((name.to_owned(), unit));
    }
    let mut value = format!("{{ unit = {unit}");
    for (index, (at, word)) in bounds.iter().enumerate() {
        let end = bounds.get(index + 1).map_or(rest.len(), |(next, _)| *next);
        let bound = toml_string(rest[at + word.len()..end].trim());
        value += &format!(", {} = {bound}", word.trim());
    }
    Ok((name.to_owned(), value + " }"))
}

/// `h = g*t^2/2`, named by its number, or `fall: h = g*t^2/2`.
fn equation(form: &Form, line: &str) -> Result<Named, String> {
    if let Some((name, text)) = line.split_once(':') {
        return Ok((name.trim().to_owned(), toml_string(text.trim())));
    }
    let name = |number: usize| format!("law_{number}");
    let is_free = |name: &String| form.equations.iter().all(|(known, _)| known != name);
    let mut names = (1..).map(name).filter(is_free);
    let name = names.next().unwrap_or_default();
    Ok((name, toml_string(line)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_read_or_its_line_put_right() {
        for (line, said) in [
            (
                "m = 2.00..3.00 0.25 kg",
                "{ from = \"2.00 kg\", to = \"3.00 kg\", step = \"0.25 kg\" }",
            ),
            ("m = 2.00..3.00 step .25 kg", "step = \".25 kg\""),
            (
                "m = 2.00..3.00 kg 0.25 kg",
                "the unit stands once, behind the step: `m = 2.00..3.00 0.25 kg`",
            ),
            ("m = 1..2 kg", "a range needs a step behind it"),
            ("m = 1..2", "a range needs a step behind it"),
        ] {
            let found = given(&Form::default(), line).map_or_else(|why| why, |(_, value)| value);
            assert!(found.contains(said), "{line}: {found}");
        }
    }
}
