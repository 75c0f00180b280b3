//! Quantities with units and the handbook values, each beside its source.
//!
//! Everything here is data, lookup or a named formula; nothing reads a file and nothing knows a plan. A value
//! says where it comes from in a `source` text, so that a report can list every default that mattered.
//!
//! How far a source can be trusted is said in the source text itself:
//! - a standard or handbook is named ("NMRA RP-15.1", "IEC 60228");
//! - "computed from ..." names the formula and what went into it;
//! - "common practice, no source" is what the trade does;
//! - "from memory, confirm" wants checking before anybody leans on it;
//! - "our own default" is a choice made here.

pub mod colours;
pub mod contacts;
pub mod faults;
pub mod limits;
pub mod materials;
pub mod motors;
pub mod music_wire;
pub mod panel;
pub mod quantity;
pub mod rails;
pub mod scales;
pub mod spread;
pub mod wires;

pub use spread::{Sourced, Spread};

/// Source text of what the trade does without a paper to point at.
pub(crate) const PRACTICE: &str = "common practice, no source";

/// Source text of what was written down from memory and wants checking.
pub(crate) const MEMORY: &str = "from memory, confirm";

/// Whether two handbook names are the same to a reader: letter case, and how many spaces stand between the
/// words, do not matter.
pub(crate) fn same_name(one: &str, other: &str) -> bool {
    let words = |text: &str| text.split_whitespace().map(str::to_lowercase).collect::<Vec<_>>();
    words(one) == words(other)
}
