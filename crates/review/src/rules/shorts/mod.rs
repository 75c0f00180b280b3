//! What joins two poles, or two supplies.

pub(super) mod districts_joined;
pub(super) mod mid_throw_short;
pub(super) mod short_circuit;
pub(super) mod supplies_meet;
