//! Which driver throws what: the output, the kind, the address and the supply of each motor and relay coil.

use crate::names::{Kind, Names, RefError};
use crate::tables::{DriverKind, MotorKind, Plan};
use crate::value::At;
use std::collections::BTreeMap;
use std::ops::Range;

/// An output of a driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Output {
    /// Index of the driver.
    pub driver: usize,
    /// Which of its outputs, from 0.
    pub output: u32,
}

/// The most outputs that a driver may have.
pub const MOST_OUTPUTS: u32 = 64;

/// How many outputs a driver has.
pub fn outputs(plan: &Plan, driver: usize) -> u32 {
    plan.driver[driver].outputs.as_ref().map_or(1, |n| n.value)
}

/// The output in a builder's words: `D1.3`, or `D1` where the driver has one only.
pub fn output_words(plan: &Plan, output: Output) -> String {
    let name = &plan.driver[output.driver].name.value;
    if outputs(plan, output.driver) > 1 { format!("{name}.{}", output.output + 1) } else { name.clone() }
}

/// The kind of motor that a kind of driver throws.
pub fn throws(kind: DriverKind) -> MotorKind {
    match kind {
        DriverKind::Decoder | DriverKind::Switch | DriverKind::SplitSwitch => MotorKind::Stall,
        DriverKind::Pulse => MotorKind::Solenoid,
        DriverKind::Servo => MotorKind::Servo,
    }
}

impl Names {
    /// A driver's output: `D1.3`, or `D1` where it has one.
    ///
    /// # Errors
    /// When there is no such driver, or it has no such output.
    pub fn output(&self, plan: &Plan, text: &str) -> Result<Output, RefError> {
        let (name, rest, _, driver) = self.split(text, &[Kind::Driver])?;
        let many = outputs(plan, driver);
        let wrong = |message: String, hint: String| RefError::Wrong {
            at: (name.len() + 1).min(text.len())..text.len(),
            message,
            hint,
        };
        let of_these = match many {
            1 => format!("it has one output; write `{name}`"),
            _ => format!("its outputs are `{name}.1` to `{name}.{many}`"),
        };
        match rest {
            None if many == 1 => Ok(Output { driver, output: 0 }),
            None => Err(wrong(format!("which output of `{name}` is meant?"), of_these)),
            Some(rest) => match rest.parse::<u32>() {
                Ok(number) if (1..=many).contains(&number) => Ok(Output { driver, output: number - 1 }),
                _ => Err(wrong(format!("driver `{name}` has no output `{}`", crate::reader::short(rest)), of_these)),
            },
        }
    }
}

/// The output that throws a motor.
pub fn of_motor(plan: &Plan, names: &Names, motor: usize) -> Option<Output> {
    names.output(plan, &plan.motor[motor].driver.as_ref()?.value).ok()
}

/// The output that a relay's coil lies across.
pub fn of_relay(plan: &Plan, names: &Names, relay: usize) -> Option<Output> {
    names.output(plan, &plan.relay[relay].driver.as_ref()?.value).ok()
}

/// The motor or toggle that something follows in the end, through all relays between; itself where it is no relay. None where
/// relays follow each other in a circle, or one follows nothing.
pub fn leader(plan: &Plan, names: &Names, of: (Kind, usize)) -> Option<(Kind, usize)> {
    let mut at = of;
    // A chain of relays is no longer than there are relays.
    for _ in 0..=plan.relay.len() {
        match at {
            (Kind::Relay, relay) => at = names.get(&plan.relay.get(relay)?.follows.value)?,
            (Kind::Motor | Kind::Toggle, _) => return Some(at),
            _ => return None,
        }
    }
    None
}

/// What a motor is: as it says, or what its driver throws.
pub fn motor_kind(plan: &Plan, names: &Names, motor: usize) -> Option<MotorKind> {
    let said = plan.motor[motor].kind.as_ref().map(|k| k.value);
    said.or_else(|| of_motor(plan, names, motor).map(|o| throws(plan.driver[o.driver].kind.value)))
}

/// The accessory address that throws a motor, and where it is said: its own, or its driver's counted up.
pub fn address(plan: &Plan, names: &Names, motor: usize) -> Option<At<u32>> {
    if let Some(own) = &plan.motor[motor].address {
        return Some(own.clone());
    }
    let output = of_motor(plan, names, motor)?;
    let first = plan.driver[output.driver].address.as_ref()?;
    let place: Range<usize> = plan.motor[motor].driver.as_ref().map_or(first.span.clone(), |d| d.span.clone());
    Some(At { value: first.value.checked_add(output.output)?, span: place })
}

/// The supply that a bus starts at, behind whatever buses it branches from.
pub fn supply_of_bus(plan: &Plan, names: &Names, bus: usize) -> Option<usize> {
    let mut at = bus;
    // A bus that branches, in the end, from itself is told elsewhere.
    for _ in 0..=plan.bus.len() {
        let table = plan.bus.get(at)?;
        if let Some(supply) = &table.supply {
            return names.of_kind(&supply.value, &[Kind::Supply]).ok().map(|s| s.1);
        }
        at = names.bus_place(&table.from.as_ref()?.value).ok()?.0;
    }
    None
}

/// The bus that a driver takes its power from.
pub fn bus_of_driver(plan: &Plan, names: &Names, driver: usize) -> Option<usize> {
    names.bus_place(&plan.driver[driver].from.value).ok().map(|b| b.0)
}

/// The supply that a driver takes its power from.
pub fn supply_of_driver(plan: &Plan, names: &Names, driver: usize) -> Option<usize> {
    supply_of_bus(plan, names, bus_of_driver(plan, names, driver)?)
}

/// The supply that a motor takes its power from and the words that say so: its driver's, or its own.
pub fn supply_of_motor(plan: &Plan, names: &Names, motor: usize) -> Option<(usize, Range<usize>)> {
    if let Some(output) = of_motor(plan, names, motor) {
        let from = plan.driver[output.driver].from.span.clone();
        return supply_of_driver(plan, names, output.driver).map(|s| (s, from));
    }
    let said = plan.motor[motor].supply.as_ref()?;
    Some((names.of_kind(&said.value, &[Kind::Supply]).ok()?.1, said.span.clone()))
}

/// Whether a motor moves a turntable, which no two-position driver throws.
pub fn moves_turntable(plan: &Plan, names: &Names, motor: usize) -> bool {
    plan.motor[motor].moves.0.iter().filter_map(|text| names.moved(&text.value).ok()).any(|m| m.kind == Kind::Turntable)
}

/// What throws a motor by one act.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Lever {
    Output(Output),
    Toggle(usize),
}

/// The toggle whose contacts a driver is, of a switch.
pub fn toggle_of_driver(plan: &Plan, names: &Names, driver: usize) -> Option<usize> {
    let table = &plan.driver[driver];
    let follows = table.follows.as_ref().filter(|_| !table.kind.value.has_address())?;
    names.of_kind(&follows.value, &[Kind::Toggle]).ok().map(|found| found.1)
}

/// For each motor the first one of the plan that is thrown with it: itself, where none is. What shares an output is thrown
/// together, and so is what hangs on one toggle.
pub fn leaders(plan: &Plan, names: &Names) -> Vec<usize> {
    let mut first: BTreeMap<Lever, usize> = BTreeMap::new();
    let lever =
        |output: Output| toggle_of_driver(plan, names, output.driver).map_or(Lever::Output(output), Lever::Toggle);
    let of = |motor| of_motor(plan, names, motor).map_or(motor, |output| *first.entry(lever(output)).or_insert(motor));
    (0..plan.motor.len()).map(of).collect()
}

/// The first motor that a toggle throws, as the contacts of its driver.
pub fn motor_of_toggle(plan: &Plan, names: &Names, toggle: usize) -> Option<usize> {
    let thrown = |motor: &usize| {
        of_motor(plan, names, *motor).and_then(|output| toggle_of_driver(plan, names, output.driver)) == Some(toggle)
    };
    (0..plan.motor.len()).find(thrown)
}

/// Whether a motor throws the other way round than is common.
pub fn is_reversed(plan: &Plan, motor: usize) -> bool {
    plan.motor[motor].reversed.as_ref().is_some_and(|r| r.value)
}
