//! How long the test sheets and work orders of a long plan take: `cargo bench -p oracle --bench sheets -- 100`.

use schedule::{Choices, Job};
use std::time::Instant;

fn main() {
    let turnouts = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(100);
    let places = usize::div_ceil(turnouts, oracle::museum::TURNOUTS);
    let text = oracle::museum::plan(places, oracle::museum::Faults::None);
    let reading = plan::read(&text);
    let job = Job::new(analysis::Analysis::of(&text, &reading.plan, &reading.names), Choices::default());
    let circuit = &job.facts.circuit;
    println!("{turnouts} turnouts, {} edges, {} gaps", circuit.edges.len(), circuit.gaps.len());
    let started = Instant::now();
    let _ = commissioning::cold_sheet(&job, commissioning::Age::New);
    println!("cold sheet {:.2?}", started.elapsed());
    let started = Instant::now();
    let _ = commissioning::hot_sheet(&job, commissioning::TestLoad::default());
    println!("hot sheet {:.2?}", started.elapsed());
    let started = Instant::now();
    let _ = commissioning::orders(&job, &[]);
    println!("work orders {:.2?}", started.elapsed());
    let started = Instant::now();
    match commissioning::work(&job, commissioning::TestLoad::default()) {
        Ok(work) => println!(
            "{} cold tests, at least {}, {} mistakes, {} not proved, {} hot tests, {} tasks in {:.2?}",
            work.cold.tests.len(),
            work.cold.at_least,
            work.cold.mistakes.len(),
            work.cold.not_proved.len(),
            work.hot.tests.len(),
            work.tasks.len(),
            started.elapsed()
        ),
        Err(why) => println!("{why}"),
    }
}
