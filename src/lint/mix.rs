//! Whether the kinds of draws that a file mixes can come as often as it says.
//!
//! In: a problem's draws. Out: a finding for each kind of which none of them is.

use crate::diagnostic::Diagnostic;

use super::view::View;

/// Kinds that nothing is drawn of.
pub(super) fn check(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    let kinds = &view.assignment.mix;
    if kinds.is_empty() {
        return;
    }
    let counts = view.draws.kinds();
    for (kind, _) in kinds.iter().zip(&counts).filter(|(_, count)| **count == 0) {
        let name = crate::text::excerpt(&kind.name, 20);
        let looked = view.draws.len();
        let message = format!("none of {looked} draws is of the kind `{name}`");
        let help = "draws that break [require] are thrown away, and a draw is of the first kind that \
                    holds: loosen `when`, or put the kind before the others";
        found.push(view.warning(kind.span, message).help(help));
    }
}
