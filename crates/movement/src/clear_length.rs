//! How much of each track a train can stand on, clear of what runs past its ends.

use crate::clearance::{self, Clearance};
use circuit::{Circuit, RailOwner, SegmentId};
use handbook::limits::SLACK;
use handbook::quantity::Quantity;
use plan::{Kind, Plan, TrackEnd};

/// What a train on a track must stop short of.
#[derive(Debug, Clone, PartialEq)]
pub enum ClearBound {
    /// The stop at the end.
    Buffer,
    /// The end of what is on the plan.
    Beyond,
    /// Points, which it would block.
    Points(String),
    /// Where it would foul the other leg of this turnout.
    Fouling(String),
    /// The legs of this turnout are nowhere clear of each other.
    NeverClear(String),
    /// An insulated gap that lies further in than the fouling point.
    Gap,
    /// Other trackwork.
    Trackwork(String),
    /// Nothing: the track meets itself.
    Ring,
}

/// An end of a stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct StretchEnd {
    /// What bounds it.
    pub bound: ClearBound,
    /// How far in from the end, metres.
    pub inward: f64,
}

/// Tracks that are joined end to end, from trackwork to trackwork.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearStretch {
    /// The tracks, and by which end each is entered, in order.
    pub tracks: Vec<(usize, TrackEnd)>,
    /// From end to end, metres.
    pub length: f64,
    /// Its two ends.
    pub ends: [StretchEnd; 2],
    /// What is left between the bounds, metres; none at least.
    pub clear: f64,
}

/// Which part of a train is left over for slack and couplings, and who says so.
pub fn slack(plan: &Plan) -> (f64, &'static str) {
    let said = plan.limits.as_ref().and_then(|l| l.value.slack.as_ref());
    said.map_or((SLACK.value.si(), SLACK.source), |s| (s.value.si(), "your plan"))
}

impl ClearStretch {
    /// The longest train that stands on it with some slack, metres.
    pub fn longest_train(&self, slack: f64) -> f64 {
        self.clear / (1.0 + slack)
    }
}

/// Every stretch, in the order of the plan's tracks.
pub fn stretches(plan: &Plan, circuit: &Circuit, clearances: &[Clearance]) -> Vec<ClearStretch> {
    let mut taken = vec![false; circuit.tracks];
    let mut found = Vec::new();
    for track in 0..circuit.tracks {
        if taken[track] {
            continue;
        }
        // Back to one end, then on to the other.
        let (mut first, mut entered) = (track, TrackEnd::From);
        let mut steps = 0;
        while let Some((before, end)) =
            joined(circuit, first, entered).filter(|b| b.0 != track && steps < circuit.tracks)
        {
            (first, entered) = (before, end.other());
            steps += 1;
        }
        let mut tracks = Vec::new();
        let mut at = Some((first, entered));
        while let Some((next, entered)) = at.filter(|next| !taken[next.0]) {
            taken[next] = true;
            tracks.push((next, entered));
            at = joined(circuit, next, entered.other());
        }
        let ring = at.is_some();
        let length: f64 = tracks.iter().map(|t| circuit.segments[t.0].length).sum();
        let ends = [false, true].map(|last| {
            if ring {
                return StretchEnd { bound: ClearBound::Ring, inward: 0.0 };
            }
            end(plan, circuit, clearances, &tracks, last, length)
        });
        let clear = (length - ends[0].inward - ends[1].inward).max(0.0);
        found.push(ClearStretch { tracks, length, ends, clear });
    }
    found
}

/// The track that is joined to an end of a track, and by which of its ends.
fn joined(circuit: &Circuit, track: usize, end: TrackEnd) -> Option<(usize, TrackEnd)> {
    match segment_end(circuit, track, end) {
        &[(next, by)] if next < circuit.tracks => Some((next, by)),
        _ => None,
    }
}

fn segment_end(circuit: &Circuit, track: usize, end: TrackEnd) -> &[(SegmentId, TrackEnd)] {
    &circuit.segments[track].ends[usize::from(end == TrackEnd::To)].next
}

/// What bounds one end of some tracks.
fn end(
    plan: &Plan,
    circuit: &Circuit,
    clearances: &[Clearance],
    tracks: &[(usize, TrackEnd)],
    last: bool,
    length: f64,
) -> StretchEnd {
    let plain = |bound| StretchEnd { bound, inward: 0.0 };
    let Some((track, entered)) = (if last { tracks.last() } else { tracks.first() }).copied() else {
        return plain(ClearBound::Ring);
    };
    let outer = if last { entered.other() } else { entered };
    let next = segment_end(circuit, track, outer);
    let Some(&(segment, by)) = next.first() else {
        let beyond = circuit.segments[track].ends[usize::from(outer == TrackEnd::To)].beyond;
        return plain(if beyond { ClearBound::Beyond } else { ClearBound::Buffer });
    };
    let RailOwner::Work { kind, index, .. } = &circuit.segments[segment].owner else { return plain(ClearBound::Ring) };
    if *kind != Kind::Turnout {
        let name = plan::names::each_name(plan).find(|n| (n.0, n.1) == (*kind, *index));
        return plain(ClearBound::Trackwork(name.map_or_else(String::new, |n| n.2.value.clone())));
    }
    let name = plan.turnout[*index].name.value.clone();
    if by == TrackEnd::From {
        return plain(ClearBound::Points(name));
    }
    let Some((clearance, leg)) = clearance::of_route(clearances, *index, segment) else {
        return plain(ClearBound::Trackwork(name));
    };
    let Some(from_frog) = leg.clear_from_frog else {
        return StretchEnd { bound: ClearBound::NeverClear(name), inward: length };
    };
    let fouling = (from_frog - clearance.tail).max(0.0);
    let gap = furthest_gap(circuit, tracks, last, length / 2.0);
    if gap > fouling {
        return StretchEnd { bound: ClearBound::Gap, inward: gap };
    }
    StretchEnd { bound: ClearBound::Fouling(name), inward: fouling }
}

/// How far in from one end of some tracks the first gap of each rail lies, the further of the two; gaps beyond `most` belong
/// to the other end.
fn furthest_gap(circuit: &Circuit, tracks: &[(usize, TrackEnd)], last: bool, most: f64) -> f64 {
    let ordered: Vec<(usize, TrackEnd)> = if last {
        tracks.iter().rev().map(|&(track, entered)| (track, entered.other())).collect()
    } else {
        tracks.to_vec()
    };
    let mut nearest: [Option<f64>; 2] = [None, None];
    let mut before = 0.0;
    for (track, entered) in ordered {
        let s = &circuit.segments[track];
        for gap in circuit.gap_numbers_of(track).map(|g| &circuit.gaps[g]) {
            let (from_end, side) =
                if entered == TrackEnd::From { (gap.x, gap.side) } else { (s.length - gap.x, gap.side.other()) };
            let at = before + from_end;
            if at <= most {
                let kept = &mut nearest[side];
                *kept = Some(kept.map_or(at, |k| k.min(at)));
            }
        }
        before += s.length;
    }
    nearest.into_iter().flatten().fold(0.0, f64::max)
}
