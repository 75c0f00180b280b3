//! Where gaps go along a track, and how far everything lies from where the bus begins.

use super::scheme::{Cut, Scheme};
use super::sketch::{RunEnd, Sketch, root};
use handbook::quantity::Units;
use movement::clearance::{Clearance, clearances, of_route};
use plan::tables::RailSide;
use plan::{Kind, TrackEnd};
use std::collections::BinaryHeap;

/// Behind a frog where clearances are not known, metres.
const USUAL: f64 = 0.08;
/// Least and most from trackwork to a gap, metres.
const LEAST: f64 = 0.01;
const MOST: f64 = 0.09;
/// At points, where nothing fouls, metres.
const AT_POINTS: f64 = 0.02;

/// Where gaps go.
pub(crate) struct Places {
    clearances: Vec<Clearance>,
    units: Units,
}

impl Places {
    pub(crate) fn new(sketch: &Sketch<'_>) -> Places {
        Places { clearances: clearances(sketch.plan, &sketch.circuit), units: sketch.plan.units() }
    }

    /// A length as a rule shows it.
    pub(crate) fn ruled(&self, metres: f64) -> f64 {
        self.units.ruled(metres)
    }

    /// Where a gap goes, metres from the `from` end of its track.
    pub(crate) fn of_cut(&self, sketch: &Sketch<'_>, cut: &Cut) -> f64 {
        let length = sketch.circuit.segments[cut.at.track].length;
        if cut.halfway {
            return self.ruled(length / 2.0);
        }
        let out = self.away(sketch, cut.at).min(length / 4.0).max(2e-3_f64.min(length / 4.0));
        let out = self.ruled(out);
        if cut.at.end == TrackEnd::From { out } else { length - out }
    }

    /// How far from an end of a track: half way to where a vehicle stands clear, so that a saw that slips does no harm.
    fn away(&self, sketch: &Sketch<'_>, at: RunEnd) -> f64 {
        let routes = sketch.routes_at(at);
        let [(route, _)] = routes[..] else {
            return if routes.is_empty() { LEAST } else { AT_POINTS };
        };
        let Some((Kind::Turnout, turnout)) = sketch.work_of(route) else { return USUAL };
        let leg = of_route(&self.clearances, turnout, route);
        let clear = leg.and_then(|(c, leg)| Some(leg.clear_from_frog? - c.tail));
        clear.map_or(USUAL, |clear| (clear / 2.0).clamp(LEAST, MOST))
    }

    /// The part of a rail between its gaps, or between the ends of its track: from where to where, metres from the `from` end.
    pub(crate) fn between_cuts(&self, sketch: &Sketch<'_>, scheme: &Scheme, track: usize, side: RailSide) -> [f64; 2] {
        let mut between = [0.0, sketch.circuit.segments[track].length];
        for cut in scheme.cuts.iter().filter(|c| c.at.track == track && c.side == side) {
            let x = self.of_cut(sketch, cut);
            match cut.at.end {
                TrackEnd::From => between[0] = x,
                TrackEnd::To => between[1] = x,
            }
        }
        between
    }

    /// The parts of a rail between its gaps that lie in each of `count` equal parts of its track: with joints that slide between those
    /// parts, each is a piece of its own.
    pub(crate) fn pieces(
        &self,
        sketch: &Sketch<'_>,
        scheme: &Scheme,
        (track, side): (usize, RailSide),
        count: usize,
    ) -> Vec<[f64; 2]> {
        let [from, to] = self.between_cuts(sketch, scheme, track, side);
        let long = sketch.circuit.segments[track].length / count as f64;
        let piece = |k: usize| [from.max(long * k as f64), to.min(long * (k + 1) as f64)];
        let pieces: Vec<[f64; 2]> = (0..count).map(piece).filter(|[a, b]| b - a > SHORTEST).collect();
        if pieces.is_empty() { vec![[from, to]] } else { pieces }
    }

    /// The middle of each such piece.
    pub(crate) fn along(
        &self,
        sketch: &Sketch<'_>,
        scheme: &Scheme,
        rail: (usize, RailSide),
        count: usize,
    ) -> Vec<f64> {
        self.pieces(sketch, scheme, rail, count).into_iter().map(|[a, b]| self.ruled((a + b) / 2.0)).collect()
    }
}

/// Shorter pieces of rail take no wire, metres.
const SHORTEST: f64 = 0.006;

/// How far the ends of each track lie from where a bus that follows the track begins, metres (Dijkstra's algorithm), and how long it
/// is then. It begins at the end of a line from which it is shortest.
pub(crate) fn distances(sketch: &Sketch<'_>) -> (Vec<[f64; 2]>, f64) {
    let segments = &sketch.circuit.segments;
    let mut parent: Vec<usize> = (0..2 * segments.len()).collect();
    for (at, segment) in segments.iter().enumerate() {
        for (end, joined) in segment.ends.iter().enumerate() {
            for &(next, other) in &joined.next {
                let a = root(&mut parent, 2 * at + end);
                let b = root(&mut parent, 2 * next + usize::from(other == TrackEnd::To));
                parent[a] = b;
            }
        }
    }
    let point: Vec<usize> = (0..parent.len()).map(|p| root(&mut parent, p)).collect();
    let mut joins: Vec<Vec<(usize, f64)>> = vec![Vec::new(); point.len()];
    for (at, segment) in segments.iter().enumerate() {
        let (a, b) = (point[2 * at], point[2 * at + 1]);
        joins[a].push((b, segment.length));
        joins[b].push((a, segment.length));
    }
    let from = |start: usize| {
        let mut far = vec![f64::INFINITY; point.len()];
        // Millimetres are whole numbers, so that a heap can order them.
        let mut open = BinaryHeap::from([(std::cmp::Reverse(0_u64), start)]);
        far[start] = 0.0;
        while let Some((std::cmp::Reverse(near), at)) = open.pop() {
            if near as f64 > far[at] * 1e3 + 1.0 {
                continue;
            }
            for &(next, length) in &joins[at] {
                let new = far[at] + length;
                if new < far[next] - 1e-9 {
                    far[next] = new;
                    open.push((std::cmp::Reverse((new * 1e3) as u64), next));
                }
            }
        }
        far
    };
    let tracks = sketch.circuit.tracks;
    let ends = (0..tracks).flat_map(|t| [0, 1].map(|e| (t, e)));
    let open: Vec<usize> = ends
        .filter(|&(t, e)| segments[t].ends[e].next.is_empty())
        .map(|(t, e)| point[2 * t + e])
        .take(MOST_STARTS)
        .collect();
    let reach = |far: &[f64]| (0..2 * tracks).map(|e| far[point[e]]).filter(|d| d.is_finite()).fold(0.0, f64::max);
    let starts = if open.is_empty() { vec![point[0]] } else { open };
    let best = starts.into_iter().map(from).min_by(|a, b| reach(a).total_cmp(&reach(b)));
    let mut far = best.unwrap_or_default();
    // Track apart from the rest begins anew at the start.
    for track in 0..tracks {
        if far[point[2 * track]].is_infinite() {
            let more = from(point[2 * track]);
            far.iter_mut().zip(more).for_each(|(d, m)| *d = d.min(m));
        }
    }
    let longest = reach(&far);
    ((0..tracks).map(|t| [far[point[2 * t]], far[point[2 * t + 1]]]).collect(), longest)
}

/// Ends of lines from which a bus is tried at most.
const MOST_STARTS: usize = 64;
