//! The track as a graph of stretches, with every join marked by whether left and right change over in it.
//!
//! A stretch is a piece of a segment over which both rails keep their conductors. Two stretches that follow
//! each other on one segment, or on two that are joined end to start, have their left rails on the same side;
//! two that are joined end to end, or start to start, have them on opposite sides. A closed walk over an odd
//! number of such joins comes back with left and right exchanged.

use crate::QueryContext;
use crate::dead::intervals;
use crate::state::SAME_PLACE;
use circuit::{Circuit, NodeId, RailOwner, SegmentId};
use plan::tables::RailSide;
use plan::{Kind, TrackEnd};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// A piece of a segment over which both rails keep their conductors.
pub(crate) struct Stretch {
    pub(crate) segment: SegmentId,
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) nodes: [NodeId; 2],
}

impl Stretch {
    pub(crate) fn length(&self) -> f64 {
        self.to - self.from
    }
}

/// Where one stretch runs on into another, or where two routes of one trackwork part: they share their rails there.
pub(crate) struct StretchLink {
    /// The stretches, and by which of its ends (0 `from`, 1 `to`) each is joined.
    pub(crate) ends: [(usize, usize); 2],
    /// Gaps in the left and in the right rail of the first of them, by their index in the circuit.
    pub(crate) gaps: [Option<usize>; 2],
    /// Whether no train runs over it: from one route of trackwork to another by the end they share.
    pub(crate) shared: bool,
}

impl StretchLink {
    /// Whether the left rail of one is the right rail of the other.
    pub(crate) fn odd(&self) -> bool {
        (self.ends[0].1 == self.ends[1].1) != self.shared
    }

    pub(crate) fn gap_count(&self) -> usize {
        self.gaps.iter().flatten().count()
    }
}

/// All stretches of a circuit, and how they are joined.
pub(crate) struct StretchGraph {
    pub(crate) stretches: Vec<Stretch>,
    pub(crate) links: Vec<StretchLink>,
    /// For each stretch and each of its ends, the links there.
    pub(crate) at: Vec<[Vec<usize>; 2]>,
}

impl StretchGraph {
    pub(crate) fn from_context(q: &QueryContext<'_>) -> StretchGraph {
        let circuit = q.circuit;
        let mut track = StretchGraph { stretches: Vec::new(), links: Vec::new(), at: Vec::new() };
        let mut first_last: Vec<Option<[usize; 2]>> = Vec::new();
        for (segment, s) in circuit.segments.iter().enumerate() {
            let first = track.stretches.len();
            let mut cuts: Vec<f64> = circuit.gaps_of(segment).iter().map(|g| g.x).collect();
            cuts.sort_by(f64::total_cmp);
            for interval in intervals(q, segment) {
                // A gap whose two sides are one conductor all the same is a gap to a train.
                let mut from = interval.from;
                let inside = cuts.iter().copied().filter(|x| *x > interval.from + SAME_PLACE);
                let inside: Vec<f64> = inside.filter(|x| *x < interval.to - SAME_PLACE).chain([interval.to]).collect();
                for to in inside {
                    if to - from < SAME_PLACE {
                        continue;
                    }
                    let middle = (from + to) / 2.0;
                    let node = |side: RailSide| crate::stretches::node_at(&s.rails[side], middle);
                    if let (Some(left), Some(right)) = (node(RailSide::Left), node(RailSide::Right)) {
                        track.stretches.push(Stretch { segment, from, to, nodes: [left, right] });
                    }
                    from = to;
                }
            }
            let last = track.stretches.len();
            first_last.push((last > first).then(|| [first, last - 1]));
        }
        track.at = track.stretches.iter().map(|_| [Vec::new(), Vec::new()]).collect();
        for next in 1..track.stretches.len() {
            let (one, other) = (&track.stretches[next - 1], &track.stretches[next]);
            if one.segment == other.segment {
                let gaps = RailSide::ALL.map(|side| gap_at(circuit, one.segment, side, one.to));
                track.link([(next - 1, 1), (next, 0)], gaps);
            }
        }
        track.joins(circuit, &first_last);
        track.shared_ends(circuit, &first_last);
        track
    }

    /// Links over the ends of segments, each once.
    fn joins(&mut self, circuit: &Circuit, first_last: &[Option<[usize; 2]>]) {
        for (segment, s) in circuit.segments.iter().enumerate() {
            for end in 0..2 {
                for &(other, entered) in &s.ends[end].next {
                    let their_end = usize::from(entered == TrackEnd::To);
                    if (other, their_end) < (segment, end) {
                        continue;
                    }
                    let (Some(mine), Some(theirs)) = (first_last[segment], first_last[other]) else { continue };
                    let x = |s: SegmentId, end: usize| if end == 0 { 0.0 } else { circuit.segments[s].length };
                    let gaps = RailSide::ALL.map(|side| {
                        let their_side = if end == their_end { side.other() } else { side };
                        gap_at(circuit, segment, side, x(segment, end))
                            .or_else(|| gap_at(circuit, other, their_side, x(other, their_end)))
                    });
                    self.link([(mine[end], end), (theirs[their_end], their_end)], gaps);
                }
            }
        }
    }

    /// Links between routes of one trackwork that have an end in common.
    fn shared_ends(&mut self, circuit: &Circuit, first_last: &[Option<[usize; 2]>]) {
        let mut by_port: BTreeMap<(Kind, usize, &str), (usize, usize)> = BTreeMap::new();
        for (segment, s) in circuit.segments.iter().enumerate() {
            let RailOwner::Work { kind, index, ends } = &s.owner else { continue };
            let Some(mine) = first_last[segment] else { continue };
            for (end, word) in ends.iter().enumerate() {
                let here = (mine[end], end);
                match by_port.entry((*kind, *index, word)) {
                    Entry::Vacant(empty) => {
                        empty.insert(here);
                    }
                    Entry::Occupied(first) => {
                        let first = *first.get();
                        self.add(StretchLink { ends: [first, here], gaps: [None, None], shared: true });
                    }
                }
            }
        }
    }

    fn link(&mut self, ends: [(usize, usize); 2], gaps: [Option<usize>; 2]) {
        self.add(StretchLink { ends, gaps, shared: false });
    }

    fn add(&mut self, link: StretchLink) {
        let index = self.links.len();
        for (stretch, end) in link.ends {
            if !self.at[stretch][end].contains(&index) {
                self.at[stretch][end].push(index);
            }
        }
        self.links.push(link);
    }

    /// The gaps of a link as one of its stretches has them: in its left and its right rail.
    pub(crate) fn gaps_seen(&self, link: usize, from: (usize, usize)) -> [Option<usize>; 2] {
        let link = &self.links[link];
        let [left, right] = link.gaps;
        if link.ends[0] != from && link.odd() { [right, left] } else { link.gaps }
    }

    /// The links of a stretch with what lies beyond them: link, the end it is left by, the other stretch
    /// and the end that is entered.
    pub(crate) fn onward(&self, stretch: usize) -> impl Iterator<Item = (usize, usize, usize, usize)> + '_ {
        self.beyond(stretch).filter(|b| !self.links[b.0].shared)
    }

    /// As [`Track::onward`], and what it shares its ends with.
    pub(crate) fn beyond(&self, stretch: usize) -> impl Iterator<Item = (usize, usize, usize, usize)> + '_ {
        (0..2).flat_map(move |end| {
            self.at[stretch][end].iter().map(move |&link| {
                let ends = self.links[link].ends;
                let (other, entered) = if ends[0] == (stretch, end) { ends[1] } else { ends[0] };
                (link, end, other, entered)
            })
        })
    }
}

fn gap_at(circuit: &Circuit, segment: SegmentId, side: RailSide, x: f64) -> Option<usize> {
    let mut numbers = circuit.gap_numbers_of(segment);
    numbers.find(|&n| circuit.gaps[n].side == side && (circuit.gaps[n].x - x).abs() < SAME_PLACE)
}
