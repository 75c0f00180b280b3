//! Pieces of a track that no gap cuts.

use crate::runs::ROOM;
use crate::state::SAME_PLACE;
use circuit::{Circuit, NodeId, RailLine};

/// The stretches of a segment that no gap cuts in either rail, and a node of each rail there.
pub(crate) fn stretches(circuit: &Circuit, track: usize) -> Vec<([f64; 2], [NodeId; 2])> {
    let Some(segment) = circuit.segments.get(track) else { return Vec::new() };
    let mut cuts: Vec<f64> = vec![0.0, segment.length];
    cuts.extend(circuit.gaps_of(track).iter().map(|g| g.x));
    cuts.sort_by(f64::total_cmp);
    let pairs = cuts.windows(2).filter(|ends| ends[1] - ends[0] > SAME_PLACE);
    let with_nodes = |ends: &[f64]| {
        let middle = (ends[0] + ends[1]) / 2.0;
        let [left, right] = [0, 1].map(|side| node_at(&segment.rails[side], middle));
        Some(([ends[0], ends[1]], [left?, right?]))
    };
    pairs.filter_map(with_nodes).collect()
}

/// Whether a stretch is a stub between trackwork and the first gap behind it.
pub(crate) fn is_stub(circuit: &Circuit, track: usize, [from, to]: [f64; 2]) -> bool {
    let s = &circuit.segments[track];
    let at_work = |end: usize| s.ends[end].next.iter().any(|n| n.0 >= circuit.tracks);
    let touches = [from <= SAME_PLACE, to >= s.length - SAME_PLACE];
    to - from < ROOM && touches != [true; 2] && (0..2).any(|end| touches[end] && at_work(end))
}

/// Whether a place of a storage track lies in a stub, on which its policy is not asked.
pub(crate) fn in_stub(circuit: &Circuit, track: usize, x: f64) -> bool {
    stretches(circuit, track).iter().any(|s| (s.0[0]..=s.0[1]).contains(&x) && is_stub(circuit, track, s.0))
}

/// The node behind which a place on a line lies.
pub(crate) fn node_at(line: &RailLine, x: f64) -> Option<NodeId> {
    line.stops.iter().rev().find(|stop| stop.x <= x).map(|stop| stop.after)
}
