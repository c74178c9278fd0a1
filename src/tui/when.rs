//! When a key means something: what the table of keys asks of the desk.
//!
//! In: the desk. Out: yes or no, of what lies there, of where the cursor is and of what is being typed.

use tui_input::Input;

use crate::record::Keying;
use crate::workflow::desk::Stack;

use super::model::{Model, Place};
use super::screens::paper;

impl Model {
    /// Whether papers lie on the desk.
    pub fn has_stack(&self) -> bool {
        self.stack.is_some()
    }

    /// Whether something can be taken back.
    pub fn can_undo(&self) -> bool {
        self.stack.as_ref().is_some_and(Stack::can_undo)
    }

    /// Whether a preview shows something to be keyed.
    pub fn can_import(&self) -> bool {
        !self.preview.changes.is_empty()
    }

    /// Whether something is being typed that is not kept yet.
    pub fn is_typing(&self) -> bool {
        let holds = |input: &Input| !input.value().is_empty();
        match self.place {
            Place::Course => holds(&self.course.input),
            Place::Find => holds(&self.find.input),
            Place::Paper => !self.paper.fresh,
            Place::Across => holds(&self.across.input),
            Place::Class | Place::Import | Place::Report => false,
        }
    }

    /// Whether the field asks for a number with a unit, and holds something.
    pub fn at_unit(&self) -> bool {
        let stack = self.stack.as_ref();
        self.paper.column == paper::Column::Entry
            && !self.paper.input.value().trim().is_empty()
            && stack.is_some_and(|stack| stack.unit(self.paper.field).is_some())
    }

    /// Whether the field is an empty one for an entry.
    pub fn at_empty_entry(&self) -> bool {
        let stack = self.stack.as_ref();
        self.paper.column == paper::Column::Entry
            && (self.paper.fresh || self.paper.input.value().is_empty())
            && stack.is_some_and(|stack| !stack.is_by_eye(self.paper.field))
    }

    /// Whether the cursor stands at the end of an entry whose part has points for working.
    pub fn at_working_edge(&self) -> bool {
        let input = &self.paper.input;
        let stack = self.stack.as_ref();
        self.paper.column == paper::Column::Entry
            && input.cursor() == input.value().chars().count()
            && self.keying == Keying::First
            && stack.is_some_and(|stack| {
                !stack.is_by_eye(self.paper.field) && stack.most_by_eye(self.paper.field) > 0
            })
    }

    /// Whether the cursor is at points for working.
    pub fn in_working(&self) -> bool {
        self.paper.column == paper::Column::Working
    }

    /// Whether an entry is keyed where the cursor is.
    pub fn at_keyed(&self) -> bool {
        let Some(stack) = &self.stack else {
            return false;
        };
        let paper = stack.papers().get(self.paper.paper);
        let id = &stack.plan().parts[self.paper.field].id;
        paper.is_some_and(|paper| paper.standing.entry(id).is_some())
    }
}
