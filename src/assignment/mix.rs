//! How often which kind of draw comes.
//!
//! In: `[mix]`, kinds of draws by name, each with a condition on givens and a share. Out: the kinds in file
//! order. Refused, beside what formulas and shares refuse: a share of nothing, shares that are more than the
//! whole together.

use rust_decimal::Decimal;

use super::amounts::share;
use super::model::DrawKind;
use super::names::{Scope, Use};
use super::raw::Field;
use super::report::Report;
use super::terms;

/// Reads the kinds.
pub(super) fn read(fields: &[Field], scope: &Scope, report: &mut Report<'_>) -> Vec<DrawKind> {
    let mut kinds = Vec::with_capacity(fields.len());
    let mut all = Decimal::ZERO;
    for field in fields {
        let Some(table) = field.node.table() else {
            continue;
        };
        let of = share(table, "of", report);
        if of.is_some_and(|of| of.is_zero()) {
            report
                .error(field.key, "a share of nothing is drawn for nobody")
                .help("take the kind out, or forbid it under [require]");
        }
        all += of.unwrap_or_default();
        let text = table.text("when");
        let when = text.and_then(|text| terms::condition(text, Use::Givens, scope, report));
        if let (Some(when), Some(of), Some(text)) = (when, of, text) {
            kinds.push(DrawKind {
                name: field.name.clone(),
                span: text.inner(),
                when,
                of,
            });
        }
    }
    if let Some(first) = fields.first()
        && all > Decimal::ONE
    {
        report
            .error(
                first.key,
                "the shares of [mix] are more than the whole together",
            )
            .help("what they leave is drawn of no kind; they may come to 1 or \"100%\" at most");
    }
    kinds
}
