//! Puts the circuit together: trackwork, tracks, joints between them, supplies and buses, contacts.

use crate::bus::Buses;
use crate::inputs::Inputs;
use crate::trackwork::{LinkKind, Template, simple};
use crate::{
    Circuit, Control, Edge, EdgeKind, Guard, InputId, Literal, Node, NodeId, Origin, Owner, Probe, Segment, SegmentEnd,
    Uncovered,
};
use handbook::quantity::{Metres, Ohms, Quantity};
use handbook::{Spread, contacts, scales};
use plan::tables::{JointKind, Turnout};
use plan::{At, End, Kind, Names, Plan, TrackEnd};
use std::collections::BTreeMap;
use std::ops::Range;

/// No edge is better than this, so that a joint written as `0 Ω` stays a number one can divide by.
const LEAST_OHMS: f64 = 1e-6;

pub(crate) fn build(plan: &Plan, names: &Names, probes: &[Probe]) -> Circuit {
    let mut builder = Builder::new(plan, names);
    builder.controls();
    builder.tracks(probes);
    builder.turnouts();
    builder.join_ends();
    let mut buses = Buses::default();
    builder.feeders(&mut buses);
    builder.contacts(&mut buses);
    builder.buses(buses);
    builder.uncovered();
    builder.finish()
}

/// A rail's ohms per metre, and where they come from.
#[derive(Clone, Copy)]
pub(crate) struct PerMetre {
    pub(crate) ohms: Spread<f64>,
    pub(crate) input: InputId,
}

pub(crate) struct Builder<'p> {
    pub(crate) plan: &'p Plan,
    pub(crate) names: &'p Names,
    pub(crate) circuit: Circuit,
    pub(crate) inputs: Inputs,
    /// Nodes of the ends of trackwork: left and right, seen looking in.
    pub(crate) ports: BTreeMap<(Kind, usize, String), [NodeId; 2]>,
    /// Routes that start or end there.
    port_routes: BTreeMap<(Kind, usize, String), Vec<(usize, TrackEnd)>>,
    /// The control that a motor or toggle is.
    pub(crate) control_of: BTreeMap<(Kind, usize), usize>,
}

impl<'p> Builder<'p> {
    fn new(plan: &'p Plan, names: &'p Names) -> Self {
        Builder {
            plan,
            names,
            circuit: Circuit::default(),
            inputs: Inputs::default(),
            ports: BTreeMap::new(),
            port_routes: BTreeMap::new(),
            control_of: BTreeMap::new(),
        }
    }

    pub(crate) fn node(&mut self, name: impl Into<String>, span: &Range<usize>) -> NodeId {
        let id = self.circuit.nodes.len() as NodeId;
        self.circuit.nodes.push(Node { name: name.into(), span: span.clone() });
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
        name: impl Into<String>,
        span: &Range<usize>,
    ) -> u32 {
        let id = self.circuit.edges.len() as u32;
        self.circuit.edges.push(Edge {
            a: ends[0],
            b: ends[1],
            guard,
            ohms: ohms.map(|r| r.max(LEAST_OHMS)),
            kind,
            name: name.into(),
            span: span.clone(),
            input,
        });
        id
    }

    /// The resistance of a joint or contact from the handbook.
    pub(crate) fn contact_ohms(&mut self, kind: EdgeKind) -> (Spread<f64>, InputId) {
        let (name, value) = match kind {
            EdgeKind::SlidingJoint => ("sliding joint", contacts::SLIDING_JOINT),
            EdgeKind::Tap => ("tap on a bus", contacts::TAP_CONNECTOR),
            EdgeKind::Contact => ("motor or relay contact", contacts::MOTOR_CONTACT),
            EdgeKind::Blade => ("blade contact", contacts::BLADE_CONTACT),
            _ => ("soldered joint", contacts::SOLDERED_JOINT),
        };
        let ohms = value.value.map(|o: Ohms| o.si());
        let words = crate::inputs::spread_words(ohms, "");
        (ohms, self.inputs.add(name, words, Origin::Default(value.source)))
    }

    /// The resistance of a rail: measured, named, or the default.
    pub(crate) fn rail_ohms(&mut self, named: Option<&At<String>>) -> PerMetre {
        let layout = self.plan.layout.as_ref().and_then(|l| l.value.rail.as_ref());
        let said = named.or(layout);
        let known = said.and_then(|text| handbook::rails::rail(&text.value));
        let scale = self.plan.layout.as_ref().map_or("OO", |l| l.value.scale.value.as_str());
        let rail = known.unwrap_or_else(|| handbook::rails::default_rail(scale));
        let ohms = rail.resistance_per_metre.map(|o| o.si());
        let words = crate::inputs::spread_words(ohms, "/m");
        let source = rail.resistance_source;
        let origin = if known.is_some() { Origin::Handbook(source) } else { Origin::Default(source) };
        let input = self.inputs.add(format!("rail resistance, {}", rail.name), words, origin);
        PerMetre { ohms, input }
    }

    /// What joins rails where nothing is said: the layout's word, or unsoldered joiners, the worse case.
    pub(crate) fn joint_kind(&self, said: Option<&At<JointKind>>) -> JointKind {
        let layout = self.plan.layout.as_ref().and_then(|l| l.value.joint.as_ref());
        said.or(layout).map_or(JointKind::Sliding, |k| k.value)
    }

    /// The position that each turnout's contacts and blades follow.
    fn controls(&mut self) {
        let mut of_turnout: Vec<Option<usize>> = vec![None; self.plan.turnout.len()];
        for (index, motor) in self.plan.motor.iter().enumerate() {
            let turnouts: Vec<usize> = motor
                .moves
                .0
                .iter()
                .filter_map(|text| match self.names.get(&text.value) {
                    Some((Kind::Turnout, t)) => Some(t),
                    _ => None,
                })
                .collect();
            let Some(&first) = turnouts.first() else { continue };
            let control = self.circuit.controls.len();
            let words: Vec<&str> = turnouts.iter().map(|&t| self.plan.turnout[t].name.value.as_str()).collect();
            self.circuit.controls.push(Control {
                name: words.join("+"),
                positions: positions(&self.plan.turnout[first]),
                span: motor.name.span.clone(),
            });
            self.control_of.insert((Kind::Motor, index), control);
            for t in turnouts {
                of_turnout[t] = Some(control);
            }
        }
        for (index, slot) in of_turnout.iter_mut().enumerate() {
            if slot.is_none() {
                let turnout = &self.plan.turnout[index];
                *slot = Some(self.circuit.controls.len());
                self.circuit.controls.push(Control {
                    name: turnout.name.value.clone(),
                    positions: positions(turnout),
                    span: turnout.name.span.clone(),
                });
            }
        }
        self.circuit.turnout_control = of_turnout.into_iter().flatten().collect();
        for (index, toggle) in self.plan.toggle.iter().enumerate() {
            self.control_of.insert((Kind::Toggle, index), self.circuit.controls.len());
            self.circuit.controls.push(Control {
                name: toggle.name.value.clone(),
                positions: vec!["off".to_owned(), "on".to_owned()],
                span: toggle.name.span.clone(),
            });
        }
        for (index, relay) in self.plan.relay.iter().enumerate() {
            if let Some(leader) = self.names.get(&relay.follows.value)
                && let Some(&control) = self.control_of.get(&leader)
            {
                self.control_of.insert((Kind::Relay, index), control);
            }
        }
    }

    fn turnouts(&mut self) {
        let plan = self.plan;
        let scale = plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
        for (index, turnout) in plan.turnout.iter().enumerate() {
            let (lead, tail) = self.turnout_lengths(turnout, scale);
            let template = simple::turnout(turnout.wiring.value, turnout.hand.value, lead, tail);
            let control = self.circuit.turnout_control[index];
            let per_metre = self.rail_ohms(turnout.rail.as_ref());
            self.instantiate(Kind::Turnout, index, &turnout.name, &template, control, per_metre);
        }
    }

    fn turnout_lengths(&mut self, turnout: &Turnout, scale: Option<&scales::Scale>) -> (f64, f64) {
        let number = match (&turnout.number, &turnout.angle) {
            (_, Some(angle)) => scales::frog_number(angle.value),
            (Some(number), None) => number.value,
            (None, None) => 6.0,
        };
        let guess = scale.or_else(|| scales::scale("OO"));
        let lead = guess.map_or(0.15, |s| scales::turnout_lead(s, number).typical.si());
        let tail = guess.map_or(0.1, |s| number * s.gauge.value.si());
        let measured = |said: &Option<At<Metres>>, guess: f64| said.as_ref().map_or(guess, |m| m.value.si());
        (measured(&turnout.lead, lead), measured(&turnout.tail, tail))
    }

    /// Turns a template into nodes, edges, segments and gaps.
    fn instantiate(
        &mut self,
        kind: Kind,
        index: usize,
        name: &At<String>,
        template: &Template,
        control: usize,
        per_metre: PerMetre,
    ) {
        let mut local: Vec<Option<NodeId>> = vec![None; template.nodes.len()];
        let used = template
            .links
            .iter()
            .flat_map(|l| [l.a, l.b])
            .chain(template.ports.iter().flat_map(|p| p.inward))
            .chain(template.routes.iter().flat_map(|r| r.rails.iter().flatten().flat_map(|s| s.nodes)));
        for node in used {
            if local[node].is_none() {
                let words = format!("{} {}", name.value, template.nodes[node]);
                local[node] = Some(self.node(words, &name.span));
            }
        }
        let node = |l: usize| local[l].unwrap_or(0);
        let guard =
            |when: Option<u8>| -> Guard { when.map(|position| Literal { control, position }).into_iter().collect() };
        let mut edge_of: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        for link in &template.links {
            let (edge_kind, ohms, input) = match link.kind {
                LinkKind::Rail(metres) => (EdgeKind::Rail, per_metre.ohms.map(|r| r * metres), per_metre.input),
                LinkKind::Bond => {
                    let (ohms, input) = self.contact_ohms(EdgeKind::SolderedJoint);
                    (EdgeKind::Wire, ohms, input)
                }
                LinkKind::Blade => {
                    let (ohms, input) = self.contact_ohms(EdgeKind::Blade);
                    (EdgeKind::Blade, ohms, input)
                }
            };
            let ends = [node(link.a), node(link.b)];
            let words = format!("{} {}", name.value, link.words);
            let id = self.edge(ends, edge_kind, ohms, guard(link.when), input, words, &name.span);
            edge_of.insert((link.a, link.b), id);
        }
        for port in &template.ports {
            self.ports.insert((kind, index, port.word.to_owned()), port.inward.map(node));
        }
        for (_, frog) in &template.frogs {
            self.circuit.frogs.push((kind, index, node(*frog)));
        }
        for route in &template.routes {
            let segment = self.circuit.segments.len();
            let rails = [0, 1].map(|side| {
                let stops = &route.rails[side];
                crate::lines::local_line(stops, &node, &edge_of)
            });
            let words = route.ports.map(|p| template.ports[p].word.to_owned());
            for (word, end) in words.iter().zip([TrackEnd::From, TrackEnd::To]) {
                self.port_routes.entry((kind, index, word.clone())).or_default().push((segment, end));
            }
            self.circuit.segments.push(Segment {
                name: format!("{} {}", name.value, route.word),
                owner: Owner::Work { kind, index, ends: words },
                guard: guard(route.when),
                length: route.length,
                rails,
                ends: [SegmentEnd::default(), SegmentEnd::default()],
                span: name.span.clone(),
            });
        }
    }

    /// Joins the ends of tracks to each other and to trackwork, rail by rail.
    fn join_ends(&mut self) {
        let plan = self.plan;
        for (index, track) in plan.track.iter().enumerate() {
            for (end, text) in [(TrackEnd::From, &track.from), (TrackEnd::To, &track.to)] {
                let slot = usize::from(end == TrackEnd::To);
                match self.names.end(plan, &text.value) {
                    Ok(End::Beyond) => self.circuit.segments[index].ends[slot].beyond = true,
                    Ok(End::Track(other, other_end)) => {
                        self.circuit.segments[index].ends[slot].next.push((other, other_end));
                        // Each pair of ends is joined once.
                        if (index, end) < (other, other_end) {
                            let theirs = self.outward_rails(other, other_end);
                            // Two that look at each other see left and right exchanged.
                            let kind = self.joint_kind(track.joint.as_ref().or(plan.track[other].joint.as_ref()));
                            self.join((index, end), [theirs[1], theirs[0]], kind, text);
                        }
                    }
                    Ok(End::Work(kind, work, port)) => {
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
                        self.join((index, end), inward, joint, text);
                    }
                    Ok(End::Buffer) | Err(_) => {}
                }
            }
        }
    }

    /// The two rails at an end of a track, left and right for somebody who looks out of the track there.
    fn outward_rails(&self, track: usize, end: TrackEnd) -> [NodeId; 2] {
        let rails = &self.circuit.segments[track].rails;
        let node = |side: usize| match end {
            TrackEnd::From => rails[side].stops.first().map_or(0, |s| s.before),
            TrackEnd::To => rails[side].stops.last().map_or(0, |s| s.after),
        };
        match end {
            TrackEnd::To => [node(0), node(1)],
            TrackEnd::From => [node(1), node(0)],
        }
    }

    /// Joins the rails at an end of a track to two nodes, left and right for somebody who looks out.
    fn join(&mut self, (track, end): (usize, TrackEnd), theirs: [NodeId; 2], kind: JointKind, text: &At<String>) {
        let edge_kind = match kind {
            JointKind::Soldered => EdgeKind::SolderedJoint,
            JointKind::Sliding => EdgeKind::SlidingJoint,
            JointKind::Gap => {
                for side in 0..2 {
                    // The gap's far side is the neighbour's node.
                    let stops = &mut self.circuit.segments[track].rails[side].stops;
                    match end {
                        TrackEnd::To => stops.last_mut().into_iter().for_each(|s| s.after = theirs[side]),
                        TrackEnd::From => stops.first_mut().into_iter().for_each(|s| s.before = theirs[1 - side]),
                    }
                }
                return;
            }
        };
        let mine = self.outward_rails(track, end);
        let (ohms, input) = self.contact_ohms(edge_kind);
        for side in 0..2 {
            let words = format!("joint between {} and {}", self.plan.track[track].name.value, text.value);
            self.edge([mine[side], theirs[side]], edge_kind, ohms, Vec::new(), input, words, &text.span);
        }
    }

    fn uncovered(&mut self) {
        let plan = self.plan;
        let mut missing: Vec<(String, Range<usize>)> = Vec::new();
        let mut note = |kind: Kind, name: &At<String>| {
            missing.push((format!("{} `{}`", kind.word(), name.value), name.span.clone()));
        };
        plan.crossing.iter().for_each(|t| note(Kind::Crossing, &t.name));
        plan.slip.iter().for_each(|t| note(Kind::Slip, &t.name));
        plan.three_way.iter().for_each(|t| note(Kind::ThreeWay, &t.name));
        plan.turntable.iter().for_each(|t| note(Kind::Turntable, &t.name));
        plan.reverser.iter().for_each(|t| note(Kind::Reverser, &t.name));
        self.circuit.uncovered = missing.into_iter().map(|(what, span)| Uncovered { what, span }).collect();
    }

    fn finish(mut self) -> Circuit {
        self.circuit.gaps = crate::lines::gaps(&self.circuit);
        self.circuit.inputs = self.inputs.list;
        self.circuit
    }
}

fn positions(turnout: &Turnout) -> Vec<String> {
    simple::turnout(turnout.wiring.value, turnout.hand.value, 1.0, 1.0)
        .positions
        .iter()
        .map(|p| (*p).to_owned())
        .collect()
}
