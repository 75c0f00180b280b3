//! The panel: what its buttons fire and over which diodes, proved free of sneak paths; where its parts lie; its wires.
//!
//! [`matrix`] and [`sneak`] know buttons and coils by number alone; [`fired`] says what they are in a plan.

pub mod matrix;
pub mod sneak;
