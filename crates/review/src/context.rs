//! What rules work from: the analysis of a plan, and how much may go into proving changes.

use crate::verdict::ReviewVerdict;
use analysis::{Analysis, Figures, TrackLine};
use finding::Finding;
use std::cell::{Cell, OnceCell, RefCell};
use std::collections::BTreeMap;
use std::ops::Deref;

/// What may go into proving changes: edges and eighths of decision nodes, for each plan that is proved. Some hundreds of
/// plans the size of a home's, six of a museum's.
const FIX_BUDGET: usize = 1_000_000;

/// Runs every rule: adds what each finds.
pub(crate) type Rules = fn(&Context<'_>, &mut Vec<Finding>);

/// What the rules work from.
pub struct Context<'a> {
    analysis: &'a Analysis<'a>,
    /// The rules, for reviews of changed plans.
    pub(crate) rules: Rules,
    /// Whether changes are proposed at all: not while one is proved.
    pub(crate) may_fix: bool,
    /// How much work may still go into proving changes.
    pub(crate) fix_budget: Cell<usize>,
    /// What the review comes to without proposals, once that is asked for.
    pub(crate) verdict: OnceCell<ReviewVerdict>,
    /// Of changed texts whose whole review was made, the numbers where nothing comes or grows; of others that were tried none.
    pub(crate) harmless: RefCell<BTreeMap<String, Option<Option<Figures>>>>,
    /// What the rules found in changed texts whose whole review was made.
    pub(crate) reviewed: RefCell<BTreeMap<String, Vec<Finding>>>,
    /// Of changed texts the numbers of one track, by its index.
    pub(crate) lines_after: RefCell<BTreeMap<(String, usize), Option<TrackLine>>>,
}

impl<'a> Context<'a> {
    /// For a review that proposes changes.
    pub(crate) fn new(analysis: &'a Analysis<'a>, rules: Rules) -> Context<'a> {
        let (verdict, harmless, reviewed, lines_after) = Default::default();
        let fix_budget = Cell::new(FIX_BUDGET);
        Context { analysis, rules, may_fix: true, fix_budget, verdict, harmless, reviewed, lines_after }
    }

    /// For a review of another plan by the same rules, in which nothing is proposed.
    pub(crate) fn without_fixes<'b>(&self, analysis: &'b Analysis<'b>) -> Context<'b> {
        Context { may_fix: false, ..Context::new(analysis, self.rules) }
    }
}

impl<'a> Deref for Context<'a> {
    type Target = Analysis<'a>;

    fn deref(&self) -> &Analysis<'a> {
        self.analysis
    }
}
