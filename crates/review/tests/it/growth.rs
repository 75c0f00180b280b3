//! How the work of a whole review grows with its plan: counted, not timed.
//!
//! What is counted is the memory that a review asks for, piece by piece and in all: the same at every run. A solve for each edge or
//! place, a condition that is written out, a walk for each contact: each takes memory in proportion to the plan, and so shows.

use oracle::ladders::{self, LadderShape};
use oracle::long_plans;
use oracle::museum::{self, Faults};

/// Four times the plan, four times the work; something is left for what grows by a logarithm.
const LINEAR: f64 = 4.6;
/// The same with every route of a ladder worked out, not only some.
const EVERY_ROUTE: f64 = 6.0;
/// Routes that are listed one by one over a ladder are as many as its turnouts, and as long.
const SQUARE: f64 = 16.5;

/// How many times the pieces of memory, and how many times the memory, a plan of four times the size takes.
fn grown(of: impl Fn(usize) -> String, size: usize) -> [f64; 2] {
    let taken = [size, 4 * size].map(|size| {
        let text = of(size);
        let mut understood = false;
        let taken = allocation_counter::measure(|| understood = review::review(&text).summary.understood);
        assert!(understood, "{size}");
        [taken.count_total, taken.bytes_total].map(|n| n as f64)
    });
    [0, 1].map(|what| taken[1][what] / taken[0][what])
}

fn hold(shape: &str, [pieces, bytes]: [f64; 2], most: [f64; 2]) {
    assert!(pieces < most[0], "{shape}: {pieces} times the pieces of memory");
    assert!(bytes < most[1], "{shape}: {bytes} times the memory");
}

#[test]
fn ladders_and_yards_are_reviewed_in_the_work_of_their_size() {
    let of = |shape: LadderShape| move |turnouts: usize| ladders::plan(shape, turnouts);
    // Every route is worked out. A setting names every turnout, and near the end of the bus more roads are alike the longer the ladder.
    hold("ladder", grown(of(LadderShape::Ladder), 50), [EVERY_ROUTE, EVERY_ROUTE]);
    hold("yards", grown(of(LadderShape::Yards), 54), [LINEAR, EVERY_ROUTE]);
    hold("double-ended yard", grown(of(LadderShape::DoubleEnded), 24), [SQUARE, SQUARE]);
}

/// The last road is live under a condition that names every turnout.
#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn a_tree_of_contacts_takes_no_more_than_what_is_to_be_written_down() {
    hold("tree", grown(|turnouts| ladders::plan(LadderShape::LadderWithTree, turnouts), 30), [SQUARE, SQUARE]);
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn loops_museums_and_lines_are_reviewed_in_the_work_of_their_size() {
    hold("passing loops", grown(long_plans::passing_loops, 10), [LINEAR, LINEAR]);
    hold("museum", grown(|places| museum::plan(places, Faults::None), 2), [LINEAR, LINEAR]);
    // Of each track of a line the inductance takes a solve.
    hold("line", grown(long_plans::chain, 100), [LINEAR, SQUARE]);
}

/// One track with a feeder every ten centimetres: what one open feeder leaves is not worked out for each against each place.
#[test]
fn many_feeders_on_one_track_are_reviewed_in_the_work_of_their_number() {
    hold("feeders", grown(oracle::shapes::feeders, 100), [LINEAR, LINEAR]);
}
