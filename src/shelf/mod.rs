//! The shelf: the assignments that the program brings along, wherever it is run.
//!
//! In: a code, words, or nothing. Out: items with their texts and figures, and an item's text with a
//! title, a code, a seed and a figure of its own ([`Item::renewed`]); comments and all else stay as they
//! are. Nothing is read from disk: the files stand in the program. Not here: `sheet-1`, which is no
//! problem but names three.

mod list;
mod renewed;

use crate::course;
use crate::diagnostic::nearest;

pub use renewed::{Fresh, toml_string};

/// The items of one topic.
#[derive(Clone, Copy, Debug)]
pub struct Drawer {
    /// What they are about.
    pub topic: &'static str,
    /// The easier ones mostly first.
    pub items: &'static [Item],
}

/// One assignment of the shelf.
#[derive(Clone, Copy, Debug)]
pub struct Item {
    /// How much is asked of a student, from 1, one law at a time, to 3, several bodies or laws at once.
    pub level: u8,
    /// Its file below `assignments`, without the ending.
    pub name: &'static str,
    /// The file.
    pub text: &'static str,
    /// The drawing beside it, if it has one.
    pub figure: Option<&'static str>,
}

impl Item {
    /// Its code, which is also what its file is called.
    pub fn code(&self) -> &'static str {
        self.name.rsplit('/').next().unwrap_or(self.name)
    }

    /// Its heading.
    pub fn title(&self) -> String {
        course::title_of(self.text).unwrap_or_default()
    }
}

/// Everything on the shelf, topic by topic.
pub fn drawers() -> &'static [Drawer] {
    list::DRAWERS
}

/// The item of that code; capitals make no difference.
pub fn item(code: &str) -> Option<&'static Item> {
    let mut items = drawers().iter().flat_map(|drawer| drawer.items);
    items.find(|item| item.code().eq_ignore_ascii_case(code))
}

/// The code that was probably meant.
pub fn near(code: &str) -> Option<&'static str> {
    let items = drawers().iter().flat_map(|drawer| drawer.items);
    nearest(code, items.map(Item::code))
}

/// The items in which every word is met, in topic, code, heading or text; capitals make no difference.
/// Topics without any are left out. Without words: all.
pub fn found(words: &[String]) -> Vec<(&'static str, Vec<&'static Item>)> {
    let words: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let met = |drawer: &Drawer, item: &Item| {
        let all = format!("{} {} {}", drawer.topic, item.code(), item.text).to_lowercase();
        words.iter().all(|word| all.contains(word.as_str()))
    };
    let drawers = drawers().iter();
    drawers
        .map(|drawer| {
            let items = drawer.items.iter().filter(|item| met(drawer, item));
            (drawer.topic, items.collect::<Vec<_>>())
        })
        .filter(|(_, items)| !items.is_empty())
        .collect()
}
