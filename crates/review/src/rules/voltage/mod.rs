//! What arrives at the rails: nothing, or too little.

pub(super) mod dead_rail;
pub(super) mod inductive_drop;
pub(super) mod track_voltage_too_high;
pub(super) mod track_voltage_too_low;
pub(super) mod voltage_drop;
