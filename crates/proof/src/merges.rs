//! Where other tracks join the neck of a track.

use crate::runs::PlainRuns;
use crate::state::{State, slot, state};
use circuit::{Circuit, RailOwner, SegmentId};
use plan::Kind;
use std::collections::{BTreeMap, BTreeSet};

/// Which routes of trackwork another track joins, for who goes over them towards where routes meet.
pub(crate) struct Merges<'c> {
    circuit: &'c Circuit,
    runs: &'c PlainRuns,
    routes_of: BTreeMap<(Kind, usize), Vec<SegmentId>>,
    known: BTreeMap<SegmentId, bool>,
}

impl<'c> Merges<'c> {
    pub(crate) fn new(circuit: &'c Circuit, runs: &'c PlainRuns) -> Merges<'c> {
        let mut routes_of: BTreeMap<(Kind, usize), Vec<SegmentId>> = BTreeMap::new();
        for (segment, s) in circuit.segments.iter().enumerate() {
            if let RailOwner::Work { kind, index, .. } = s.owner {
                routes_of.entry((kind, index)).or_default().push(segment);
            }
        }
        Merges { circuit, runs, routes_of, known: BTreeMap::new() }
    }

    /// Whether, at an end of a route, another track joins in that is a neighbour: straight, or over trackwork that leads on
    /// to it.
    pub(crate) fn neighbour(&mut self, route: SegmentId, is_neighbour: &dyn Fn(SegmentId) -> bool) -> bool {
        if let Some(&known) = self.known.get(&route) {
            return known;
        }
        let found = self.look(route, is_neighbour);
        self.known.insert(route, found);
        found
    }

    fn look(&self, route: SegmentId, is_neighbour: &dyn Fn(SegmentId) -> bool) -> bool {
        let circuit = self.circuit;
        let RailOwner::Work { kind, index, ends } = &circuit.segments[route].owner else { return false };
        // The routes that share an end with it, each to be left by its other end.
        let mut stack: Vec<State> = Vec::new();
        for &other in self.routes_of.get(&(*kind, *index)).into_iter().flatten() {
            let RailOwner::Work { ends: theirs, .. } = &circuit.segments[other].owner else { continue };
            let parts = (0..2).filter(|&end| ends.contains(&theirs[1 - end]) && !ends.contains(&theirs[end]));
            stack.extend(parts.map(|end| state(other, end)));
        }
        let mut seen = BTreeSet::new();
        while let Some(at) = stack.pop() {
            if !seen.insert(at) {
                continue;
            }
            let (segment, end) = (at / 2, at % 2);
            let joined = &circuit.segments[segment].ends[end];
            if segment < circuit.tracks && is_neighbour(segment) {
                return true;
            }
            // On over plain track without room, and where several routes leave; what is trailed leads back to where all come
            // from.
            let short = segment >= circuit.tracks || !self.runs.has_room(segment);
            if short && (joined.next.iter().all(|n| n.0 < circuit.tracks) || joined.next.len() > 1) {
                stack.extend(joined.next.iter().map(|&(next, entered)| state(next, 1 - slot(entered))));
            }
        }
        false
    }
}
