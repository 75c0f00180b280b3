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

/// A driver hangs on a bus that no track runs along: only where it is mounted says how far its motors are.
const BESIDE: &str = r#"
layout = { name = "a shed", scale = "OO" }
[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }
[[supply]]
name = "points supply"
kind = "dc"
voltage = "12 V"
[[bus]]
name = "main bus"
supply = "booster"
wire = "2.5 mm²"
length = "6 m"
[[bus]]
name = "points bus"
supply = "points supply"
wire = "1.5 mm²"
length = "4 m"
[[driver]]
name = "D1"
kind = "decoder"
address = 5
from = "points bus @ 1 m"
commands = "main bus @ 0 m"
@
[[turnout]]
name = "T1"
hand = "left"
wiring = "insulated-bonded"
lead = "0.2 m"
tail = "0.1 m"
[[motor]]
name = "M1"
moves = "T1"
driver = "D1"
[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "3 m"
left = "main bus.A"
right = "main bus.B"
along = { bus = "main bus", from = "0 m", to = "3 m" }
feeders = ["1 m"]
[[track]]
name = "dock, east"
from = "T1.diverging"
to = "buffer"
length = "2 m"
"#;

#[test]
fn wires_of_a_driver_are_as_long_as_the_way_from_where_it_is_mounted() {
    let of = |key: &str| {
        with_job(&BESIDE.replacen("@\n[[turnout", &format!("{key}\n[[turnout"), 1), |job| {
            let runs: BTreeMap<String, _> = wires(job)
                .into_iter()
                .map(|w| (format!("{} {}", w.what, w.ends[1].words), (w.run, w.assumed)))
                .collect();
            let one = |start: &str| *runs.iter().find(|r| r.0.starts_with(start)).unwrap().1;
            [one("motor wire M1 terminal 1"), one("driver wire"), one("command wire")]
        })
    };
    // Nothing says where it is: its motor's wires and its commands are measured.
    let [motor, power, commands] = of("");
    assert_eq!((motor.0, motor.1.measure), (None, true));
    assert_eq!((power.0, power.1.length), (Some(0.3), true));
    assert_eq!((commands.0, commands.1.measure), (None, true));
    // 0.5 m on the dock, 0.1 m tail, 0.2 m lead to the blades, and 0.3 m down: by hand.
    let [motor, power, commands] = of("beside = \"dock, east @ 0.5 m\"");
    assert_eq!((motor.0, motor.1.length, motor.1.measure), (Some(1.1), true, false));
    // Nobody knows where the points bus runs, so what leads there is measured now.
    assert_eq!((power.0, power.1.measure), (None, true));
    // 3 m more to the start of the main bus.
    assert_eq!((commands.0, commands.1.length), (Some(4.1), true));
    let [motor, ..] = of("beside = \"lead @ 9 ft 6 in\"");
    assert_eq!(motor.0, Some(0.41), "3 m less 2.8956 m, and 0.3 m down, to the next centimetre");
}

#[test]
fn a_driver_beside_nothing_is_told() {
    for (key, due) in [
        ("beside = \"dock @ 0.5 m\"", "dock, east"),
        ("beside = \"dock, east @ 2.5 m\"", "2 m"),
        ("beside = \"dock, east\"", "@"),
        ("beside = \"T1 @ 1 m\"", "turnout"),
    ] {
        let text = BESIDE.replacen("@\n[[turnout", &format!("{key}\n[[turnout"), 1);
        let reading = plan::read(&text);
        let told: Vec<String> = reading.findings.iter().map(|f| format!("{} {:?}", f.message, f.help)).collect();
        assert!(!reading.understood() && told.iter().any(|t| t.contains(due)), "{key}: {told:?}");
    }
}
