//! Rails that are on the wrong pole, and what a train does across them.

pub(super) mod bridged_gap;
pub(super) mod frog_on_wrong_phase;
pub(super) mod rails_on_one_pole;
pub(super) mod wrong_phase;
