//! What every place on the rails gets: loop resistance, volts under a train, fault current.
//!
//! ```text
//! Circuit ─ a setting, a level ─▶ Grid ─ one elimination ─▶ Resistances ─▶ Profile of each segment ─▶ worst place
//!                                   └─ one solve ─▶ shares of a place, breakers it depends on, operating point
//! ```
//!
//! # The loop resistance
//! A train between left rail node `u` and right rail node `v` draws its current out of `u` and puts it back into `v`.
//! With the ideal sources zeroed (each a short between its `plus` node and its terminal B) and the source that
//! feeds the place grounded, let `Z_uv` be the potential of `u` for one ampere into `v`. One ampere into `u` and out of
//! `v` lifts `u` by `Z_uu − Z_uv` and `v` by `Z_uv − Z_vv`, so that the supply's voltage falls between them by
//!
//! `R_loop = Z_uu + Z_vv − 2·Z_uv`.
//!
//! If `u` depends on pole A and `v` on pole B, or the other way round, and the two halves of the circuit meet nowhere but
//! in the grounded source, then a current into `v` finds its way to ground without leaving `v`'s half; none flows in
//! `u`'s half, and all of it is at ground potential: `Z_uv = 0`. The loop resistance is then the sum of what the two
//! rails have each for itself, and along a length of rail of resistance `r` from node `a` to node `b`, at fraction `t`,
//!
//! `Z(t) = (1−t)·Z_aa + t·Z_bb + t·(1−t)·(r − R_ab)`,
//!
//! `R_ab` being the resistance between its ends with all else in place. Since `R_ab ≤ r` this is a concave
//! parabola: the sum over both rails is one too, between any two stops, and its greatest value is known exactly.
//! Where the condition does not hold there is no such number, and [`Feed`] says what there is instead.
//!
//! # The worst of all settings
//! By Rayleigh's law more closed edges never raise a resistance. So what a place meets with everything open that is not
//! given bounds all settings, as long as it is fed; [`worst`] finds the worst of them from there.
//!
//! # Conservation
//! After every solve for an [operating point](Grid::operating_point) the currents at every node must balance, and the
//! power put in must be the power used. Where they do not, that is a fault of this program, and an error says so.

mod across;
pub mod breaker_chain;
mod breakers;
mod bridges;
pub mod commutation;
pub mod conductor;
pub mod edges;
mod failures;
pub mod feeder_count;
mod figures;
mod following_grid;
mod grid;
mod henries;
pub mod inrush;
mod level;
mod loops;
pub mod mixed_fleet;
mod netlist;
mod opened;
mod operating_point;
pub mod overshoot;
pub mod partial_short;
mod place;
mod poles;
mod profile;
pub mod rc_filter;
pub mod run_on;
mod settings;
mod shares;
pub mod square_short;
mod standing;
mod state_space;
pub mod worst;

pub use across::{Across, across};
pub use breakers::{Passed, margin, margin_noticed};
pub use failures::{AskedTrack, TrackFailure, failures};
pub use figures::{Demand, Extreme, Extremes, LeastShort};
pub use grid::{Grid, Resistances};
pub use henries::LoopHenries;
pub use level::{Level, setting_of};
pub use netlist::netlist;
pub use opened::OpenedEdge;
pub use operating_point::{Load, OperatingPoint, Unbalanced, operating_point};
pub use place::{TrainPlace, places};
pub use poles::Feed;
pub use profile::{Parabola, Profile, ProfilePiece, Worst};
pub use shares::Share;
pub use standing::{StandingDrop, StandingTrain};
pub use worst::LeastMet;

use circuit::EdgeId;

/// Why there are no numbers.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Failed {
    /// An edge has no resistance that can be calculated with: not a number, negative, or beyond 1e±100 ohms.
    #[error("`{name}` has a resistance of {ohms} ohms, which cannot be used")]
    Resistance {
        /// The edge; none where it is what a node is tied to.
        edge: Option<EdgeId>,
        /// Its name in a builder's words.
        name: String,
        /// What it was said to have.
        ohms: f64,
    },
    /// A load draws a current that is not a number, or negative.
    #[error("load {load} draws {amps} amperes, which no train does")]
    Load {
        /// Index of the load.
        load: usize,
        /// What it was said to draw.
        amps: f64,
    },
    /// What was computed does not balance.
    #[error(transparent)]
    Unbalanced(#[from] Unbalanced),
}
