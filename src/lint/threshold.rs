//! From where on something is worth a teacher's look: every limit of `check`, each with its reason.
//!
//! Where no source is named the number is a judgement of ours.

/// Something that happens in this share of the variants or more concerns somebody in any class:
/// in a class of 30 at least one student, more likely than not (1 − 0.95³⁰ = 79 %).
pub const SOME: f64 = 0.05;

/// Something that happens in this share of the variants or more is a trait of the assignment.
pub const MANY: f64 = 0.10;

/// So few draws that meet `[require]` mean ranges that are mostly empty: what is left of a range
/// is no longer spread evenly, and each paper takes 20 tries.
pub const HARD: f64 = 0.05;

/// Students of a large class. With fewer variants than that, some share theirs from the start.
pub const CLASS: usize = 32;

/// The share of draws below which a kind of them is hard to find.
pub const RARE: f64 = 0.01;

/// Pairs of variants that agree in all answers: with more, what a neighbour has is too often right
/// here as well. A lone answer within 1 % is met by one to three pairs in a hundred.
pub const ALIKE: f64 = 0.05;

/// How many tolerances a foreseen wrong way should stay away from the right answer, so that
/// neither rounding nor tolerance carries one over to the other (practice of the trade).
pub const CLEAR: f64 = 3.0;

/// [`CLEAR`] for people.
pub(super) const CLEAR_IN_WORDS: &str = "three tolerances";

/// A key this small a share of the usual one has passed close to zero, where a percentage of it is
/// finer than the figures of the terms it is the difference of.
pub const NEAR_ZERO: f64 = 0.05;

/// Keys in the unit asked for are pleasant from here …
pub const SMALL: f64 = 0.01;

/// … up to here; beyond, zeros are counted instead of physics done.
pub const LARGE: f64 = 10_000.0;

/// Figures asked for below which marking grows unfair: at two, the key alone rejects 3 of 100 right
/// answers that were rounded on the way, and guesses are taken three times as often as at three
/// (simulated before this was built).
pub const FIGURES: u8 = 3;

/// Random values that would earn credit. One window of ±1 % takes 3.3 % of the values within
/// ±[`GUESS`]: the key and the four roads that count, all apart from each other, 17 %. What goes
/// beyond comes from wider windows.
pub const LUCKY: f64 = 0.20;

/// How far a random value lies from the key at most, as a share of it.
pub const GUESS: f64 = 0.30;

/// A mistake that goes unseen in this share of the variants or more is one that the question does not ask
/// about: below that somebody in any class hears of it.
pub const UNTOLD: f64 = 1.0;

/// Without a declared tolerance the rounding allowance is held against its own cap.
pub const CAP: f64 = crate::marking::window::ALLOWANCE;
