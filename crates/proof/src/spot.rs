//! A place that a train may be at.

use crate::runs::PlainRuns;
use circuit::{Circuit, Gap, SegmentId};

/// A gap, or a stretch between gaps.
pub(crate) struct GapOrStretch {
    pub(crate) segment: SegmentId,
    /// For each end of the segment, whether a train that waits there for trackwork stops before this.
    pub(crate) beyond_stop: [bool; 2],
}

impl GapOrStretch {
    /// A gap.
    pub(crate) fn gap(circuit: &Circuit, runs: &PlainRuns, gap: &Gap) -> GapOrStretch {
        GapOrStretch::at(circuit, runs, gap.segment, gap.x)
    }

    /// A stretch that no gap cuts, with this middle.
    pub(crate) fn stretch(circuit: &Circuit, runs: &PlainRuns, segment: SegmentId, middle: f64) -> GapOrStretch {
        GapOrStretch::at(circuit, runs, segment, middle)
    }

    /// Anywhere on a segment.
    pub(crate) fn anywhere(segment: SegmentId) -> GapOrStretch {
        GapOrStretch { segment, beyond_stop: [false; 2] }
    }

    fn at(circuit: &Circuit, runs: &PlainRuns, segment: SegmentId, x: f64) -> GapOrStretch {
        let beyond_stop = [0, 1].map(|end| runs.is_behind_stop(circuit, (segment, end), x));
        GapOrStretch { segment, beyond_stop }
    }

    /// Whether a train that waits in the direction of this end (0 `from`, 1 `to`) stops before it.
    pub(crate) fn is_behind_stop(&self, end: usize) -> bool {
        self.beyond_stop[end]
    }
}
