//! What a button sets: which coils it fires over the matrix, which commands it gives, and what it cannot set.

use circuit::{Circuit, ControlId, Way, Ways};
use plan::names::Position;
use plan::tables::{MotorKind, PanelButton, SupplyKind};
use plan::{At, Kind, Names, Plan, driven};
use std::collections::{BTreeMap, BTreeSet};

/// A coil of a solenoid motor: the one that throws it into a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MotorCoil {
    /// Index of the motor.
    pub motor: usize,
    /// The position, 0 or 1.
    pub position: u8,
}

/// What throws a motor when a button is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThrownBy {
    /// Its own coil, over the panel, from this supply.
    Coil(usize),
    /// A command to its driver.
    Command,
    /// The toggle whose contacts its driver is.
    Toggle(usize),
    /// Nothing that a button reaches: it is moved by hand, or the plan does not say what throws it.
    Nothing,
}

/// What a button sets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ButtonAct {
    /// The route that it sets, by its place among the routes, and whether it is named the other way round.
    pub route: Option<(usize, bool)>,
    /// Every position that it sets.
    pub set: BTreeMap<ControlId, u8>,
    /// Coils that it fires.
    pub coils: Vec<MotorCoil>,
    /// Motors that it gives a command for, with the position.
    pub commands: Vec<MotorCoil>,
    /// What it should set and cannot reach.
    pub by_hand: Vec<ControlId>,
    /// Words that name no route and no position.
    pub unknown: Vec<At<String>>,
    /// What it would set in two positions at once.
    pub twice: Vec<ControlId>,
}

/// What throws a motor from a panel. A solenoid without a driver is fired by the panel itself, from its own supply.
pub fn thrown_by(plan: &Plan, names: &Names, motor: usize) -> ThrownBy {
    if driven::moves_turntable(plan, names, motor) {
        return ThrownBy::Nothing;
    }
    match (driven::of_motor(plan, names, motor), driven::motor_kind(plan, names, motor)) {
        (Some(output), _) => match driven::toggle_of_driver(plan, names, output.driver) {
            Some(toggle) => ThrownBy::Toggle(toggle),
            None if plan.driver[output.driver].kind.value.has_address() => ThrownBy::Command,
            None => ThrownBy::Nothing,
        },
        (None, Some(MotorKind::Solenoid)) => {
            let supply = driven::supply_of_motor(plan, names, motor).map(|s| s.0);
            let fit = |s: &usize| {
                let kind = plan.supply[*s].kind.as_ref().map(|k| k.value);
                plan.supply[*s].discharge.is_some() || matches!(kind, Some(SupplyKind::Accessory | SupplyKind::Dc))
            };
            supply.filter(fit).map_or(ThrownBy::Nothing, ThrownBy::Coil)
        }
        _ => ThrownBy::Nothing,
    }
}

/// For each control the motors that move it, in the order of the plan.
pub fn motors(plan: &Plan, names: &Names, circuit: &Circuit) -> BTreeMap<ControlId, Vec<usize>> {
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
    motors
}

/// The control and the position that words of a plan mean.
pub fn control_of(plan: &Plan, names: &Names, circuit: &Circuit, position: &Position) -> Option<(ControlId, u8)> {
    let (kind, index, part) = match position.of {
        (Kind::Motor, motor, _) => {
            let first = plan.motor[motor].moves.0.iter().find_map(|text| names.moved(&text.value).ok())?;
            (first.kind, first.index, first.part)
        }
        of => of,
    };
    let controls = circuit.work_controls.get(&(kind, index))?;
    let control = *controls.get(part).or(controls.first())?;
    let place = circuit.controls[control].positions.iter().position(|p| *p == position.word)?;
    Some((control, u8::try_from(place).ok()?))
}

/// A route by its name, also turned round.
pub fn route(circuit: &Circuit, ways: &Ways, name: &str) -> Option<(usize, bool)> {
    if let Some(found) = ways.list.iter().position(|w| w.name == name) {
        return Some((found, false));
    }
    let back = |way: &Way| analysis::ways_table::back(circuit, way).is_some_and(|b| b.name == name);
    ways.list.iter().position(back).map(|found| (found, true))
}

/// What is asked about buttons: a plan, its circuit and its routes.
#[derive(Clone, Copy)]
pub struct Fired<'p> {
    /// The plan.
    pub plan: &'p Plan,
    /// Its names.
    pub names: &'p Names,
    /// Its circuit.
    pub circuit: &'p Circuit,
    /// Its routes.
    pub ways: &'p Ways,
}

impl Fired<'_> {
    /// What a button of the plan sets.
    pub fn button(&self, button: &PanelButton) -> ButtonAct {
        let mut act = ButtonAct::default();
        let mut set = Vec::new();
        for text in button.sets.iter() {
            let position = self.names.position(self.plan, &text.value).ok();
            let known = position.and_then(|p| control_of(self.plan, self.names, self.circuit, &p));
            match (known, route(self.circuit, self.ways, &text.value)) {
                (Some(position), _) => set.push(position),
                (None, Some(found)) => {
                    act.route = act.route.or(Some(found));
                    set.extend(self.ways.list[found.0].setting.iter().map(|(&c, &p)| (c, p)));
                }
                (None, None) => act.unknown.push(text.clone()),
            }
        }
        self.throw(&mut act, &set);
        act
    }

    /// What a button that sets some positions does.
    pub fn positions(&self, set: &[(ControlId, u8)]) -> ButtonAct {
        let mut act = ButtonAct::default();
        self.throw(&mut act, set);
        act
    }

    fn throw(&self, act: &mut ButtonAct, set: &[(ControlId, u8)]) {
        let motors = motors(self.plan, self.names, self.circuit);
        let leaders = driven::leaders(self.plan, self.names);
        let (mut coils, mut commands, mut twice, mut by_hand) =
            (BTreeSet::new(), BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
        for &(control, position) in set {
            if act.set.insert(control, position).is_some_and(|before| before != position) {
                twice.insert(control);
            }
            let of = motors.get(&control).map_or(&[][..], Vec::as_slice);
            if of.is_empty() || usize::from(position) > 1 {
                by_hand.insert(control);
            }
            for &motor in of {
                match thrown_by(self.plan, self.names, motor) {
                    ThrownBy::Coil(_) => {
                        coils.insert(MotorCoil { motor, position });
                    }
                    // Motors that share an output are thrown by one command.
                    ThrownBy::Command => {
                        commands.insert(MotorCoil { motor: leaders[motor], position });
                    }
                    ThrownBy::Toggle(_) | ThrownBy::Nothing => {
                        by_hand.insert(control);
                    }
                }
            }
        }
        act.coils = coils.into_iter().collect();
        act.commands = commands.into_iter().collect();
        act.twice = twice.into_iter().collect();
        act.by_hand = by_hand.into_iter().collect();
    }
}

/// Motors that a button of the plan fires itself: nothing else need throw them.
pub fn fired_by_panels(plan: &Plan, names: &Names, circuit: &Circuit, ways: &Ways) -> BTreeSet<usize> {
    let fired = Fired { plan, names, circuit, ways };
    let mut both: BTreeMap<usize, BTreeSet<u8>> = BTreeMap::new();
    for button in plan.panel.iter().flat_map(|p| p.button.iter()) {
        for coil in fired.button(&button.value).coils {
            both.entry(coil.motor).or_default().insert(coil.position);
        }
    }
    // One that can be thrown one way only stays where it is.
    both.into_iter().filter(|(_, positions)| positions.len() > 1).map(|(motor, _)| motor).collect()
}
