//! What counts on the screen: the proposal, with what the teacher set or let go.
//!
//! In: what stands on a paper and the marks proposed. Out: the points of each part and the sums, as
//! [`crate::record::account`] reckons them; no rule is repeated here.

use rust_decimal::Decimal;

use crate::marking::{Marked, Status};
use crate::plan::Plan;
use crate::record::{Standing, account, late_let_go, paper_let_go};

/// The points of one paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Points {
    /// For each part, with what the teacher added; none where there is no paper.
    pub parts: Vec<Decimal>,
    /// What the teacher added to the proposed points of the parts, or took off.
    pub adjusted: Decimal,
    /// Taken off for the paper as a whole and not let go; 0 or negative.
    pub paper_cost: Decimal,
    /// Taken off for lateness and not let go; 0 or negative.
    pub late: Decimal,
    /// The sum, never below 0.
    pub total: Decimal,
    /// What the paper is out of.
    pub out_of: Decimal,
    /// How far it is, with the teacher's word.
    pub status: Status,
}

impl Points {
    /// Of a paper as it stands and as it is marked.
    pub fn of(plan: &Plan, standing: &Standing, marked: &Marked) -> Self {
        let account = account(plan, marked, standing);
        let parts = marked.parts.iter().zip(&account.by_part);
        let let_go = paper_let_go(plan, marked, standing);
        let late = late_let_go(marked, standing);
        Self {
            parts: parts.map(|(mark, added)| mark.points + added).collect(),
            adjusted: account.adjusted - let_go - late,
            paper_cost: marked.paper_cost + let_go,
            late: marked.late + late,
            total: account.total,
            out_of: marked.out_of,
            status: account.status,
        }
    }
}
