//! The logbook, kept as a builder keeps it.

mod bench;
mod copies;
mod entries;
