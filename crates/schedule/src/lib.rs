//! What a layout is made of, as a builder counts it: every wire, gap and joint with its number, and the tables of them.
//!
//! [`paper`] is the form all papers have; [`numbers`] gives each thing the one number it has on all of them.

pub mod changes;
pub mod changes_print;
pub mod choices;
pub mod csv;
mod driver_wires;
pub mod drives_back;
pub mod items;
pub mod number;
pub mod numbers;
mod pair;
pub mod paper;
pub mod places;
mod poles;
pub mod read_back;
mod recognise;
pub mod record;
pub mod retest;
pub mod tables;
pub mod things;
pub mod wires;

pub use choices::{Choices, ColourChoice, PageSize, Units};
pub use number::{Number, NumberClass, in_runs};
pub use numbers::Numbers;
pub use record::NumbersRecord;

use analysis::Analysis;

/// What papers are made from: the plan with all that was found out about it, the numbers, and what the builder chose.
pub struct Job<'p> {
    /// The plan and what was found out about it.
    pub facts: Analysis<'p>,
    /// The number of each wire, gap and joint.
    pub numbers: Numbers,
    /// What the builder chose.
    pub choices: Choices,
}

impl<'p> Job<'p> {
    /// A job with numbers in the order of the plan.
    pub fn new(facts: Analysis<'p>, choices: Choices) -> Job<'p> {
        let numbers = Numbers::in_order(&facts.circuit, facts.plan);
        Job { facts, numbers, choices }
    }

    /// A job whose numbers go on from an earlier record.
    pub fn carried(facts: Analysis<'p>, choices: Choices, record: &NumbersRecord) -> Job<'p> {
        let numbers = Numbers::carried(&facts.circuit, facts.plan, record);
        Job { facts, numbers, choices }
    }

    /// A job whose numbers go on from an earlier record where there is one, else are given in order.
    pub fn carried_where_kept(facts: Analysis<'p>, choices: Choices, kept: Option<&NumbersRecord>) -> Job<'p> {
        match kept {
            Some(record) => Job::carried(facts, choices, record),
            None => Job::new(facts, choices),
        }
    }

    /// The record of the numbers, to be kept for the next time.
    pub fn record(&self) -> NumbersRecord {
        NumbersRecord::new(&self.facts.circuit, self.facts.plan, &self.numbers)
    }
}
