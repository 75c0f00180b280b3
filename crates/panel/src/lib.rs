//! The panel: what its buttons fire and over which diodes, proved free of sneak paths; where its parts lie; its wires; and which
//! routes exclude each other.
//!
//! [`matrix`] and [`sneak`] know buttons and coils by number alone; [`fired`] says what they are in a plan, [`parts`] what is where
//! on a panel, [`wiring`] what is joined to what, [`mod@bench`] what a meter reads on it. Nothing here has numbers or words of papers: those are `schedule`'s.

pub mod bench;
pub mod energy;
pub mod fired;
pub mod interlocked;
pub mod matrix;
pub mod parts;
pub mod sneak;
pub mod wiring;

pub use fired::{Fired, MotorCoil};
pub use wiring::{PanelEnd, PanelWire, PanelWireKind, WiredPanel, wired_panels};
