//! What was done and measured on a layout: who, when, with which meter, in how warm air, on which text of the plan.
//!
//! ```text
//! typed ─▶ draft ─ append, on the disk ─▶ entry ─▶ current ─▶ progress
//!                                           │         └▶ trend, CUSUM
//!                                           └▶ merge, table (CSV), backup
//! ```
//! Entries are added and never changed or deleted; a correction is an entry that stands in place of another. The room knows no
//! circuit: what an entry is about is a key that whoever writes it makes and finds again.

pub mod clock;
pub mod current;
pub mod cusum;
pub mod entry;
mod error;
pub mod instrument;
pub mod progress;
mod rows;
mod schema;
pub mod sheet;
mod store;
pub mod table;
pub mod trend;
pub mod typed;

pub use clock::Moment;
pub use current::current;
pub use entry::{Draft, Entry, EntryId, EntryKind};
pub use error::LogbookError;
pub use schema::VERSION;
pub use store::{Logbook, Merged, Place, file_beside};
