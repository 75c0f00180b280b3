//! Where things are, in words: each node of the circuit by one name that no other node has.

use crate::choices::Units;
use crate::things::hundredths;
use circuit::{AssumedTap, Circuit, NodeId, Spot};
use plan::tables::{Plan, RailSide};
use plan::{Kind, Pole};
use std::collections::BTreeSet;

/// Names of nodes.
pub struct PlaceNames<'c> {
    circuit: &'c Circuit,
    plan: &'c Plan,
    units: Units,
    /// Whether lengths are for hands, to the millimetre or a sixteenth of an inch, and not to tell places apart.
    for_hands: bool,
    /// Places of rails that have two sides: track, side, hundredths of a millimetre.
    parted: BTreeSet<(usize, RailSide, i64)>,
}

impl<'c> PlaceNames<'c> {
    /// The names of a circuit's nodes.
    pub fn new(circuit: &'c Circuit, plan: &'c Plan, units: Units) -> PlaceNames<'c> {
        let parted = circuit.nodes.iter().filter_map(|node| match &node.spot {
            Spot::Rail { track, side, x, behind: true } => Some((*track, *side, hundredths(*x))),
            _ => None,
        });
        PlaceNames { circuit, plan, units, for_hands: false, parted: parted.collect() }
    }

    /// The same names with lengths as one measures and cuts them: `quay bus.A @ 9 ft 8 5/16 in`.
    pub fn for_hands(circuit: &'c Circuit, plan: &'c Plan, units: Units) -> PlaceNames<'c> {
        PlaceNames { for_hands: true, ..PlaceNames::new(circuit, plan, units) }
    }

    /// A node in words. What a wire taps a bus with is named by the place on the bus.
    pub fn words(&self, node: NodeId) -> String {
        match &self.circuit.nodes[node].spot {
            Spot::Loose => self.circuit.nodes[node].name.clone(),
            Spot::Rail { track, side, x, behind } => {
                let here = self.rail(*track, *side, *x);
                match (behind, self.parted.contains(&(*track, *side, hundredths(*x)))) {
                    (true, _) => format!("{here}, far side"),
                    (false, true) => format!("{here}, near side"),
                    (false, false) => here,
                }
            }
            Spot::Work { kind, index, part } => format!("{} {part}", self.name(*kind, *index)),
            Spot::Terminal { kind, index, contact, terminal } => {
                format!("{}.{}.{terminal}", self.name(*kind, *index), contact + 1)
            }
            Spot::Bus { bus, pole, x } => self.bus(*bus, *pole, *x),
            Spot::Tap { bus, pole, x } => {
                let place = self.bus(*bus, *pole, *x);
                match self.circuit.assumed_taps.get(&node) {
                    Some(AssumedTap::NearestPoint) => format!("{place} (assumed: nearest point)"),
                    Some(AssumedTap::FarEnd) => {
                        format!("{place} (far end assumed for the sums: join it at the nearest point)")
                    }
                    None => place,
                }
            }
            Spot::Supply { supply, pole } => format!("{}.{}", self.name(Kind::Supply, *supply), pole.word()),
            Spot::Inside { supply } => format!("{} inside", self.name(Kind::Supply, *supply)),
            Spot::Reverser { reverser, pole } => format!("{}.{}", self.name(Kind::Reverser, *reverser), pole.word()),
            Spot::Detector { detector, output } => {
                format!("{}.{}", self.name(Kind::Detector, *detector), if *output { "out" } else { "in" })
            }
            Spot::Middle { supply } => format!("{}.middle", self.name(Kind::Supply, *supply)),
            Spot::Driver { driver, terminal } => format!("{} {}", self.name(Kind::Driver, *driver), terminal.words()),
            Spot::Motor { motor, terminal } => {
                let words = terminal.words(circuit::drives::positions(self.plan, *motor));
                format!("{} {words}", self.name(Kind::Motor, *motor))
            }
            Spot::Coil { relay, terminal } => format!("{} {}", self.name(Kind::Relay, *relay), terminal.words()),
        }
    }

    /// The place on a bus where a tap is taken to be that the plan does not place.
    pub fn assumed_tap(&self, node: NodeId) -> Option<String> {
        let Spot::Tap { bus, pole, x } = &self.circuit.nodes[node].spot else { return None };
        self.circuit.assumed_taps.contains_key(&node).then(|| self.bus(*bus, *pole, *x))
    }

    /// A place on a rail: `dock 1.left @ 400 mm`.
    pub fn rail(&self, track: usize, side: RailSide, x: f64) -> String {
        format!("{}.{} @ {}", self.plan.track[track].name.value, side.word(), self.length(x))
    }

    /// A place on a bus: `main bus.A @ 2100 mm`.
    pub fn bus(&self, bus: usize, pole: Pole, x: f64) -> String {
        format!("{}.{} @ {}", self.plan.bus[bus].name.value, pole.word(), self.length(x))
    }

    /// A length with its unit: to what can be distinguished, or as one measures it.
    pub fn length(&self, metres: f64) -> String {
        if self.for_hands {
            return measured(self.units, metres);
        }
        format!("{} {}", exact(self.units, metres), self.units.short())
    }

    /// The name of a thing that wires end at.
    pub fn name(&self, kind: Kind, index: usize) -> &'c str {
        let plan = self.plan;
        let name = match kind {
            Kind::Train => &plan.train[index].name,
            Kind::Supply => &plan.supply[index].name,
            Kind::Bus => &plan.bus[index].name,
            Kind::Track => &plan.track[index].name,
            Kind::Turnout => &plan.turnout[index].name,
            Kind::Crossing => &plan.crossing[index].name,
            Kind::Slip => &plan.slip[index].name,
            Kind::ThreeWay => &plan.three_way[index].name,
            Kind::Turntable => &plan.turntable[index].name,
            Kind::Driver => &plan.driver[index].name,
            Kind::Motor => &plan.motor[index].name,
            Kind::Relay => &plan.relay[index].name,
            Kind::Toggle => &plan.toggle[index].name,
            Kind::Reverser => &plan.reverser[index].name,
            Kind::Detector => &plan.detector[index].name,
            Kind::Panel => &plan.panel[index].name,
            Kind::Board => &plan.board[index].name,
        };
        &name.value
    }
}

/// A length as one measures it, with its unit: whole millimetres, or feet and inches to the sixteenth.
pub(crate) fn measured(units: Units, metres: f64) -> String {
    match units {
        Units::Metric => format!("{:.0} mm", metres * 1e3),
        Units::Imperial => units.metres(metres),
    }
}

/// A length as exactly as places are distinguished: hundredths of a millimetre, thousandths of an inch.
pub(crate) fn exact(units: Units, metres: f64) -> String {
    let decimals = if units == Units::Metric { 2 } else { 3 };
    let text = format!("{:.decimals$}", units.in_short(metres));
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
