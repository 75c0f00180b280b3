//! What the plan promises never to set.

pub(super) mod no_setting_left;
pub(super) mod promise_bars_route;
