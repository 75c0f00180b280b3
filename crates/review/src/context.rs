//! What rules work from: the analysis of a plan, and how much may go into proving changes.

use crate::fix_proof::Verdict;
use analysis::Analysis;
use std::cell::{Cell, OnceCell};
use std::ops::Deref;

/// What may go into proving changes: edges and eighths of decision nodes, for each plan that is proved. Some hundreds of
/// plans the size of a home's, six of a museum's.
const FIX_BUDGET: usize = 1_000_000;

/// What the rules work from.
pub struct Context<'a> {
    analysis: &'a Analysis<'a>,
    /// Whether changes are proposed at all: not while one is proved.
    pub(crate) may_fix: bool,
    /// How much work may still go into proving changes.
    pub(crate) fix_budget: Cell<usize>,
    /// What the review comes to without proposals, once that is asked for.
    pub(crate) verdict: OnceCell<Verdict>,
}

impl<'a> Context<'a> {
    /// For a review that proposes changes.
    pub fn new(analysis: &'a Analysis<'a>) -> Context<'a> {
        Context { analysis, may_fix: true, fix_budget: Cell::new(FIX_BUDGET), verdict: OnceCell::new() }
    }

    /// For a review in which nothing is proposed.
    pub(crate) fn without_fixes(analysis: &'a Analysis<'a>) -> Context<'a> {
        Context { may_fix: false, ..Context::new(analysis) }
    }
}

impl<'a> Deref for Context<'a> {
    type Target = Analysis<'a>;

    fn deref(&self) -> &Analysis<'a> {
        self.analysis
    }
}
