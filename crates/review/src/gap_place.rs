//! Where a new gap goes on a track, and how a plan says so.

use crate::context::Context;
use circuit::RailOwner;
use handbook::quantity::Quantity;
use handbook::quantity::Units;
use movement::clearance::of_route;
use plan::tables::{RailSide, Track};
use plan::{Kind, TrackEnd};

/// Where a gap goes behind a frog where no other gap there shows the builder's habit, in metres: past
/// the check rails, well before the fouling point.
const GAP_BEHIND_FROG: f64 = 0.08;
/// How much nearer than where vehicles stand clear it must be, in metres: a saw slips.
const SPARE: f64 = 0.01;
/// The least from trackwork to a gap, in metres.
const LEAST: f64 = 0.01;

/// Where to cut near an end: opposite the other rail's gap there, or as usual.
pub(crate) fn place(facts: &Context<'_>, track: usize, end: TrackEnd, side: RailSide) -> f64 {
    let length = facts.plan.track[track].length.value.si();
    let opposite = facts.circuit.gaps.iter().filter(|g| (g.segment, g.side) == (track, side.other())).map(|g| g.x);
    let usual = usual(facts, track, end).min(length / 4.0);
    match end {
        TrackEnd::From => opposite.filter(|&x| x < length / 2.0).fold(None, min).unwrap_or(usual),
        TrackEnd::To => opposite.filter(|&x| x >= length / 2.0).fold(None, max).unwrap_or(length - usual),
    }
}

/// As usual behind a frog or, where vehicles would not stand clear there, half way to where they do: small scales, short turnouts.
fn usual(facts: &Context<'_>, track: usize, end: TrackEnd) -> f64 {
    let joined = &facts.circuit.segments[track].ends[usize::from(end == TrackEnd::To)].next;
    let clear_of = |&(route, _): &(usize, TrackEnd)| {
        let RailOwner::Work { kind: Kind::Turnout, index, .. } = facts.circuit.segments[route].owner else {
            return None;
        };
        let (clearance, leg) = of_route(facts.clearances(), index, route)?;
        Some(leg.clear_from_frog? - clearance.tail)
    };
    // At the points of a turnout both its routes are joined, and nothing fouls.
    let [leg] = joined.as_slice() else { return GAP_BEHIND_FROG };
    match clear_of(leg) {
        Some(clear) if clear < GAP_BEHIND_FROG + SPARE => facts.plan.units().ruled((clear / 2.0).max(LEAST)),
        _ => GAP_BEHIND_FROG,
    }
}

fn min(a: Option<f64>, b: f64) -> Option<f64> {
    Some(a.map_or(b, |a| a.min(b)))
}

fn max(a: Option<f64>, b: f64) -> Option<f64> {
    Some(a.map_or(b, |a| a.max(b)))
}

/// A place counted from an end, from the track's start.
pub(crate) fn from_end(track: &Track, end: TrackEnd, at: f64) -> f64 {
    match end {
        TrackEnd::From => at,
        TrackEnd::To => track.length.value.si() - at,
    }
}

/// A gap as a plan has it.
pub(crate) fn gap_item(units: Units, at: f64, side: RailSide) -> String {
    format!("{{ at = \"{}\", rail = \"{}\" }}", units.written(at), side.word())
}

/// Whether a rail is gapped in the half of its track at one end.
pub(crate) fn gapped_near(facts: &Context<'_>, track: usize, end: TrackEnd, side: RailSide) -> bool {
    let half = facts.plan.track[track].length.value.si() / 2.0;
    facts.circuit.gaps.iter().any(|g| {
        (g.segment, g.side) == (track, side)
            && match end {
                TrackEnd::From => g.x < half,
                TrackEnd::To => g.x >= half,
            }
    })
}
