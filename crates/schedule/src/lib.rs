//! What a layout is made of, as a builder counts it: every wire, gap and joint with its number, and the tables of them.
//!
//! [`paper`] is the form all papers have; [`numbers`] gives each thing the one number it has on all of them.

pub mod changes;
pub mod changes_print;
pub mod choices;
pub mod csv;
mod driver_wires;
pub mod drives_back;
pub mod entry_keys;
pub mod items;
mod members;
pub mod number;
pub mod numbers;
mod pair;
pub mod panel_wires;
pub mod paper;
pub mod places;
mod poles;
pub mod read_back;
mod recognise;
pub mod record;
mod record_cells;
pub mod retest;
pub mod tables;
mod test_key;
pub mod test_numbers;
pub mod things;
mod wire_assumed;
mod wire_sizes;
pub mod wires;

pub use choices::{Choices, ColourChoice, PageSize, Units};
pub use number::{Number, NumberClass, counts_in_runs, in_runs};
pub use numbers::Numbers;
pub use record::NumbersRecord;
pub use test_numbers::TestNumbers;

use analysis::Analysis;

/// What papers are made from: the plan with all that was found out about it, the numbers, and what the builder chose.
pub struct Job<'p> {
    /// The plan and what was found out about it.
    pub facts: Analysis<'p>,
    /// The number of each wire, gap and joint.
    pub numbers: Numbers,
    /// The numbers of tests, as far as they are known.
    pub tests: TestNumbers,
    /// What the builder chose.
    pub choices: Choices,
}

impl<'p> Job<'p> {
    /// A job with numbers in the order of the plan.
    pub fn new(facts: Analysis<'p>, choices: Choices) -> Job<'p> {
        let numbers = Numbers::in_order(&facts.circuit, facts.plan);
        Job { facts, numbers, tests: TestNumbers::default(), choices }
    }

    /// A job whose numbers go on from an earlier record.
    pub fn carried(facts: Analysis<'p>, choices: Choices, record: &NumbersRecord) -> Job<'p> {
        Job::carried_from(facts, choices, &[record])
    }

    /// A job whose numbers go on from earlier records: what the first of them knows has its number of there.
    pub fn carried_from(facts: Analysis<'p>, choices: Choices, records: &[&NumbersRecord]) -> Job<'p> {
        let numbers = Numbers::carried(&facts.circuit, facts.plan, records);
        let tests = TestNumbers::carried(&facts, records);
        Job { facts, numbers, tests, choices }
    }

    /// A job whose numbers go on from an earlier record where there is one, else are given in order.
    pub fn carried_where_kept(facts: Analysis<'p>, choices: Choices, kept: Option<&NumbersRecord>) -> Job<'p> {
        match kept {
            Some(record) => Job::carried(facts, choices, record),
            None => Job::new(facts, choices),
        }
    }

    /// The record of the numbers, to be kept for the next time: those of tests once tests were made.
    pub fn record(&self) -> NumbersRecord {
        NumbersRecord::new(&self.facts.circuit, self.facts.plan, &self.numbers).with_tests(self.tests.kept())
    }

    /// The panels of the plan with their wires.
    pub fn panels(&self) -> Vec<panel::WiredPanel> {
        panel_wires::panels(&self.facts.circuit, self.facts.plan, self.facts.names)
    }

    /// What has another number here than in a record: the number there and the one here.
    pub fn renumbered(&self, record: &NumbersRecord) -> Vec<(Number, Number)> {
        let circuit = &self.facts.circuit;
        let before = Numbers::carried(circuit, self.facts.plan, &[record]);
        let items = panel_wires::all_items(circuit, self.facts.plan);
        let both = items.iter().filter_map(|item| Some((before.number(item)?, self.numbers.number(item)?)));
        both.filter(|(then, now)| then != now && record.has(*then)).collect()
    }
}
