//! A desk without a terminal, and hands to type on it.

use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use paperweight::record::{Keyed, Record};
use paperweight::text::DecimalMark;
use paperweight::tui::event::{Effect, Event};
use paperweight::tui::model::Model;
use paperweight::tui::paint::Theme;
use paperweight::tui::update::update;
use paperweight::workflow::desk::{Class, Stack, Watch};
use paperweight::workflow::{Kept, class_of, roster};

/// The day on which everything in these tests happens.
pub(crate) fn now() -> DateTime<Utc> {
    DateTime::from_timestamp(1_795_600_000, 0).unwrap()
}

/// A desk, and a record that takes what is keyed.
pub(crate) struct Typist {
    pub(crate) model: Model,
    /// Nothing, if acts are to wait.
    pub(crate) record: Option<Record>,
    /// What was asked for outside, but for saving.
    pub(crate) effects: Vec<Effect>,
    /// Keys pressed.
    pub(crate) count: usize,
}

/// The shipped class that an assignment's answers are of.
pub(crate) fn class(name: &str) -> Class {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("rosters/{name}.csv"));
    let (roster, _) = roster(&path, &Default::default()).unwrap();
    Class {
        roster: Arc::new(roster),
        name: class_of(&path),
        decimal: DecimalMark::Point,
    }
}

impl Typist {
    /// At a shipped stack, where a paper is looked for.
    pub(crate) fn at(code: &str, roster: &str) -> Self {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
        let prepared = Stack::sheet(&folder.join(format!("assignments/{code}.toml"))).unwrap();
        Self::on(prepared, class(roster))
    }

    /// At any stack.
    pub(crate) fn on(prepared: Arc<paperweight::workflow::Prepared>, class: Class) -> Self {
        let record = Stack::one_off(&prepared, &class, now()).unwrap();
        let kept = Kept::of(&record, &prepared.plan.sheet.code, &class.name).unwrap();
        let mut model = Model::new(Theme { color: true });
        model.marker = "second".to_owned();
        let stack = Stack::open(prepared, class, kept);
        update(&mut model, Event::Opened(Box::new(stack)), now());
        Self {
            model,
            record: Some(record),
            effects: Vec::new(),
            count: 0,
        }
    }

    /// Presses keys: characters as they are, others as `<Enter>`, `<^U>`, `<F1>`.
    pub(crate) fn press(&mut self, keys: &str) {
        let mut rest = keys;
        while let Some(c) = rest.chars().next() {
            let end = rest.find('>').filter(|_| c == '<');
            let (name, length) = match end {
                Some(end) => (&rest[1..end], end + 1),
                None => (&rest[..c.len_utf8()], c.len_utf8()),
            };
            self.event(Event::Key(key(name)));
            self.count += 1;
            rest = &rest[length..];
        }
    }

    /// Something happens; what is keyed is saved at once.
    pub(crate) fn event(&mut self, event: Event) {
        for effect in update(&mut self.model, event, now()) {
            match (effect, &mut self.record) {
                (Effect::Save(acts), Some(record)) => {
                    let new = acts.iter().map(|act| {
                        paperweight::record::NewAct::new(act.at, act.issue, act.deed.clone())
                    });
                    let new: Vec<_> = new.collect();
                    let real = record.append(&new).unwrap();
                    self.event(Event::Saved(acts[0].id, real));
                }
                (Effect::Save(_), None) => {}
                (effect, _) => self.effects.push(effect),
            }
        }
    }

    /// Somebody else gives these students another paper, and the desk hears of it.
    pub(crate) fn reissue(&mut self, students: &[&str]) {
        let stack = self.model.stack.as_ref().unwrap();
        let (sheet, class) = (stack.plan().sheet.code.clone(), stack.class().to_owned());
        let ids = students.iter().map(|id| (*id).to_owned()).collect();
        let reissue = stack.reissue(ids, None, now());
        let record = self.record.as_mut().unwrap();
        let kept = Kept::of(record, &sheet, &class).unwrap();
        let mut watch = Watch::of(&kept, &sheet, &class);
        reissue(record).unwrap();
        let news = watch.look(record).unwrap();
        self.event(Event::Came(news));
    }

    pub(crate) fn stack(&self) -> &Stack {
        self.model.stack.as_ref().unwrap()
    }

    /// Where one is and what stands on the paper one is at, in a line.
    pub(crate) fn facts(&self) -> String {
        let stack = self.stack();
        let state = &self.model.paper;
        let paper = &stack.papers()[state.paper];
        let mut facts = format!("{:?}", self.model.place);
        if self.model.place == paperweight::tui::model::Place::Paper {
            let part = &stack.plan().parts[state.field].id;
            facts += &format!(
                " {} at {part} {:?}",
                stack.student(state.paper).id,
                state.column
            );
            if !state.input.value().is_empty() {
                facts += &format!(" `{}`", state.input.value());
            }
        }
        for (at, place) in stack.plan().parts.iter().enumerate() {
            let Some(part) = paper.standing.get(&place.id) else {
                continue;
            };
            let mut told = Vec::new();
            if let Some(first) = &part.first {
                let text = match first {
                    Keyed::Text(text) => format!("`{text}`"),
                    Keyed::Unreadable => "unreadable".to_owned(),
                };
                let mark = paper.mark(at).map_or("", |mark| mark.verdict.name());
                told.push(format!("{text} {mark}"));
            }
            if let Some(Keyed::Text(second)) = &part.second {
                told.push(format!("second `{second}`"));
            }
            if let Some(points) = part.working {
                told.push(format!("working {points}"));
            }
            if let Some(set) = &part.adjustment {
                told.push(format!("set {} {}", set.points, set.note));
            }
            for (marker, opinion) in &part.opinions {
                told.push(format!("{marker} {}", opinion.points));
            }
            if !told.is_empty() {
                facts += &format!("; {} {}", place.id, told.join(", "));
            }
        }
        for (given, value) in &paper.standing.misread {
            facts += &format!("; misread {given} {value}");
        }
        if let Some(attendance) = paper.standing.attendance {
            facts += &format!("; {attendance:?}");
        }
        if let Some(day) = paper.standing.handed_in {
            facts += &format!("; handed in {day}");
        }
        facts
    }
}

fn key(name: &str) -> KeyEvent {
    let plain = |code| KeyEvent::new(code, KeyModifiers::NONE);
    match name {
        "Enter" => plain(KeyCode::Enter),
        "Tab" => plain(KeyCode::Tab),
        "Esc" => plain(KeyCode::Esc),
        "Up" => plain(KeyCode::Up),
        "Down" => plain(KeyCode::Down),
        "Left" => plain(KeyCode::Left),
        "Right" => plain(KeyCode::Right),
        "PgDn" => plain(KeyCode::PageDown),
        "Back" => plain(KeyCode::Backspace),
        "Shift-Tab" => KeyEvent::new(KeyCode::BackTab, KeyModifiers::SHIFT),
        "F1" => plain(KeyCode::F(1)),
        name => match name.strip_prefix('^') {
            Some(letter) if !letter.is_empty() => {
                let letter = letter.chars().next().unwrap().to_ascii_lowercase();
                KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL)
            }
            _ => plain(KeyCode::Char(name.chars().next().unwrap())),
        },
    }
}
