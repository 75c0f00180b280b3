//! What moves and what must clear: growth of rail and base, gaps over the year, buckling, clearances, throw wires.
//!
//! Formulas are values in, values out: [`growth`], [`force`] and [`buckling`] know no plan. [`season`] brings them and a
//! plan together: which rails move as one ([`runs`]), and how wide each gap and sliding joint is in each climate.
//! [`throw`] and [`linkage`] do the same for the wires that move points. [`clearance`] and [`clear_length`] lay out what is
//! behind turnouts, and what of each track a train can stand on.

pub mod buckling;
mod centre_line;
pub mod chains;
pub mod clear_length;
pub mod clearance;
pub mod climate;
pub mod force;
pub mod growth;
pub mod least;
pub mod linkage;
pub mod pressed;
pub mod runs;
pub mod season;
pub mod throw;
mod walk;

pub use centre_line::{Arc, CentreLine, Vehicle};
pub use season::{Movement, NotTold, movement};
