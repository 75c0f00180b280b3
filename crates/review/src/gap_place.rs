//! Where a new gap goes on a track, and how a plan says so.

use crate::context::Context;
use handbook::quantity::Quantity;
use handbook::quantity::Units;
use plan::TrackEnd;
use plan::tables::{RailSide, Track};

/// Where a gap goes behind a frog where no other gap there shows the builder's habit, in metres: past
/// the check rails, well before the fouling point.
const GAP_BEHIND_FROG: f64 = 0.08;

/// Where to cut near an end: opposite the other rail's gap there, or as usual.
pub(crate) fn place(facts: &Context<'_>, track: usize, end: TrackEnd, side: RailSide) -> f64 {
    let length = facts.plan.track[track].length.value.si();
    let opposite = facts.circuit.gaps.iter().filter(|g| (g.segment, g.side) == (track, side.other())).map(|g| g.x);
    let usual = GAP_BEHIND_FROG.min(length / 4.0);
    match end {
        TrackEnd::From => opposite.filter(|&x| x < length / 2.0).fold(None, min).unwrap_or(usual),
        TrackEnd::To => opposite.filter(|&x| x >= length / 2.0).fold(None, max).unwrap_or(length - usual),
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
