//! Places under a train.

use circuit::{Circuit, EdgeId, RailLine, SegmentId};

/// A place under a train: a point on a length of rail, for each of the two rails.
///
/// At a joint there are several places at one distance, before and behind it; the lengths of rail tell them apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrainPlace {
    /// The segment.
    pub segment: SegmentId,
    /// Metres from its start.
    pub x: f64,
    /// The edges of the left and of the right rail here.
    pub rail: [EdgeId; 2],
    /// How far along each of them, as a fraction, from the edge's `a` to its `b`.
    pub fraction: [f64; 2],
}

/// Every place at a distance from a segment's start, metres: none off the segment, one mostly, several where a rail has
/// a stop.
pub fn places(circuit: &Circuit, segment: SegmentId, x: f64) -> Vec<TrainPlace> {
    let Some(found) = circuit.segments.get(segment) else { return Vec::new() };
    overlaps(&found.rails)
        .filter(|overlap| overlap.from <= x && x <= overlap.to)
        .map(|overlap| overlap.place(circuit, segment, &found.rails, x))
        .collect()
}

/// A stretch of a segment over which neither rail has a stop: between where, and which piece of each line it lies in.
#[derive(Clone, Copy)]
pub(crate) struct Overlap {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) piece: [usize; 2],
}

impl Overlap {
    /// How far along the line's piece a distance is, from the stop before to the stop behind.
    pub(crate) fn along(&self, side: usize, line: &RailLine, x: f64) -> f64 {
        let (from, to) = (line.stops[self.piece[side]].x, line.stops[self.piece[side] + 1].x);
        ((x - from) / (to - from)).clamp(0.0, 1.0)
    }

    pub(crate) fn place(&self, circuit: &Circuit, segment: SegmentId, rails: &[RailLine; 2], x: f64) -> TrainPlace {
        let rail = [0, 1].map(|side| rails[side].pieces[self.piece[side]]);
        let fraction = [0, 1].map(|side| {
            let along = self.along(side, &rails[side], x);
            let start = rails[side].stops[self.piece[side]].after;
            if circuit.edges[rail[side]].a == start { along } else { 1.0 - along }
        });
        TrainPlace { segment, x, rail, fraction }
    }
}

/// The stretches of two lines between their common stops, in order. Ends where one of the lines does.
pub(crate) fn overlaps(rails: &[RailLine; 2]) -> impl Iterator<Item = Overlap> {
    let mut piece = [0, 0];
    std::iter::from_fn(move || {
        loop {
            let stop = |side: usize, k: usize| rails[side].stops.get(k).map(|s| s.x);
            if piece[0] >= rails[0].pieces.len() || piece[1] >= rails[1].pieces.len() {
                return None;
            }
            let here = piece;
            let from = stop(0, here[0])?.max(stop(1, here[1])?);
            let ends = [stop(0, here[0] + 1)?, stop(1, here[1] + 1)?];
            let to = ends[0].min(ends[1]);
            for side in 0..2 {
                if ends[side] <= to {
                    piece[side] += 1;
                }
            }
            if to > from {
                return Some(Overlap { from, to, piece: here });
            }
        }
    })
}
