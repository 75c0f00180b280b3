//! How the motors of a way are thrown within what their supplies give: which at once, which one after the other.
//!
//! A stall motor draws its current for good, moving or not; so does what it leaves of its supply for the others. A servo or a
//! solenoid draws its own while it moves. A discharge unit gives the energy of its capacitor, `½·C·V²`, and takes its time
//! to gather it anew; a solenoid takes `V·I·t`. What no plan says is the handbook's typical value.

use circuit::{Circuit, ControlId, Way};
use handbook::limits::{SERVO_CURRENT, SOLENOID_CURRENT, SOLENOID_PULSE, STALL_MOTOR_CURRENT};
use handbook::quantity::Quantity;
use plan::tables::{Motor, MotorKind, Supply};
use plan::{Names, Plan, driven};
use std::collections::BTreeMap;

/// What a motor asks of its supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// Amperes for good.
    pub always: f64,
    /// Amperes more while it moves.
    pub moving: f64,
    /// Joules for a throw from a discharge unit.
    pub joules: f64,
    /// Whether the plan says its current.
    pub said: bool,
}

/// What a supply has for motors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gives {
    /// Amperes, where its rating is known.
    pub amps: Option<f64>,
    /// Joules of its discharge unit, and seconds until they are there again.
    pub discharge: Option<(f64, f64)>,
}

/// Motors of one way that are thrown together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Throw {
    /// Their names, in the order in which a train comes to what they move.
    pub motors: Vec<String>,
    /// How long to wait before, seconds: for a discharge unit.
    pub wait: f64,
}

/// What a motor draws; nothing of one moved by hand or of a kind that is not said.
pub fn draw(motor: &Motor, kind: Option<MotorKind>, volts: Option<f64>) -> Option<Draw> {
    let said = motor.current.as_ref().map(|c| c.value.si());
    let amps = |usual: f64| said.unwrap_or(usual);
    let none = Draw { always: 0.0, moving: 0.0, joules: 0.0, said: said.is_some() };
    match kind? {
        MotorKind::Stall => Some(Draw { always: amps(STALL_MOTOR_CURRENT.value.typical.si()), ..none }),
        MotorKind::Servo => Some(Draw { moving: amps(SERVO_CURRENT.value.typical.si()), ..none }),
        MotorKind::Solenoid => {
            let moving = amps(SOLENOID_CURRENT.value.typical.si());
            let pulse = motor.pulse.as_ref().map_or(SOLENOID_PULSE.value.typical.si(), |p| p.value.si());
            Some(Draw { moving, joules: volts.unwrap_or(0.0) * moving * pulse, ..none })
        }
        MotorKind::Hand => None,
    }
}

/// What a supply gives.
pub fn gives(supply: &Supply) -> Gives {
    let volts = supply.voltage.as_ref().map(|v| v.value.si());
    let discharge = supply.discharge.as_ref().zip(volts).map(|(unit, volts)| {
        let farads = unit.value.capacitance.value.si();
        (0.5 * farads * volts * volts, unit.value.recharge.as_ref().map_or(0.0, |r| r.value.si()))
    });
    Gives { amps: supply.rating.as_ref().map(|r| r.value.si()), discharge }
}

/// Motors by the supply they draw from, those without one or without a current left out: the supply's index, and each motor's
/// index with what it draws.
pub fn by_supply(plan: &Plan, names: &Names) -> BTreeMap<usize, Vec<(usize, Draw)>> {
    let mut found: BTreeMap<usize, Vec<(usize, Draw)>> = BTreeMap::new();
    for (index, motor) in plan.motor.iter().enumerate() {
        let Some((supply, _)) = driven::supply_of_motor(plan, names, index) else { continue };
        let volts = plan.supply[supply].voltage.as_ref().map(|v| v.value.si());
        if let Some(draw) = draw(motor, driven::motor_kind(plan, names, index), volts) {
            found.entry(supply).or_default().push((index, draw));
        }
    }
    found
}

/// Throwing the motors of ways, with what their supplies give.
pub struct Throwing<'p> {
    plan: &'p Plan,
    /// For each control the motors that move it.
    motors: BTreeMap<ControlId, Vec<usize>>,
    /// For each motor its supply and what it draws.
    draws: BTreeMap<usize, (usize, Draw)>,
    /// For each supply what it has left beside what motors draw for good.
    left: BTreeMap<usize, Gives>,
}

impl<'p> Throwing<'p> {
    /// Of a plan and its circuit.
    pub fn new(plan: &'p Plan, names: &Names, circuit: &Circuit) -> Throwing<'p> {
        let mut motors: BTreeMap<ControlId, Vec<usize>> = BTreeMap::new();
        for (index, motor) in plan.motor.iter().enumerate() {
            for moved in motor.moves.0.iter().filter_map(|text| names.moved(&text.value).ok()) {
                let controls = circuit.work_controls.get(&(moved.kind, moved.index));
                let Some(&control) = controls.and_then(|c| c.get(moved.part).or(c.first())) else { continue };
                let of = motors.entry(control).or_default();
                if !of.contains(&index) {
                    of.push(index);
                }
            }
        }
        let supplies = by_supply(plan, names);
        let left = supplies.iter().map(|(&supply, draws)| {
            let always: f64 = draws.iter().map(|d| d.1.always).sum();
            let gives = gives(&plan.supply[supply]);
            (supply, Gives { amps: gives.amps.map(|amps| amps - always), ..gives })
        });
        let left = left.collect();
        let draws = supplies.iter().flat_map(|(&s, all)| all.iter().map(move |&(motor, draw)| (motor, (s, draw))));
        Throwing { plan, motors, draws: draws.collect(), left }
    }

    /// The motors of a way, in groups that are thrown one after the other; none where no motor of it draws from a supply that
    /// says what it gives.
    pub fn order(&self, circuit: &Circuit, way: &Way) -> Option<Vec<Throw>> {
        let guards = way.steps.iter().flat_map(|s| &circuit.segments[s.0].guard);
        let mut motors: Vec<usize> = Vec::new();
        for motor in guards.filter_map(|literal| self.motors.get(&literal.control)).flatten() {
            if !motors.contains(motor) {
                motors.push(*motor);
            }
        }
        let limited = |gives: &Gives| gives.amps.is_some() || gives.discharge.is_some();
        let is_limited = |m: &usize| self.draws.get(m).and_then(|d| self.left.get(&d.0)).is_some_and(limited);
        if !motors.iter().any(is_limited) {
            return None;
        }
        let mut groups: Vec<Throw> = Vec::new();
        let mut used: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
        for motor in motors {
            let name = self.plan.motor[motor].name.value.clone();
            let mut wait = None;
            if let Some(&(supply, draw)) = self.draws.get(&motor) {
                let gives = self.left[&supply];
                let (amps, joules) = used.get(&supply).copied().unwrap_or_default();
                let (amps, joules) = (amps + draw.moving, joules + draw.joules);
                let alone = !used.contains_key(&supply);
                let fits = match gives.discharge {
                    Some((held, _)) => joules <= held,
                    None => gives.amps.is_none_or(|most| amps <= most),
                };
                if !fits && !alone {
                    wait = Some(gives.discharge.map_or(0.0, |d| d.1));
                    used.clear();
                    used.insert(supply, (draw.moving, draw.joules));
                } else {
                    used.insert(supply, (amps, joules));
                }
            }
            match (groups.last_mut(), wait) {
                (Some(group), None) => group.motors.push(name),
                _ => groups.push(Throw { motors: vec![name], wait: wait.unwrap_or(0.0) }),
            }
        }
        Some(groups)
    }
}
