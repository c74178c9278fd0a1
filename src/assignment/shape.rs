//! Checks the form of a file against the key table.
//!
//! In: the tree of [`super::raw`] and a table of [`super::keys`]. Out: a finding for every unknown or
//! missing key and every value of the wrong kind; such values are marked as broken, so that what
//! comes after sees values of the right form or none.

use super::keys::{ASSIGNMENT, GIVEN, Key, SHEET, Shape, TABLES, Table};
use super::raw::{Field, Fields, Node, Value};
use super::report::Report;
use super::syntax;
use crate::diagnostic::Span;

/// The longest name a teacher may choose for a quantity, an equation or a condition.
const LONGEST_NAME: usize = 40;
/// The most entries of a table, and the most tables in a list.
const MOST: usize = 64;
/// The most values in a list.
const MOST_VALUES: usize = 256;

/// Checks the keys of a table and, one by one, what stands behind them. Of a file: whether all its sections
/// are known.
pub(crate) fn check(fields: &mut Fields, table: &'static Table, report: &mut Report<'_>) -> bool {
    let mut meant = Vec::new();
    let mut are_known = true;
    let is_file = fields.span.is_none();
    for field in &mut fields.entries {
        match table.key(&field.name) {
            Some(key) => value(&mut field.node, key.name, key, &key.shape, report),
            None if is_file && is_section(field) => {
                are_known = false;
                meant.extend(section(field, table, report));
                field.node.value = Value::Broken;
            }
            None => {
                meant.extend(unknown(field, table, report));
                field.node.value = Value::Broken;
            }
        }
    }
    for key in table.keys().filter(|key| key.required) {
        if fields.get(key.name).is_none() && !meant.contains(&key.name) {
            report
                .table(
                    fields.span,
                    format!("{} needs `{}`: {}", table.name, key.name, key.about),
                )
                .help(written(key));
        }
    }
    are_known
}

/// How a key is written, by its example.
fn written(key: &Key) -> String {
    match key.shape {
        Shape::List(Shape::Table(table), _) => format!("each begins with a line {}", table.header),
        _ => format!("for example {} = {}", key.name, key.example),
    }
}

/// Whether something unknown stands under a header of its own, and belongs in no other table.
fn is_section(field: &Field) -> bool {
    if elsewhere(&field.name).is_some() {
        return false;
    }
    match &field.node.value {
        Value::Table(_) => true,
        Value::List(nodes) => nodes.iter().any(|node| node.table().is_some()),
        _ => false,
    }
}

/// A table that has a key of this name.
fn elsewhere(name: &str) -> Option<&'static Table> {
    TABLES.into_iter().find(|table| table.key(name).is_some())
}

/// Reports a section that is not known; the one that was probably meant.
fn section(field: &Field, table: &'static Table, report: &mut Report<'_>) -> Option<&'static str> {
    let name = field.name.as_str();
    let known: Vec<(&'static str, String)> = table
        .keys()
        .filter_map(|key| Some((key.name, header(key)?)))
        .collect();
    let list: Vec<&str> = known.iter().map(|(_, header)| header.as_str()).collect();
    let list = format!("sections of {} are: {}", table.name, list.join(", "));
    let near = report.nearest(name, known.iter().map(|(name, _)| *name));
    let meant = known.iter().find(|(name, _)| Some(*name) == near);
    let capitals = if near.is_some_and(|near| near.eq_ignore_ascii_case(name)) {
        " capitals count;"
    } else {
        ""
    };
    let help = match meant {
        Some((_, header)) => format!("did you mean {header}?{capitals} {list}"),
        None => list,
    };
    let written = match field.node.value {
        Value::List(_) => format!("[[{name}]]"),
        _ => format!("[{name}]"),
    };
    let message = format!("{} has no section {written}", table.name);
    report.error(field.key, message).help(help);
    near
}

/// Reports an unknown key; the key that was probably meant.
fn unknown(field: &Field, table: &'static Table, report: &mut Report<'_>) -> Option<&'static str> {
    let name = field.name.as_str();
    let known: Vec<&'static str> = table.keys().map(|key| key.name).collect();
    let list = known.join(", ");
    let near = report.nearest(name, known.iter().copied());
    let help = match (near, elsewhere(name)) {
        (_, Some(other)) => format!(
            "it belongs in {}; keys of {} are: {list}",
            place_in(other, name),
            table.name
        ),
        (Some(near), None) => format!("did you mean `{near}`? keys of {} are: {list}", table.name),
        (None, None) => format!("keys of {} are: {list}", table.name),
    };
    report
        .error(field.key, format!("{} has no key `{name}`", table.name))
        .help(help);
    near
}

/// The header of the section that a key begins; none of one that stands in a line.
fn header(key: &Key) -> Option<String> {
    match key.shape {
        Shape::Table(_) | Shape::Names(_) => Some(format!("[{}]", key.name)),
        Shape::List(Shape::Table(table), _) => Some(table.header.to_owned()),
        _ => None,
    }
}

/// Where in a file a key of this table stands. Keys of a file itself stand in its first lines, but for those
/// that begin a section.
fn place_in(table: &Table, name: &str) -> String {
    let is_file = [&ASSIGNMENT, &SHEET]
        .iter()
        .any(|file| std::ptr::eq(*file, table));
    let begins_section = table.key(name).and_then(header).is_some();
    match is_file && !begins_section {
        true => format!("the first lines of {}", table.header),
        false => table.header.to_owned(),
    }
}

/// Checks one value, which messages call `name`; `shape` is the key's own or a part of it.
fn value(node: &mut Node, name: &str, key: &Key, shape: &Shape, report: &mut Report<'_>) {
    if matches!(node.value, Value::Broken) {
        return;
    }
    let fits = match (shape, &mut node.value) {
        (Shape::Text, Value::Text(..)) | (Shape::Flag, Value::Flag(_)) => true,
        (Shape::Amount, Value::Number(..)) => true,
        (Shape::Whole(least, most), Value::Number(number, whole)) => {
            let within = number
                .parse()
                .is_ok_and(|n: u64| (*least..=*most).contains(&n));
            *whole && within
        }
        (Shape::Word(words), Value::Text(text, _)) => words.contains(&text.as_str()),
        (Shape::List(inner, least), Value::List(nodes)) => {
            let span = node.span;
            return list(nodes, span, key, inner, *least, report);
        }
        (Shape::Table(table), Value::Table(fields)) => {
            check(fields, table, report);
            return;
        }
        (Shape::Names(inner), Value::Table(fields)) => return names(fields, key, inner, report),
        (Shape::Either(shapes), _) => {
            if let Some(shape) = shapes.iter().find(|shape| kinds_agree(shape, &node.value)) {
                return value(node, name, key, shape, report);
            }
            false
        }
        _ => false,
    };
    if !fits {
        misfit(node, name, key, shape, report);
        node.value = Value::Broken;
    }
}

/// Whether a value is of the kind of TOML value that a shape begins with.
fn kinds_agree(shape: &Shape, value: &Value) -> bool {
    matches!(
        (shape, value),
        (Shape::Text | Shape::Word(_), Value::Text(..))
            | (Shape::Amount | Shape::Whole(..), Value::Number(..))
            | (Shape::Flag, Value::Flag(_))
            | (Shape::List(..), Value::List(_))
            | (Shape::Table(_) | Shape::Names(_), Value::Table(_))
    )
}

fn list(
    nodes: &mut [Node],
    span: Span,
    key: &Key,
    inner: &Shape,
    least: usize,
    report: &mut Report<'_>,
) {
    if nodes.len() < least {
        report
            .error(span, format!("`{}` is an empty list", key.name))
            .help(written(key));
    }
    let most = if matches!(inner, Shape::Text) {
        MOST_VALUES
    } else {
        MOST
    };
    crowded(nodes.len(), most, span, key, report);
    for node in nodes {
        value(node, key.name, key, inner, report);
    }
}

fn names(fields: &mut Fields, key: &Key, inner: &Shape, report: &mut Report<'_>) {
    if let Some(span) = fields.span {
        crowded(fields.entries.len(), MOST, span, key, report);
    }
    for field in &mut fields.entries {
        if field.name.chars().count() > LONGEST_NAME {
            report
                .error(
                    field.key,
                    format!("a name has at most {LONGEST_NAME} letters"),
                )
                .help("choose a shorter one");
        }
        value(&mut field.node, &field.name, key, inner, report);
    }
}

fn crowded(count: usize, most: usize, span: Span, key: &Key, report: &mut Report<'_>) {
    if count > most {
        let help = if most == MOST {
            "split the problem in two and join them on a sheet"
        } else {
            "name fewer"
        };
        report
            .error(
                span,
                format!(
                    "`{}` has {count} entries; at most {most} are read",
                    key.name
                ),
            )
            .help(help);
    }
}

fn misfit(node: &Node, name: &str, key: &Key, shape: &Shape, report: &mut Report<'_>) {
    if let (Shape::List(Shape::Table(table), _), Value::Table(_)) = (shape, &node.value)
        && table.header.starts_with("[[")
    {
        let (message, help) = syntax::single(table);
        report.error(node.span, message).help(help);
        return;
    }
    let found = match &node.value {
        Value::Text(text, _) if text.chars().count() <= LONGEST_NAME => format!("\"{text}\""),
        Value::Number(number, _) if number.len() <= LONGEST_NAME => number.clone(),
        other => other.kind().to_owned(),
    };
    if let (Shape::Table(table), Value::Text(..)) = (shape, &node.value)
        && std::ptr::eq(*table, &GIVEN)
        && name != key.name
    {
        let is_bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
        let written = match name.chars().all(is_bare) {
            true => name.to_owned(),
            false => format!("\"{name}\""),
        };
        let value = match found.starts_with('"') {
            true => found.as_str(),
            false => "\"2.0 kg\"",
        };
        report
            .error(node.span, format!("`{name}` does not say how it is drawn"))
            .help(format!(
                "write {written} = {{ fixed = {value} }} for the same value for everyone"
            ));
        return;
    }
    let message = format!("`{name}` takes {}, found {found}", expected(shape));
    let meant = match (shape, node.text()) {
        (Shape::Word(words), Some(text)) => report.nearest(text.text, words.iter().copied()),
        _ => None,
    };
    let help = match meant {
        Some(word) => format!("did you mean \"{word}\"?"),
        None if name == key.name => format!("{}; {}", key.about, written(key)),
        // An entry under a name of the teacher's: the example shows one between braces.
        None => {
            let entry = key
                .example
                .strip_prefix("{ ")
                .and_then(|entry| entry.strip_suffix(" }"));
            format!("for example {}", entry.unwrap_or(key.example))
        }
    };
    report.error(node.span, message).help(help);
}

/// What a shape takes, in words.
fn expected(shape: &Shape) -> String {
    match shape {
        Shape::Text => "a text in quotes".to_owned(),
        Shape::Amount => "a number".to_owned(),
        Shape::Whole(least, most) if *most > 1_000_000 => format!("a whole number from {least}"),
        Shape::Whole(least, most) => format!("a whole number from {least} to {most}"),
        Shape::Flag => "true or false".to_owned(),
        Shape::Word(words) => {
            let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
            quoted.join(" or ")
        }
        Shape::List(..) => "a list".to_owned(),
        Shape::Table(_) | Shape::Names(_) => "entries between braces, { … }".to_owned(),
        Shape::Either(shapes) => {
            let parts: Vec<String> = shapes.iter().map(expected).collect();
            parts.join(", or ")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assignment::raw;
    use crate::diagnostic::Source;

    fn found(text: &str, table: &'static Table) -> Vec<String> {
        let source = Source {
            name: "t".into(),
            text: text.into(),
        };
        let mut report = Report::new(&source);
        if let Some(mut fields) = raw::read(&source, &mut report) {
            check(&mut fields, table, &mut report);
        }
        report
            .finish()
            .into_iter()
            .map(|found| found.message)
            .collect()
    }

    #[test]
    fn every_example_of_the_key_table_fits_its_shape() {
        for table in TABLES {
            for key in table.keys() {
                let text = format!("{} = {}", key.name, key.example);
                let mut messages = found(&text, table);
                messages.retain(|message| !message.contains(" needs "));
                assert!(messages.is_empty(), "{text}: {messages:?}");
            }
        }
    }

    #[test]
    fn keys_are_told_once_and_explained() {
        for table in TABLES {
            let names: Vec<&str> = table.keys().map(|key| key.name).collect();
            for (at, key) in table.keys().enumerate() {
                assert!(
                    !names[..at].contains(&key.name),
                    "{} twice in {}",
                    key.name,
                    table.name
                );
                assert!(key.about.len() > 5, "{}", key.name);
            }
        }
    }

    #[test]
    fn crowds_are_refused() {
        let many: String = (0..65).map(|at| format!("m{at} = \"[1 kg]\"\n")).collect();
        let text = format!("title = \"t\"\ncode = \"t\"\npart = []\n[derived]\n{many}");
        let messages = found(&text, &crate::assignment::keys::ASSIGNMENT);
        let expected = [
            "`part` is an empty list",
            "`derived` has 65 entries; at most 64 are read",
        ];
        assert_eq!(messages, expected);
    }
}
