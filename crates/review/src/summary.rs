//! What a builder wants to know first.

use crate::Facts;
use finding::Finding;
use plan::Plan;

/// The first lines of a report.
#[derive(Clone, Debug, Default)]
pub struct Summary {}

impl Summary {
    pub(crate) fn of(_facts: &Facts<'_>, _findings: &[Finding]) -> Summary {
        Summary {}
    }
    /// stub
    pub fn render(&self, _width: usize) -> String {
        String::new()
    }
    pub(crate) fn of_unread(_plan: &Plan, _findings: &[Finding]) -> Summary {
        Summary {}
    }
}
