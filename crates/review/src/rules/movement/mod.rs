//! What warmth and damp do to rails, gaps and feeders.

pub(super) mod feeder_may_tear;
pub(super) mod gap_closes;
pub(super) mod gap_opens_too_far;
pub(super) mod rail_may_buckle;
pub(super) mod room_beyond_tables;
pub(super) mod single_sliding_joint;
