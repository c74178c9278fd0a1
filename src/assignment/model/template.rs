//! Texts with places for the givens.

/// A text with places for the givens.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Template {
    /// What is printed, in order.
    pub pieces: Vec<Piece>,
}

impl Template {
    /// The text in one line, each given's place filled with what `given` says of its index.
    pub fn filled(&self, given: impl Fn(usize) -> String) -> String {
        let pieces = self.pieces.iter().map(|piece| match piece {
            Piece::Text(text) => text.clone(),
            Piece::Given(index) => given(*index),
        });
        let text: String = pieces.collect();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// A piece of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// As it stands.
    Text(String),
    /// The given of that index, as drawn.
    Given(usize),
}
