//! Texts with places for the givens.

/// A text with places for the givens.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Template {
    /// What is printed, in order.
    pub pieces: Vec<Piece>,
}

/// A piece of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// As it stands.
    Text(String),
    /// The given of that index, as drawn.
    Given(usize),
}
