//! What happens if a train trails trackwork that is set against it?

use crate::spot::GapOrStretch;
use crate::{QueryContext, TooComplex};
use circuit::{Circuit, Literal, NodeId, RailOwner, SegmentId};
use network::Condition;
use plan::tables::RailSide;
use plan::{Kind, TrackEnd};

/// A route that shorts when a train runs over it although it is not set.
#[derive(Clone, Debug, PartialEq)]
pub struct RunThrough {
    /// What the trackwork is.
    pub kind: Kind,
    /// Which one.
    pub index: usize,
    /// The route over it.
    pub segment: SegmentId,
    /// The rail on which a wheel joins two poles.
    pub side: RailSide,
    /// The positions in which it does; whatever is not named may stand as it likes.
    pub setting: Vec<Literal>,
}

/// Routes over which a train that comes from behind joins two poles: the piece behind a frog is on the phase of the
/// route that is set, and wheels reach it over a gap or an open blade. It may come from wherever no trackwork that
/// matters here stands against it.
pub(crate) fn run_through(q: &QueryContext<'_>) -> Result<Vec<RunThrough>, TooComplex> {
    let circuit = q.circuit;
    let mut found = Vec::new();
    for (segment, s) in circuit.segments.iter().enumerate() {
        let RailOwner::Work { kind, index, .. } = s.owner else { continue };
        if s.guard.is_empty() {
            continue;
        }
        let against = q.logic.and_not(q.logic.always(), q.logic.guard(&s.guard)?)?;
        let against = q.without_shorts(against)?;
        // A train gets there from an end at which this is the only route; from the others it takes the one that is set.
        for end in (0..2).filter(|&end| trailed(circuit, segment, end)) {
            if let Some((side, condition)) = meets(q, segment, end, against)? {
                let setting = q.logic.without_settling(q.logic.shortest_cube(condition));
                found.push(RunThrough { kind, index, segment, side, setting });
                break;
            }
        }
    }
    Ok(found)
}

/// Whether a route is the only one of its trackwork at an end.
fn trailed(circuit: &Circuit, segment: SegmentId, end: usize) -> bool {
    let next = &circuit.segments[segment].ends[end].next;
    let end = if end == 0 { TrackEnd::From } else { TrackEnd::To };
    next.iter().all(|&(track, joined)| {
        let there = &circuit.segments[track].ends[usize::from(joined == TrackEnd::To)].next;
        there.iter().all(|&n| n == (segment, end))
    })
}

/// The first break in a rail, from the last gap in the track at an end to the far end of the route, whose sides are
/// on opposite poles when a train arrives and the route is set against it.
fn meets(
    q: &QueryContext<'_>,
    segment: SegmentId,
    end: usize,
    against: Condition,
) -> Result<Option<(RailSide, Condition)>, TooComplex> {
    let circuit = q.circuit;
    let mut breaks: Vec<(RailSide, [NodeId; 2])> = Vec::new();
    for (side, line) in RailSide::ALL.into_iter().zip(&circuit.segments[segment].rails) {
        breaks.extend(line.stops.iter().map(|s| (side, [s.before, s.after])));
    }
    for &(track, joined) in &circuit.segments[segment].ends[end].next {
        let other = usize::from(joined == TrackEnd::To);
        for gap in circuit.gaps_of(track) {
            // Only what lies next to this trackwork is part of it.
            let spot = GapOrStretch::gap(circuit, &q.lined.runs, gap);
            if spot.is_behind_stop(other) {
                let side = if other == end { gap.side.other() } else { gap.side };
                breaks.push((side, [gap.before, gap.after]));
            }
        }
    }
    for (side, [before, after]) in breaks {
        if before == after {
            continue;
        }
        let mut any = q.logic.never();
        for one in q.poles_of(before) {
            for other in q.poles_of(after).filter(|other| other.pole != one.pole) {
                let apart = q.logic.and(q.live(before, one), q.live(after, other))?;
                let both = q.logic.and(apart, against)?;
                any = q.logic.or(any, both)?;
            }
        }
        if any.is_false() {
            continue;
        }
        let mut arrives = q.logic.never();
        for &(track, joined) in &circuit.segments[segment].ends[end].next {
            arrives = q.logic.or(
                arrives,
                q.lined.nearly_clear_ahead(q.logic, (track, usize::from(joined == TrackEnd::From)), any)?,
            )?;
        }
        let fault = q.settled(q.logic.and(any, arrives)?)?;
        if !fault.is_false() {
            return Ok(Some((side, fault)));
        }
    }
    Ok(None)
}
