//! A few hunts of some rows of the table of `docs/diagnosis.md`; `cargo bench -p diagnosis --bench hunts` plays the whole table.

use crate::hunt_rows::{PLUGS, PULL, demo, ladders, plans};
use crate::player::row;
use diagnosis::{Conditions, Hunt, Kit, Measurement, Observation, Options, Value};
use std::collections::BTreeSet;

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
    let row = row(&ladders(24, PULL, 1, true, 3));
    assert!(row.first >= 95.0, "{row}");
}

/// A display without a number counts as one that does not fit, where a sound layout has a number.
#[test]
fn a_layout_without_a_fault_does_not_fit_an_open_rail() {
    let demo = oracle::demos().unwrap().into_iter().find(|d| d.name == "thistle-dock-mended").unwrap();
    let mut hunt = Hunt::new(&demo.circuit, Options { years: Some(5.0), ..Options::default() });
    let pole = demo.circuit.breakers[0].node[0];
    let end = demo.circuit.segments[0].rails[0].stops.last().unwrap().before;
    let conditions = Conditions { powered: false, setting: demo.circuit.complete(&[]), pulled: BTreeSet::new() };
    let ends = [pole, end];
    let measurement = Measurement { kit: Kit::Bench, conditions, force: ends, sense: ends };
    assert!(hunt.response(&measurement, 1).unwrap().ohms < 1.0, "it is joined");
    hunt.observe(Observation::Read { measurement: measurement.clone(), value: Value::Open }).unwrap();
    assert!(hunt.rank().healthy_fit < 0.01, "{}", hunt.rank().healthy_fit);
    assert!(hunt.rank().best_fit > 0.5, "{}", hunt.rank().best_fit);
}
