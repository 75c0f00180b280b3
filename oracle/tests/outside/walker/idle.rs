//! Routes of trackwork on which no train moves in any setting.

use super::{Walked, Walker};
use std::collections::{BTreeMap, BTreeSet};

impl Walker<'_> {
    /// Whether a train in a setting is on a route that never has power, or comes to the segment from one.
    pub(super) fn beside_idle_route(&self, segment: usize, walked: &Walked, setting: &[Option<u8>]) -> bool {
        let idle = self.idle_routes.get_or_init(|| self.idle_routes());
        idle.iter().filter(|&&route| walked.over[route]).any(|&route| {
            route == segment
                || (segment < self.circuit.tracks && self.runs_next_to(route, setting).contains(&self.runs[segment].0))
        })
    }

    /// With every setting tried; none while something is shorted, for that may be what takes the power.
    fn idle_routes(&self) -> BTreeSet<usize> {
        let (mut beside, mut moved, mut powered_runs) = (BTreeMap::new(), BTreeSet::new(), BTreeSet::new());
        for setting in oracle::settings(self.circuit) {
            let walked = self.walk(&setting);
            if walked.live.iter().zip(&self.poles).any(|(live, poles)| live[0][poles[1]]) {
                return BTreeSet::new();
            }
            let powered = |[a, b]: [usize; 2]| walked.live.iter().any(|l| (l[0][a] && l[1][b]) || (l[1][a] && l[0][b]));
            let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
            let runs: BTreeSet<usize> = self.runs.iter().map(|run| run.0).collect();
            powered_runs.extend(runs.into_iter().filter(|&run| self.run_is_live(run, &walked, &powered)));
            for route in (self.circuit.tracks..self.circuit.segments.len()).filter(|&s| walked.over[s]) {
                let next_to: &mut BTreeSet<usize> = beside.entry(route).or_default();
                next_to.extend(self.runs_next_to(route, &positions));
                if !moved.contains(&route) && self.moves(route, &walked, &positions, &powered) {
                    moved.insert(route);
                }
            }
        }
        // Where a run beside it never has power, that is told itself.
        let forgotten = |(route, runs): &(usize, BTreeSet<usize>)| {
            !moved.contains(route) && !runs.is_empty() && runs.is_subset(&powered_runs)
        };
        beside.into_iter().filter(forgotten).map(|(route, _)| route).collect()
    }
}
