//! The parts: what is asked for and how it is judged.
//!
//! In: the entries of `[[part]]`, and the names and equations above them. Out: checked parts. Refused:
//! ids that are taken or reserved, a part of no kind or of two, keys that do not go with its kind,
//! points that do not hold its working.

use rust_decimal::Decimal;
use rustc_hash::FxHashSet;

use super::amounts;
use super::answers::{self, Asked};
use super::choices;
use super::keys::RULES;
use super::model::{Named, Part, PartKind, Unknown};
use super::names::Scope;
use super::raw::{Fields, Node, Text};
use super::report::Report;
use super::scheme::{self, Level, Rules};
use super::template::{self, Places};
use crate::diagnostic::Span;
use crate::formula::Equation;
use crate::headings;

/// The longest id; it heads a column.
const LONGEST_ID: usize = 16;
/// Keys beside the rules that say something only where an answer is a quantity.
const OF_ANSWERS: [&str; 5] = ["unit", "by", "printed", "slip", "accept"];
/// The one rule that any part with points for working may have.
const OF_WORKING: &str = "value_needs_working";

/// What stands above the parts.
pub(crate) struct Above<'a> {
    pub(crate) scope: &'a Scope,
    pub(crate) places: Places<'a>,
    /// The names of the equations, broken ones too, in the order of their indices.
    pub(crate) equation_names: Vec<&'a str>,
    /// The rules of the problem, over those of the sheet.
    pub(crate) rules: Rules,
}

/// What parts that ask for an expression add to, and what tells them apart.
pub(crate) struct Growing {
    pub(crate) unknowns: Vec<Unknown>,
    pub(crate) equations: Vec<Named<Equation>>,
    ids: FxHashSet<String>,
    /// Each unknown asked for and the id of the part that does.
    pub(crate) asked: Vec<(usize, String)>,
}

impl Growing {
    /// Before the first part.
    pub(crate) fn new(unknowns: Vec<Unknown>, equations: Vec<Named<Equation>>) -> Self {
        Self {
            unknowns,
            equations,
            ids: FxHashSet::default(),
            asked: Vec::new(),
        }
    }
}

/// Reads one part; nothing where an error keeps it from having a meaning.
pub(crate) fn read(
    node: &Node,
    above: &Above<'_>,
    growing: &mut Growing,
    report: &mut Report<'_>,
) -> Option<Part> {
    let fields = node.table()?;
    let id = id(fields, growing, report);
    let ask = fields.text("ask").map(|text| {
        not_blank(text, "ask", report);
        template::read(text, &above.places, report)
    });
    let own = scheme::read(fields, Level::Part, report);
    let rules = own.over(above.rules);
    let points = points(fields, report);
    let working = plain_texts(fields, "working", above, report);
    if let Some(points) = points
        && amounts::count(fields.list("working")) > points
        && let Some(field) = fields.get("working")
    {
        report
            .error(field.key, format!("{} working points do not fit into {points}", working.len()))
            .help("each step in `working` earns one of the part's points: raise `points` or name fewer");
    }
    let kind = kind(
        fields,
        node.span,
        id.unwrap_or_default(),
        rules,
        above,
        growing,
        report,
    );
    let points = match &kind {
        Some(PartKind::Eye(steps)) => Some(Decimal::from(steps.len())),
        _ => points,
    };
    Some(Part {
        id: id?.to_owned(),
        span: node.span,
        ask: ask?,
        kind: kind?,
        points: points?,
        working,
        rules: rules.settled(),
    })
}

fn id<'a>(fields: &'a Fields, growing: &mut Growing, report: &mut Report<'_>) -> Option<&'a str> {
    let text = fields.text("id")?;
    let id = text.text;
    let sound = |c: char| c.is_alphanumeric() || c == '_' || c == '-';
    if id.is_empty() || id.chars().count() > LONGEST_ID || !id.chars().all(sound) {
        report
            .error(text.span, format!("\"{id}\" cannot be the id of a part"))
            .help(format!("an id heads a column: 1 to {LONGEST_ID} letters, digits, `_` or `-`, such as \"a\" or \"turn\""));
    } else if headings::reserved().any(|heading| heading == id.to_lowercase()) {
        report
            .error(
                text.span,
                format!("\"{id}\" heads another column of the answer and mark files"),
            )
            .help(format!(
                "choose another id; reserved are: {}",
                headings::reserved().collect::<Vec<_>>().join(", ")
            ));
    } else if !growing.ids.insert(id.to_lowercase()) {
        report
            .error(
                text.span,
                format!("a part above has the id \"{id}\" already"),
            )
            .help("ids are told apart without regard to capitals; each heads a column of its own");
    }
    Some(id)
}

/// The points of a part that is no eye part.
fn points(fields: &Fields, report: &mut Report<'_>) -> Option<Decimal> {
    if fields.get("eye").is_some() {
        return None;
    }
    if fields.get("points").is_none() && !fields.doubtful() {
        report
            .table(fields.span, "this part does not say what it is worth")
            .help("write points = 3");
    }
    let points = amounts::points(fields, "points", report)?;
    if points.is_zero() {
        let span = fields.get("points").map(|field| field.node.span);
        report
            .table(span, "a part is worth more than 0 points")
            .help("write points = 1, or say what is not marked in `text`");
        return None;
    }
    Some(points)
}

fn kind(
    fields: &Fields,
    span: Span,
    id: &str,
    rules: Rules,
    above: &Above<'_>,
    growing: &mut Growing,
    report: &mut Report<'_>,
) -> Option<PartKind> {
    let rules_but_one = RULES
        .iter()
        .map(|key| key.name)
        .filter(|name| *name != OF_WORKING);
    let of_answers: Vec<&str> = OF_ANSWERS.into_iter().chain(rules_but_one).collect();
    let kinds = ["answer", "choose", "eye"].map(|key| fields.get(key));
    let help = "a part has either answer = \"a\", or choose = { up = \"a > 0\", down = \"a < 0\" }, or eye = [\"all forces\"]";
    match kinds {
        [None, None, None] if fields.doubtful() => None,
        [None, None, None] => {
            report
                .error(span, "this part does not say what is asked for")
                .help(help);
            None
        }
        [Some(_), None, None] => {
            not_with(fields, &["also"], "choose", report);
            let asked = Asked {
                fields,
                span,
                id,
                rules,
            };
            answers::read(&asked, above, growing, report).map(PartKind::Answer)
        }
        [None, Some(_), None] => {
            not_with(fields, &of_answers, "answer", report);
            choices::read(fields, above.scope, report).map(PartKind::Choose)
        }
        [None, None, Some(field)] => {
            not_with(fields, &of_answers, "answer", report);
            not_with(fields, &["also"], "choose", report);
            not_with(fields, &["working", OF_WORKING], "answer", report);
            let steps = plain_texts(fields, "eye", above, report);
            let count = amounts::count(field.node.list());
            if let Some(points) = amounts::points(fields, "points", report)
                && points != count
            {
                let place = fields.get("points").map(|field| field.node.span);
                report
                    .table(place, format!("what is judged by eye earns one point each, {count} in all, found {points}"))
                    .help("leave `points` out");
            }
            Some(PartKind::Eye(steps))
        }
        _ => {
            report
                .error(span, "this part asks for more than one thing")
                .help(help);
            None
        }
    }
}

fn not_with(fields: &Fields, keys: &[&str], with: &str, report: &mut Report<'_>) {
    for field in keys.iter().filter_map(|key| fields.get(key)) {
        report
            .error(
                field.key,
                format!("`{}` goes only with `{with}`", field.name),
            )
            .help("take it out");
    }
}

/// The texts of a list that are printed as they stand.
fn plain_texts(
    fields: &Fields,
    key: &str,
    above: &Above<'_>,
    report: &mut Report<'_>,
) -> Vec<String> {
    let texts = fields.list(key).iter().filter_map(Node::text);
    texts
        .map(|text| {
            not_blank(text, key, report);
            template::plain(text, &above.places, report)
        })
        .collect()
}

/// Reports a text that says nothing.
pub(crate) fn not_blank(text: Text<'_>, key: &str, report: &mut Report<'_>) {
    if text.text.trim().is_empty() {
        report
            .error(text.span, format!("`{key}` is empty"))
            .help("write what is to be printed there");
    }
}
