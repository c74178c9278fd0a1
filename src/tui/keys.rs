//! The keys: one table from which the desk acts, the line at the bottom and the page of keys are
//! drawn.
//!
//! In: a key press and what the desk shows. Out: the action it stands for there, if any; keys that
//! stand for none are typed into the field. Adding a key is one entry in [`KEYS`].

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::model::{Model, Place};
use super::screens::course;

/// Where a key has its meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum In {
    /// On every screen.
    Everywhere,
    /// On one screen.
    Screen(Place),
    /// Where one line is asked for.
    Prompt,
    /// On the page of keys.
    Help,
}

/// What a key does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// Shows the page of keys.
    Help,
    /// Leaves the program.
    Leave,
    /// Stops the program until the shell brings it back.
    Suspend,
    /// Takes the last thing back.
    Undo,
    /// Brings back what was taken back.
    Redo,
    /// Back to where one came from.
    Back,
    /// Opens or keeps what one is at.
    Enter,
    /// One line up.
    Up,
    /// One line down.
    Down,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// Keeps the field with the unit asked for.
    WithUnit,
    /// Something stands there that cannot be read.
    Unreadable,
    /// To the points for working.
    ToWorking,
    /// Back to the entry.
    ToEntry,
    /// Opens or folds the reckoning.
    Reckoning,
    /// Hides or shows verdicts.
    Hide,
    /// Keys a second time, to compare.
    Again,
    /// The next paper.
    NextPaper,
    /// The paper before.
    PreviousPaper,
    /// Sets the points of a part.
    Adjust,
    /// Takes the first explanation of a part as the reason.
    TakeReason,
    /// Lets a charge go.
    Waive,
    /// Says what the student is told.
    Tell,
    /// Says which number was misread.
    Misread,
    /// Moves an entry.
    Move,
    /// Present, absent, excused, handed in on.
    Attend,
    /// Finds a paper.
    Find,
    /// The class.
    Class,
    /// One part through all papers.
    Across,
    /// To the next part.
    NextPart,
    /// To the part before.
    PreviousPart,
    /// The next filter.
    Filter,
    /// A second marking that does not see the first.
    Second,
    /// Hands papers out.
    HandOut,
    /// Gives students another paper.
    Reissue,
    /// Writes the marks.
    Export,
    /// Shows how the class did.
    Report,
    /// Reads a file of answers.
    Import,
    /// Does what the preview shows.
    Take,
}

/// One key press.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Press {
    code: KeyCode,
    control: bool,
}

/// What a key does somewhere.
#[derive(Clone, Copy, Debug)]
pub struct Binding {
    /// Where.
    pub place: In,
    /// Any of these.
    pub keys: &'static [Press],
    /// What it does.
    pub action: Action,
    /// A word or two for the line at the bottom; empty for keys that are not shown there.
    pub short: &'static str,
    /// For the page of keys.
    pub long: &'static str,
    /// Whether it does anything now.
    pub when: fn(&Model) -> bool,
}

const fn key(code: KeyCode) -> Press {
    Press {
        code,
        control: false,
    }
}

const fn letter(c: char) -> Press {
    key(KeyCode::Char(c))
}

const fn control(c: char) -> Press {
    Press {
        code: KeyCode::Char(c),
        control: true,
    }
}

fn always(_: &Model) -> bool {
    true
}

const COURSE: In = In::Screen(Place::Course);
const FIND: In = In::Screen(Place::Find);
const PAPER: In = In::Screen(Place::Paper);
const ACROSS: In = In::Screen(Place::Across);
const CLASS: In = In::Screen(Place::Class);
const IMPORT: In = In::Screen(Place::Import);
const REPORT: In = In::Screen(Place::Report);

const ENTER: &[Press] = &[key(KeyCode::Enter)];
const BACK: &[Press] = &[key(KeyCode::Esc)];
const UP: &[Press] = &[key(KeyCode::Up)];
const DOWN: &[Press] = &[key(KeyCode::Down)];

macro_rules! keys {
    (@when) => { always };
    (@when $when:expr) => { $when };
    ($($place:expr, $keys:expr, $action:ident, $short:literal, $long:literal $(, $when:expr)?;)*) => {
        &[$(Binding {
            place: $place,
            keys: $keys,
            action: Action::$action,
            short: $short,
            long: $long,
            when: keys!(@when $($when)?),
        }),*]
    };
}

/// All keys of the desk. Within a place the likeliest stand first: the line at the bottom shows as
/// many as fit.
#[rustfmt::skip]
pub const KEYS: &[Binding] = keys![
    COURSE, ENTER, Enter, "open", "opens the papers of the assignment and class chosen; hands them out where there are none";
    COURSE, &[control('n')], HandOut, "hand out…", "hands out papers of the assignment chosen: to a class that has none, or to those who joined since", |m| course::chosen(m).is_some();
    COURSE, UP, Up, "", "to the line above";
    COURSE, DOWN, Down, "", "to the line below";
    COURSE, BACK, Back, "clear", "clears what was typed", |m| !m.course.input.value().is_empty();

    FIND, ENTER, Enter, "open", "opens the paper chosen; with nothing typed that is the next one to do in roster order";
    FIND, UP, Up, "", "to the paper above";
    FIND, DOWN, Down, "", "to the paper below";
    FIND, &[control('e')], Attend, "absent…", "present, absent, excused, or handed in on a day";
    FIND, &[control('l')], Class, "class", "the class at a glance: who is done, totals, mistakes";
    FIND, &[control('g')], Across, "across", "one part through all papers";
    FIND, &[control('k')], Again, "key again", "keys a second time, to compare with the first", |m| m.has_stack();
    FIND, &[control('v')], Hide, "hide verdicts", "hides verdicts and points while keying, or shows them";
    FIND, BACK, Back, "back", "clears what was typed; then back to the assignments";

    PAPER, ENTER, Enter, "next", "keeps the field and goes to the next; an empty one is kept as left blank";
    PAPER, &[key(KeyCode::Tab)], WithUnit, "with unit", "keeps the number with the unit asked for and goes to the next", |m| m.at_unit();
    PAPER, &[letter('?')], Unreadable, "unreadable", "in an empty field: something stands there that cannot be read; goes to the next", |m| m.at_empty_entry();
    PAPER, DOWN, Down, "", "to the field after, keeping nothing";
    PAPER, &[control('o')], Reckoning, "why", "opens or folds the reckoning: the student's key, what the entry was held against, reasons", |m| !m.hides();
    PAPER, &[control('a')], Adjust, "adjust", "sets the points of this part, with a note", |m| !m.hides();
    PAPER, &[key(KeyCode::Up), key(KeyCode::BackTab)], Up, "back", "to the field before, keeping nothing";
    PAPER, &[key(KeyCode::Right)], ToWorking, "working", "at the end of a field: to the points for its working, a digit", |m| m.at_working_edge();
    PAPER, &[key(KeyCode::Left)], ToEntry, "", "back from the points for working", |m| m.in_working();
    PAPER, &[control('d')], TakeReason, "that is it", "takes the first explanation of this part as the reason: the points that the scheme gives for such a mistake, with a note, or the number that was misread", |m| !m.hides();
    PAPER, &[control('x')], Waive, "waive", "lets a charge go (unit, figures, misread numbers, another constant, lateness), or charges it again", |m| !m.hides();
    PAPER, &[control('r')], Misread, "misread", "says which number the student used for a given, once for the paper";
    PAPER, &[control('t')], Move, "move", "moves this entry to another part or another paper; two entries change places; `all` and a name moves all of them", |m| m.at_keyed();
    PAPER, &[control('e')], Attend, "absent…", "present, absent, excused, or handed in on a day";
    PAPER, &[control('s')], Tell, "words…", "what the student is told: shown, put in your own words, or withheld", |m| !m.hides();
    PAPER, &[control('n')], NextPaper, "next paper", "the next paper in roster order";
    PAPER, &[control('p')], PreviousPaper, "", "the paper before in roster order";
    PAPER, &[control('g')], Across, "across", "this part through all papers";
    PAPER, &[control('l')], Class, "class", "the class at a glance";
    PAPER, &[control('k')], Again, "key again", "keys a second time without seeing the first, and compares; or goes back to the first";
    PAPER, &[control('v')], Hide, "hide verdicts", "hides verdicts and points while keying, or shows them";
    PAPER, &[key(KeyCode::PageDown)], PageDown, "", "further down in the reckoning", |m| m.panel;
    PAPER, &[key(KeyCode::PageUp)], PageUp, "", "further up in the reckoning", |m| m.panel;
    PAPER, &[key(KeyCode::Esc), control('f')], Back, "find", "to the search for another paper";

    ACROSS, DOWN, Down, "", "to the paper below";
    ACROSS, UP, Up, "", "to the paper above";
    ACROSS, &[key(KeyCode::PageDown)], PageDown, "", "a page down";
    ACROSS, &[key(KeyCode::PageUp)], PageUp, "", "a page up";
    ACROSS, ENTER, Enter, "keep, next", "keeps the points typed and goes to the next paper; with nothing typed just goes on";
    ACROSS, &[key(KeyCode::Right), key(KeyCode::Tab)], NextPart, "next part", "to the next part";
    ACROSS, &[key(KeyCode::Left), key(KeyCode::BackTab)], PreviousPart, "", "to the part before";
    ACROSS, &[letter('f')], Filter, "filter", "the next filter: all, working open, needs a look, wrong, and so on";
    ACROSS, &[letter('s')], Second, "second marking", "a second marking that does not see the first; then the two are compared";
    ACROSS, &[letter('a')], Adjust, "adjust", "sets the points of this part on the paper chosen; offers those and the note that were set last for this part", |m| !m.hides() && !m.across.second && !m.across.found.is_empty();
    ACROSS, &[letter('o')], Find, "open", "opens the paper chosen";
    ACROSS, BACK, Back, "back", "back to where you came from";

    CLASS, ENTER, Enter, "open", "opens the paper chosen";
    CLASS, UP, Up, "", "to the paper above";
    CLASS, DOWN, Down, "", "to the paper below";
    CLASS, &[key(KeyCode::PageDown)], PageDown, "", "a page down";
    CLASS, &[key(KeyCode::PageUp)], PageUp, "", "a page up";
    CLASS, &[letter('f')], Filter, "filter", "the next filter: all, to do, needs a look, absent, late, and so on";
    CLASS, &[letter('e')], Export, "export", "writes the marks as CSV";
    CLASS, &[letter('i')], Import, "import", "reads a file of answers, and shows first what it would add or change";
    CLASS, &[letter('r')], Reissue, "another paper…", "gives the student chosen, or all noted as absent, another paper with new numbers; shows first to whom", |m| !m.class.found.is_empty();
    CLASS, &[control('e')], Attend, "absent…", "present, absent, excused, or handed in on a day";
    CLASS, &[letter('t')], Report, "teach again", "how the class did: totals, parts, where it fell over, what to go over again", |m| !m.hides();
    CLASS, &[letter('g')], Across, "across", "one part through all papers";
    CLASS, BACK, Back, "back", "back to where you came from";

    IMPORT, ENTER, Take, "take all", "keys what is shown, in one go that one undo takes back", |m| m.can_import();
    IMPORT, UP, Up, "", "up";
    IMPORT, DOWN, Down, "further down", "down";
    IMPORT, BACK, Back, "leave as it is", "back, and nothing is changed";

    REPORT, &[key(KeyCode::PageDown)], PageDown, "further down", "a page down";
    REPORT, &[key(KeyCode::PageUp)], PageUp, "", "a page up";
    REPORT, DOWN, Down, "", "down";
    REPORT, UP, Up, "", "up";
    REPORT, BACK, Back, "back", "back to the class";

    In::Prompt, ENTER, Enter, "do it", "does it";
    In::Prompt, BACK, Back, "leave it", "leaves it, and nothing is changed";

    In::Help, BACK, Back, "back", "back to the desk";
    In::Help, &[key(KeyCode::PageDown)], PageDown, "further down", "a page down";
    In::Help, &[key(KeyCode::PageUp)], PageUp, "", "a page up";
    In::Help, DOWN, Down, "", "down";
    In::Help, UP, Up, "", "up";

    In::Everywhere, &[control('u')], Undo, "undo", "takes the last thing back, also after a restart; what is being typed first", |m| m.prompt.is_some() || m.can_undo() || m.is_typing();
    In::Everywhere, &[control('y')], Redo, "", "brings back what was taken back";
    In::Everywhere, &[key(KeyCode::F(1))], Help, "keys", "this page";
    In::Everywhere, &[control('c')], Leave, "leave", "leaves the program; everything is saved already";
    In::Everywhere, &[control('z')], Suspend, "", "stops the program until the shell brings it back";
];

impl Press {
    /// Whether a key event is this press.
    pub fn is(self, event: KeyEvent) -> bool {
        let control = event.modifiers.contains(KeyModifiers::CONTROL);
        let code = match event.code {
            KeyCode::Char(c) if control => KeyCode::Char(c.to_ascii_lowercase()),
            code => code,
        };
        let other = KeyModifiers::ALT | KeyModifiers::SUPER;
        code == self.code && control == self.control && !event.modifiers.intersects(other)
    }

    /// Its name on the screen; `^` stands for the control key.
    pub fn name(self) -> String {
        let name = match self.code {
            KeyCode::Char(c) if self.control => return format!("^{}", c.to_ascii_uppercase()),
            KeyCode::Char(c) => return c.to_string(),
            KeyCode::F(number) => return format!("F{number}"),
            KeyCode::Enter => "Enter",
            KeyCode::Esc => "Esc",
            KeyCode::Tab => "Tab",
            KeyCode::BackTab => "Shift-Tab",
            KeyCode::Up => "↑",
            KeyCode::Down => "↓",
            KeyCode::Left => "←",
            KeyCode::Right => "→",
            KeyCode::PageUp => "PgUp",
            KeyCode::PageDown => "PgDn",
            _ => "?",
        };
        name.to_owned()
    }
}

/// The places whose keys hold now, the nearest first.
pub fn places(model: &Model) -> Vec<In> {
    let nearest = if model.help.is_some() {
        In::Help
    } else if model.prompt.is_some() {
        In::Prompt
    } else {
        In::Screen(model.place)
    };
    vec![nearest, In::Everywhere]
}

/// The action of a key press now.
pub fn action(model: &Model, event: KeyEvent) -> Option<Action> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    places(model).into_iter().find_map(|place| {
        let mut here = KEYS.iter().filter(|binding| binding.place == place);
        here.find(|binding| binding.keys.iter().any(|key| key.is(event)) && (binding.when)(model))
            .map(|binding| binding.action)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_key_says_what_it_does_and_has_one_meaning_in_a_place() {
        for (at, binding) in KEYS.iter().enumerate() {
            assert!(!binding.keys.is_empty(), "{binding:?}");
            assert!(!binding.long.is_empty(), "{binding:?}");
            assert!(binding.short.chars().count() <= 15, "{binding:?}");
            for other in &KEYS[..at] {
                let both = [binding.place, other.place];
                let meet = both[0] == both[1] || both.contains(&In::Everywhere);
                let same = binding.keys.iter().any(|key| other.keys.contains(key));
                // Where a line is asked for or keys are listed, only the way back is needed.
                assert!(!(meet && same), "{binding:?}\n{other:?}");
            }
        }
    }

    #[test]
    fn keys_that_are_typed_in_a_field_are_no_commands_there() {
        for binding in KEYS {
            let typing = matches!(binding.place, COURSE | FIND | PAPER | In::Prompt);
            for key in binding.keys.iter().filter(|_| typing) {
                let is_text = !key.control && matches!(key.code, KeyCode::Char(_));
                assert!(
                    !is_text || binding.action == Action::Unreadable,
                    "{binding:?}"
                );
            }
        }
    }

    #[test]
    fn keys_have_names_of_their_own() {
        let mut names = BTreeSet::new();
        let mut presses = Vec::new();
        for key in KEYS.iter().flat_map(|binding| binding.keys) {
            if !presses.contains(key) {
                presses.push(*key);
                assert!(names.insert(key.name()), "{key:?} is named {}", key.name());
            }
        }
    }
}
