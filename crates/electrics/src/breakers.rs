//! Which breakers a fault current passes.

use crate::poles::pieces;
use crate::square_short::Sensed;
use crate::{Feed, Grid, TrainPlace};
use circuit::{Breaker, Circuit, EdgeId, EdgeKind, NodeId};
use std::collections::BTreeMap;

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
    pub fn breakers_passed(&self, place: &TrainPlace) -> Vec<Passed> {
        let breakers = &self.circuit.breakers;
        if let Some(nearest) = self.only_breaker(place) {
            let chain = std::iter::successors(Some(nearest), |&i| breakers[i].behind);
            return chain.map(|breaker| Passed { breaker, share: 1.0 }).collect();
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

    /// The breaker between whose terminals a powered place hangs, where no two terminals of breakers are joined in
    /// this setting. Breakers then stand one behind the other like branches of a tree, and all of the current passes
    /// each up to the source: nothing need be solved.
    fn only_breaker(&self, place: &TrainPlace) -> Option<usize> {
        let Feed::Powered { .. } = self.feed(place) else { return None };
        let (piece, behind) = self.districts.get_or_init(|| districts(self)).as_ref()?;
        let [left, right] = place.rail.map(|edge| piece[self.circuit.edges[edge].a]);
        let of = |piece: u32| behind.get(&piece).copied();
        (of(left).is_some() && of(left) == of(right)).then(|| of(left)).flatten()
    }
}

/// For each node its piece, with everything inside supplies and breakers taken out; for each piece with a terminal
/// of a breaker in it, that breaker.
pub(crate) type Districts = (Vec<u32>, BTreeMap<u32, usize>);

/// None where a piece has two terminals in it.
fn districts(grid: &Grid<'_>) -> Option<Districts> {
    let circuit = grid.circuit;
    let outside = |edge: EdgeId| grid.is_closed(edge) && circuit.edges[edge].kind != EdgeKind::Source;
    let (piece, _) = pieces(circuit, outside);
    let mut behind = BTreeMap::new();
    for (index, breaker) in circuit.breakers.iter().enumerate() {
        for node in breaker.node {
            if behind.insert(piece[node], index).is_some() {
                return None;
            }
        }
    }
    Some((piece, behind))
}

fn depth(breakers: &[Breaker], index: usize) -> usize {
    // No chain is longer than there are breakers; one that were would go round.
    std::iter::successors(Some(index), |&i| breakers[i].behind).take(breakers.len()).count()
}

/// The ratio of a fault current to what trips the breaker that trips first of those it passes: the greatest of `share · amps /
/// trip`. None where no breaker is passed whose trip current is known.
pub fn margin(circuit: &Circuit, passed: &[Passed], fault_amps: f64) -> Option<f64> {
    let ratio = |p: &Passed| Some(p.share * fault_amps / circuit.breakers[p.breaker].trip_amps?);
    passed.iter().filter_map(ratio).reduce(f64::max)
}

/// The same by what each of the breakers measures of a current that reverses.
pub fn margin_noticed(circuit: &Circuit, passed: &[Passed], sensed: &Sensed) -> Option<f64> {
    let ratio = |p: &Passed| {
        let breaker = &circuit.breakers[p.breaker];
        Some(p.share * sensed.by(breaker.senses) / breaker.trip_amps?)
    };
    passed.iter().filter_map(ratio).reduce(f64::max)
}
