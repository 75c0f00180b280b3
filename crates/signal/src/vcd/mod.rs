//! Value-change dumps (IEEE 1364, four-state): the text in which logic analysers and simulators exchange edges.
//!
//! The reader holds one word at a time, so that a dump may be as long as it likes; names, scopes and signals are bounded.
//! It is strict about what it uses (times, levels of the signal that was chosen) and lenient about the rest. An own reader,
//! because general ones keep words of any length in memory, descend once for each scope, and end at the first odd word.

mod read;
mod timescale;
mod words;
mod write;

pub use read::{Edges, Header, Notes, Signal};
pub use timescale::{TimeUnit, Timescale};
pub use write::write;

use std::io;
use thiserror::Error;

/// Why a dump cannot be read.
#[derive(Debug, Error)]
pub enum VcdError {
    /// The file could not be read.
    #[error("{0}")]
    Reading(#[from] io::Error),
    /// A line that is not as it should be.
    #[error("line {line}: {what}")]
    Line {
        /// The line, from 1.
        line: u64,
        /// What is wrong there.
        what: String,
        /// What to do about it.
        fix: &'static str,
    },
    /// No signal, too many or the wrong one.
    #[error("{what}")]
    Choice {
        /// What is wrong with it.
        what: String,
        /// What to do about it.
        fix: String,
    },
}

impl VcdError {
    /// What to do about it.
    pub fn fix(&self) -> &str {
        match self {
            VcdError::Reading(_) => "check the name and place of the file",
            VcdError::Line { fix: mend, .. } => mend,
            VcdError::Choice { fix: mend, .. } => mend,
        }
    }
}
