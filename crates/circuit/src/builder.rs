//! A circuit under way: nodes, edges and inputs as they are added, and what parts of it look up of each other.

use crate::inputs::Inputs;
use crate::reach::Reach;
use crate::{Circuit, Edge, EdgeKind, Guard, InputId, Node, NodeId, Origin, Part, Spot};
use crate::{ControlId, EdgeId};
use handbook::quantity::{Ohms, Quantity};
use handbook::{Spread, contacts};
use plan::tables::{JointKind, RailSide};
use plan::{At, EndOf, Kind, Moved, Names, Plan, Pole, TrackEnd};
use std::collections::BTreeMap;
use std::ops::Range;

/// No edge is better than this, so that a joint written as `0 Ω` stays a number one can divide by.
const LEAST_OHMS: f64 = 1e-6;
/// Nor any piece of rail or bus than this. Far less, since one more feeder cuts a piece in two: what a short rest of it
/// had too much would make a feeder raise the resistance of all that lies behind.
const LEAST_PIECE_OHMS: f64 = 1e-9;

/// A rail's ohms per metre, and where they come from.
#[derive(Clone, Copy)]
pub(crate) struct PerMetre {
    pub(crate) ohms: Spread<f64>,
    pub(crate) input: InputId,
}

/// Resistance and inductance of a wire, and the input they come from.
pub(crate) type WireValues = (Spread<f64>, Spread<f64>, InputId);

/// The kind of a joint at an end of a track, in one of its rails.
#[derive(Clone)]
pub(crate) struct SaidKind {
    pub(crate) kind: JointKind,
    /// Whether nothing of the plan says it.
    pub(crate) assumed: bool,
    /// The words that say it of this joint alone.
    pub(crate) words: Option<Range<usize>>,
    /// The rail of the neighbour whose table says it.
    pub(crate) neighbour: Option<(usize, TrackEnd, RailSide)>,
}

pub(crate) struct Builder<'p> {
    pub(crate) plan: &'p Plan,
    pub(crate) names: &'p Names,
    pub(crate) circuit: Circuit,
    pub(crate) inputs: Inputs,
    /// Nodes of the ends of trackwork: left and right, seen looking in.
    pub(crate) ports: BTreeMap<(Kind, usize, String), [NodeId; 2]>,
    /// Routes that start or end there.
    pub(crate) port_routes: BTreeMap<(Kind, usize, String), Vec<(usize, TrackEnd)>>,
    /// The control that a motor, relay, toggle or reverser is, or follows.
    pub(crate) control_of: BTreeMap<(Kind, usize), ControlId>,
    /// The control of everything a motor can move.
    pub(crate) moved_by: BTreeMap<Moved, ControlId>,
    /// The nodes of the frogs that a wire can feed.
    pub(crate) frog_node: BTreeMap<(Kind, usize, &'static str), NodeId>,
    /// Values that came up before, with their input: of joints and contacts, and of wires by what they are, their
    /// size and the bits of their length.
    joints: BTreeMap<EdgeKind, (Spread<f64>, InputId)>,
    pub(crate) wires: BTreeMap<(&'static str, &'p str, u64), WireValues>,
    /// Joints written at the very end of a track's rail: those with its neighbour.
    pub(crate) end_joints: BTreeMap<(usize, TrackEnd, RailSide), SaidKind>,
    /// The terminals of contacts: whose, which contact, and the terminal's key.
    pub(crate) contact_nodes: BTreeMap<(Kind, usize, usize, &'static str), NodeId>,
    /// The outputs of each reverser.
    pub(crate) reverser_outputs: BTreeMap<(usize, Pole), NodeId>,
    /// The output of each detector.
    pub(crate) detector_outputs: BTreeMap<usize, NodeId>,
    /// How far apart things lie.
    pub(crate) reach: Reach<'p>,
}

impl<'p> Builder<'p> {
    pub(crate) fn new(plan: &'p Plan, names: &'p Names) -> Self {
        Builder {
            plan,
            names,
            circuit: Circuit { units: plan.units(), ..Circuit::default() },
            inputs: Inputs::default(),
            ports: BTreeMap::new(),
            port_routes: BTreeMap::new(),
            control_of: BTreeMap::new(),
            moved_by: BTreeMap::new(),
            frog_node: BTreeMap::new(),
            joints: BTreeMap::new(),
            wires: BTreeMap::new(),
            end_joints: BTreeMap::new(),
            contact_nodes: BTreeMap::new(),
            reverser_outputs: BTreeMap::new(),
            detector_outputs: BTreeMap::new(),
            reach: Reach::new(plan, names),
        }
    }

    pub(crate) fn node(&mut self, name: impl Into<String>, span: &Range<usize>, spot: Spot) -> NodeId {
        let id = NodeId::new(self.circuit.nodes.len());
        self.circuit.nodes.push(Node { name: name.into(), span: span.clone(), spot });
        id
    }

    #[allow(clippy::too_many_arguments)] // an edge simply has that many facts
    pub(crate) fn edge(
        &mut self,
        ends: [NodeId; 2],
        kind: EdgeKind,
        ohms: Spread<f64>,
        guard: Guard,
        input: InputId,
        part: Part,
        span: &Range<usize>,
    ) -> EdgeId {
        let name = part.words(self.plan);
        let id = EdgeId::new(self.circuit.edges.len());
        let least = if matches!(kind, EdgeKind::Rail | EdgeKind::BusWire) { LEAST_PIECE_OHMS } else { LEAST_OHMS };
        self.circuit.edges.push(Edge {
            a: ends[0],
            b: ends[1],
            guard,
            removed: false,
            ohms: ohms.map(|r| r.max(least)),
            henries: Spread::exactly(0.0),
            kind,
            part,
            name,
            span: span.clone(),
            input,
        });
        id
    }

    /// The resistance of a joint or contact from the handbook.
    pub(crate) fn contact_ohms(&mut self, kind: EdgeKind) -> (Spread<f64>, InputId) {
        if let Some(&known) = self.joints.get(&kind) {
            return known;
        }
        let (name, value) = match kind {
            EdgeKind::SlidingJoint => ("sliding joint", contacts::SLIDING_JOINT),
            EdgeKind::Tap => ("tap on a bus", contacts::TAP_CONNECTOR),
            EdgeKind::Contact => ("motor or relay contact", contacts::MOTOR_CONTACT),
            EdgeKind::Blade => ("blade contact", contacts::BLADE_CONTACT),
            _ => ("soldered joint", contacts::SOLDERED_JOINT),
        };
        let ohms = value.value.map(|o: Ohms| o.si());
        let words = crate::inputs::spread_words(ohms);
        let found = (ohms, self.inputs.add(name, words, Origin::Default(value.source)));
        self.joints.insert(kind, found);
        found
    }

    /// The resistance of a rail: measured, named, or the default.
    pub(crate) fn rail_ohms(&mut self, named: Option<&At<String>>) -> PerMetre {
        let layout = self.plan.layout.as_ref().and_then(|l| l.value.rail.as_ref());
        let said = named.or(layout);
        let known = said.and_then(|text| handbook::rails::rail(&text.value));
        let scale = self.plan.layout.as_ref().map_or("OO", |l| l.value.scale.value.as_str());
        let rail = known.unwrap_or_else(|| handbook::rails::default_rail(scale));
        let ohms = rail.resistance_per_metre.map(|o| o.si());
        let words = crate::inputs::spread_per_length(self.plan.units(), ohms);
        let source = rail.resistance_source;
        let origin = if known.is_some() { Origin::Handbook(source) } else { Origin::Default(source) };
        let input = self.inputs.add(format!("rail resistance, {}", rail.name), words, origin);
        PerMetre { ohms, input }
    }

    /// What joins rails where nothing is said: the layout's word, or unsoldered joiners, the worse case.
    pub(crate) fn joint_kind(&self, said: Option<&At<JointKind>>) -> SaidKind {
        let layout = self.plan.layout.as_ref().and_then(|l| l.value.joint.as_ref());
        let said = said.or(layout);
        SaidKind {
            kind: said.map_or(JointKind::Sliding, |k| k.value),
            assumed: said.is_none(),
            words: None,
            neighbour: None,
        }
    }

    /// Joins the ends of tracks to each other and to trackwork, rail by rail.
    pub(crate) fn join_ends(&mut self) {
        let plan = self.plan;
        for (index, track) in plan.track.iter().enumerate() {
            for (end, text) in [(TrackEnd::From, &track.from), (TrackEnd::To, &track.to)] {
                let slot = usize::from(end == TrackEnd::To);
                match self.names.end(plan, &text.value) {
                    Ok(EndOf::Beyond) => self.circuit.segments[index].ends[slot].beyond = true,
                    Ok(EndOf::Track(other, other_end)) => {
                        self.circuit.segments[index].ends[slot].next.push((other, other_end));
                        // Each pair of ends is joined once.
                        if (index, end) < (other, other_end) {
                            let theirs = self.outward_rails(other, other_end);
                            let kind = self.joint_kind(track.joint.as_ref().or(plan.track[other].joint.as_ref()));
                            // Two that look at each other see left and right exchanged; two that meet with the same end of
                            // theirs, their own left and right as well.
                            let across = |side: RailSide| if end == other_end { side.other() } else { side };
                            let kinds = RailSide::ALL.map(|side| {
                                let neighbour = (other, other_end, across(side));
                                let theirs = self.end_joints.get(&neighbour).cloned();
                                let theirs = || theirs.map(|said| SaidKind { neighbour: Some(neighbour), ..said });
                                self.end_joints
                                    .get(&(index, end, side))
                                    .cloned()
                                    .or_else(theirs)
                                    .unwrap_or(kind.clone())
                            });
                            self.join((index, end), [theirs[1], theirs[0]], kinds, text);
                        }
                    }
                    Ok(EndOf::Work(kind, work, port)) => {
                        let key = (kind, work, port);
                        let Some(&inward) = self.ports.get(&key) else { continue };
                        let routes = self.port_routes.get(&key).cloned().unwrap_or_default();
                        for &(segment, route_end) in &routes {
                            let route_slot = usize::from(route_end == TrackEnd::To);
                            self.circuit.segments[segment].ends[route_slot].next.push((index, end));
                        }
                        self.circuit.segments[index].ends[slot].next.extend(routes);
                        let said = track.joint.as_ref();
                        let turnout = if kind == Kind::Turnout { plan.turnout[work].joint.as_ref() } else { None };
                        let joint = self.joint_kind(turnout.or(said));
                        let kinds = RailSide::ALL
                            .map(|side| self.end_joints.get(&(index, end, side)).unwrap_or(&joint).clone());
                        self.join((index, end), inward, kinds, text);
                    }
                    Ok(EndOf::Buffer) | Err(_) => {}
                }
            }
        }
    }

    /// The two rails at an end of a track, left and right for somebody who looks out of the track there.
    fn outward_rails(&self, track: usize, end: TrackEnd) -> [NodeId; 2] {
        let rails = &self.circuit.segments[track].rails;
        let node = |side: RailSide| match end {
            TrackEnd::From => rails[side].stops.first().map_or(NodeId::new(0), |s| s.before),
            TrackEnd::To => rails[side].stops.last().map_or(NodeId::new(0), |s| s.after),
        };
        match end {
            TrackEnd::To => RailSide::ALL.map(node),
            TrackEnd::From => RailSide::ALL.map(|side| node(side.other())),
        }
    }

    /// Joins the rails at an end of a track to two nodes, left and right for somebody who looks out; `kinds` is of the
    /// track's own left and right rail.
    fn join(&mut self, (track, end): (usize, TrackEnd), theirs: [NodeId; 2], kinds: [SaidKind; 2], text: &At<String>) {
        let mine = self.outward_rails(track, end);
        for place in RailSide::ALL {
            // Who looks out of a track at its start has its left rail on the right.
            let side = if end == TrackEnd::To { place } else { place.other() };
            let SaidKind { kind, assumed, words, neighbour } = &kinds[side];
            let edge_kind = match kind {
                JointKind::Soldered => EdgeKind::SolderedJoint,
                JointKind::Sliding => EdgeKind::SlidingJoint,
                JointKind::Gap => {
                    // It is listed with the track whose table says it; its far side is the other's node.
                    let ((track, end, side), far) = match *neighbour {
                        Some(neighbour) => (neighbour, mine[place]),
                        None => ((track, end, side), theirs[place]),
                    };
                    let stops = &mut self.circuit.segments[track].rails[side].stops;
                    match end {
                        TrackEnd::To => stops.last_mut().into_iter().for_each(|s| s.after = far),
                        TrackEnd::From => stops.first_mut().into_iter().for_each(|s| s.before = far),
                    }
                    continue;
                }
            };
            let (ohms, input) = self.contact_ohms(edge_kind);
            let part = Part::EndJoint { track, end, side };
            let span = words.as_ref().unwrap_or(&text.span);
            let id = self.edge([mine[place], theirs[place]], edge_kind, ohms, Vec::new(), input, part, span);
            if *assumed {
                self.circuit.assumed_joints.insert(id);
            }
        }
    }

    pub(crate) fn finish(mut self) -> Circuit {
        self.circuit.gaps = crate::lines::gaps(&self.circuit);
        self.circuit.inputs = self.inputs.list;
        self.circuit
    }
}
