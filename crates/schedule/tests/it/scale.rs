//! Papers of long plans are made in the time of their length.

use oracle::long_plans as plans;
use schedule::{Choices, Job};
use std::time::{Duration, Instant};

/// What papers and the record of a plan took.
struct Took {
    wires: usize,
    /// Pieces of memory that were asked for: the same at every run.
    pieces: u64,
    /// The shortest of several runs.
    time: Duration,
}

fn papers_of(text: &str) -> Took {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings.first());
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let job = Job::new(facts, Choices::default());
    let make = || {
        let papers = schedule::tables::papers(&job);
        let record = job.record().to_csv();
        assert!(papers.len() > 5 && !record.is_empty());
    };
    // What the analysis works out when it is first asked is not counted.
    make();
    let timed = || {
        let began = Instant::now();
        make();
        began.elapsed()
    };
    let pieces = allocation_counter::measure(make).count_total;
    Took { wires: schedule::wires::wires(&job).len(), pieces, time: (0..4).map(|_| timed()).min().unwrap() }
}

/// Eight times the plan takes some eight times the work. Work that grew with its square would take 64 times as long, which a
/// busy machine cannot hide; what grows a little faster than it should shows in the memory that is asked for.
#[test]
fn work_grows_with_the_plan() {
    let ladder: fn(usize) -> String = |turnouts| plans::ladder(turnouts, None);
    for (of, [few, many]) in [(plans::chain as fn(usize) -> String, [150, 1200]), (ladder, [10, 80])] {
        let [small, large] = [few, many].map(|size| papers_of(&of(size)));
        let grown = large.wires as f64 / small.wires as f64;
        let pieces = large.pieces as f64 / small.pieces as f64;
        let time = large.time.as_secs_f64() / small.time.as_secs_f64();
        assert!(grown > 6.0, "{} and {} wires", small.wires, large.wires);
        assert!(pieces < 1.2 * grown, "{pieces} times the memory for {grown} times the wires");
        assert!(time < 40.0, "{time} times as long for {grown} times the wires");
    }
}
