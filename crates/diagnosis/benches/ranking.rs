//! How long ranking and the next measurement take on a plan of 10,000 elements, once its networks are there.
//!
//!     cargo bench -p diagnosis --bench ranking

use diagnosis::{Conditions, Fault, Hunt, Kit, Measurement, Observation, Options, Pairs, Value};

/// Some 10,000 suspects: 920 places, each with a feeder to both rails and a sliding joint in both.
fn hunt(faults: usize) -> Hunt {
    let text = oracle::drawn::ladder(920, 1);
    let reading = plan::read(&text);
    let circuit = circuit::Circuit::from_plan(&reading.plan, &reading.names);
    let mut hunt = Hunt::new(&circuit, Options { years: Some(8.0), ..Options::default() });
    let rail = &circuit.segments[0].rails[0].stops;
    let pole = circuit.breakers[0].node[0];
    let conditions = Conditions { powered: false, setting: circuit.complete(&[]), pulled: Default::default() };
    for (k, at) in [100, 450, 750, 1100, 1500].into_iter().enumerate() {
        let pair = if k % 2 == 0 { [pole, rail[at].before] } else { [rail[at].before, rail[at + 3].before] };
        let measurement = Measurement { kit: Kit::Bench, conditions: conditions.clone(), force: pair, sense: pair };
        // What the joints at these places read that are at fault.
        let joints = hunt.wiring.suspects.iter().filter(|s| match s.faults[0].0 {
            Fault::Open(edge) => {
                let edge = &circuit.edges[edge];
                let place = |n: circuit::NodeId| rail[at..at + 3].iter().any(|s| s.before == n || s.after == n);
                edge.kind == circuit::EdgeKind::SlidingJoint && place(edge.a) && place(edge.b)
            }
            _ => false,
        });
        let bad: Vec<Fault> = joints.take(1).map(|s| s.faults[7].0).collect();
        let there: &[Fault] = if k % 2 == 1 && k < 2 * faults { &bad } else { &[] };
        let due = hunt.foreseen(&measurement, 1, there).expect("resistances");
        let value = Value::Ohms(due);
        hunt.observe(Observation::Read { measurement, value }).expect("taken");
    }
    hunt
}

fn main() {
    let hunt = hunt(1);
    println!("{} suspects, {} ages, {} readings", hunt.wiring.suspects.len(), hunt.ages.len(), hunt.observations.len());
    divan::main();
}

#[divan::bench(max_time = 10)]
fn ranking_after_a_reading(bencher: divan::Bencher<'_, '_>) {
    let hunt = hunt(1);
    bencher.bench_local(|| hunt.rank());
}

#[divan::bench(max_time = 10)]
fn ranking_with_pairs(bencher: divan::Bencher<'_, '_>) {
    let hunt = hunt(2);
    bencher.bench_local(|| hunt.rank());
}

#[divan::bench(max_time = 10)]
fn next_measurement(bencher: divan::Bencher<'_, '_>) {
    let mut hunt = hunt(1);
    let pairs = Pairs::new(&hunt);
    let ranking = hunt.rank();
    bencher.bench_local(|| hunt.next(&pairs, &ranking));
}
