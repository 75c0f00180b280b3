//! A plan and what it is to become.

use crate::members::MembersMatched;
use crate::things::Things;
use crate::{Job, NumbersRecord};

/// Two plans, and which things of the one are which of the other.
pub(crate) struct PlanPair<'j> {
    pub(crate) old: &'j Job<'j>,
    pub(crate) new: &'j Job<'j>,
    pub(crate) old_things: Things,
    pub(crate) new_things: Things,
    /// For each old thing the new one.
    pub(crate) to: Vec<Option<usize>>,
    /// For each part of an old panel the new one.
    pub(crate) members: MembersMatched,
}

impl<'j> PlanPair<'j> {
    pub(crate) fn new(old: &'j Job<'j>, new: &'j Job<'j>, kept: &NumbersRecord) -> PlanPair<'j> {
        let old_things = Things::from_plan(old.facts.plan, old.facts.names);
        let new_things = Things::from_plan(new.facts.plan, new.facts.names);
        let to = new_things.matched(&kept.things);
        let members = MembersMatched::new(&kept.things, &new_things, &to);
        PlanPair { old, new, old_things, new_things, to, members }
    }
}
