//! Local web pages of a plan: see it, touch it, change it.
//!
//! ```text
//! request ─▶ gate ─▶ server ─▶ shelf ─▶ store      the file on the disk, its versions
//!            who may   route     which    └▶ opened   a version read and reviewed, asked by
//!            ask                 plan                └▶ pages ─▶ HTML, whole without script
//! ```
//!
//! [`store`] knows no web and `pages` no files. A plan that cannot be read still has its text and its findings here; an engine
//! that falls over takes one answer with it and nothing else.

mod address;
mod bench_session;
mod binders;
pub mod demos;
mod drawn;
mod events;
mod gate;
pub mod hunted;
pub mod logged;
mod marked;
pub mod numbers;
mod open_plan;
mod opened;
mod pages;
pub mod qr;
mod server;
mod shelf;
pub mod store;

pub use server::{BoundServer, Options, SiteError, bind};
