//! The logbook of a plan: what entries are about in the plan as it is now, what readings say, how far the building is.
//!
//! [`Desk`] brings together the plan's tests and jobs and the entries; the command and pages ask it and add to it.

mod desk;
mod judge;
mod planned;
mod readings;
mod record;
mod subjects;
mod taken;
mod years;

pub use desk::{Desk, DeskError, Hand};
pub use judge::{Judged, Verdict, example};
pub use readings::{Entered, ReadingAsked};
pub use subjects::Subject;
pub use taken::{EarlierThings, Taken};
pub use years::Years;
