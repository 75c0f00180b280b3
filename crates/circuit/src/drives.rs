//! What each driver does to each motor: which wires join them, and what is on them in each position (state tables; common
//! practice, no source).
//!
//! | motor | driver | at rest | while it throws |
//! |---|---|---|---|
//! | stall | decoder, switch | position through: 1 + and 2 −; diverging: 1 − and 2 + | the same |
//! | stall | split switch | through: 1 +, diverging: 1 −; 2 on the middle of the supply | the same |
//! | solenoid | pulse | nothing | one coil for one pulse, never both |
//! | servo | servo | supply + and return −; the signal is no power | the same |
//!
//! A motor that is `reversed` has the two positions of a stall motor, or the two coil wires of a solenoid, exchanged.

use crate::terminals::{CoilTerminal, DriverTerminal, MotorTerminal, OutputWire};
use plan::driven::{self, Output};
use plan::tables::{DriverKind, Hand, MotorKind};
use plan::{Kind, Names, Plan};

/// Where a wire to a motor or coil starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DriveEnd {
    /// At a terminal of a driver.
    Driver(usize, DriverTerminal),
    /// At the middle terminal of a supply.
    Middle(usize),
}

/// What a driver puts on a terminal: a pole of its supply, or nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Nothing is joined to it.
    Off,
    /// The positive side of the driver's power.
    Plus,
    /// Its negative side.
    Minus,
    /// The middle of the supply.
    Middle,
    /// The negative side, for one pulse.
    Pulse,
    /// A servo's signal, which brings no power.
    Signal,
}

impl Level {
    /// The sign on papers.
    pub fn word(self) -> &'static str {
        match self {
            Level::Off => "off",
            Level::Plus => "+",
            Level::Minus => "-",
            Level::Middle => "middle",
            Level::Pulse => "pulse",
            Level::Signal => "signal",
        }
    }
}

/// When a state holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    /// While nothing is thrown, in either position.
    Rest,
    /// While the motor stands in a position, 0 or 1.
    Set(u8),
    /// While it is thrown into a position.
    Throwing(u8),
}

/// What is on each terminal of a motor at some time, in the order of its wires.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct State {
    /// When.
    pub when: When,
    /// What is on each of the motor's terminals.
    pub levels: Vec<Level>,
}

/// A motor and what throws it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drive {
    /// Index of the motor.
    pub motor: usize,
    /// The output that throws it.
    pub output: Output,
    /// What the motor is.
    pub kind: MotorKind,
    /// The words of its two positions.
    pub positions: [&'static str; 2],
    /// Its wires: where each starts and the motor's terminal it goes to.
    pub wires: Vec<(DriveEnd, MotorTerminal)>,
    /// What is on its terminals, and when.
    pub states: Vec<State>,
}

/// A relay's coil and what pulls it in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Coil {
    /// Index of the relay.
    pub relay: usize,
    /// The output it lies across.
    pub output: Output,
    /// Its two wires: where each starts and the terminal it goes to. The diode is in the first one, its band to the relay.
    pub wires: [(DriveEnd, CoilTerminal); 2],
}

/// The words of the two positions of a motor.
pub fn positions(plan: &Plan, motor: usize) -> [&'static str; 2] {
    // A simple turnout moves as a whole, so that its name alone is what a motor moves.
    let moves = |t: &plan::tables::Turnout| plan.motor[motor].moves.0.iter().any(|text| text.value == t.name.value);
    let wye = plan.turnout.iter().any(|t| t.hand.value == Hand::Wye && moves(t));
    if wye { ["left", "right"] } else { ["through", "diverging"] }
}

fn wire(output: Output, wire: OutputWire) -> DriveEnd {
    DriveEnd::Driver(output.driver, DriverTerminal::Output { output: output.output, wire })
}

/// The wire of an output that is no plus: the switch's own, or the middle of its supply.
fn other_side(plan: &Plan, names: &Names, output: Output) -> Option<DriveEnd> {
    match plan.driver[output.driver].kind.value {
        DriverKind::SplitSwitch => driven::supply_of_driver(plan, names, output.driver).map(DriveEnd::Middle),
        _ => Some(wire(output, OutputWire::Minus)),
    }
}

/// Every motor that a driver throws, in the order of the plan.
pub fn drives(plan: &Plan, names: &Names) -> Vec<Drive> {
    (0..plan.motor.len()).filter_map(|motor| drive(plan, names, motor)).collect()
}

/// A motor and what throws it; none without a driver, or with one that cannot throw it.
pub fn drive(plan: &Plan, names: &Names, motor: usize) -> Option<Drive> {
    let output = driven::of_motor(plan, names, motor)?;
    let driver = plan.driver[output.driver].kind.value;
    let kind = driven::motor_kind(plan, names, motor)?;
    if kind != driven::throws(driver) || driven::moves_turntable(plan, names, motor) {
        return None;
    }
    let reversed = driven::is_reversed(plan, motor);
    let state = |when, levels: &[Level]| State { when, levels: levels.to_vec() };
    let (wires, states) = match kind {
        MotorKind::Stall => {
            let other = other_side(plan, names, output)?;
            let split = driver == DriverKind::SplitSwitch;
            let wires = vec![(wire(output, OutputWire::Plus), MotorTerminal::One), (other, MotorTerminal::Two)];
            let set = |position: u8| {
                let plus = (position == 0) != reversed;
                let sides = if plus { [Level::Plus, Level::Minus] } else { [Level::Minus, Level::Plus] };
                state(When::Set(position), &[sides[0], if split { Level::Middle } else { sides[1] }])
            };
            (wires, vec![set(0), set(1)])
        }
        MotorKind::Solenoid => {
            // Output 1 of an address sets a motor through, where it is not reversed.
            let of = |position: u8| OutputWire::Coil(u8::from((position == 0) != reversed));
            let wires = vec![
                (wire(output, OutputWire::Common), MotorTerminal::Common),
                (wire(output, of(0)), MotorTerminal::Coil(0)),
                (wire(output, of(1)), MotorTerminal::Coil(1)),
            ];
            let states = vec![
                state(When::Rest, &[Level::Plus, Level::Off, Level::Off]),
                state(When::Throwing(0), &[Level::Plus, Level::Pulse, Level::Off]),
                state(When::Throwing(1), &[Level::Plus, Level::Off, Level::Pulse]),
            ];
            (wires, states)
        }
        MotorKind::Servo => {
            let wires = vec![
                (wire(output, OutputWire::Supply), MotorTerminal::Supply),
                (wire(output, OutputWire::Return), MotorTerminal::Return),
                (wire(output, OutputWire::Signal), MotorTerminal::Signal),
            ];
            let set = |position| state(When::Set(position), &[Level::Plus, Level::Minus, Level::Signal]);
            (wires, vec![set(0), set(1)])
        }
        MotorKind::Hand => return None,
    };
    Some(Drive { motor, output, kind, positions: positions(plan, motor), wires, states })
}

/// The coils of relays that lie across an output, in the order of the plan.
pub fn coils(plan: &Plan, names: &Names) -> Vec<Coil> {
    (0..plan.relay.len()).filter_map(|relay| coil(plan, names, relay)).collect()
}

fn coil(plan: &Plan, names: &Names, relay: usize) -> Option<Coil> {
    let output = driven::of_relay(plan, names, relay)?;
    if driven::throws(plan.driver[output.driver].kind.value) != MotorKind::Stall {
        return None;
    }
    let reversed = match driven::leader(plan, names, (Kind::Relay, relay)) {
        Some((Kind::Motor, motor)) => driven::is_reversed(plan, motor),
        // A toggle is off where its motor stands in its first position.
        Some((Kind::Toggle, toggle)) => {
            driven::motor_of_toggle(plan, names, toggle).is_some_and(|motor| driven::is_reversed(plan, motor))
        }
        _ => false,
    };
    // It is pulled in in the second position: there the output's own + has −, unless the motor is reversed.
    let (plus, minus) = (wire(output, OutputWire::Plus), other_side(plan, names, output)?);
    let [one, two] = if reversed { [plus, minus] } else { [minus, plus] };
    Some(Coil { relay, output, wires: [(one, CoilTerminal::One), (two, CoilTerminal::Two)] })
}
