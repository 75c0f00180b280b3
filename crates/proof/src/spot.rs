//! A place that a train may be at.

use circuit::{Circuit, Gap, SegmentId};

/// Two places nearer than this are one, in metres.
pub(crate) const SAME_PLACE: f64 = 1e-6;

/// A gap, or a stretch between gaps.
pub(crate) struct Spot {
    pub(crate) segment: SegmentId,
    /// For each end of the segment, whether a train that waits there for trackwork stops before this.
    pub(crate) beyond_stop: [bool; 2],
}

impl Spot {
    /// A gap.
    pub(crate) fn gap(circuit: &Circuit, gap: &Gap) -> Spot {
        Spot::at(circuit, gap.segment, gap.x)
    }

    /// A stretch that no gap cuts, with this middle.
    pub(crate) fn stretch(circuit: &Circuit, segment: SegmentId, middle: f64) -> Spot {
        Spot::at(circuit, segment, middle)
    }

    /// Anywhere on a segment.
    pub(crate) fn anywhere(segment: SegmentId) -> Spot {
        Spot { segment, beyond_stop: [false; 2] }
    }

    fn at(circuit: &Circuit, segment: SegmentId, x: f64) -> Spot {
        let beyond_stop = [0, 1].map(|end| {
            let stop = stop_place(circuit, segment, end);
            stop.is_some_and(|stop| if end == 0 { x <= stop + SAME_PLACE } else { x >= stop - SAME_PLACE })
        });
        Spot { segment, beyond_stop }
    }

    /// Whether a train that waits at this end (0 `from`, 1 `to`) stops before it.
    pub(crate) fn is_behind_stop(&self, end: usize) -> bool {
        self.beyond_stop[end]
    }
}

/// Where a train stops that waits on a track for the trackwork at an end of it: before the last gap of the left or of
/// the right rail there, whichever it meets first, if that lies in the half next to the trackwork. Metres from the start.
fn stop_place(circuit: &Circuit, segment: SegmentId, end: usize) -> Option<f64> {
    let s = &circuit.segments[segment];
    if segment >= circuit.tracks || !s.ends[end].next.iter().any(|n| n.0 >= circuit.tracks) {
        return None;
    }
    let from_end = |x: f64| if end == 0 { x } else { s.length - x };
    let last = |side: usize| {
        let gaps = circuit.gaps_of(segment).iter().filter(|g| g.side == side).map(|g| from_end(g.x));
        gaps.filter(|&out| out <= s.length / 2.0 + SAME_PLACE).reduce(f64::min)
    };
    let first_met = [last(0), last(1)].into_iter().flatten().reduce(f64::max)?;
    Some(if end == 0 { first_met } else { s.length - first_met })
}
