//! Motors, relays, toggles, drivers, reversers and detectors, each with its wires; and wires that belong to none of these.

use super::draft::{Draft, WireSide};
use super::nets::{DrawnContact, Nets};
use super::sheet::{NamedEnd, Pin, SchematicOwner, SchematicSheet, SymbolKind};
use super::tree::ContactTree;
use circuit::{CoilTerminal, DriverTerminal, EdgeId, MotorTerminal, NodeId, OutputWire, Part, Spot, drives};
use plan::tables::DriverKind;
use plan::{Kind, Pole, driven};
use std::collections::BTreeSet;

/// A symbol's pins at either side, each with its word.
type Pins = [Vec<(NodeId, String)>; 2];

/// A device in parts: the first no higher than `first` where it can be, the others no higher than `whole`; none where nothing is wired
/// to it.
pub(crate) fn drawn(
    nets: &Nets<'_>,
    trees: &[ContactTree],
    (kind, index): (Kind, usize),
    ((em, width), [first, whole]): ((f64, f64), [f64; 2]),
) -> Vec<SchematicSheet> {
    let of = SchematicOwner::Device(kind, index);
    // What hands on to other contacts is drawn with them.
    let of_tree = |contact: &DrawnContact| trees.iter().position(|tree| tree.holds(nets, contact.id));
    let own = |contact: &&DrawnContact| (contact.id.0, contact.id.1) == (kind, index);
    let mut title = title(nets, (kind, index));
    let mut handed_on = false;
    for contact in nets.contacts.iter().filter(own) {
        if let Some(tree) = of_tree(contact) {
            let name = nets.places.name(kind, index);
            title = format!("{title}; {name}.{}: contact tree {}", contact.id.2 + 1, tree + 1);
            handed_on = true;
        }
    }
    let mut draft = Draft::new(nets, of, &title, (em, width));
    let empty = draft.y;
    match kind {
        Kind::Motor => draft.motor(index),
        Kind::Relay => draft.coil(index),
        Kind::Driver => draft.driver(index),
        Kind::Reverser => draft.reverser(index),
        Kind::Detector => draft.detector(index),
        _ => {}
    }
    let mut done: Vec<SchematicSheet> = Vec::new();
    for contact in nets.contacts.iter().filter(own).filter(|contact| of_tree(contact).is_none()) {
        let room = if done.is_empty() { first } else { whole };
        if draft.y > empty && draft.y + draft.contact_height(contact) > room {
            let next = Draft::new(nets, of, &format!("{title}, continued"), (em, width));
            done.push(std::mem::replace(&mut draft, next).done());
        }
        let order: Vec<usize> = (0..contact.throws.len()).collect();
        draft.contact(contact, &order, &[]);
    }
    if draft.y > empty || handed_on {
        done.push(draft.done());
    }
    done
}

fn title(nets: &Nets<'_>, (kind, index): (Kind, usize)) -> String {
    let (plan, names) = (nets.plan, nets.job.facts.names);
    let name = nets.places.name(kind, index);
    match kind {
        Kind::Motor => {
            let moves: Vec<&str> = plan.motor[index].moves.0.iter().map(|t| t.value.as_str()).collect();
            let driver = driven::of_motor(plan, names, index)
                .map_or_else(String::new, |o| format!(", driver {}", nets.places.name(Kind::Driver, o.driver)));
            format!("{name}, throws {}{driver}", moves.join(" and "))
        }
        Kind::Relay => format!("{name}, follows {}", plan.relay[index].follows.value),
        Kind::Driver => format!("{name}, {}", plan.driver[index].kind.value.word()),
        Kind::Toggle => format!("{name}, toggle"),
        Kind::Reverser => format!("{name}, reverser"),
        Kind::Detector => format!("{name}, detector"),
        _ => name.to_owned(),
    }
}

/// Wires that are on no other schematic.
pub(crate) fn others(
    nets: &Nets<'_>,
    drawn: &BTreeSet<EdgeId>,
    (em, width): (f64, f64),
    [first, whole]: [f64; 2],
) -> Vec<SchematicSheet> {
    let rest: Vec<usize> =
        (0..nets.wires.len()).filter(|&w| !nets.wires[w].edges.iter().all(|edge| drawn.contains(edge))).collect();
    let title = "Wires that run past all of these";
    let mut draft = Draft::new(nets, SchematicOwner::Others, title, (em, width));
    let mut done: Vec<SchematicSheet> = Vec::new();
    for &wire in &rest {
        let drop = super::draft::Drop { wire, end: 0, word: String::new() };
        draft.make_room(WireSide::Right, [&drop]);
        let from = super::draft::wrapped(&nets.wires[wire].words[0], (em, false), draft.x[1]);
        let rows = from.len().max(draft.far_rows(WireSide::Right, &drop)) as f64 * draft.pitch();
        let room = if done.is_empty() { first } else { whole };
        if draft.y > 3.0 * em && draft.y + rows > room {
            let next = Draft::new(nets, SchematicOwner::Others, title, (em, width));
            done.push(std::mem::replace(&mut draft, next).done());
        }
        let y = draft.y + draft.pitch();
        let x = draft.x[1] + 0.4 * em;
        draft.sheet.ends.push(NamedEnd { node: nets.wires[wire].nodes[0], at: [x, y] });
        for (row, line) in from.iter().enumerate() {
            let wide = super::draft::measured(line, em, false);
            draft.words([draft.x[1] - wide, y + 0.36 * em + row as f64 * draft.pitch()], line, false, None);
        }
        draft.wire_row(WireSide::Right, [x, y], &drop);
        draft.y += rows;
    }
    if !rest.is_empty() {
        done.push(draft.done());
    }
    done
}

impl Draft<'_, '_> {
    /// A symbol with pins at both sides, in a row or, where it has more, below each other; what has no pin at all is not drawn.
    fn element(&mut self, kind: SymbolKind, pins: &Pins, edges: Vec<EdgeId>) {
        if pins.iter().all(Vec::is_empty) {
            return;
        }
        let pitch = self.pitch();
        self.y += 0.35 * pitch;
        let top = self.y + pitch;
        let mut bottom = top;
        let mut placed = Vec::new();
        for (side, pins) in [WireSide::Left, WireSide::Right].into_iter().zip(pins) {
            let drops: Vec<_> = pins.iter().flat_map(|(node, word)| self.drops(*node, word, &[])).collect();
            self.make_room(side, &drops);
        }
        for (side, pins) in [WireSide::Left, WireSide::Right].into_iter().zip(pins) {
            let mut y = top;
            for (node, word) in pins {
                let at = [if side == WireSide::Left { self.x[1] } else { self.x[2] }, y];
                placed.push(Pin { node: *node, at });
                let drops = self.drops(*node, word, &[]);
                let rows = self.pin(side, *node, at, &drops).max(1);
                bottom = f64::max(bottom, y + (rows - 1) as f64 * pitch);
                y += rows as f64 * pitch;
            }
        }
        self.symbol(kind, placed, edges);
        self.y = bottom;
    }

    fn motor(&mut self, motor: usize) {
        let nets = self.nets;
        let positions = drives::positions(nets.plan, motor);
        let mut pins: Pins = [Vec::new(), Vec::new()];
        for node in nets.nodes(|spot| matches!(spot, Spot::Motor { motor: m, .. } if *m == motor)) {
            let Spot::Motor { terminal, .. } = nets.circuit.nodes[node].spot else { continue };
            let word = match terminal {
                MotorTerminal::One => "1".to_owned(),
                MotorTerminal::Two => "2".to_owned(),
                other => other.words(positions),
            };
            pins[usize::from(!pins[0].is_empty())].push((node, word));
        }
        let stall = pins[1].len() == 1;
        self.element(if stall { SymbolKind::Motor } else { SymbolKind::Device }, &pins, Vec::new());
    }

    fn coil(&mut self, relay: usize) {
        let nets = self.nets;
        let mut pins: Pins = [Vec::new(), Vec::new()];
        for node in nets.nodes(|spot| matches!(spot, Spot::Coil { relay: r, .. } if *r == relay)) {
            let Spot::Coil { terminal, .. } = nets.circuit.nodes[node].spot else { continue };
            let side = usize::from(terminal == CoilTerminal::Two);
            pins[side].push((node, ["1", "2"][side].to_owned()));
        }
        // Across the output that throws a motor it has a diode; over a contact it has none.
        let diode = nets.plan.relay[relay].coil.0.is_empty();
        self.element(if diode { SymbolKind::CoilBehindDiode } else { SymbolKind::Coil }, &pins, Vec::new());
    }

    fn driver(&mut self, driver: usize) {
        let nets = self.nets;
        let table = &nets.plan.driver[driver];
        let terminal = |node: NodeId| match nets.circuit.nodes[node].spot {
            Spot::Driver { terminal, .. } => Some(terminal),
            _ => None,
        };
        let all = nets.nodes(|spot| matches!(spot, Spot::Driver { driver: d, .. } if *d == driver));
        let find = |wanted: DriverTerminal| all.iter().copied().find(|&node| terminal(node) == Some(wanted));
        if matches!(table.kind.value, DriverKind::Switch | DriverKind::SplitSwitch) {
            let poles = if table.kind.value == DriverKind::Switch { 2 } else { 1 };
            for output in 0..driven::outputs(nets.plan, driver) {
                for pole in 0..poles {
                    let wire = if pole == 0 { OutputWire::Plus } else { OutputWire::Minus };
                    let Some(common) = find(DriverTerminal::Output { output, wire }) else { continue };
                    let sides: Vec<(NodeId, &str)> = [0, 1]
                        .into_iter()
                        .filter_map(|side| {
                            let node = find(DriverTerminal::Side { output, pole, side })?;
                            Some((node, ["side 1", "side 2"][usize::from(side)]))
                        })
                        .collect();
                    let order: Vec<usize> = (0..sides.len()).collect();
                    let name = format!("{}, output {}, pole {}", table.name.value, output + 1, pole + 1);
                    self.changeover(&name, common, &sides, (&order, 0), Vec::new(), &[]);
                }
            }
            return;
        }
        let mut pins: Pins = [Vec::new(), Vec::new()];
        for pole in Pole::ALL {
            for wanted in [DriverTerminal::Power(pole), DriverTerminal::Commands(pole)] {
                pins[usize::from(pole == Pole::B)].extend(find(wanted).map(|node| (node, wanted.words())));
            }
        }
        self.element(SymbolKind::Device, &pins, Vec::new());
    }

    fn reverser(&mut self, reverser: usize) {
        let nets = self.nets;
        let edges = nets.edges(|part| matches!(part, Part::Reverser { reverser: r, .. } if *r == reverser));
        let mut pins: Pins = [Vec::new(), Vec::new()];
        for node in nets.nodes(|spot| matches!(spot, Spot::Reverser { reverser: r, .. } if *r == reverser)) {
            let Spot::Reverser { pole, .. } = nets.circuit.nodes[node].spot else { continue };
            pins[0].push((node, format!("out {}", pole.word())));
        }
        let taps: BTreeSet<NodeId> = edges.iter().map(|&edge| nets.circuit.edges[edge].b).collect();
        for node in taps {
            let Spot::Tap { pole, .. } = nets.circuit.nodes[node].spot else { continue };
            pins[1].push((node, format!("in {}", pole.word())));
        }
        self.element(SymbolKind::Device, &pins, edges);
    }

    fn detector(&mut self, detector: usize) {
        let nets = self.nets;
        let edges = nets.edges(|part| matches!(part, Part::Detector { detector: d } if *d == detector));
        let mut pins: Pins = [Vec::new(), Vec::new()];
        for node in nets.nodes(|spot| matches!(spot, Spot::Detector { detector: d, .. } if *d == detector)) {
            let Spot::Detector { output, .. } = nets.circuit.nodes[node].spot else { continue };
            pins[usize::from(output)].push((node, if output { "out" } else { "in" }.to_owned()));
        }
        let keeps = edges.iter().any(|edge| nets.circuit.kept_volts.contains_key(edge));
        self.element(if keeps { SymbolKind::Diode } else { SymbolKind::Resistor }, &pins, edges);
    }
}
