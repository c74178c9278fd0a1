//! What a file of answers would add or change, before it does.
//!
//! In: the changes. Out: all of them keyed in one go, which one undo takes back; or nothing.

use chrono::{DateTime, Utc};
use ratatui::Frame;
use ratatui::layout::Rect;

use crate::record::NewAct;
use crate::workflow::desk::Change;

use super::super::acts::save;
use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place};
use super::super::paint::{self, Role, Row, Side};

/// A preview of a file of answers.
#[derive(Clone, Debug, Default)]
pub struct Preview {
    /// The file's name.
    pub file: String,
    /// What would be keyed.
    pub changes: Vec<Change>,
    /// What was assumed, or belongs to nobody.
    pub findings: Vec<String>,
    /// The first line shown.
    pub top: usize,
}

/// Shows what a file would do.
pub fn open(model: &mut Model, file: String, changes: Vec<Change>, findings: Vec<String>) {
    model.say(match changes.len() {
        0 if findings.is_empty() => {
            "nothing to add or change: all of it stands there already".to_owned()
        }
        0 => "nothing to add or change; what is said above was left out".to_owned(),
        _ => "Enter keys all of this; Esc leaves everything as it is".to_owned(),
    });
    model.preview = Preview {
        file,
        changes,
        findings,
        top: 0,
    };
    model.go(Place::Import);
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    let findings = wrapped(&model.preview.findings, NARROW).len();
    let lines = model.preview.changes.len() + findings;
    match action {
        Action::Up => model.preview.top = model.preview.top.saturating_sub(1),
        Action::Down => model.preview.top = (model.preview.top + 1).min(lines.saturating_sub(1)),
        Action::Back => leave(model),
        Action::Take => {
            let preview = std::mem::take(&mut model.preview);
            let Some(stack) = &model.stack else {
                return Vec::new();
            };
            let new: Vec<NewAct> = preview
                .changes
                .iter()
                .filter_map(|change| {
                    let issue = stack.papers().get(change.paper)?.issue.id;
                    Some(NewAct::new(now, issue, change.deed.clone()))
                })
                .collect();
            let (noun, them) = match new.len() {
                1 => ("entry", "it"),
                _ => ("entries", "them"),
            };
            let words = format!("{} {noun} from {}", new.len(), preview.file);
            let effects = save(model, new, words.clone());
            leave(model);
            model.say(format!("{words}; one undo takes {them} back"));
            return effects;
        }
        _ => {}
    }
    Vec::new()
}

fn leave(model: &mut Model) {
    if !model.go_back() {
        model.place = Place::Class;
    }
    model.preview = Preview::default();
}

/// Columns of the narrowest screen: findings take no more lines than there.
const NARROW: usize = 80;

/// The lines of the findings on so many columns.
fn wrapped(findings: &[String], columns: usize) -> Vec<String> {
    let room = columns.saturating_sub(2);
    let lines = findings.iter().flat_map(|text| paint::wrapped(text, room));
    lines.collect()
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let Some(stack) = &model.stack else {
        return;
    };
    let theme = model.theme;
    let preview = &model.preview;
    let columns = usize::from(area.width);
    let changed = preview
        .changes
        .iter()
        .filter(|change| !change.before.is_empty())
        .count();
    let added = preview.changes.len() - changed;
    let count = format!("{added} added, {changed} changed");
    let heading = [
        Row::new(theme)
            .gap(2)
            .text(Role::Dim, "answers from")
            .gap(1)
            .text(Role::Strong, &preview.file)
            .ending(columns, Role::Dim, &count),
        Row::new(theme),
    ];
    let rest = columns.saturating_sub(2 + 12 + 14 + 4);
    let half = rest / 2;
    let findings = wrapped(&preview.findings, columns);
    let findings = findings
        .iter()
        .map(|text| Row::new(theme).gap(2).text(Role::Look, text));
    let changes = preview.changes.iter().map(|change| {
        let arrow = if change.before.is_empty() { "+" } else { "→" };
        let after = if change.after.trim().is_empty() {
            "blank"
        } else {
            &change.after
        };
        Row::new(theme)
            .gap(2)
            .cell(12, Side::Left, Role::Plain, stack.student(change.paper).id)
            .cell(14, Side::Left, Role::Plain, &change.about)
            .cell(half, Side::Left, Role::Dim, &change.before)
            .gap(1)
            .cell(2, Side::Left, Role::Strong, arrow)
            .cell(rest - half, Side::Left, Role::Plain, after)
    });
    let lines = findings.chain(changes).skip(preview.top);
    paint::rows(frame, area, heading.into_iter().chain(lines));
}
