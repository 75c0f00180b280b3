//! How long ranking and the next measurement take on a plan of 10,000 elements, once its networks are there.
//!
//!     cargo bench -p diagnosis --bench ranking

use diagnosis::{Conditions, Hunt, Kit, Measurement, Observation, Options, Pairs, Value};

/// Some 11,000 suspects: 1,840 places, each with a feeder to both rails and a sliding joint in both.
fn hunt() -> Hunt {
    let text = oracle::drawn::ladder(1840, 1);
    let reading = plan::read(&text);
    let circuit = circuit::Circuit::from_plan(&reading.plan, &reading.names);
    let mut hunt = Hunt::new(&circuit, Options { years: Some(8.0), ..Options::default() });
    let rail = &circuit.segments[0].rails[0].stops;
    let pole = circuit.breakers[0].node[0];
    let conditions = Conditions { powered: false, setting: circuit.complete(&[]), pulled: Default::default() };
    for (k, at) in [200, 900, 1500, 2200, 3000].into_iter().enumerate() {
        let pair = if k % 2 == 0 { [pole, rail[at].before] } else { [rail[at].before, rail[at + 3].before] };
        let measurement = Measurement { kit: Kit::Bench, conditions: conditions.clone(), force: pair, sense: pair };
        let due = hunt.foreseen(&measurement, 1, &[]).expect("resistances");
        let value = Value::Ohms(if k == 3 { 1.6 * due } else { due });
        hunt.observe(Observation::Read { measurement, value }).expect("taken");
    }
    hunt
}

fn main() {
    let hunt = hunt();
    println!("{} suspects, {} ages, {} readings", hunt.wiring.suspects.len(), hunt.ages.len(), hunt.observations.len());
    divan::main();
}

#[divan::bench(max_time = 10)]
fn ranking_after_a_reading(bencher: divan::Bencher<'_, '_>) {
    let hunt = hunt();
    bencher.bench_local(|| hunt.rank());
}

#[divan::bench(max_time = 10)]
fn next_measurement(bencher: divan::Bencher<'_, '_>) {
    let mut hunt = hunt();
    let pairs = Pairs::new(&hunt);
    let ranking = hunt.rank();
    bencher.bench_local(|| hunt.next(&pairs, &ranking));
}
