//! Local web pages of a plan: see it, touch it, change it.

pub mod files;
pub mod store;
