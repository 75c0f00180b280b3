//! What a button sets: which coils it fires over the matrix, which commands it gives, and what it cannot set.

use circuit::ways::RouteEnd;
use circuit::{Circuit, ControlId, Way, Ways};
use plan::names::Position;
use plan::tables::{MotorKind, PanelButton, SupplyKind};
use plan::{Kind, Names, Plan, driven};
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
    /// The tracks between which it sets a route, as the plan names them.
    pub route: Option<[usize; 2]>,
    /// That route by its place among all, where it is the whole of one.
    pub whole: Option<usize>,
    /// Why it cannot set the route.
    pub no_route: Option<NoRoute>,
    /// Every position that it sets.
    pub set: BTreeMap<ControlId, u8>,
    /// Coils that it fires.
    pub coils: Vec<MotorCoil>,
    /// Motors that it gives a command for, with the position.
    pub commands: Vec<MotorCoil>,
    /// What it should set and cannot reach.
    pub by_hand: Vec<ControlId>,
    /// What it would set in two positions at once.
    pub twice: Vec<ControlId>,
}

/// Why a button cannot set a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoRoute {
    /// None runs over both tracks.
    None,
    /// Between them there is nothing to set.
    NothingToSet,
    /// Several do; a position that one of them needs and no other.
    Several(Option<(ControlId, u8)>),
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

/// What must be set between two tracks.
#[derive(Clone, Debug, PartialEq)]
struct SetBetween {
    set: BTreeMap<ControlId, u8>,
    /// The route that begins with the one and ends with the other.
    whole: Option<usize>,
}

/// What a route sets between two of its tracks: once, or twice where it is a circle; nothing where it does not run over both.
fn between(circuit: &Circuit, way: &Way, ends: [usize; 2], index: usize) -> Vec<SetBetween> {
    let place = |track: usize| way.steps.iter().position(|s| s.0 == track);
    let (Some(one), Some(other)) = (place(ends[0]), place(ends[1])) else { return Vec::new() };
    let (first, last) = (one.min(other), one.max(other));
    if first == last {
        return Vec::new();
    }
    let set = |steps: &mut dyn Iterator<Item = &(usize, plan::TrackEnd)>| {
        let guards = steps.flat_map(|s| &circuit.segments[s.0].guard);
        guards.map(|l| (l.control, l.position)).collect::<BTreeMap<_, _>>()
    };
    let is_circle = way.ends.contains(&RouteEnd::Circle);
    let whole = (first == 0 && last + 1 == way.steps.len() && !is_circle).then_some(index);
    let mut found = vec![SetBetween { set: set(&mut way.steps[first..=last].iter()), whole }];
    if is_circle {
        let round = set(&mut way.steps[last..].iter().chain(&way.steps[..=first]));
        found.push(SetBetween { set: round, whole: None });
    }
    found
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
        let positions = button.sets.iter().filter_map(|text| self.names.position(self.plan, &text.value).ok());
        let mut set: Vec<(ControlId, u8)> =
            positions.filter_map(|p| control_of(self.plan, self.names, self.circuit, &p)).collect();
        if let Some(route) = &button.route {
            let ends = [&route.value.from, &route.value.to].map(|t| self.names.of_kind(&t.value, &[Kind::Track]));
            if let [Ok((_, from)), Ok((_, to))] = ends {
                act.route = Some([from, to]);
                match self.route([from, to], &set) {
                    Ok(found) => {
                        act.whole = found.whole;
                        set.extend(found.set);
                    }
                    Err(why) => act.no_route = Some(why),
                }
            }
        }
        self.throw(&mut act, &set);
        act
    }

    /// The route between two tracks. Where there are several, it is the one that needs what is set beside it and, of these, the
    /// one that begins and ends with the two.
    fn route(&self, ends: [usize; 2], beside: &[(ControlId, u8)]) -> Result<SetBetween, NoRoute> {
        let mut all: Vec<SetBetween> = Vec::new();
        for (index, way) in self.ways.list.iter().enumerate() {
            for found in between(self.circuit, way, ends, index) {
                match all.iter_mut().find(|known| known.set == found.set) {
                    Some(known) => known.whole = known.whole.or(found.whole),
                    None => all.push(found),
                }
            }
        }
        if all.is_empty() {
            return Err(NoRoute::None);
        }
        let told_apart = |kept: &[SetBetween]| {
            let asked = |(control, _): &&(ControlId, u8)| kept.iter().any(|s| s.set.contains_key(control));
            let asked: Vec<_> = beside.iter().filter(asked).collect();
            let fits = |s: &&SetBetween| asked.iter().all(|(c, p)| s.set.get(c) == Some(p));
            kept.iter().filter(fits).cloned().collect::<Vec<_>>()
        };
        let mut kept = all.clone();
        if kept.len() > 1 {
            kept = told_apart(&kept);
        }
        if kept.len() > 1 && kept.iter().filter(|s| s.whole.is_some()).count() == 1 {
            kept.retain(|s| s.whole.is_some());
        }
        match kept.as_slice() {
            [one] if one.set.is_empty() => Err(NoRoute::NothingToSet),
            [one] => Ok(one.clone()),
            several => {
                let several = if several.is_empty() { all.as_slice() } else { several };
                let only = |of: &SetBetween| {
                    let own = |(c, p): &(&ControlId, &u8)| several.iter().all(|s| s == of || s.set.get(c) != Some(p));
                    of.set.iter().find(own).map(|(&c, &p)| (c, p))
                };
                Err(NoRoute::Several(several.iter().find_map(only)))
            }
        }
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
