//! What a layout is made of, as a builder counts it: every wire, gap and joint with its number, and the tables of them.
//!
//! [`paper`] is the form all papers have; [`numbers`] gives each thing the one number it has on all of them.

pub mod choices;
pub mod numbers;
pub mod paper;

pub use choices::{Choices, ColourCode, PageSize, Units};
pub use numbers::{Class, Number, Numbers};

use review::Facts;

/// What papers are made from: the plan with all that was found out about it, the numbers, and what the builder chose.
pub struct Job<'p> {
    /// The plan and what was found out about it.
    pub facts: Facts<'p>,
    /// The number of each wire, gap and joint.
    pub numbers: Numbers,
    /// What the builder chose.
    pub choices: Choices,
}

impl<'p> Job<'p> {
    /// A job with numbers in the order of the plan.
    pub fn new(facts: Facts<'p>, choices: Choices) -> Job<'p> {
        let numbers = Numbers::fresh(&facts.circuit);
        Job { facts, numbers, choices }
    }
}
