//! The wires and diodes of a panel: from the supply over buttons and matrix to the coils, to what gives commands, to lamps.
//!
//! A button has a contact for each thing it closes: one for each supply whose coils it fires, one more where it gives commands.

use crate::fired::{Fired, MotorCoil, ThrownBy, thrown_by};
use crate::matrix::{DiodeMatrix, TooManyButtons, fewest};
use crate::parts::{PanelParts, PartKind};
use crate::sneak::{FiringNetwork, Link, MINUS, PLUS, SneakFault};
use network::Overgrown;
use plan::tables::{CommonPole, DiodesInRow};
use plan::{Kind, Pole};
use std::collections::{BTreeMap, BTreeSet};

/// What a wire or a diode of a panel ends at.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PanelEnd {
    /// A terminal of a part of the panel, by its index among these: 1 and 2 are its first contact, or the ends of a lamp.
    Part(usize, u8),
    /// A terminal of a supply.
    Supply(usize, Pole),
    /// A terminal of the panel's strip on which a coil's wire lies.
    CoilStrip(MotorCoil),
    /// A terminal of the strip for a part, and for which supply's coils.
    PartStrip(usize, usize),
    /// A coil of a motor.
    Coil(MotorCoil),
    /// The common terminal of a motor.
    Common(usize),
    /// An input of what gives commands, for a part.
    Input(usize),
    /// The common terminal of these inputs.
    InputCommon,
    /// A rail of a track, 0 its left one; where its nearest feeder lies.
    Rail(usize, usize),
    /// What the plan's words say, by lamp and end.
    Said(usize, usize),
}

/// What a wire is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PanelWireKind {
    /// From the supply to the buttons, one after another.
    Feed,
    /// From a button to the strip.
    Button,
    /// From the strip to a coil, or from one terminal of the strip to the next.
    Coil,
    /// From the supply to the common terminals of the motors, one after another.
    Common,
    /// To what gives commands.
    Command,
    /// To a lamp.
    Lamp,
    /// A diode, from its anode to its cathode.
    Diode,
}

/// A wire of a panel, or a diode: its anode at the first end, its cathode (the banded end) at the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelWire {
    /// What it is for.
    pub kind: PanelWireKind,
    /// What it ends at.
    pub ends: [PanelEnd; 2],
}

/// The coils of one supply, and the matrix that fires them.
#[derive(Clone, Debug, PartialEq)]
pub struct SupplyMatrix {
    /// Index of the supply.
    pub supply: usize,
    /// Its coils.
    pub coils: Vec<MotorCoil>,
    /// The parts whose buttons fire them.
    pub buttons: Vec<usize>,
    /// For each coil the buttons that ask for it, by their place in that list.
    pub wanted: Vec<Vec<usize>>,
    /// The matrix.
    pub matrix: DiodeMatrix,
    /// What the wires as listed do otherwise than wanted, all sets of buttons asked at once; none where that outgrew its limit.
    pub faults: Option<Vec<SneakFault>>,
    /// What the plan allows would take this many diodes if a coil's current might pass several in a row.
    pub chained_diodes: usize,
}

/// A panel with its wires.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredPanel {
    /// What is on it.
    pub parts: PanelParts,
    /// On which pole of their supply the common wires of its solenoids lie.
    pub common: Pole,
    /// Whether that is the program's.
    pub common_assumed: bool,
    /// Its matrices, by supply.
    pub matrices: Vec<SupplyMatrix>,
    /// Its wires and diodes.
    pub wires: Vec<PanelWire>,
    /// Why it has no matrix although it has coils.
    pub refused: Option<TooManyButtons>,
}

/// Every panel of a plan with its wires.
pub fn wired_panels(fired: &Fired<'_>) -> Vec<WiredPanel> {
    (0..fired.plan.panel.len()).map(|panel| wired(fired, panel)).collect()
}

fn wired(fired: &Fired<'_>, panel: usize) -> WiredPanel {
    let table = &fired.plan.panel[panel];
    let common = match table.common.as_ref().map_or(CommonPole::A, |c| c.value) {
        CommonPole::A => Pole::A,
        CommonPole::B => Pole::B,
    };
    let mut made = WiredPanel {
        parts: PanelParts::new(fired, panel),
        common,
        common_assumed: table.common.is_none(),
        matrices: Vec::new(),
        wires: Vec::new(),
        refused: None,
    };
    let chained = table.diodes.as_ref().is_some_and(|d| d.value == DiodesInRow::Chained);
    let mut contacts: BTreeMap<usize, u8> = BTreeMap::new();
    for supply in 0..fired.plan.supply.len() {
        made.matrix(fired, supply, chained, &mut contacts);
    }
    made.commands(&mut contacts);
    made.lamps(fired);
    made
}

impl WiredPanel {
    /// The wires that fire the coils of a supply.
    fn matrix(&mut self, fired: &Fired<'_>, supply: usize, chained: bool, contacts: &mut BTreeMap<usize, u8>) {
        let of_supply = |coil: &MotorCoil| thrown_by(fired.plan, fired.names, coil.motor) == ThrownBy::Coil(supply);
        let mut coils: BTreeSet<MotorCoil> = BTreeSet::new();
        let mut asks: Vec<(usize, Vec<MotorCoil>)> = Vec::new();
        for (index, part) in self.parts.parts.iter().enumerate() {
            let PartKind::Button(act) = &part.kind else { continue };
            // What the plan does not say is laid out, and not wired: nobody may want it.
            if part.said.is_none() {
                continue;
            }
            let own: Vec<MotorCoil> = act.coils.iter().copied().filter(of_supply).collect();
            // A button that would fire both coils of a motor is told, and not wired.
            if !own.is_empty() && act.twice.is_empty() {
                coils.extend(own.iter().copied());
                asks.push((index, own));
            }
        }
        if asks.is_empty() {
            return;
        }
        let coils: Vec<MotorCoil> = coils.into_iter().collect();
        let buttons: Vec<usize> = asks.iter().map(|a| a.0).collect();
        let asked = |coil: &MotorCoil| (0..asks.len()).filter(|&b| asks[b].1.contains(coil)).collect();
        let wanted: Vec<Vec<usize>> = coils.iter().map(asked).collect();
        let matrix = match fewest(&wanted, buttons.len(), chained) {
            Ok(matrix) => matrix,
            Err(why) => {
                self.refused = Some(why);
                return;
            }
        };
        let chained_diodes = fewest(&wanted, buttons.len(), true).map_or(0, |m| m.diodes.len());
        let mut wires = Vec::new();
        let mut add = |kind, one: PanelEnd, other: PanelEnd| wires.push(PanelWire { kind, ends: [one, other] });
        let hand = self.common.other();
        let mut before = PanelEnd::Supply(supply, hand);
        let mut terminals = BTreeMap::new();
        for (place, &button) in buttons.iter().enumerate() {
            let contact = contacts.entry(button).or_default();
            let [near, far] = [*contact * 2 + 1, *contact * 2 + 2].map(|t| PanelEnd::Part(button, t));
            *contact += 1;
            add(PanelWireKind::Feed, before, near.clone());
            before = near;
            terminals.insert(place, far);
        }
        // Each node has a terminal of the strip: that of its first coil, or that of its button.
        let node = |n: usize| match matrix.nodes[n].coils.first() {
            Some(&coil) => PanelEnd::CoilStrip(coils[coil]),
            None => PanelEnd::PartStrip(buttons[matrix.nodes[n].buttons[0]], supply),
        };
        for (n, wired) in matrix.nodes.iter().enumerate() {
            for button in &wired.buttons {
                add(PanelWireKind::Button, terminals[button].clone(), node(n));
            }
            for (place, &coil) in wired.coils.iter().enumerate() {
                let own = PanelEnd::CoilStrip(coils[coil]);
                if place > 0 {
                    add(PanelWireKind::Coil, PanelEnd::CoilStrip(coils[wired.coils[place - 1]]), own.clone());
                }
                add(PanelWireKind::Coil, own, PanelEnd::Coil(coils[coil]));
            }
        }
        for &(from, to) in &matrix.diodes {
            // Where the common wires lie on the positive pole, current comes from the coil.
            let [anode, cathode] = if self.common == Pole::A { [to, from] } else { [from, to] };
            add(PanelWireKind::Diode, node(anode), node(cathode));
        }
        let motors: BTreeSet<usize> = coils.iter().map(|c| c.motor).collect();
        let mut before = PanelEnd::Supply(supply, self.common);
        for motor in motors {
            let own = PanelEnd::Common(motor);
            add(PanelWireKind::Common, before, own.clone());
            before = own;
        }
        let faults = network_of(&wires, supply, &buttons, &coils).faults(&wanted).map_err(|_: Overgrown| ()).ok();
        self.wires.extend(wires);
        self.matrices.push(SupplyMatrix { supply, coils, buttons, wanted, matrix, faults, chained_diodes });
    }

    /// The wires to what gives commands.
    fn commands(&mut self, contacts: &mut BTreeMap<usize, u8>) {
        let mut before = PanelEnd::InputCommon;
        for (index, part) in self.parts.parts.iter().enumerate() {
            let PartKind::Button(act) = &part.kind else { continue };
            if act.commands.is_empty() || !act.twice.is_empty() || part.said.is_none() {
                continue;
            }
            let contact = contacts.entry(index).or_default();
            let [near, far] = [*contact * 2 + 1, *contact * 2 + 2].map(|t| PanelEnd::Part(index, t));
            *contact += 1;
            self.wires.push(PanelWire { kind: PanelWireKind::Command, ends: [before, near.clone()] });
            before = near;
            self.wires.push(PanelWire { kind: PanelWireKind::Command, ends: [far, PanelEnd::Input(index)] });
        }
    }

    /// The wires to lamps: to the rails of the track that one shows, or to what the plan says.
    fn lamps(&mut self, fired: &Fired<'_>) {
        for (index, part) in self.parts.parts.iter().enumerate() {
            let PartKind::Lamp(lamp) = part.kind else { continue };
            let table = &fired.plan.panel[self.parts.panel].lamp.items[lamp].value;
            let ends = match (table.wired.0.len(), fired.names.get(&table.shows.value)) {
                (2, _) => [PanelEnd::Said(lamp, 0), PanelEnd::Said(lamp, 1)],
                (0, Some((Kind::Track, track))) => [PanelEnd::Rail(track, 0), PanelEnd::Rail(track, 1)],
                _ => continue,
            };
            for (terminal, end) in (1u8..).zip(ends) {
                let ends = [PanelEnd::Part(index, terminal), end];
                self.wires.push(PanelWire { kind: PanelWireKind::Lamp, ends });
            }
        }
    }

    /// How many contacts a part needs, of those that close while its button is pressed.
    pub fn contacts(&self, part: usize) -> usize {
        let ends = self.wires.iter().flat_map(|w| &w.ends);
        let own = ends.filter_map(|end| if let PanelEnd::Part(p, t) = end { (*p == part).then_some(*t) } else { None });
        own.max().map_or(1, |t| usize::from(t).div_ceil(2))
    }

    /// The most diodes that the current of a coil passes.
    pub fn in_row(&self, matrix: &SupplyMatrix, coil: MotorCoil) -> usize {
        let place = matrix.coils.iter().position(|c| *c == coil);
        place.and_then(|p| matrix.matrix.in_row().get(p).copied()).unwrap_or(0)
    }
}

/// The network of some wires and diodes, read off their ends alone: what joins the poles of a supply over buttons and coils.
pub fn network_of(wires: &[PanelWire], supply: usize, buttons: &[usize], coils: &[MotorCoil]) -> FiringNetwork {
    let mut network = FiringNetwork::new(buttons.len(), coils.len());
    let mut points: BTreeMap<PanelEnd, usize> = BTreeMap::new();
    points.insert(PanelEnd::Supply(supply, Pole::A), PLUS);
    points.insert(PanelEnd::Supply(supply, Pole::B), MINUS);
    let mut point =
        |network: &mut FiringNetwork, end: &PanelEnd| *points.entry(end.clone()).or_insert_with(|| network.point());
    for wire in wires {
        let [one, other] = [point(&mut network, &wire.ends[0]), point(&mut network, &wire.ends[1])];
        let link = if wire.kind == PanelWireKind::Diode { Link::Diode } else { Link::Wire };
        network.links.push((one, other, link));
    }
    for (number, &button) in buttons.iter().enumerate() {
        // Contacts of this button that these wires end at.
        let ends = wires.iter().flat_map(|w| &w.ends);
        let terminals: BTreeSet<u8> = ends
            .filter_map(|e| if let PanelEnd::Part(p, t) = e { (*p == button).then_some((*t - 1) / 2) } else { None })
            .collect();
        for contact in terminals {
            let [one, other] = [1, 2].map(|t| point(&mut network, &PanelEnd::Part(button, contact * 2 + t)));
            network.links.push((one, other, Link::Button(number)));
        }
    }
    for (number, &coil) in coils.iter().enumerate() {
        let [one, other] = [PanelEnd::Coil(coil), PanelEnd::Common(coil.motor)].map(|end| point(&mut network, &end));
        network.links.push((one, other, Link::Coil(number)));
    }
    network
}
