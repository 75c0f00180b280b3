//! Checks against outside tools: see the crate's own page.
#![allow(clippy::unwrap_used)]

mod browser;
mod coils;
mod deck;
mod detectors;
mod draws;
mod drivers;
mod enumeration;
mod laws;
mod monotone;
mod movement;
mod pages;
mod panel;
mod panel_fires;
mod papers;
mod random;
mod reading;
mod satisfiability;
mod schema;
mod signal;
mod simulator;
mod square_shorts;
mod test_sheets;
mod time_grid;
mod trackwork;
mod transients;
mod walker;
mod whole_route;

use libtest_mimic::{Arguments, Trial};

fn main() {
    let arguments = Arguments::from_args();
    let mut trials: Vec<Trial> = Vec::new();
    trials.extend(browser::trials());
    trials.extend(coils::trials());
    trials.extend(detectors::trials());
    trials.extend(draws::trials());
    trials.extend(drivers::trials());
    trials.extend(enumeration::trials());
    trials.extend(laws::trials());
    trials.extend(monotone::trials());
    trials.extend(movement::trials());
    trials.extend(pages::trials());
    trials.extend(panel::trials());
    trials.extend(panel_fires::trials());
    trials.extend(papers::trials());
    trials.extend(random::trials());
    trials.extend(reading::trials());
    trials.extend(satisfiability::trials());
    trials.extend(schema::trials());
    trials.extend(signal::trials());
    trials.extend(simulator::trials());
    trials.extend(test_sheets::trials());
    trials.extend(time_grid::trials());
    trials.extend(trackwork::trials());
    trials.extend(square_shorts::trials());
    trials.extend(transients::trials());
    trials.extend(whole_route::trials());
    libtest_mimic::run(&arguments, trials).exit();
}
