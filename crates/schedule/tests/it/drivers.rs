//! Drivers and motors, rebuilt from the tables alone.

use crate::common::{demos, with_job};
use circuit::drives::{self, When};
use schedule::Job;
use schedule::csv::table_csv;
use schedule::drives_back::{ReadMotor, read_drivers, read_motors};
use schedule::tables::{driver_tables, papers};
use schedule::wires::wires;
use std::collections::BTreeMap;

/// A plan with one motor of each kind, to be looked at closely.
const EVERY_KIND: &str = include_str!("common/every_driver.toml");

fn read(job: &Job<'_>) -> (Vec<schedule::drives_back::ReadDriver>, Vec<ReadMotor>) {
    let [drivers, motors] = driver_tables(job).map(|table| table_csv(&table));
    (read_drivers(&drivers).unwrap(), read_motors(&motors).unwrap())
}

/// What the tables say is on each terminal is what the state tables of the circuit have.
fn check(name: &str, job: &Job<'_>) -> usize {
    let (plan, names) = (job.facts.plan, job.facts.names);
    let (drivers, motors) = read(job);
    assert_eq!(drivers.len(), plan.driver.len(), "{name}");
    for (read, table) in drivers.iter().zip(&plan.driver) {
        assert_eq!((&read.name, read.kind.as_str()), (&table.name.value, table.kind.value.word()), "{name}");
    }
    let due = drives::drives(plan, names);
    assert_eq!(motors.len(), due.len(), "{name}");
    for (read, drive) in motors.iter().zip(&due) {
        assert_eq!(read.name, plan.motor[drive.motor].name.value, "{name}");
        assert_eq!(read.driver, plan.driver[drive.output.driver].name.value, "{name}");
        assert!(read.least > 0.0 && read.least < read.made_for && read.draws > 0.0, "{name}: {read:?}");
        for (state, of) in read.states.iter().zip(&drive.states) {
            let levels: BTreeMap<String, String> = drive
                .wires
                .iter()
                .zip(&of.levels)
                .map(|((_, terminal), level)| (terminal.words(drive.positions), level.word().to_owned()))
                .collect();
            assert_eq!(state.levels, levels, "{name}: {}", read.name);
            assert_eq!(state.when == "at rest", of.when == When::Rest, "{name}: {}", read.name);
        }
        assert_eq!(read.states.len(), drive.states.len(), "{name}: {}", read.name);
    }
    // Each terminal of a motor is the end of one wire of the list, which starts at its driver or a supply's middle.
    let list = wires(job);
    for motor in &motors {
        for terminal in motor.states[0].levels.keys() {
            let end = format!("{} {terminal}", motor.name);
            let at: Vec<_> = list.iter().filter(|w| w.ends[1].words == end).collect();
            assert_eq!(at.len(), 1, "{name}: wires at {end}");
            let from = &at[0].ends[0].words;
            assert!(from.starts_with(&motor.driver) || from.ends_with(".middle"), "{name}: {end} from {from}");
        }
    }
    motors.len()
}

#[test]
fn the_tables_of_every_demo_plan_rebuild_its_drivers() {
    let mut motors = 0;
    for (name, text) in demos() {
        with_job(&text, |job| {
            let thrown = check(&name, job);
            assert!(thrown > 0, "{name} throws nothing");
            motors += thrown;
        });
    }
    with_job(EVERY_KIND, |job| motors += check("every kind", job));
    assert!(motors > 20, "only {motors} motors were read back");
}

fn shown(job: &Job<'_>) -> Vec<String> {
    let list = wires(job);
    let of_drivers = ["driver wire", "command wire", "switch link", "motor wire", "coil wire"];
    let of = list.iter().filter(|w| of_drivers.contains(&w.what));
    of.map(|w| format!("{}: {} -> {}", w.what, w.ends[0].words, w.ends[1].words)).collect()
}

#[test]
fn the_wires_of_every_kind_of_driver() {
    with_job(EVERY_KIND, |job| {
        let due = [
            "driver wire: D decoder power A -> points bus.A @ 1000 mm",
            "driver wire: D decoder power B -> points bus.B @ 1000 mm",
            "command wire: D decoder commands A -> main bus.A @ 500 mm",
            "command wire: D decoder commands B -> main bus.B @ 500 mm",
            "driver wire: D switch output 1 pole 1 side 1 -> points bus.A @ 2000 mm",
            "driver wire: D switch output 1 pole 1 side 2 -> points bus.B @ 2000 mm",
            "switch link: D switch output 1 pole 1 side 1 -> D switch output 1 pole 2 side 2",
            "switch link: D switch output 1 pole 1 side 2 -> D switch output 1 pole 2 side 1",
            "driver wire: D split output 1 pole 1 side 1 -> points bus.A @ 3000 mm",
            "driver wire: D split output 1 pole 1 side 2 -> points bus.B @ 3000 mm",
            "driver wire: D pulse power A -> points bus.A @ 4000 mm",
            "driver wire: D pulse power B -> points bus.B @ 4000 mm",
            "driver wire: D servo power A -> points bus.A @ 3500 mm",
            "driver wire: D servo power B -> points bus.B @ 3500 mm",
            "motor wire: D decoder output 2 + -> M1 terminal 1",
            "motor wire: D decoder output 2 - -> M1 terminal 2",
            "motor wire: D switch output 1 + -> M2 terminal 1",
            "motor wire: D switch output 1 - -> M2 terminal 2",
            "motor wire: D split output 1 + -> M3 terminal 1",
            "motor wire: points supply.middle -> M3 terminal 2",
            "motor wire: D pulse output 1 common -> M4 common",
            "motor wire: D pulse output 1 coil 1 -> M4 coil through",
            "motor wire: D pulse output 1 coil 0 -> M4 coil diverging",
            "motor wire: D servo output 1 supply -> M5 supply",
            "motor wire: D servo output 1 return -> M5 return",
            "motor wire: D servo output 1 signal -> M5 signal",
            "coil wire: D decoder output 2 + -> K1 coil 1",
            "coil wire: D decoder output 2 - -> K1 coil 2",
        ];
        assert_eq!(shown(job), due);
    });
}

/// Without a driver a motor has no wire, and the papers say so.
#[test]
fn a_motor_without_a_driver_has_no_wires() {
    let text = EVERY_KIND.replace("driver = \"D split\"", "supply = \"points supply\"");
    with_job(&text, |job| {
        assert!(!shown(job).iter().any(|w| w.contains("M3")), "{:?}", shown(job));
        let all = papers(job);
        let paper = all.iter().find(|p| p.name == "drivers").unwrap();
        let told = paper.blocks.iter().any(|b| matches!(b, schedule::paper::Block::Caution(t) if t.ends_with(": M3.")));
        assert!(told, "{:?}", paper.blocks);
    });
}
