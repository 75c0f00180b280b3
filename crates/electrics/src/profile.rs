//! Loop resistance along a segment: parabolas between the stops of its rails.

use crate::grid::Resistances;
use crate::place::overlaps;
use crate::{Feed, TrainPlace};
use circuit::{Circuit, EdgeId, NodeId, SegmentId};
use network::{EdgeChange, SelectedInverse};

/// `(1−s)·start + s·end + s·(1−s)·bow` for `s` from 0 to 1: a parabola by its ends and its rise above the line between
/// them (four times the rise in the middle). `bow` is never negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parabola {
    /// Value at 0.
    pub start: f64,
    /// Value at 1.
    pub end: f64,
    /// Four times the height in the middle above the line from start to end.
    pub bow: f64,
}

impl Parabola {
    /// Nothing all along.
    pub const NOTHING: Parabola = Parabola { start: 0.0, end: 0.0, bow: 0.0 };

    /// The value at a fraction of the way.
    pub fn at(&self, s: f64) -> f64 {
        (1.0 - s) * self.start + s * self.end + s * (1.0 - s) * self.bow
    }

    /// Where it is greatest, and how great: exactly, not by trying.
    pub fn greatest(&self) -> (f64, f64) {
        let rise = self.end - self.start;
        if rise.abs() < self.bow {
            // The top, where the slope `rise + bow·(1 − 2s)` is 0.
            let s = 0.5 + 0.5 * rise / self.bow;
            (s, self.start + s * s * self.bow)
        } else if rise > 0.0 {
            (1.0, self.end)
        } else {
            (0.0, self.start)
        }
    }

    /// The corner of its control polygon between two fractions (a Bézier curve of the second degree): where the lines that touch it
    /// there meet.
    pub(crate) fn corner(&self, from: f64, to: f64) -> f64 {
        let middle = 0.5 * (from + to);
        self.start + middle * (self.end - self.start) + (middle - from * to) * self.bow
    }

    /// The voltage that some current takes of these ohms, and what is missing besides.
    pub fn drop_of(&self, amps: f64, missing: Option<&Parabola>) -> Parabola {
        let own = Parabola { start: amps * self.start, end: amps * self.end, bow: amps * self.bow };
        missing.map_or(own, |missing| own.beside(missing))
    }

    /// The stretch from one fraction to another as a parabola of its own.
    pub(crate) fn cut(&self, from: f64, to: f64) -> Parabola {
        Parabola { start: self.at(from), end: self.at(to), bow: (to - from) * (to - from) * self.bow }
    }

    /// What it becomes when an edge is opened that lifts its ends so.
    pub(crate) fn opened(self, change: &EdgeChange, [start, end]: [f64; 2]) -> Parabola {
        let more = |was: f64, across: f64| change.transfer_across(was, across, across);
        // What rises between the ends falls out of the bow, which is the edge's own resistance less that.
        let bow = self.bow - more(0.0, start - end);
        Parabola { start: more(self.start, start), end: more(self.end, end), bow: bow.max(0.0) }
    }

    /// Both together.
    pub fn beside(&self, other: &Parabola) -> Parabola {
        Parabola { start: self.start + other.start, end: self.end + other.end, bow: self.bow + other.bow }
    }
}

/// A stretch of a segment over which neither rail has a stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfilePiece {
    /// Where it starts, metres from the segment's start.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What a train on it has under it.
    pub feed: Feed,
    /// The edges of the left and of the right rail.
    pub rail: [EdgeId; 2],
    /// Loop resistance in ohms from `from` to `to`; none unless it is powered.
    pub loop_ohms: Option<Parabola>,
    ends: [TrainPlace; 2],
}

impl ProfilePiece {
    /// The segment it is a piece of.
    pub fn segment(&self) -> SegmentId {
        self.ends[0].segment
    }

    /// Loop resistance at a distance from the segment's start, in ohms; none off this piece, or where it is not
    /// powered.
    pub fn at(&self, x: f64) -> Option<f64> {
        let s = (x - self.from) / (self.to - self.from);
        (0.0..=1.0).contains(&s).then(|| self.loop_ohms.map(|parabola| parabola.at(s))).flatten()
    }

    /// The greatest loop resistance on it and where; none where it is not powered.
    pub fn worst(&self) -> Option<Worst> {
        self.at_fraction(self.loop_ohms?.greatest().0)
    }

    /// The place at a fraction of it, as a worst one; none where it is not powered.
    pub fn at_fraction(&self, s: f64) -> Option<Worst> {
        let Feed::Powered { source } = self.feed else { return None };
        let loop_ohms = self.loop_ohms?.at(s);
        let mix = |a: f64, b: f64| (1.0 - s) * a + s * b;
        let [start, end] = self.ends;
        let place = TrainPlace {
            x: mix(start.x, end.x),
            fraction: [0, 1].map(|side| mix(start.fraction[side], end.fraction[side])),
            ..start
        };
        Some(Worst { place, source, loop_ohms })
    }
}

/// The worst place of some stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worst {
    /// Where.
    pub place: TrainPlace,
    /// The source that feeds it, by its index in the circuit.
    pub source: usize,
    /// Its loop resistance in ohms, the source's own included.
    pub loop_ohms: f64,
}

/// Loop resistance along a segment in one setting and at one level.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The segment.
    pub segment: SegmentId,
    /// Its stretches, in order and without a break.
    pub pieces: Vec<ProfilePiece>,
}

impl Profile {
    /// Loop resistance at a distance from the segment's start, in ohms; where two stretches meet the greater one. None
    /// where the place is not powered.
    pub fn at(&self, x: f64) -> Option<f64> {
        self.pieces.iter().filter_map(|piece| piece.at(x)).reduce(f64::max)
    }

    /// The greatest loop resistance and the first place that has it; none where nothing is powered.
    pub fn worst(&self) -> Option<Worst> {
        let worst = |a: Worst, b: Worst| if b.loop_ohms > a.loop_ohms { b } else { a };
        self.pieces.iter().filter_map(ProfilePiece::worst).reduce(worst)
    }
}

impl Profile {
    /// That of a segment, from what feeds each of its places and from the resistance along each piece of its rails: by the source
    /// that feeds it, its rail, 0 for the left one, its edge and the nodes at its ends.
    pub(crate) fn from_rails(
        circuit: &Circuit,
        segment: SegmentId,
        feed: impl Fn(&TrainPlace) -> Feed,
        mut of_rail: impl FnMut(usize, usize, EdgeId, [NodeId; 2]) -> Parabola,
    ) -> Profile {
        let Some(found) = circuit.segments.get(segment) else { return Profile { segment, pieces: Vec::new() } };
        let rails = &found.rails;
        let pieces = overlaps(rails).map(|overlap| {
            let ends = [overlap.from, overlap.to].map(|x| overlap.place(circuit, segment, rails, x));
            let feed = feed(&ends[0]);
            let loop_ohms = match feed {
                Feed::Powered { source } => {
                    let [left, right] = [0, 1].map(|side| {
                        let line = &rails[side];
                        let piece = overlap.piece[side];
                        let ends = [line.stops[piece].after, line.stops[piece + 1].before];
                        let whole = of_rail(source, side, line.pieces[piece], ends);
                        whole.cut(overlap.along(side, line, overlap.from), overlap.along(side, line, overlap.to))
                    });
                    Some(left.beside(&right))
                }
                _ => None,
            };
            ProfilePiece { from: overlap.from, to: overlap.to, feed, rail: ends[0].rail, loop_ohms, ends }
        });
        Profile { segment, pieces: pieces.collect() }
    }
}

impl Resistances<'_> {
    /// Loop resistance along a segment. No pieces where there is no such segment.
    pub fn profile(&self, segment: SegmentId) -> Profile {
        self.profile_with(segment, |_, _, parabola| parabola)
    }

    /// The same with each rail piece's parabola changed: by its rail, 0 for the left one, and the nodes at its ends.
    pub(crate) fn profile_with(
        &self,
        segment: SegmentId,
        change: impl Fn(usize, [NodeId; 2], Parabola) -> Parabola,
    ) -> Profile {
        let of_rail = |source: usize, side: usize, edge: EdgeId, ends: [NodeId; 2]| {
            let inverse = &self.inverses[self.grid.poles.rank[source]];
            change(side, ends, self.between(inverse, edge, ends))
        };
        Profile::from_rails(self.grid.circuit, segment, |place| self.grid.feed(place), of_rail)
    }

    /// Loop resistance at a place, in ohms: the Thevenin (Thévenin) resistance that a train sees between both rails, the real part of the
    /// loop impedance. None where it is not powered.
    pub fn loop_ohms(&self, place: &TrainPlace) -> Option<f64> {
        let Feed::Powered { source } = self.grid.feed(place) else { return None };
        let inverse = &self.inverses[self.grid.poles.rank[source]];
        let rail = |side: usize| {
            let edge = place.rail[side];
            let ends = &self.grid.circuit.edges[edge];
            self.between(inverse, edge, [ends.a, ends.b]).at(place.fraction[side])
        };
        Some(rail(0) + rail(1))
    }

    /// Resistance from a node to the poles of a source, everything that lies side by side counted, in ohms; the
    /// source's own resistance is in it for nodes on its pole A. None where the node is not joined to the source.
    pub fn to_source(&self, node: NodeId, source: usize) -> Option<f64> {
        let poles = &self.grid.poles;
        let of_source = poles.part_of(self.grid.circuit.sources.get(source)?.plus)?;
        if poles.part_of(node) != Some(of_source) {
            return None;
        }
        Some(self.inverses.get(poles.rank[source])?.driving_point(self.grid.network_node(node)))
    }

    fn between(&self, inverse: &SelectedInverse, edge: EdgeId, ends: [NodeId; 2]) -> Parabola {
        let [start, end] = ends.map(|node| inverse.driving_point(self.grid.network_node(node)));
        // Never negative but for the last digit: what lies beside an edge only lowers the resistance between its ends.
        let bow = (self.grid.ohms(edge) - inverse.resistance_between_ends(edge.index())).max(0.0);
        Parabola { start, end, bow }
    }
}
