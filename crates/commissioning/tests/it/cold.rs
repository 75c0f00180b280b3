//! The sheets of the demo plans, held against the engine that calculates operating points: another way to the same numbers.

use crate::common::{each_demo, reading, with_demo};
use circuit::{EdgeId, EdgeKind};
use commissioning::mistake::{is_made, loose_ends};
use commissioning::unpowered::unpowered;
use commissioning::{Age, Element, How, Mistake, Test, cold_sheet};
use electrics::Level;
use std::collections::BTreeSet;

#[test]
fn what_is_expected_is_what_is_read_and_within_the_limits() {
    let mut compared = 0;
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        let unpowered = unpowered(&job.facts.circuit, Age::New);
        for test in &sheet.tests {
            let expected = test.expected.unwrap();
            for (level, due) in Level::ALL.into_iter().zip([expected.low, expected.typical, expected.high]) {
                let read = reading(&unpowered, test, level);
                // An operating point of 2 V behind 1 Ω keeps some ten digits of a milliohm.
                assert!(read == due || (read - due).abs() <= 1e-6 * due, "{name}, {}: {read} for {due}", test.name);
                assert!(test.is_well(read), "{name}, {}: {read} is not well", test.name);
                compared += 1;
            }
        }
    });
    assert!(compared > 1000, "{compared}");
}

/// How many of a plan's mistakes some test reads outside its limits, and those that none does. `limits` may change a test.
fn noticed(name: &str, limits: impl Fn(&mut Test)) -> (usize, Vec<Mistake>) {
    with_demo(name, |job| {
        let mut sheet = cold_sheet(job, Age::New).unwrap();
        sheet.tests.iter_mut().for_each(limits);
        let unpowered = unpowered(&job.facts.circuit, Age::New);
        let unseen = sheet.mistakes.iter().enumerate().filter(|(number, mistake)| {
            let wrong = mistake.circuit_with(&unpowered);
            let reads_off = |&index: &usize| {
                let test = &sheet.tests[index];
                Level::ALL.iter().all(|&level| !test.is_well(reading(&wrong, test, level)))
            };
            !sheet.noticed_by[*number].iter().any(reads_off)
        });
        let unseen: Vec<Mistake> = unseen.map(|(_, mistake)| *mistake).collect();
        (sheet.mistakes.len(), unseen)
    })
}

#[test]
fn every_mistake_reads_outside_the_limits_of_some_test_or_is_told_as_not_proved() {
    let mut all = 0;
    let mut unseen = 0;
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        let (count, missed) = noticed(name, |_| {});
        for mistake in &missed {
            let told = sheet.not_proved.iter().find(|n| n.mistake == Some(*mistake));
            assert!(told.is_some_and(|n| !n.why.is_empty()), "{name}: {mistake:?} is neither noticed nor told");
        }
        all += count;
        unseen += missed.len();
    });
    println!("{} of {all} mistakes noticed", all - unseen);
    assert!(all > 1000 && unseen * 100 <= all, "{unseen} of {all} mistakes are noticed by no test");
}

/// The check above can fail: with wrong limits mistakes pass.
#[test]
fn wrong_limits_let_mistakes_pass() {
    let (all, missed) = noticed("thistle-dock-mended", |test| test.passes = [0.0, f64::INFINITY]);
    assert_eq!(missed.len(), all);
    let (_, missed) = noticed("thistle-dock-mended", |test| {
        if test.how == How::Millivolts {
            test.passes[1] = 200.0;
        }
    });
    assert!(missed.iter().any(|m| matches!(m, Mistake::Open(_))), "{missed:?}");
}

#[test]
fn every_piece_and_gap_is_proved_or_told_as_not_proved() {
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        let circuit = &job.facts.circuit;
        let unpowered = unpowered(circuit, Age::New);
        let loose = loose_ends(&unpowered);
        let proved: BTreeSet<Element> = sheet.tests.iter().flat_map(|t| t.proves.iter().copied()).collect();
        let told: BTreeSet<Element> = sheet.not_proved.iter().filter_map(|n| n.element).collect();
        for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| e.kind != EdgeKind::Rail) {
            let spare = edge.kind == EdgeKind::Contact && (loose.contains(&edge.a) || loose.contains(&edge.b));
            let element = Element::Edge(id);
            assert!(spare || proved.contains(&element) || told.contains(&element), "{name}: {}", edge.name);
            assert!(!(spare && is_made(edge) && proved.contains(&element)), "{name}: a spare half is proved");
        }
        for gap in &circuit.gaps {
            let either = [Element::Gap(gap.before, gap.after), Element::Gap(gap.after, gap.before)];
            assert!(either.iter().any(|e| proved.contains(e) || told.contains(e)), "{name}: gap {gap:?}");
        }
        let names: BTreeSet<&str> = sheet.tests.iter().map(|t| t.name.as_str()).collect();
        assert_eq!(names.len(), sheet.tests.len(), "{name}: names");
    });
}

#[test]
fn sheets_are_the_shortest_there_are() {
    each_demo(|name, job| {
        let sheet = cold_sheet(job, Age::New).unwrap();
        assert_eq!(sheet.tests.len(), sheet.at_least, "{name}");
        assert_eq!(sheet, cold_sheet(job, Age::New).unwrap(), "{name}: twice the same");
    });
}
