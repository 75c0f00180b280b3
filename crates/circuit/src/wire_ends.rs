//! Feeders and contact wires: what they end at, how long they run, what that resists.

use crate::builder::{Builder, WireValues};
use crate::bus::Buses;
use crate::copper::wire_henries_per_metre;
use crate::reach::Location;
use crate::wire::{RunSource, TapPlace, WireEnd, WireMade, WireRun, WireStart};
use crate::{EdgeId, EdgeKind, NodeId, Origin, Part};
use handbook::quantity::{Metres, Quantity};
use handbook::{Spread, limits};
use plan::{At, Kind, Pole, Terminal, driven};
use std::ops::Range;

impl<'p> Builder<'p> {
    /// The length of feeders that say none of their own.
    pub(crate) fn feeder_length(&self) -> Option<&'p At<Metres>> {
        self.plan.layout.as_ref()?.value.feeder_length.as_ref()
    }

    /// The motor whose place is that of a motor or of a relay that follows one.
    pub(crate) fn motor_of(&self, kind: Kind, index: usize) -> Option<usize> {
        match driven::leader(self.plan, self.names, (kind, index)) {
            Some((Kind::Motor, motor)) => Some(motor),
            _ => None,
        }
    }

    /// Where on the table a motor is, or a relay that follows one: beside the blades of what it moves.
    pub(crate) fn location_of(&self, kind: Kind, index: usize) -> Option<Location> {
        let moves = &self.plan.motor[self.motor_of(kind, index)?].moves;
        self.reach.motor(moves.0.iter().filter_map(|text| self.names.moved(&text.value).ok()))
    }

    /// How far it is along the track from the start of a wire to a place.
    pub(crate) fn way(&self, start: &WireStart, to: Option<&Location>) -> Option<f64> {
        self.reach.distance(start.here.as_ref()?, to?)
    }

    /// A wire's end at a node that is somewhere.
    pub(crate) fn end_at(&self, node: NodeId, start: &WireStart, there: Option<Location>) -> WireEnd {
        WireEnd { node, way: self.way(start, there.as_ref()), there }
    }

    /// How far a wire goes that is led along a bus: from its start to where that passes nearest, along it, and on to its end.
    pub(crate) fn way_along(&self, run: &At<String>, start: &WireStart, end: &WireEnd) -> Option<f64> {
        let (_, bus) = self.names.of_kind(&run.value, &[Kind::Bus]).ok()?;
        let nearest = |place: Option<&Location>| self.reach.nearest(bus, place?);
        let (here, there) = (nearest(start.here.as_ref())?, nearest(end.there.as_ref())?);
        Some(here.distance + (here.place - there.place).abs() + there.distance)
    }

    /// Where a wire ends; a tap is asked for where it ends at a bus.
    pub(crate) fn wire_end(
        &mut self,
        target: &Terminal,
        text: &At<String>,
        start: &WireStart,
        buses: &mut Buses,
    ) -> Option<WireEnd> {
        let (node, there) = match target {
            Terminal::Rail(rail, at) => {
                let there = self.reach.on_track(rail.track, at.si());
                (self.circuit.at(rail.track, rail.side, at.si())?, Some(there))
            }
            Terminal::Frog(kind, index, word) => {
                (*self.frog_node.get(&(*kind, *index, word.as_str()))?, self.reach.frog(*kind, *index))
            }
            Terminal::Bus(bus, pole, at) => return Some(self.bus_end((*bus, *pole), *at, text, start, buses)),
            Terminal::Supply(supply, pole) => {
                (buses.supply_terminal(self, *supply, *pole), self.reach.supply(self.names, *supply))
            }
            Terminal::Reverser(reverser, pole) => {
                let (bus, at) = self.names.bus_place(&self.plan.reverser[*reverser].from.value).ok()?;
                let at = at.unwrap_or(self.plan.bus[bus].length.value);
                (*self.reverser_outputs.get(&(*reverser, *pole))?, self.reach.on_bus(bus, at.si()))
            }
            Terminal::Detector(detector) => {
                let (bus, _, at) = crate::detectors::fed_from(self.plan, self.names, *detector)?;
                let at = at.unwrap_or(self.plan.bus[bus].length.value.si());
                (*self.detector_outputs.get(detector)?, self.reach.on_bus(bus, at))
            }
            Terminal::Contact(contact) => (self.contact_node(contact)?, self.location_of(contact.owner, contact.index)),
        };
        Some(self.end_at(node, start, there))
    }

    /// The same of a bus, whose tap is asked for.
    pub(crate) fn bus_end(
        &mut self,
        (bus, pole): (usize, Pole),
        at: Option<Metres>,
        text: &At<String>,
        start: &WireStart,
        buses: &mut Buses,
    ) -> WireEnd {
        let beside = start.beside.iter().find(|p| p.0 == bus).map(|p| p.1);
        let nearest = || start.here.as_ref().and_then(|here| self.reach.nearest(bus, here));
        let (place, way) = match (at, beside) {
            (Some(at), _) => (TapPlace::Said(at.si()), self.way(start, self.reach.on_bus(bus, at.si()).as_ref())),
            (None, Some(beside)) => (beside, Some(0.0)),
            (None, None) => match nearest() {
                Some(nearest) => (TapPlace::Nearest(nearest.place), Some(nearest.distance)),
                // Nothing says where the bus runs; the builder leads it past what it feeds.
                None => (TapPlace::Unknown, start.here.as_ref().map(|_| 0.0)),
            },
        };
        let there = match place {
            TapPlace::Said(x) | TapPlace::Beside(x) | TapPlace::Nearest(x) => self.reach.on_bus(bus, x),
            TapPlace::Unknown => None,
        };
        WireEnd { node: buses.tap(self, bus, pole, place, text), way, there }
    }

    /// Lays a wire between two nodes.
    pub(crate) fn lay(
        &mut self,
        ends: [NodeId; 2],
        kind: EdgeKind,
        made: WireMade<'p>,
        part: Part,
        span: &Range<usize>,
    ) -> EdgeId {
        let down = limits::FEEDER_LENGTH.value.si();
        let (metres, source) = match (made.length, made.way) {
            (Some(said), _) => (said.value.si(), RunSource::Plan(said.span.clone())),
            // To the next centimetre, as one measures it; the last bit of a sum makes none longer.
            (None, Some(way)) => (((down + way) * 100.0 - 1e-6).ceil() / 100.0, RunSource::Geometry),
            (None, None) => (made.usual.value.si(), RunSource::Default),
        };
        let values = self.wire_values(&made, metres);
        let plug = made.plug.or_else(|| self.plug_between(ends));
        let (ohms, henries, input) = match plug {
            Some(plug) => self.with_plug(values, plug),
            None => values,
        };
        let id = self.edge(ends, kind, ohms, Vec::new(), input, part, span);
        self.circuit.edges[id].henries = henries;
        self.circuit.runs.insert(id, WireRun { metres, source, way: made.way });
        if let Some(plug) = plug {
            self.plugged(id, plug);
        }
        id
    }

    /// The resistance and inductance of a wire, and where they come from.
    fn wire_values(&mut self, made: &WireMade<'p>, metres: f64) -> WireValues {
        let layout = self.plan.layout.as_ref().map(|l| &l.value);
        let said = made.wire.or(layout.and_then(|l| l.feeder_wire.as_ref()));
        let size = said.map_or(limits::FEEDER_WIRE.value, |w| w.value.as_str());
        if let Some(&known) = self.wires.get(&(made.what, size, metres.to_bits())) {
            return known;
        }
        let Some(wire) = handbook::wires::wire(size).ok().or_else(|| handbook::wires::wire("0.5 mm²").ok()) else {
            let (ohms, input) = self.contact_ohms(EdgeKind::SolderedJoint); // the handbook always has 0.5 mm²
            return (ohms, Spread::exactly(0.0), input);
        };
        let origin = match (said, made.length) {
            (Some(_), Some(length)) => Origin::Plan(length.span.clone()),
            _ if made.length.is_some() || made.way.is_some() => Origin::Default(limits::FEEDER_LENGTH.source),
            _ => Origin::Default(made.usual.source),
        };
        let shown = self.plan.units().metres(metres);
        let ohms = self.copper_ohms(&wire).times(metres);
        let henries = wire_henries_per_metre(&wire).times(metres);
        let usual = limits::usual_feeder_wire(self.plan.units());
        let name = format!("{}, {shown} of {}", made.what, said.map_or(usual, |_| wire.label.as_str()));
        let input = self.inputs.add(name, crate::inputs::spread_words(ohms), origin);
        self.wires.insert((made.what, size, metres.to_bits()), (ohms, henries, input));
        (ohms, henries, input)
    }
}
