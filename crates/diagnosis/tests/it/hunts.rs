//! A few hunts of some rows of the table of `docs/diagnosis.md`; `cargo bench -p diagnosis --bench hunts` plays the whole table.

use crate::hunt_rows::{PLUGS, PULL, demo, ladders, plans};
use crate::player::row;
use diagnosis::Kit;

#[test]
fn one_feeder() {
    let row = row(&ladders(100, PULL, 1, false, 4));
    assert!(row.first >= 99.0 && row.ninetieth <= 10, "{row}");
}

#[test]
fn a_feeder_at_every_place() {
    let row = row(&ladders(1, PLUGS, 1, false, 2));
    assert!(row.first >= 90.0 && row.ninetieth <= 10, "{row}");
}

#[test]
fn what_stops_a_train_on_a_demo_plan() {
    let (played, _) = plans(&demo("thistle-dock-mended"), Kit::Bench, true, 4);
    let row = row(&played);
    assert!(row.first >= 75.0 && row.ninetieth <= 10, "{row}");
}

#[test]
fn a_decimal_point_misleads_nobody() {
    let row = row(&ladders(40, PULL, 1, true, 3));
    assert!(row.first >= 95.0, "{row}");
}
