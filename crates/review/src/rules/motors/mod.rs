//! Turnout motors and what feeds them.

pub(super) mod motors_overload_supply;
pub(super) mod self_lockout;
