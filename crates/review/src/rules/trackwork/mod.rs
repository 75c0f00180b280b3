//! Clearances and lengths around trackwork.

pub(super) mod crossing_set_against;
pub(super) mod gap_beyond_fouling;
pub(super) mod tracks_too_close;
pub(super) mod train_does_not_fit;
pub(super) mod wheel_bridges_frog;
