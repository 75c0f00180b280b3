//! Breakers, filters and clamps: what must open, and what must stand it.

pub(super) mod breaker_may_not_trip;
pub(super) mod breaker_may_not_trip_after_failure;
pub(super) mod breaker_may_not_trip_when_aged;
pub(super) mod breaker_order;
pub(super) mod clamp_misfit;
pub(super) mod fed_past_its_breaker;
pub(super) mod filter_too_hot;
pub(super) mod switch_on_trips;
pub(super) mod trip_unknown;
