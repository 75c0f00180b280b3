//! Hot sheets of the demo plans against operating points, and what they are to prove.

use crate::common::{each_demo, with_demo};
use circuit::{Circuit, Probe};
use commissioning::{Age, Element, How, TestLoad, cold_sheet, hot_sheet};
use electrics::{Level, Load, operating_point};
use handbook::quantity::{Metres, Quantity, parse};
use plan::tables::RailSide;
use std::collections::BTreeSet;

#[test]
fn drops_under_the_load_are_those_of_operating_points() {
    let mut compared = 0;
    each_demo(|name, job| {
        let sheet = hot_sheet(job, TestLoad::Amps(1.0)).unwrap();
        for test in sheet.tests.iter().filter(|t| t.how == How::Drop) {
            // The place is in the middle of a piece of rail, where the job's own circuit has no node: by its words, which are
            // rounded to what one measures.
            let words = &test.between.as_ref().unwrap()[0].words;
            let (track, at) = words.strip_suffix(", left rail").unwrap().rsplit_once(" at ").unwrap();
            let plan = job.facts.plan;
            let track = plan.track.iter().position(|t| t.name.value == track).unwrap();
            let at = parse::<Metres>(at).unwrap().si().min(plan.track[track].length.value.si());
            let circuit = Circuit::with_probes(plan, job.facts.names, &[Probe { track, at }]);
            let [left, right] = RailSide::ALL.map(|side| circuit.at(track, side, at).unwrap());
            let due = test.expected.unwrap();
            for (level, due) in Level::ALL.into_iter().zip([due.low, due.typical, due.high]) {
                let volts = |loads: &[Load]| {
                    let point = operating_point(&circuit, &test.setting, level, loads).unwrap();
                    (point.volts[left].unwrap() - point.volts[right].unwrap()).abs()
                };
                let drop = volts(&[]) - volts(&[Load { left, right, amps: 1.0 }]);
                assert!((drop - due).abs() < 5e-3 * due, "{name}, {}: {due}, {drop}", test.name);
                compared += 1;
            }
        }
    });
    assert!(compared > 60, "{compared}");
}

#[test]
fn a_resistor_draws_less_where_the_wiring_takes_its_share() {
    let load = TestLoad::read("15 Ω").unwrap();
    assert_eq!(load, TestLoad::Ohms(15.0));
    // A divider: 15 V over 0.5 Ω and 15 Ω.
    assert!((load.drop(15.0, 0.5) - 15.0 * 0.5 / 15.5).abs() < 1e-12);
    assert_eq!(TestLoad::read("1 A"), Ok(TestLoad::Amps(1.0)));
    for wrong in ["", "1 V", "-1 A", "0 Ω", "1e9 A", "much"] {
        assert!(TestLoad::read(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn what_is_unplugged_in_cold_tests_is_proved_hot() {
    each_demo(|name, job| {
        let cold = cold_sheet(job, Age::New).unwrap();
        let hot = hot_sheet(job, TestLoad::default()).unwrap();
        let proved: BTreeSet<Element> = hot.tests.iter().flat_map(|t| t.proves.iter().copied()).collect();
        for not in cold.not_proved.iter().filter(|n| n.mistake.is_none()) {
            assert!(not.element.is_some_and(|e| proved.contains(&e)), "{name}: {}", not.what);
        }
        assert!(hot.left_out.is_empty(), "{name}: {:?}", hot.left_out);
        let names: BTreeSet<&str> = hot.tests.iter().map(|t| t.name.as_str()).collect();
        assert_eq!(names.len(), hot.tests.len(), "{name}: names");
    });
}

#[test]
fn gaps_read_nothing_or_the_supply() {
    with_demo("balloon", |job| {
        let sheet = hot_sheet(job, TestLoad::default()).unwrap();
        let phases: Vec<_> = sheet.tests.iter().filter(|t| t.name.starts_with("hot phase")).collect();
        let supply = job.facts.circuit.sources[0].volts;
        // The loop's phase follows the turnout: its gaps read both, one in each position.
        for volts in [0.0, supply] {
            assert!(phases.iter().any(|t| (t.expected.unwrap().typical - volts).abs() < 1e-6), "{volts}");
        }
        assert!(sheet.tests.iter().any(|t| t.name.starts_with("hot reversing")));
    });
}

#[test]
fn every_storage_track_is_asked_on_every_way() {
    with_demo("seven-tracks", |job| {
        let sheet = hot_sheet(job, TestLoad::default()).unwrap();
        let asked: Vec<_> = sheet.tests.iter().filter(|t| t.name.starts_with("hot storage")).collect();
        assert_eq!(asked.len(), 49);
        assert_eq!(asked.iter().filter(|t| t.range.ends_with(" is live")).count(), 7);
    });
}
