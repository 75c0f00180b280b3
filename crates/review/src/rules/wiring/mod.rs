//! Wires, connectors and colours.

pub(super) mod connector_misfit;
pub(super) mod two_colours_joined;
pub(super) mod wire_beyond_code;
pub(super) mod wire_too_short;
pub(super) mod wire_too_thin;
