//! What the test sheets expect, and what they say mistakes would read, against a general circuit simulator (ngspice): each
//! test as the wiring with a bench supply clipped on, each mistake made in it.

use crate::enumeration::require;
use crate::simulator::{ignored, simulate};
use circuit::{Circuit, EdgeId, NodeId};
use commissioning::{Age, Test, TestLoad, cold_sheet, hot_sheet, measured};
use electrics::Level;
use libtest_mimic::{Failed, Trial};
use oracle::{Demo, demos};
use schedule::{Choices, Job};

/// Relative agreement asked of every reading: the simulator's volts have 15 digits, of which 2 V behind 1 Ω leaves a
/// milliohm some ten.
const TOLERANCE: f64 = 1e-6;
/// Plans whose sheets are simulated whole.
const PLANS: [&str; 2] = ["thistle-dock-mended", "two-districts"];

pub fn trials() -> Vec<Trial> {
    let ignored = ignored();
    vec![
        Trial::test("test_sheets::expected_readings", expected).with_ignored_flag(ignored),
        Trial::test("test_sheets::readings_with_mistakes", with_mistakes).with_ignored_flag(ignored),
        Trial::test("test_sheets::drops_under_the_load", drops).with_ignored_flag(ignored),
        Trial::test("test_sheets::a_wrong_reading_is_noticed", wrong).with_ignored_flag(ignored),
    ]
}

/// Does something with the demo plans whose sheets are simulated, as jobs.
fn each(mut does: impl FnMut(&str, &Job<'_>) -> Result<(), Failed>) -> Result<(), Failed> {
    let demos = demos()?;
    let chosen: Vec<&Demo> = demos.iter().filter(|d| PLANS.contains(&d.name.as_str())).collect();
    require(chosen.len() == PLANS.len(), || "a demo plan is missing".to_owned())?;
    for demo in chosen {
        let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
        does(&demo.name, &Job::new(facts, Choices::default()))?;
    }
    Ok(())
}

/// What the simulator reads in a test, in the test's unit.
pub(crate) fn simulated(circuit: &Circuit, test: &Test, level: Level) -> Result<f64, Failed> {
    let pair = test.between.as_ref().ok_or("a test without places")?.each_ref().map(|p| p.node);
    let measured = measured::measured(circuit, pair);
    let volts = simulate(&electrics::netlist(&measured, &test.setting, level, &[]))?;
    // The second place is terminal B of the only source, which is the simulator's ground.
    let volts = volts.iter().find(|(n, _)| *n == pair[0].index()).map(|(_, v)| *v);
    let ohms = measured::ohms(volts.ok_or("the first place is not simulated")?);
    Ok(if test.how == commissioning::How::Millivolts { ohms * 1e3 } else { ohms })
}

fn agree(ours: f64, theirs: f64) -> bool {
    // What is open here has no way for a current there, but for the simulator's own leak of 1e-12 S.
    ours == theirs || ours.is_infinite() && theirs > 1e8 || (ours - theirs).abs() <= TOLERANCE * theirs.abs()
}

fn expected() -> Result<(), Failed> {
    let mut compared = 0;
    each(|name, job| {
        let sheet = cold_sheet(job, Age::New).map_err(|e| format!("{name}: {e:?}"))?;
        let unpowered = commissioning::unpowered::unpowered(&job.facts.circuit, Age::New);
        for test in &sheet.tests {
            let due = test.expected.ok_or("nothing is expected")?;
            for (level, ours) in Level::ALL.into_iter().zip([due.low, due.typical, due.high]) {
                let theirs = simulated(&unpowered, test, level)?;
                require(agree(ours, theirs), || {
                    format!("{name}, {}, {level:?}: ours {ours}, the simulator's {theirs}", test.name)
                })?;
                compared += 1;
            }
        }
        Ok(())
    })?;
    println!("{compared} expected readings compared");
    require(compared > 250, || format!("only {compared} readings were compared"))
}

/// Every mistake of the sheets, in the first test that notices it: outside its limits, and as the candidate's own
/// assessment has it.
fn with_mistakes() -> Result<(), Failed> {
    let mut compared = 0;
    each(|name, job| {
        let sheet = cold_sheet(job, Age::New).map_err(|e| format!("{name}: {e:?}"))?;
        let unpowered = commissioning::unpowered::unpowered(&job.facts.circuit, Age::New);
        for (mistake, by) in sheet.mistakes.iter().zip(&sheet.noticed_by) {
            let Some(&first) = by.first() else { continue };
            let test = &sheet.tests[first];
            let theirs = simulated(&mistake.circuit_with(&unpowered), test, Level::Typical)?;
            require(!test.is_well(theirs), || {
                format!("{name}, {}: {mistake:?} reads {theirs}, which is well", test.name)
            })?;
            let ours = sheet.readings[first].get(mistake).copied().unwrap_or(f64::NAN);
            require(agree(ours, theirs), || {
                format!("{name}, {}, {mistake:?}: ours {ours}, the simulator's {theirs}", test.name)
            })?;
            compared += 1;
        }
        Ok(())
    })?;
    println!("{compared} readings with mistakes compared");
    require(compared > 300, || format!("only {compared} readings were compared"))
}

/// Volts without and with a load of 1 A, as the hot sheet expects their difference.
fn drops() -> Result<(), Failed> {
    let mut compared = 0;
    each(|name, job| {
        let sheet = hot_sheet(job, TestLoad::Amps(1.0)).map_err(|e| format!("{name}: {e}"))?;
        for test in sheet.tests.iter().filter(|t| t.how == commissioning::How::Drop) {
            let [left, right] = test.between.as_ref().ok_or("a test without places")?.each_ref().map(|p| p.node);
            let due = test.expected.ok_or("nothing is expected")?;
            for (level, ours) in Level::ALL.into_iter().zip([due.low, due.typical, due.high]) {
                let volts = |loads: &[electrics::Load]| -> Result<f64, Failed> {
                    let all = simulate(&electrics::netlist(&job.facts.circuit, &test.setting, level, loads))?;
                    // The reference has no line of its own.
                    let of = |node: NodeId| all.iter().find(|(n, _)| *n == node.index()).map_or(0.0, |v| v.1);
                    Ok((of(left) - of(right)).abs())
                };
                let theirs = volts(&[])? - volts(&[electrics::Load { left, right, amps: 1.0 }])?;
                require(agree(ours, theirs), || {
                    format!("{name}, {}, {level:?}: ours {ours}, the simulator's {theirs}", test.name)
                })?;
                compared += 1;
            }
        }
        Ok(())
    })?;
    println!("{compared} drops compared");
    require(compared >= 20, || format!("only {compared} drops were compared"))
}

/// The comparison can fail: a wiring with one feeder left off must not agree.
fn wrong() -> Result<(), Failed> {
    let mut off = 0;
    each(|name, job| {
        let sheet = cold_sheet(job, Age::New).map_err(|e| format!("{name}: {e:?}"))?;
        let unpowered = commissioning::unpowered::unpowered(&job.facts.circuit, Age::New);
        let feeder = unpowered.edges.iter().position(|e| e.kind == circuit::EdgeKind::Feeder).ok_or("no feeder")?;
        let wrong = commissioning::Mistake::Open(EdgeId::new(feeder)).circuit_with(&unpowered);
        for test in &sheet.tests {
            let due = test.expected.ok_or("nothing is expected")?.typical;
            off += usize::from(!agree(due, simulated(&wrong, test, Level::Typical)?));
        }
        Ok(())
    })?;
    require(off >= PLANS.len(), || format!("a feeder left off moved only {off} readings"))
}
