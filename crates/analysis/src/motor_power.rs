//! The voltage at every motor that a driver throws, with all that can be on at its bus at once.
//!
//! Stall motors draw all at once and for good; servos are taken to move all at once; of the solenoids of a pulse driver one is
//! thrown at a time, the hungriest. Drivers draw their own current beside them. The drop of bus and taps is one solve of the
//! circuit as direct current; what a driver keeps for itself and the wires to the motor are taken off behind it.

use crate::Analysis;
use crate::throwing::{Draw, draw};
use circuit::drives::{self, Drive};
use circuit::{Circuit, ControlId, EdgeKind, NodeId, Part};
use electrics::{Grid, Level, Load};
use handbook::motors as usual;
use handbook::quantity::Quantity;
use handbook::{Sourced, Spread, quantity};
use plan::tables::{DriverKind, MotorKind};
use plan::{Names, Plan, driven};
use std::collections::BTreeMap;

/// What a motor gets.
#[derive(Clone, Debug, PartialEq)]
pub struct MotorVolts {
    /// Index of the motor.
    pub motor: usize,
    /// Index of the driver that throws it.
    pub driver: usize,
    /// Index of the bus that feeds the driver.
    pub bus: usize,
    /// Volts across it while its current flows: at worst, as usual, at best.
    pub volts: Spread<f64>,
    /// What it is made for, volts.
    pub made_for: f64,
    /// The least that throws it, volts.
    pub least: f64,
    /// What it draws meanwhile, amperes.
    pub amps: f64,
}

/// What a kind of motor is made for and the share of that which still throws it; nothing of what is moved by hand.
pub fn rated(kind: MotorKind) -> Option<(Sourced<quantity::Volts>, Sourced<quantity::Fraction>)> {
    match kind {
        MotorKind::Stall => Some((usual::STALL_VOLTS, usual::STALL_USABLE)),
        MotorKind::Solenoid => Some((usual::SOLENOID_VOLTS, usual::SOLENOID_USABLE)),
        MotorKind::Servo => Some((usual::SERVO_VOLTS, usual::SERVO_USABLE)),
        MotorKind::Hand => None,
    }
}

/// What a motor is made for, in volts, and the least that throws it.
pub fn made_for(plan: &Plan, drive: &Drive) -> (f64, f64) {
    let Some((volts, share)) = rated(drive.kind) else { return (0.0, 0.0) };
    let made_for = plan.motor[drive.motor].voltage.as_ref().map_or(volts.value.si(), |v| v.value.si());
    (made_for, made_for * share.value.si())
}

/// What a driver keeps for itself between its power and its outputs: nothing of a switch, nor of one that passes its
/// supply on to servos.
pub fn kept(plan: &Plan, driver: usize) -> Spread<f64> {
    let table = &plan.driver[driver];
    match table.kind.value {
        DriverKind::Switch | DriverKind::SplitSwitch => Spread::exactly(0.0),
        DriverKind::Servo if table.voltage.is_none() => Spread::exactly(0.0),
        _ => usual::DRIVER_DROP.value.map(|v| v.si()),
    }
}

/// What a driver draws itself.
pub fn own_amps(plan: &Plan, driver: usize) -> f64 {
    let table = &plan.driver[driver];
    let electronic = table.kind.value.has_address();
    let usual = if electronic { usual::DRIVER_CURRENT.value.typical.si() } else { 0.0 };
    table.current.as_ref().map_or(usual, |c| c.value.si())
}

/// Amperes that flow in a motor while it is thrown.
pub fn flows(draw: &Draw) -> f64 {
    draw.always + draw.moving
}

/// What a driver, its motors and the coils across its outputs draw of its bus at most, and what of it is a pulse.
fn load(plan: &Plan, names: &Names, driver: usize, of: &[(&Drive, Draw)]) -> [f64; 2] {
    let on_it = |c: &drives::Coil| c.output.driver == driver;
    let coils = drives::coils(plan, names).iter().filter(|c| on_it(c)).count() as f64;
    let coils = coils * usual::RELAY_CURRENT.value.typical.si();
    let steady = of.iter().filter(|d| d.0.kind != MotorKind::Solenoid).map(|d| flows(&d.1)).sum::<f64>();
    let pulse = of.iter().filter(|d| d.0.kind == MotorKind::Solenoid).map(|d| flows(&d.1)).fold(0.0, f64::max);
    [own_amps(plan, driver) + steady + coils, pulse]
}

/// What every motor gets, in the order of the plan; none where the circuit has a short at its supplies.
pub fn motor_volts(analysis: &Analysis<'_>) -> Vec<MotorVolts> {
    of_circuit(analysis.plan, analysis.names, &analysis.circuit)
}

/// The same of a circuit, as where something was changed in it.
pub fn of_circuit(plan: &Plan, names: &Names, circuit: &Circuit) -> Vec<MotorVolts> {
    let drives = drives::drives(plan, names);
    if drives.is_empty() {
        return Vec::new();
    }
    let mut by_driver: BTreeMap<usize, Vec<(&Drive, Draw)>> = BTreeMap::new();
    for drive in &drives {
        let Some(draw) = draw(&plan.motor[drive.motor], Some(drive.kind), None) else { continue };
        by_driver.entry(drive.output.driver).or_default().push((drive, draw));
    }
    let feeds = feeds(circuit, plan.driver.len());
    let leads = leads(circuit);
    let first: Vec<Option<u8>> = ControlId::all(circuit.controls.len()).map(|_| Some(0)).collect();
    // Per driver the volts at its power terminals, at each level.
    let mut at_driver: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for level in Level::ALL {
        let Ok(grid) = Grid::new(circuit, &first, level) else { return Vec::new() };
        let loads: Vec<(usize, [f64; 2])> = (0..plan.driver.len())
            .map(|d| (d, load(plan, names, d, by_driver.get(&d).map_or(&[], Vec::as_slice))))
            .collect();
        let solve = |pulsed: Option<usize>| -> Option<Vec<Option<f64>>> {
            let list: Vec<Load> = loads
                .iter()
                .filter_map(|&(driver, [steady, pulse])| {
                    let [left, right] = feeds[driver]?;
                    Some(Load { left, right, amps: steady + if pulsed == Some(driver) { pulse } else { 0.0 } })
                })
                .collect();
            grid.operating_point(&list).ok().map(|point| point.volts)
        };
        let Some(still) = solve(None) else { return Vec::new() };
        for &driver in by_driver.keys() {
            let Some(ends) = feeds[driver] else { continue };
            let pulses = loads[driver].1[1] > 0.0;
            let volts = if pulses { solve(Some(driver)).unwrap_or_default() } else { still.clone() };
            let [a, b] = ends.map(|n| volts.get(n.index()).copied().flatten());
            if let (Some(a), Some(b)) = (a, b) {
                at_driver.entry(driver).or_default().push((a - b).abs());
            }
        }
    }
    let found = by_driver.iter().flat_map(|(&driver, of)| {
        let bus = driven::bus_of_driver(plan, names, driver);
        let at = at_driver.get(&driver).filter(|v| v.len() == Level::ALL.len());
        let regulated = plan.driver[driver].voltage.as_ref().map(|v| v.value.si());
        let half = plan.driver[driver].kind.value == DriverKind::SplitSwitch;
        let (kept, leads) = (kept(plan, driver), &leads);
        of.iter().filter_map(move |(drive, draw)| {
            let (bus, at) = (bus?, at?);
            let amps = flows(draw);
            let ohms = leads.get(&drive.motor).copied().unwrap_or(Spread::exactly(0.0));
            let volts = |index: usize, kept: f64, ohms: f64| {
                let out = (if half { at[index] / 2.0 } else { at[index] }) - kept;
                regulated.map_or(out, |v| out.min(v)) - amps * ohms
            };
            let (made_for, least) = made_for(plan, drive);
            let volts = Spread::new(
                volts(2, kept.high, ohms.high),
                volts(1, kept.typical, ohms.typical),
                volts(0, kept.low, ohms.low),
            );
            Some(MotorVolts { motor: drive.motor, driver, bus, volts, made_for, least, amps })
        })
    });
    let mut found: Vec<MotorVolts> = found.collect();
    found.sort_by_key(|m| m.motor);
    found
}

/// For each driver the nodes of the bus's side of its two power wires' far ends: its own power terminals.
fn feeds(circuit: &Circuit, drivers: usize) -> Vec<Option<[NodeId; 2]>> {
    let mut feeds: Vec<[Option<NodeId>; 2]> = vec![[None; 2]; drivers];
    for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Wire && !e.removed) {
        if let Part::DriverFeed { driver, pole } = edge.part {
            feeds[driver][pole.index()] = Some(edge.a);
        }
    }
    feeds.into_iter().map(|[a, b]| Some([a?, b?])).collect()
}

/// For each motor the ohms of the two wires that bring its power.
fn leads(circuit: &Circuit) -> BTreeMap<usize, Spread<f64>> {
    let mut leads: BTreeMap<usize, Spread<f64>> = BTreeMap::new();
    for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::Wire) {
        if let Part::MotorWire { motor, .. } = edge.part {
            // All wires of a motor are alike, and its current flows through two of them.
            leads.insert(motor, edge.ohms.times(2.0));
        }
    }
    leads
}

/// Of each bus that feeds drivers the motor that is furthest from what it needs, in the order of the buses.
pub fn worst_of_buses(found: &[MotorVolts]) -> Vec<&MotorVolts> {
    let mut worst: BTreeMap<usize, &MotorVolts> = BTreeMap::new();
    for motor in found {
        let spare = |m: &MotorVolts| m.volts.typical / m.least;
        let known = worst.entry(motor.bus).or_insert(motor);
        if spare(motor) < spare(known) {
            *known = motor;
        }
    }
    worst.into_values().collect()
}
