//! Where on the track something is: the least distance that parts two places, and ends of segments.

use circuit::SegmentId;
use plan::TrackEnd;

/// Two places nearer than this are one, in metres.
pub(crate) const SAME_PLACE: f64 = 1e-6;

/// A segment about to be left by an end: `2 * segment`, plus one for its `to` end.
pub(crate) type State = usize;

/// The state of leaving a segment by an end.
pub(crate) fn state(segment: SegmentId, end: usize) -> State {
    2 * segment + end
}

/// 0 of a `from` end, 1 of a `to` end.
pub(crate) fn slot(end: TrackEnd) -> usize {
    usize::from(end == TrackEnd::To)
}
