//! Current detectors: what they see, and what goes past them.

pub(super) mod detector_fed_round;
pub(super) mod detector_sees_too_much;
mod sight;
