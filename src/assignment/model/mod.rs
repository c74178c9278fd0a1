//! The checked model: what an assignment file means once nothing is wrong with it.
//!
//! Only [`super::read`] makes these. Whoever holds one may rely on this: every index is in range,
//! every name in a formula stands for something, dimensions agree, points and costs are not
//! negative, shares lie within 0 and 1, ids are unique. Not promised: that the equations have a
//! solution; the plan finds that out.

mod part;
mod quantities;
mod rules;
mod sheet;
mod template;

pub use part::*;
pub use quantities::*;
pub use rules::*;
pub use sheet::*;
pub use template::*;
