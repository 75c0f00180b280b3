//! Which breakers a fault current passes.

use crate::{Feed, Grid, Place};
use circuit::{Breaker, Circuit, EdgeKind, NodeId};

/// A breaker that a fault current passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// The breaker, by its index in the circuit.
    pub breaker: usize,
    /// Which part of the fault current passes it: 1 unless several breakers stand side by side.
    pub share: f64,
}

/// Less than this part of a current is what rounding leaves of none.
const NOTHING: f64 = 1e-9;

impl Grid<'_> {
    /// The breakers that the current of a fault at a place passes, those nearest the place first. A breaker that
    /// carries the current on one pole only counts as well. Empty where the place is not powered.
    ///
    /// # Panics
    /// When the place names an edge that is not there.
    pub fn breakers_passed(&self, place: &Place) -> Vec<Passed> {
        let breakers = &self.circuit.breakers;
        if let [_] = breakers.as_slice()
            && let Feed::Powered { .. } = self.feed(place)
        {
            return vec![Passed { breaker: 0, share: 1.0 }]; // there is no other way, so it need not be reckoned
        }
        let Some(current) = self.unit_current(place) else { return Vec::new() };
        let mut passed = Vec::new();
        for (index, breaker) in breakers.iter().enumerate() {
            let through = |from: NodeId, to: NodeId| -> f64 {
                let joins = |a: NodeId, b: NodeId| if (a, b) == (from, to) { 1.0 } else { 0.0 };
                (self.circuit.edges.iter().zip(&current.amps))
                    .filter(|(edge, _)| edge.kind == EdgeKind::Source)
                    .map(|(edge, amps)| amps * (joins(edge.a, edge.b) - joins(edge.b, edge.a)))
                    .sum::<f64>()
                    .abs()
            };
            let share = match breaker.behind {
                // All that its source gives.
                None => through(self.circuit.sources[breaker.source].plus, breaker.node[0]),
                Some(upper) => {
                    (0..2).map(|pole| through(breakers[upper].node[pole], breaker.node[pole])).fold(0.0, f64::max)
                }
            };
            if share > NOTHING {
                passed.push(Passed { breaker: index, share });
            }
        }
        passed.sort_by_key(|p| std::cmp::Reverse(depth(breakers, p.breaker)));
        passed
    }
}

fn depth(breakers: &[Breaker], index: usize) -> usize {
    // No chain is longer than there are breakers; one that were would go round.
    std::iter::successors(Some(index), |&i| breakers[i].behind).take(breakers.len()).count()
}

/// By how much a fault current exceeds what trips the first of the breakers it passes: the greatest of `share · amps /
/// trip`. None where no breaker is passed whose trip current is known.
pub fn margin(circuit: &Circuit, passed: &[Passed], fault_amps: f64) -> Option<f64> {
    let ratio = |p: &Passed| Some(p.share * fault_amps / circuit.breakers[p.breaker].trip_amps?);
    passed.iter().filter_map(ratio).reduce(f64::max)
}
