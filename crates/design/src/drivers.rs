//! The bus of the points supply and the drivers on it.

use crate::answers::Answers;
use crate::lengths::length;
use crate::yard::Yard;
use handbook::quantity::Quantity;
use handbook::{limits, motors};
use plan::tables::MotorKind;
use std::fmt::Write;

/// The bus that feeds the drivers.
const POINTS_BUS: &str = "points bus";
/// Outputs of one driver: as many as one is usually made with (common practice, no source).
const OUTPUTS: usize = 8;

/// The supply that throws the turnouts, and its bus.
pub(crate) fn supply(answers: &Answers, yard: &Yard, out: &mut String) {
    let works = yard.works.len() as f64;
    let units = yard.works.len().div_ceil(OUTPUTS) as f64;
    let own = units * motors::DRIVER_CURRENT.value.high.si();
    let amps = |moving: f64| ((own + moving) * 10.0).ceil() / 10.0;
    let (why, volts, amps) = match answers.motor {
        MotorKind::Solenoid => (
            "solenoids draw much for a moment, one after the other",
            16,
            amps(limits::SOLENOID_CURRENT.value.high.si()),
        ),
        MotorKind::Servo => {
            let each = limits::SERVO_CURRENT.value.typical.si();
            ("servos dip their supply when they start", 12, amps(works * each).max(2.0))
        }
        _ => {
            let each = limits::STALL_MOTOR_CURRENT.value.high.si();
            ("stall motors draw all the time", 12, amps(works * each * 1.5).max(0.2))
        }
    };
    let wire = match (answers.motor, answers.imperial) {
        (MotorKind::Solenoid | MotorKind::Servo, true) => "14 AWG",
        (MotorKind::Solenoid | MotorKind::Servo, false) => "2.5 mm²",
        (_, true) => "18 AWG",
        (_, false) => "0.75 mm²",
    };
    let trip = (amps * 12.0).ceil() / 10.0;
    let _ = write!(
        out,
        "\n# Apart from the track, so that a short cannot lock the turnout that makes it; {why}.\n[[supply]]\nname    = \"points supply\"\nkind    = \"accessory\"\nvoltage = \"{volts} V\"\nrating  = \"{amps} A\"\ntrips   = {{ at = \"{trip} A\", after = \"100 ms\" }}\n\n[[bus]]\nname   = \"{POINTS_BUS}\"\nsupply = \"points supply\"\nwire   = \"{wire}\"\nlength = \"{}\"\n",
        length(answers, yard.bus),
    );
}

/// The drivers: as many as it takes, side by side in the middle of their bus.
pub(crate) fn drivers(answers: &Answers, yard: &Yard, out: &mut String) {
    let (kind, says) = match answers.motor {
        MotorKind::Solenoid => ("pulse", "It gives one coil a short pulse, never more."),
        MotorKind::Servo => ("servo", "It brings its supply down to the 5 V of servos."),
        _ => ("decoder", "It turns the polarity of each output round."),
    };
    let whole = yard.works.len().div_ceil(OUTPUTS);
    for unit in 0..whole {
        let here = (yard.works.len() - unit * OUTPUTS).min(OUTPUTS);
        let commands =
            "Give it its commands by a cable of its own, so that it\n# hears them while a short keeps the track down.";
        let _ = write!(
            out,
            "\n# {says} {commands}\n[[driver]]\nname    = \"{}\"\nkind    = \"{kind}\"\noutputs = {here}\naddress = {}\nfrom    = \"{POINTS_BUS} @ {}\"\n{}",
            name(unit),
            answers.address as usize + unit * OUTPUTS,
            length(answers, yard.bus / 2.0),
            if answers.motor == MotorKind::Servo { "voltage = \"5 V\"\n" } else { "" },
        );
    }
}

fn name(unit: usize) -> String {
    format!("D{}", unit + 1)
}

/// The output that throws the motor of a number, from 0.
pub(crate) fn output(yard: &Yard, number: usize) -> String {
    let unit = number / OUTPUTS;
    let here = (yard.works.len() - unit * OUTPUTS).min(OUTPUTS);
    if here == 1 { name(unit) } else { format!("{}.{}", name(unit), number % OUTPUTS + 1) }
}
