//! Throw wires between motor and points.

pub(super) mod throw_too_short;
pub(super) mod throw_wire_binds;
pub(super) mod throw_wire_overstressed;
pub(super) mod throw_wire_too_soft;
pub(super) mod throw_wire_too_stiff;
