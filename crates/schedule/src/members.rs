//! The parts of panels from one plan to the next: what is called as it was is what it was; of what is not, as many of a kind as there are
//! in their order.

use crate::things::{Join, Thing, Things};
use plan::Kind;
use std::collections::BTreeMap;

/// For each part of an earlier plan's panels which part of this plan's it is.
#[derive(Clone, Debug, Default)]
pub(crate) struct MembersMatched {
    /// By the panel's place in the earlier list of things.
    of: BTreeMap<usize, Vec<Option<usize>>>,
}

impl MembersMatched {
    /// Those of two lists of things, of which `to` says which thing of the new one each of the old one is.
    pub(crate) fn new(old: &Things, new: &Things, to: &[Option<usize>]) -> MembersMatched {
        let panels = old.list.iter().enumerate().filter(|(_, thing)| thing.kind == Kind::Panel);
        let matched = panels.filter_map(|(at, thing)| Some((at, matched(thing, &new.list[to.get(at).copied()??]))));
        MembersMatched { of: matched.collect() }
    }

    /// The place of an earlier plan's part among those of its panel now; one that no part has where it is gone.
    pub(crate) fn place(&self, panel: usize, member: i64) -> i64 {
        let now = usize::try_from(member).ok().and_then(|m| self.of.get(&panel)?.get(m).copied()?);
        now.and_then(|m| i64::try_from(m).ok()).unwrap_or(-1 - member.max(0))
    }
}

fn matched(old: &Thing, new: &Thing) -> Vec<Option<usize>> {
    let mut to: Vec<Option<usize>> = vec![None; old.joins.len()];
    let mut is_taken = vec![false; new.joins.len()];
    for (at, join) in old.joins.iter().enumerate() {
        let same = |(n, now): (usize, &Join)| !is_taken[n] && (&now.port, &now.other) == (&join.port, &join.other);
        if let Some(n) = new.joins.iter().enumerate().position(same) {
            to[at] = Some(n);
            is_taken[n] = true;
        }
    }
    for kind in ["button", "switch", "lamp"] {
        let left = |joins: &[Join], is_free: &dyn Fn(usize) -> bool| {
            (0..joins.len()).filter(|&j| joins[j].port == kind && is_free(j)).collect::<Vec<_>>()
        };
        let olds = left(&old.joins, &|j| to[j].is_none());
        let news = left(&new.joins, &|j| !is_taken[j]);
        if olds.len() == news.len() {
            olds.into_iter().zip(news).for_each(|(o, n)| to[o] = Some(n));
        }
    }
    to
}
