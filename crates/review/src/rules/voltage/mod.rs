//! What arrives at the rails: nothing, or too little.

pub(super) mod dead_rail;
pub(super) mod inductive_drop;
pub(super) mod voltage_drop;
