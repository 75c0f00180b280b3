//! Papers of long plans are made in the time of their length.

#[path = "../../../review/tests/it/scale/plans.rs"]
mod plans;

use schedule::{Choices, Job};
use std::time::{Duration, Instant};

/// How many wires a plan has, and the shortest of three times that numbers, papers and the record took.
fn papers_of(text: &str) -> (usize, Duration) {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings.first());
    let facts = review::facts(text, &reading.plan, &reading.names);
    let job = Job::new(facts, Choices::default());
    let times = (0..3).map(|_| {
        let began = Instant::now();
        let papers = schedule::tables::papers(&job);
        let record = job.record().to_csv();
        assert!(papers.len() > 5 && !record.is_empty());
        began.elapsed()
    });
    let time = times.min().unwrap();
    (schedule::wires::wires(&job).len(), time)
}

#[test]
fn time_grows_with_the_plan() {
    let ladder: fn(usize) -> String = |turnouts| plans::ladder(turnouts, None);
    for (of, [few, many]) in [(plans::chain as fn(usize) -> String, [300, 1200]), (ladder, [12, 48])] {
        let (few, short) = papers_of(&of(few));
        let (many, long) = papers_of(&of(many));
        let grown = many as f64 / few as f64;
        let slope = long.as_secs_f64() / short.as_secs_f64();
        println!("{few} wires in {short:?}, {many} in {long:?}");
        assert!(grown > 3.5, "{few} and {many} wires");
        // Four times as many; a machine that others use too wanders by half.
        assert!(slope < 2.0 * grown, "{few} wires took {short:?}, {many} took {long:?}");
    }
}
