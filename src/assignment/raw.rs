//! An assignment file as read: values with the places where they stand, no meaning yet.
//!
//! In: the text of a TOML file. Out: a tree of [`Node`]s in file order, and every syntax error, with
//! a place and in words a teacher can use. TOML 1.0 is what we promise; the crate that reads it takes
//! TOML 1.1 as well (line breaks in inline tables, `\e` and `\x` in strings), and so do we, silently.
//! Refused: a text above [`LARGEST`], and tables nested deeper than the crate's 80.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::report::Report;
use super::syntax;
use crate::diagnostic::{Source, Span};

/// The largest assignment file in bytes. One with 64 parts and long texts stays below 100 kB.
pub(crate) const LARGEST: usize = 1 << 20;

/// A value and where it stands.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    /// A whole string with its quotes; of a table in the file its header, of an inline one its braces.
    pub(crate) span: Span,
    pub(crate) value: Value,
}

/// What a value is.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    /// A string; where the file holds it letter by letter, also where its first letter stands.
    Text(String, Option<usize>),
    /// A number as written, without `_`; whether it is a whole one in the decimal system.
    Number(String, bool),
    Flag(bool),
    Date,
    List(Vec<Node>),
    Table(Fields),
    /// Reported already: whoever asks for it gets nothing, and says nothing.
    Broken,
}

/// The entries of a table in file order.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fields {
    /// Where the table's header or braces stand; `None` at the top of the file.
    pub(crate) span: Option<Span>,
    pub(crate) entries: Vec<Field>,
}

/// A key and its value.
#[derive(Clone, Debug)]
pub(crate) struct Field {
    pub(crate) name: String,
    /// Where the key stands.
    pub(crate) key: Span,
    pub(crate) node: Node,
}

/// A string of the file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Text<'a> {
    pub(crate) text: &'a str,
    /// With its quotes.
    pub(crate) span: Span,
    start: Option<usize>,
}

impl Text<'_> {
    /// Where in the file a part of the text stands: the very letters, or the whole string where
    /// escapes make the file's letters differ from the text's.
    pub(crate) fn locate(&self, part: Span) -> Span {
        self.start.map_or(self.span, |start| part.shifted(start))
    }

    /// Where the text stands without its quotes.
    pub(crate) fn inner(&self) -> Span {
        self.locate(Span::new(0, self.text.len()))
    }
}

impl Value {
    /// What it is, with its article, for "expected X, found Y".
    pub(crate) fn kind(&self) -> &'static str {
        match self {
            Self::Text(..) => "a text in quotes",
            Self::Number(..) => "a number",
            Self::Flag(_) => "true or false",
            Self::Date => "a date",
            Self::List(_) => "a list",
            Self::Table(_) => "a group of entries",
            Self::Broken => "nothing readable",
        }
    }
}

impl Node {
    /// The string, if it is one.
    pub(crate) fn text(&self) -> Option<Text<'_>> {
        match &self.value {
            Value::Text(text, start) => Some(Text {
                text,
                span: self.span,
                start: *start,
            }),
            _ => None,
        }
    }

    /// The number as written, if it is one.
    pub(crate) fn number(&self) -> Option<&str> {
        match &self.value {
            Value::Number(text, _) => Some(text),
            _ => None,
        }
    }

    /// The table, if it is one.
    pub(crate) fn table(&self) -> Option<&Fields> {
        match &self.value {
            Value::Table(fields) => Some(fields),
            _ => None,
        }
    }

    /// The values of a list; none if it is something else.
    pub(crate) fn list(&self) -> &[Node] {
        match &self.value {
            Value::List(nodes) => nodes,
            _ => &[],
        }
    }
}

impl Fields {
    /// The entry of that name, readable or not.
    pub(crate) fn get(&self, name: &str) -> Option<&Field> {
        self.entries.iter().find(|field| field.name == name)
    }

    /// Whether something in the table is unreadable or unknown, so that what is missing may be meant
    /// by it.
    pub(crate) fn doubtful(&self) -> bool {
        self.entries
            .iter()
            .any(|field| matches!(field.node.value, Value::Broken))
    }

    /// The value of that name, unless it is unreadable and reported.
    pub(crate) fn node(&self, name: &str) -> Option<&Node> {
        let node = &self.get(name)?.node;
        (!matches!(node.value, Value::Broken)).then_some(node)
    }

    /// The string of that name.
    pub(crate) fn text(&self, name: &str) -> Option<Text<'_>> {
        self.node(name)?.text()
    }

    /// The flag of that name.
    pub(crate) fn flag(&self, name: &str) -> Option<bool> {
        match self.node(name)?.value {
            Value::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// The table of that name.
    pub(crate) fn table(&self, name: &str) -> Option<&Fields> {
        self.node(name)?.table()
    }

    /// The values of the list of that name; none where there is no list.
    pub(crate) fn list(&self, name: &str) -> &[Node] {
        self.node(name).map_or(&[], Node::list)
    }

    /// The entries of the table of that name; none where there is no table.
    pub(crate) fn names(&self, name: &str) -> &[Field] {
        self.table(name).map_or(&[], |fields| &fields.entries)
    }
}

/// Reads `source`. Nothing comes out where the text is too large or its structure is in doubt: then
/// whatever else would be said of it might be wrong.
pub(crate) fn read(source: &Source, report: &mut Report<'_>) -> Option<Fields> {
    if source.text.len() > LARGEST {
        report
            .whole(format!(
                "the file has {} bytes, more than an assignment can need (at most {LARGEST})",
                source.text.len()
            ))
            .help("is this an assignment file?");
        return None;
    }
    let (document, errors) = DeTable::parse_recoverable(&source.text);
    let converter = Converter {
        text: &source.text,
        broken: places(&errors, |_| true),
        torn: places(&errors, |message| message.contains("comma")),
    };
    let fields = converter.fields(document.get_ref(), None);
    syntax::report(&errors, &fields, &source.text, report).then_some(fields)
}

/// Where errors of some kind stand, in order.
fn places(errors: &[toml::de::Error], of: impl Fn(&str) -> bool) -> Vec<Span> {
    let mut places: Vec<Span> = errors
        .iter()
        .filter(|error| of(error.message()))
        .filter_map(|error| error.span().map(|span| Span::new(span.start, span.end)))
        .collect();
    places.sort_unstable();
    places
}

struct Converter<'a> {
    text: &'a str,
    /// Where syntax errors stand, in order.
    broken: Vec<Span>,
    /// Where a comma is missing or too many: the crate drops entries of the list or table around it.
    torn: Vec<Span>,
}

impl Converter<'_> {
    fn fields(&self, table: &DeTable<'_>, span: Option<Span>) -> Fields {
        let mut entries: Vec<Field> = table
            .iter()
            .map(|(key, value)| {
                let place = key.span();
                Field {
                    name: key.get_ref().to_string(),
                    key: Span::new(place.start, place.end),
                    node: self.node(value),
                }
            })
            .collect();
        // The crate sorts keys by name; what a teacher wrote first comes first.
        entries.sort_by_key(|field| field.key);
        Fields { span, entries }
    }

    fn node(&self, value: &Spanned<DeValue<'_>>) -> Node {
        let place = value.span();
        let span = Span::new(place.start, place.end);
        let value = match value.get_ref() {
            DeValue::Table(_) | DeValue::Array(_) if touches(&self.torn, span) => Value::Broken,
            DeValue::Table(table) => Value::Table(self.fields(table, Some(span))),
            DeValue::Array(array) => {
                Value::List(array.iter().map(|node| self.node(node)).collect())
            }
            _ if touches(&self.broken, span) => Value::Broken,
            DeValue::String(text) => Value::Text(text.to_string(), self.start(span, text)),
            // With its 0x, where it is not decimal.
            DeValue::Integer(number) => Value::Number(number.to_string(), number.radix() == 10),
            DeValue::Float(number) => Value::Number(number.as_str().replace('_', ""), false),
            DeValue::Boolean(flag) => Value::Flag(*flag),
            DeValue::Datetime(_) => Value::Date,
        };
        Node { span, value }
    }

    /// Where the first letter of a string stands, if the file holds it letter by letter.
    fn start(&self, span: Span, text: &str) -> Option<usize> {
        let written = self.text.get(span.start..span.end)?;
        let quotes = if written.starts_with("\"\"\"") || written.starts_with("'''") {
            3
        } else {
            1
        };
        let inside = written.get(quotes..written.len().checked_sub(quotes)?)?;
        // A line break right behind three quotes is not part of the text.
        let skipped = inside.len().checked_sub(text.len())?;
        // Where escapes make the file's letters differ from the text's, a letter may not begin there.
        let is_break = matches!(inside.get(..skipped)?, "" | "\n" | "\r\n");
        (inside.ends_with(text) && is_break).then_some(span.start + quotes + skipped)
    }
}

/// Whether one of the places, which are in order, begins within a value or at its end.
fn touches(places: &[Span], value: Span) -> bool {
    let from = places.partition_point(|place| place.start < value.start);
    places
        .get(from)
        .is_some_and(|place| place.start <= value.end)
}
