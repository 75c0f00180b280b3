//! The state tables of drivers, as literal tests, and their wires as conductors (common practice, no source).

use circuit::drives::{self, Drive};
use circuit::{Circuit, EdgeKind, Part, Spot};
use std::collections::BTreeSet;

/// A turnout with its motor on a driver; `driver` and `motor` are the keys that differ.
fn plan(driver: &str, motor: &str) -> String {
    format!(
        "[layout]\nname = \"t\"\nscale = \"OO\"\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         [[supply]]\nname = \"S\"\nkind = \"dc\"\nvoltage = \"24 V\"\nmiddle = true\n\
         [[bus]]\nname = \"track bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"3 m\"\n\
         [[bus]]\nname = \"bus\"\nsupply = \"S\"\nwire = \"1 mm²\"\nlength = \"3 m\"\n\
         [[turnout]]\nname = \"T1\"\nhand = \"left\"\nwiring = \"live-bonded\"\n\
         [[turnout]]\nname = \"T2\"\nhand = \"wye\"\nwiring = \"live-bonded\"\n\
         [[track]]\nname = \"lead\"\nfrom = \"beyond\"\nto = \"T1.points\"\nlength = \"1 m\"\nleft = \"track bus.A\"\n\
         right = \"track bus.B\"\nfeeders = [\"0.5 m\"]\n\
         [[driver]]\nname = \"D\"\nfrom = \"bus @ 1 m\"\n{driver}\n[[motor]]\nname = \"M\"\ndriver = \"D\"\n{motor}\n"
    )
}

/// The wires to the motor and what is on them: `output 1 + to terminal 1`, and `set through: + -`.
fn told(driver: &str, motor: &str) -> (Vec<String>, Vec<String>) {
    let text = plan(driver, motor);
    let reading = plan::read(&text);
    assert!(reading.understood(), "{:?}", reading.findings);
    let drive: Drive = drives::drive(&reading.plan, &reading.names, 0).expect("a driver that throws it");
    let wires = drive.wires.iter().map(|(end, terminal)| {
        let from = match end {
            drives::DriveEnd::Driver(_, from) => from.words(),
            drives::DriveEnd::Middle(_) => "middle".to_owned(),
        };
        format!("{from} to {}", terminal.words(drive.positions))
    });
    let states = drive.states.iter().map(|s| {
        let levels: Vec<&str> = s.levels.iter().map(|l| l.word()).collect();
        let when = match s.when {
            drives::When::Rest => "rest".to_owned(),
            drives::When::Set(p) => format!("set {}", drive.positions[usize::from(p)]),
            drives::When::Throwing(p) => format!("throwing {}", drive.positions[usize::from(p)]),
        };
        format!("{when}: {}", levels.join(" "))
    });
    (wires.collect(), states.collect())
}

#[test]
fn state_tables() {
    let stall = ["output 1 + to terminal 1", "output 1 - to terminal 2"];
    let normal = ["set through: + -", "set diverging: - +"];
    let of = |driver: &str, motor: &str, wires: &[&str], states: &[&str]| {
        let (w, s) = told(driver, motor);
        assert_eq!(
            (w, s),
            (wires.iter().map(|w| (*w).to_owned()).collect(), states.iter().map(|w| (*w).to_owned()).collect())
        );
    };
    of("kind = \"decoder\"", "moves = \"T1\"", &stall, &normal);
    of("kind = \"switch\"", "moves = \"T1\"", &stall, &normal);
    of("kind = \"decoder\"", "moves = \"T1\"\nreversed = true", &stall, &["set through: - +", "set diverging: + -"]);
    of("kind = \"decoder\"", "moves = \"T2\"", &stall, &["set left: + -", "set right: - +"]);
    of(
        "kind = \"split switch\"",
        "moves = \"T1\"",
        &["output 1 + to terminal 1", "middle to terminal 2"],
        &["set through: + middle", "set diverging: - middle"],
    );
    let rest = ["rest: + off off", "throwing through: + pulse off", "throwing diverging: + off pulse"];
    of(
        "kind = \"pulse\"",
        "moves = \"T1\"",
        &["output 1 common to common", "output 1 coil 1 to coil through", "output 1 coil 0 to coil diverging"],
        &rest,
    );
    of(
        "kind = \"pulse\"",
        "moves = \"T1\"\nreversed = true",
        &["output 1 common to common", "output 1 coil 0 to coil through", "output 1 coil 1 to coil diverging"],
        &rest,
    );
    of(
        "kind = \"servo\"",
        "moves = \"T1\"",
        &["output 1 supply to supply", "output 1 return to return", "output 1 signal to signal"],
        &["set through: + - signal", "set diverging: + - signal"],
    );
}

/// Both coils of a solenoid are never on, and at rest neither is.
#[test]
fn a_solenoid_is_off_at_rest() {
    let (_, states) = told("kind = \"pulse\"", "moves = \"T1\"");
    for state in states {
        let pulses = state.matches("pulse").count();
        assert_eq!(pulses, usize::from(state.starts_with("throwing")), "{state}");
    }
}

#[test]
fn a_switch_is_two_change_overs_with_crossed_wires() {
    let text = plan("kind = \"switch\"", "moves = \"T1\"");
    let reading = plan::read(&text);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let links = circuit.edges.iter().filter_map(|e| match e.part {
        Part::DriverLink { from, to, .. } => Some(format!("{} to {}", from.words(), to.words())),
        _ => None,
    });
    let due = ["output 1 pole 1 side 1 to output 1 pole 2 side 2", "output 1 pole 1 side 2 to output 1 pole 2 side 1"];
    assert_eq!(links.collect::<Vec<_>>(), due);
    assert_eq!([0, 1].map(|p| circuit::side_in(p, false)), [0, 1]);
    assert_eq!([0, 1].map(|p| circuit::side_in(p, true)), [1, 0]);
}

/// What a driver or a motor is joined to never comes near a rail, and nothing goes through a driver.
#[test]
fn drivers_and_motors_are_apart_from_the_rails() {
    for driver in
        ["kind = \"decoder\"", "kind = \"switch\"", "kind = \"pulse\"", "kind = \"servo\"", "kind = \"split switch\""]
    {
        let text = plan(driver, "moves = \"T1\"");
        let reading = plan::read(&text);
        let circuit = Circuit::from_plan(&reading.plan, &reading.names);
        let neighbours = circuit.neighbours();
        let from = |is: &dyn Fn(&Spot) -> bool| {
            let mut reached: BTreeSet<_> =
                circuit::NodeId::each(&circuit.nodes).filter(|(_, n)| is(&n.spot)).map(|n| n.0).collect();
            let mut queue: Vec<_> = reached.iter().copied().collect();
            while let Some(at) = queue.pop() {
                for &(next, _) in &neighbours[at] {
                    if reached.insert(next) {
                        queue.push(next);
                    }
                }
            }
            reached.into_iter().map(|n| circuit.nodes[n].spot.clone()).collect::<Vec<_>>()
        };
        let of_motor = from(&|s| matches!(s, Spot::Motor { .. }));
        assert!(of_motor.len() >= 3, "{driver}: {of_motor:?}");
        let off = |s: &Spot| !matches!(s, Spot::Motor { .. } | Spot::Driver { .. } | Spot::Middle { .. });
        assert!(!of_motor.iter().any(off), "{driver}: {of_motor:?}");
        let of_driver = from(&|s| matches!(s, Spot::Driver { .. }));
        assert!(of_driver.iter().any(|s| matches!(s, Spot::Bus { .. })), "{driver}");
        assert!(!of_driver.iter().any(|s| matches!(s, Spot::Rail { .. } | Spot::Work { .. })), "{driver}");
        // As many wires as the table of the design says: two, or three.
        let wires =
            circuit.edges.iter().filter(|e| matches!(e.part, Part::MotorWire { .. }) && e.kind == EdgeKind::Wire);
        let due = if driver.contains("pulse") || driver.contains("servo") { 3 } else { 2 };
        assert_eq!(wires.count(), due, "{driver}");
    }
}

/// Motors on one output are thrown together: one control.
#[test]
fn motors_that_share_an_output_have_one_control() {
    let text = plan("kind = \"decoder\"\noutputs = 2", "moves = \"T1\"").replace("driver = \"D\"", "driver = \"D.2\"");
    let more = "\n[[turnout]]\nname = \"T3\"\nhand = \"left\"\nwiring = \"live-bonded\"\n[[motor]]\nname = \"N\"\nmoves = \"T3\"\n";
    for (output, controls) in [("D.2", vec!["T1+T3", "T2"]), ("D.1", vec!["T1", "T3", "T2"])] {
        let text = format!("{text}{more}driver = \"{output}\"\n");
        let reading = plan::read(&text);
        assert!(reading.understood(), "{:?}", reading.findings);
        let circuit = Circuit::from_plan(&reading.plan, &reading.names);
        let found: Vec<&str> = circuit.controls.iter().map(|c| c.name.as_str()).collect();
        assert_eq!(found, controls);
    }
}
