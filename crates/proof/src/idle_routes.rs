//! Routes of trackwork on which no train ever moves: in every setting in which one can be there, neither the runs before it
//! nor those behind give it power. Such a route was not switched off; it was forgotten.

use crate::spot::GapOrStretch;
use crate::{QueryContext, TooComplex};
use circuit::SegmentId;
use network::Condition;
use std::collections::BTreeMap;

/// For each segment when a train that is on it, or could come to it from there, is on a route that never has power.
pub(crate) struct IdleRoutes(BTreeMap<SegmentId, Condition>);

impl IdleRoutes {
    /// On a plan that can be shorted there are none: the short may be what takes the power.
    pub(crate) fn new(q: &QueryContext<'_>) -> Result<IdleRoutes, TooComplex> {
        let mut idle = IdleRoutes(BTreeMap::new());
        if !q.shorted.is_false() {
            return Ok(idle);
        }
        let trackwork = (0..q.circuit.segments.len()).filter(|&s| q.lined.runs.run_of(s).is_none());
        for route in trackwork {
            let middle = GapOrStretch::stretch(q.circuit, &q.lined.runs, route, q.circuit.segments[route].length / 2.0);
            let there = q.logic.restrict_to_legal(q.train_where(&middle, q.logic.always())?)?;
            if there.is_false() || !q.logic.and(there, q.gets_power(route)?)?.is_false() {
                continue;
            }
            let mut beside = Vec::new();
            for (run, set) in q.runs_next_to(route)? {
                let from_there = q.logic.and(there, set)?;
                if !from_there.is_false() {
                    beside.push((run, from_there));
                }
            }
            // A run that never has power is told itself.
            let mut forgotten = !beside.is_empty();
            for &(run, _) in &beside {
                forgotten &= !q.logic.restrict_to_legal(q.run_is_live(run)?)?.is_false();
            }
            if !forgotten {
                continue;
            }
            idle.add(q, route, there)?;
            for (run, from_there) in beside {
                for &track in q.lined.runs.tracks(run) {
                    idle.add(q, track, from_there)?;
                }
            }
        }
        Ok(idle)
    }

    fn add(&mut self, q: &QueryContext<'_>, segment: SegmentId, when: Condition) -> Result<(), TooComplex> {
        let known = self.when(q, segment);
        self.0.insert(segment, q.logic.or(known, when)?);
        Ok(())
    }

    /// When a train on a segment is on such a route, or next to one that is set.
    pub(crate) fn when(&self, q: &QueryContext<'_>, segment: SegmentId) -> Condition {
        self.0.get(&segment).copied().unwrap_or(q.logic.never())
    }
}
