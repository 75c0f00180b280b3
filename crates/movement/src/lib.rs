//! What moves and what must clear: growth of rail and base, gaps over the year, buckling, clearances, throw wires.

mod centre_line;
pub mod clear_length;
pub mod clearance;

pub use centre_line::{Arc, CentreLine, Vehicle};
