//! Every wire as a builder counts it: once, with both its ends.
//!
//! The wires of the circuit, drivers and motors included. A motor that no driver throws has none: nothing on paper may be
//! soldered that the plan does not say. What a wire is cut longer than it runs is [`WIRE_SLACK`]; where the plan does not say how long it runs, it is measured
//! on the layout.

use crate::Job;
use crate::driver_wires;
use crate::items::{Item, ItemEnd, ItemKind, items, point};
use crate::number::Number;
use crate::places::PlaceNames;
use crate::poles::{Conductor, ConductorColours, TerminalPoles};
use crate::things::hundredths;
pub use crate::wire_assumed::WireAssumed;
use crate::wire_sizes;
use analysis::{Analysis, feeds};
use circuit::{Circuit, Edge, EdgeId, EdgeKind, NodeId, Part, PlugContact, RunSource, Spot};
use handbook::limits::WIRE_SLACK;
use handbook::quantity::Quantity;

use plan::{Kind, Pole};
use std::collections::BTreeSet;

/// A wire.
#[derive(Clone, Debug, PartialEq)]
pub struct ScheduledWire {
    /// Its number.
    pub number: Number,
    /// What it is, in a word: `feeder`, `contact wire`, `bond`, `bus`, `lead`, `common`, `reverser input`,
    /// `driver wire`, `command wire`, `switch link`, `motor wire`, `coil wire`.
    pub what: &'static str,
    /// The edges of the circuit that it is, with the tap at its end.
    pub edges: Vec<EdgeId>,
    /// What it is for, in the builder's words.
    pub function: String,
    /// Where it starts and where it goes.
    pub ends: [WireEnd; 2],
    /// The word of its colour; none of a bond inside trackwork.
    pub colour: Option<&'static str>,
    /// Its size, as the handbook writes it; none of a bond inside trackwork.
    pub size: Option<String>,
    /// How long it runs, in metres; none where that must be measured.
    pub run: Option<f64>,
    /// What of it the plan does not say.
    pub assumed: WireAssumed,
    /// The ohms of the contact of a plug that it passes, or starts with where it is a branch.
    pub plug: Option<f64>,
    /// What it is bundled with: the bus, the motor or the supply it belongs to.
    pub bundle: String,
    /// The names of the supplies or breakers whose districts it is in.
    pub districts: Vec<String>,
}

/// An end of a wire.
#[derive(Clone, Debug, PartialEq)]
pub struct WireEnd {
    /// What it ends at, identified by the things of the plan.
    pub point: ItemEnd,
    /// Device and terminal in words: `M1.2.through`, `dock 1.left @ 400 mm`.
    pub words: String,
    /// Its node in the circuit, where that has one.
    pub node: Option<NodeId>,
}

impl ScheduledWire {
    /// How long to cut it, in metres, to the next centimetre; one that passes a plug has two ends more.
    pub fn cut(&self) -> Option<f64> {
        let more = if self.plug.is_some() && self.what != "bus" { WIRE_SLACK.value.1.si() } else { 0.0 };
        self.run.map(|run| cut_length(run) + more)
    }

    /// What stands on the label at one of its ends: where the other one is.
    pub fn label(&self, end: usize) -> String {
        format!("{} {}", ["to", "from"][end], self.ends[1 - end].words)
    }
}

/// How long a wire is cut that runs so far, in metres: with slack, to the next centimetre.
pub fn cut_length(run: f64) -> f64 {
    let (share, ends) = WIRE_SLACK.value;
    // So that a length that is a whole centimetre is not made one longer by the last bit.
    ((run * (1.0 + share.si()) + ends.si()) * 100.0 - 1e-6).ceil() / 100.0
}

/// Every wire of a job, in the order of their classes and numbers.
pub fn wires(job: &Job<'_>) -> Vec<ScheduledWire> {
    wires_named(job, PlaceNames::new(&job.facts.circuit, job.facts.plan, job.choices.units))
}

/// The same with the places at their ends named so.
pub fn wires_named<'j>(job: &'j Job<'_>, places: PlaceNames<'j>) -> Vec<ScheduledWire> {
    let maker = Maker {
        facts: &job.facts,
        places,
        poles: TerminalPoles::from_circuit(&job.facts.circuit),
        colours: ConductorColours::new(&job.facts, job.choices.colours),
    };
    let items = items(&job.facts.circuit, Some(job.facts.plan));
    let taps = taps(&job.facts.circuit);
    let mut wires: Vec<ScheduledWire> =
        items.iter().filter_map(|item| maker.wire(item, job.numbers.number(item)?, &taps)).collect();
    wires.sort_by_key(|wire| wire.number);
    wires
}

/// The tap on each node that is the wire's side of one.
fn taps(circuit: &Circuit) -> Vec<Option<EdgeId>> {
    let mut taps = vec![None; circuit.nodes.len()];
    for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| e.kind == EdgeKind::Tap) {
        taps[edge.a] = Some(id);
    }
    taps
}

struct Maker<'j> {
    facts: &'j Analysis<'j>,
    places: PlaceNames<'j>,
    poles: TerminalPoles,
    colours: ConductorColours,
}

impl Maker<'_> {
    fn wire(&self, item: &Item, number: Number, taps: &[Option<EdgeId>]) -> Option<ScheduledWire> {
        let circuit = &self.facts.circuit;
        match (&item.kind, item.what) {
            (ItemKind::Gap(..) | ItemKind::Panel(..), _) | (_, "soldered joint" | "sliding joint") => None,
            (ItemKind::Edges(edges), "bus") => self.bus(item, number, edges),
            (ItemKind::Edges(edges), what) => {
                let edge = &circuit.edges[*edges.first()?];
                let mut edges = edges.clone();
                edges.extend(taps[edge.b].filter(|_| edge.kind != EdgeKind::Tap));
                let ends = [self.end(edge.a), self.end(edge.b)];
                if driver_wires::is_one(what) {
                    return self.driver_wire((number, what, edges), ends, edge);
                }
                let reached = self.poles.of_wire(circuit, [edge.a, edge.b]);
                Some(self.circuit_wire(WireFound { number, what, edges, ends, edge, reached }))
            }
        }
    }

    fn end(&self, node: NodeId) -> WireEnd {
        WireEnd { point: point(&self.facts.circuit, node), words: self.places.words(node), node: Some(node) }
    }

    fn circuit_wire(&self, found: WireFound<'_>) -> ScheduledWire {
        let (facts, plan) = (self.facts, self.facts.plan);
        let WireFound { number, what, edges, mut ends, edge, reached } = found;
        let usual_wire = feeds::feeder_wire(plan);
        let a = &facts.circuit.nodes[edge.a].spot;
        let b = &facts.circuit.nodes[edge.b].spot;
        let mut colour = Some(self.colours.wire(facts, [edge.a, edge.b], &reached));
        let (size, function, bundle) = match (what, a) {
            ("feeder", Spot::Rail { track, side, .. }) => {
                let wire = wire_sizes::of_feeder(plan, *track, edge);
                let function = format!("feeder of {}, {} rail", plan.track[*track].name.value, side.word());
                (wire.or(usual_wire), function, self.bundle(b))
            }
            ("feeder", Spot::Work { kind, index, .. }) => {
                let function = format!("feeder of the deck of {}", self.places.name(*kind, *index));
                (usual_wire, function, self.bundle(b))
            }
            ("contact wire", Spot::Terminal { kind, index, contact, terminal }) => {
                let wire = wire_sizes::of_contact_wire(plan, &edge.part);
                let function = self.contact_words((*kind, *index, *contact, terminal), edge.b);
                (wire.or(usual_wire), function, self.places.name(*kind, *index).to_owned())
            }
            ("lead", _) => {
                let (bus, supply) = match (a, b) {
                    (Spot::Supply { supply, .. }, Spot::Bus { bus, .. }) => (Some(*bus), Some(*supply)),
                    _ => (None, None),
                };
                let name = |kind, index: Option<usize>| index.map_or("", |i| self.places.name(kind, i));
                let function = format!("lead from {} to {}", name(Kind::Supply, supply), name(Kind::Bus, bus));
                (bus.map(|b| &plan.bus[b].wire), function, name(Kind::Bus, bus).to_owned())
            }
            ("common", Spot::Supply { supply: above, pole }) => {
                let below = if let Spot::Supply { supply, .. } = b { *supply } else { *above };
                let bus = plan
                    .bus
                    .iter()
                    .find(|bus| bus.supply.as_ref().is_some_and(|s| s.value == plan.supply[below].name.value));
                let name = |s: usize| self.places.name(Kind::Supply, s);
                let function = format!("common {} of {} and {}", pole.word(), name(*above), name(below));
                (bus.map(|b| &b.wire), function, name(*above).to_owned())
            }
            ("reverser input", _) => {
                let (bus, reverser, pole) = self.reverser_of(edge);
                ends = [
                    self.end(edge.b),
                    WireEnd {
                        point: ItemEnd {
                            thing: reverser.map(|r| (Kind::Reverser, r)),
                            part: format!("in {pole}"),
                            place: None,
                        },
                        words: format!("{}.in {pole}", reverser.map_or("", |r| self.places.name(Kind::Reverser, r))),
                        node: Some(edge.a),
                    },
                ];
                let function = format!("input of {}", reverser.map_or("", |r| self.places.name(Kind::Reverser, r)));
                (bus.map(|b| &plan.bus[b].wire), function, self.bundle(b))
            }
            (_, Spot::Work { kind, index, .. }) => {
                colour = None;
                let name = self.places.name(*kind, *index);
                (None, format!("bond inside {name}; look whether its maker has made it"), name.to_owned())
            }
            _ => (None, edge.name.clone(), String::new()),
        };
        let plug = self.plug(&edges);
        let function = if plug.is_some() { format!("{function}, with a plug") } else { function };
        let is_bond = colour.is_none();
        let (colour, ours) = (colour.map(|c| c.0), colour.is_some_and(|c| c.1));
        let run = edges.first().and_then(|edge| facts.circuit.runs.get(edge));
        ScheduledWire {
            number,
            what,
            edges,
            function,
            ends,
            colour,
            size: (!is_bond).then(|| wire_sizes::size_words(self.facts.plan, size)),
            run: run.filter(|run| run.source != RunSource::Default).map(|run| run.metres),
            plug: plug.map(|plug| plug.ohms.typical),
            assumed: WireAssumed {
                plug: plug.is_some_and(|plug| plug.usual),
                size: !is_bond && size.is_none(),
                length: run.is_some_and(|run| run.source == RunSource::Geometry),
                measure: !is_bond && run.is_none_or(|run| run.source == RunSource::Default),
                colour: ours,
            },
            bundle,
            districts: self.districts(&reached, [edge.a, edge.b]),
        }
    }

    /// The conductor of a bus, from what feeds it to its far end.
    fn bus(&self, item: &Item, number: Number, edges: &[EdgeId]) -> Option<ScheduledWire> {
        let (facts, plan) = (self.facts, self.facts.plan);
        let (Kind::Bus, index) = item.ends[0].thing? else { return None };
        let pole = if item.ends[0].part == "A" { Pole::A } else { Pole::B };
        let bus = &plan.bus[index];
        let length = bus.length.value.si();
        let of = |thing, place| ItemEnd { thing: Some(thing), part: pole.word().to_owned(), place };
        let start = match (&bus.from, &bus.supply) {
            (Some(from), _) => {
                let (trunk, at) = facts.names.bus_place(&from.value).ok()?;
                let at = at.map_or(plan.bus[trunk].length.value.si(), |a| a.si());
                let words = self.places.bus(trunk, pole, at);
                WireEnd { point: of((Kind::Bus, trunk), Some(hundredths(at))), words, node: None }
            }
            _ => {
                WireEnd { point: of((Kind::Bus, index), Some(0)), words: self.places.bus(index, pole, 0.0), node: None }
            }
        };
        let end = WireEnd {
            point: of((Kind::Bus, index), None),
            words: format!("{}, its far end", self.places.bus(index, pole, length)),
            node: None,
        };
        // A branch's joint with its trunk goes with it.
        let own = |part: &Part| matches!(*part, Part::BranchJoint { bus, pole: p, .. } if (bus, p) == (index, pole));
        let joint = facts.circuit.edges.iter().position(|e| own(&e.part));
        let mut edges = edges.to_vec();
        edges.extend(bus.from.as_ref().and(joint).map(EdgeId::new));
        let plug = self.plug(&edges);
        let conductor = (Kind::Bus, index, pole);
        let reached = BTreeSet::from([conductor]);
        let (colour, ours) = self.colours.conductor(conductor);
        let function = match &bus.from {
            Some(_) if plug.is_some() => {
                format!("conductor {} of {}, a branch with a plug", pole.word(), bus.name.value)
            }
            Some(_) => format!("conductor {} of {}, a branch", pole.word(), bus.name.value),
            None => format!("conductor {} of {}", pole.word(), bus.name.value),
        };
        Some(ScheduledWire {
            number,
            what: "bus",
            edges,
            function,
            ends: [start, end],
            colour: Some(colour),
            size: Some(wire_sizes::size_words(self.facts.plan, Some(&bus.wire))),
            run: Some(length),
            plug: plug.map(|plug| plug.ohms.typical),
            assumed: WireAssumed { plug: plug.is_some_and(|plug| plug.usual), colour: ours, ..WireAssumed::default() },
            bundle: bus.name.value.clone(),
            districts: self.districts(&reached, []),
        })
    }

    /// A wire of a driver: to its bus, within a switch, to a motor or a coil.
    fn driver_wire(
        &self,
        (number, what, edges): (Number, &'static str, Vec<EdgeId>),
        ends: [WireEnd; 2],
        edge: &Edge,
    ) -> Option<ScheduledWire> {
        let (facts, plan) = (self.facts, self.facts.plan);
        let of = driver_wires::of_part(plan, facts.names, &self.places, &edge.part)?;
        let run = edges.first().and_then(|edge| facts.circuit.runs.get(edge));
        let size = of.size.or(feeds::feeder_wire(plan));
        let (colour, ours) = of.conductor.map_or_else(|| self.colours.motors(), |c| self.colours.conductor(c));
        let reached = of.bus.map(|bus| (Kind::Bus, bus, Pole::A)).into_iter().collect();
        let plug = self.plug(&edges);
        let function = if plug.is_some() { format!("{}, with a plug", of.function) } else { of.function };
        Some(ScheduledWire {
            number,
            what,
            edges: edges.clone(),
            function,
            ends,
            colour: Some(colour),
            size: Some(wire_sizes::size_words(self.facts.plan, size)),
            run: run.filter(|run| run.source != RunSource::Default).map(|run| run.metres),
            plug: plug.map(|plug| plug.ohms.typical),
            assumed: WireAssumed {
                plug: plug.is_some_and(|plug| plug.usual),
                size: size.is_none(),
                length: run.is_some_and(|run| run.source == RunSource::Geometry),
                measure: run.is_none_or(|run| run.source == RunSource::Default),
                colour: ours,
            },
            bundle: of.bundle,
            districts: self.districts(&reached, []),
        })
    }

    /// The contact of a plug that any of these edges passes.
    fn plug(&self, edges: &[EdgeId]) -> Option<&PlugContact> {
        edges.iter().find_map(|edge| self.facts.circuit.plugs.get(edge))
    }

    /// What a wire of a contact is for.
    fn contact_words(&self, (kind, index, contact, terminal): (Kind, usize, usize, &str), to: NodeId) -> String {
        let circuit = &self.facts.circuit;
        let from = format!("{}.{}", self.places.name(kind, index), contact + 1);
        match &circuit.nodes[to].spot {
            Spot::Work { kind, index, .. } => {
                let word = circuit.frogs.iter().find(|f| f.2 == to).map_or("frog", |f| f.3);
                format!("feed of {}'s {word} from contact {from}", self.places.name(*kind, *index))
            }
            Spot::Rail { track, side, .. } => {
                let name = self.places.name(Kind::Track, *track);
                format!("feed of {name}, {} rail, from contact {from}", side.word())
            }
            Spot::Terminal { .. } => format!("link between contacts, from {from}"),
            _ => format!("feed of contact {from}, {terminal}"),
        }
    }

    fn reverser_of(&self, tap: &Edge) -> (Option<usize>, Option<usize>, &'static str) {
        let circuit = &self.facts.circuit;
        let Spot::Tap { bus, pole, .. } = &circuit.nodes[tap.a].spot else { return (None, None, "") };
        let contact = circuit.edges.iter().find(|e| e.kind == EdgeKind::Contact && e.b == tap.a);
        let reverser = contact.and_then(|c| match &circuit.nodes[c.a].spot {
            Spot::Reverser { reverser, .. } => Some(*reverser),
            _ => None,
        });
        (Some(*bus), reverser, pole.word())
    }

    fn bundle(&self, spot: &Spot) -> String {
        let (kind, index) = match spot {
            Spot::Bus { bus, .. } | Spot::Tap { bus, .. } => (Kind::Bus, *bus),
            Spot::Supply { supply, .. } => (Kind::Supply, *supply),
            Spot::Reverser { reverser, .. } => (Kind::Reverser, *reverser),
            _ => return String::new(),
        };
        self.places.name(kind, index).to_owned()
    }

    /// The districts of what a wire is joined to, or else of the rails it ends at.
    fn districts<const N: usize>(&self, reached: &BTreeSet<Conductor>, ends: [NodeId; N]) -> Vec<String> {
        let facts = self.facts;
        let mut supplies: BTreeSet<usize> = BTreeSet::new();
        for &(kind, index, _) in reached {
            match kind {
                Kind::Supply => supplies.extend([index]),
                _ => supplies.extend(feeds::breaker_of_bus(facts, index).map(|b| facts.circuit.breakers[b].supply)),
            }
        }
        if supplies.is_empty() {
            supplies.extend(ends.into_iter().filter_map(|node| match &facts.circuit.nodes[node].spot {
                Spot::Rail { track, side, .. } => {
                    facts.circuit.intended_pole[*track][*side].map(|meant| facts.circuit.breakers[meant.breaker].supply)
                }
                _ => None,
            }));
        }
        supplies.into_iter().map(|s| self.places.name(Kind::Supply, s).to_owned()).collect()
    }
}

struct WireFound<'e> {
    number: Number,
    what: &'static str,
    edges: Vec<EdgeId>,
    ends: [WireEnd; 2],
    edge: &'e Edge,
    reached: BTreeSet<Conductor>,
}
