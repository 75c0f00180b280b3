//! Turnout motors and what feeds them.

pub(super) mod motor_lacks_volts;
pub(super) mod motor_without_driver;
pub(super) mod motors_overload_supply;
pub(super) mod self_lockout;
