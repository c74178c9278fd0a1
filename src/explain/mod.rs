//! TEMPORARY
#![allow(missing_docs)]
use crate::{marking::Reason, plan::Plan};
pub fn reason(_: &Plan, _: usize, reason: &Reason) -> String {
    format!("{reason:?}")
}
