//! From bare track to a whole plan: where rails are cut, what feeds them, and with what wire.
//!
//! Given track, trackwork and supplies, and feeders where there are some, [`propose_wiring`] finds which rail is on which pole (`phases`), what must change with a
//! turnout (`labels`, `yards`), and so where no scheme can do without a gap (`scheme`). Of the schemes there are it takes the one with the
//! fewest gaps and contacts that the review finds no fault with, and then the least copper. Nothing is proposed that the whole review
//! has not passed, but for what is said to be left.

mod contact_tables;
mod contacts;
mod districts;
mod edits;
mod feeders;
mod ground;
mod labels;
mod phases;
mod places;
mod report;
mod scheme;
mod sketch;
mod thin;
mod trial;
mod yards;

pub use report::{WiringCount, WiringReason};

use finding::{Edit, Finding};

/// A proposal that makes a bare plan whole.
#[derive(Clone, Debug)]
pub struct ProposedWiring {
    /// The edits of the plan's text.
    pub edits: Vec<Edit>,
    /// The plan after them.
    pub text: String,
    /// What is proposed and why, a group for each kind of thing, in the order in which one would build it.
    pub reasons: Vec<WiringReason>,
    /// How many there are of each thing, and the least there can be.
    pub counts: Vec<WiringCount>,
    /// What the review still finds: nothing, or what no wiring mends.
    pub left: Vec<Finding>,
}

/// Why there is no proposal.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoWiring {
    /// The plan has errors of reading.
    #[error("the plan has errors; put right what `gapwright check` shows first")]
    NotUnderstood,
    /// Something of it is wired already.
    #[error("the plan is wired already: {what}; `gapwright fix` mends a plan that is wired")]
    Wired {
        /// What is there.
        what: String,
    },
    /// No supply feeds the track.
    #[error("no supply feeds track; add a `[[supply]]` with its `voltage` and what trips it")]
    NoSupply,
    /// No one control says what a frog must be fed with.
    #[error(
        "the frogs of {name} cannot be fed over contacts of one motor each; wire them by hand, then `gapwright check`"
    )]
    Trackwork {
        /// What it is, in words.
        name: String,
    },
    /// Too many places at which the track comes back turned.
    #[error("the track comes back turned in more places than can be sorted out at once; wire it part by part")]
    TooManyLoops,
}

/// Proposes the wiring of a bare plan.
///
/// # Errors
/// With why there is none.
pub fn propose_wiring(text: &str) -> Result<ProposedWiring, NoWiring> {
    let reading = plan::read(text);
    if !reading.understood() {
        return Err(NoWiring::NotUnderstood);
    }
    if let Some(what) = plan::bare::wired_already(&reading.plan) {
        return Err(NoWiring::Wired { what });
    }
    trial::best(text, &reading.plan, &reading.names)
}
