//! Special trackwork of the plan: each piece's template, turned into nodes, edges and segments.

use crate::builder::{Builder, PerMetre};
use crate::trackwork::{LinkKind, Template, When, crossing, simple, slip, three_way, turntable};
use crate::wire::{WireMade, WireStart};
use crate::work_lengths::WorkLengths;
use crate::{ControlId, EdgeKind, Guard, Literal, NodeId, Part, RailOwner, Segment, SegmentEnd, Spot, WorkPiece};
use crate::{EdgeId, bus::Buses};
use handbook::contacts;
use handbook::quantity::Quantity;
use plan::names::each_name;
use plan::tables::{JointKind, Phases, RailSide};
use plan::{At, Kind, Moved, TrackEnd};
use std::collections::BTreeMap;

impl Builder<'_> {
    /// All special trackwork.
    pub(crate) fn works(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        for (kind, index, name) in each_name(plan) {
            let Some(template) = self.template(kind, index, WorkLengths::from_plan(plan, kind, index)) else {
                continue;
            };
            let controls = self.own_controls(kind, index, &template);
            let rail = match kind {
                Kind::Turnout => &plan.turnout[index].rail,
                Kind::Crossing => &plan.crossing[index].rail,
                Kind::Slip => &plan.slip[index].rail,
                Kind::ThreeWay => &plan.three_way[index].rail,
                _ => &plan.turntable[index].rail,
            };
            let per_metre = self.rail_ohms(rail.as_ref());
            let local = self.instantiate(kind, index, name, &template, &controls, per_metre);
            if kind == Kind::Turntable {
                for track in 0..plan.turntable[index].deck_tracks() as usize {
                    self.deck_feeds((index, track), turntable::deck_middle(track).map(|l| local[l]), buses);
                }
            }
            self.circuit.work_controls.insert((kind, index), controls);
        }
    }

    /// The template of a piece of special trackwork; none of anything else.
    pub(crate) fn template(&self, kind: Kind, index: usize, lengths: WorkLengths) -> Option<Template> {
        let plan = self.plan;
        let diamond = crossing::CrossingLengths { span: lengths.span, tail: lengths.tail };
        Some(match kind {
            Kind::Turnout => {
                let turnout = &plan.turnout[index];
                simple::turnout(turnout.wiring.value, turnout.hand.value, lengths.lead, lengths.tail)
            }
            Kind::Crossing => {
                let c = &plan.crossing[index];
                let phases = c.phases.as_ref().map_or(Phases::Same, |p| p.value);
                let exchanged = c.routes.as_ref().is_some_and(|r| r.value.exchanged());
                crossing::crossing(c.frogs.value, phases, c.follows.is_some().then_some(exchanged), diamond)
            }
            Kind::Slip => {
                let s = &plan.slip[index];
                let routes = s.routes.as_ref().map(|r| &r.value);
                let legs = routes.map_or([None, None], |r| [r.west.as_ref(), r.east.as_ref()]);
                let exchanged = legs.map(|legs| legs.is_some_and(|l| l.value.exchanged()));
                slip::slip(s.kind.value, s.frogs.value, exchanged, diamond)
            }
            Kind::ThreeWay => three_way::three_way(plan.three_way[index].frogs.value, lengths.lead, lengths.tail),
            Kind::Turntable => {
                let t = &plan.turntable[index];
                let touches = t.joint.as_ref().is_none_or(|j| j.value != JointKind::Gap);
                turntable::turntable(t, touches)
            }
            _ => return None,
        })
    }

    /// The control of each of a template's local ones: what moves it, or what it follows.
    fn own_controls(&self, kind: Kind, index: usize, template: &Template) -> Vec<ControlId> {
        (0..template.controls.len())
            .filter_map(|part| match kind {
                Kind::Crossing => {
                    let leader = self.names.get(&self.plan.crossing[index].follows.as_ref()?.value)?;
                    self.control_of.get(&leader).copied()
                }
                _ => self.moved_by.get(&Moved { kind, index, part }).copied(),
            })
            .collect()
    }

    /// Turns a template into nodes, edges, segments and gaps; gives the node of each local one.
    fn instantiate(
        &mut self,
        kind: Kind,
        index: usize,
        name: &At<String>,
        template: &Template,
        controls: &[ControlId],
        per_metre: PerMetre,
    ) -> Vec<NodeId> {
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
                let spot = Spot::Work { kind, index, part: template.nodes[node].clone() };
                local[node] = Some(self.node(words, &name.span, spot));
            }
        }
        let local: Vec<NodeId> = local.into_iter().map(|node| node.unwrap_or(NodeId::new(0))).collect();
        let node = |l: usize| local[l];
        let mut edge_of: BTreeMap<(usize, usize), EdgeId> = BTreeMap::new();
        for link in &template.links {
            let Some(guard) = guard(controls, &link.when) else { continue };
            let (edge_kind, ohms, input) = match link.kind {
                LinkKind::Rail(metres) => (EdgeKind::Rail, per_metre.ohms.map(|r| r * metres), per_metre.input),
                LinkKind::Bond | LinkKind::PastFrog => {
                    let (ohms, input) = self.contact_ohms(EdgeKind::SolderedJoint);
                    (EdgeKind::Wire, ohms, input)
                }
                // Nothing is calculated with it, so that nothing of it is taken for granted.
                LinkKind::Touching => {
                    let (_, input) = self.contact_ohms(EdgeKind::SolderedJoint);
                    (EdgeKind::Blade, contacts::BLADE_CONTACT.value.map(|o| o.si()), input)
                }
                LinkKind::Blade => {
                    let (ohms, input) = self.contact_ohms(EdgeKind::Blade);
                    (EdgeKind::Blade, ohms, input)
                }
                // Metal pressed on metal in the open, as a blade on its stock rail.
                LinkKind::Contact => {
                    let (ohms, input) = self.contact_ohms(EdgeKind::Blade);
                    (EdgeKind::Contact, ohms, input)
                }
            };
            let ends = [node(link.a), node(link.b)];
            let piece = match link.kind {
                LinkKind::Rail(_) => WorkPiece::Rail,
                LinkKind::Bond => WorkPiece::Bond,
                LinkKind::PastFrog => WorkPiece::PastFrog,
                LinkKind::Blade => WorkPiece::Blade,
                LinkKind::Touching => WorkPiece::Touching,
                LinkKind::Contact => WorkPiece::Contact,
            };
            let part = Part::Work { kind, index, piece, words: link.words.clone() };
            let id = self.edge(ends, edge_kind, ohms, guard, input, part, &name.span);
            if link.kind == LinkKind::Touching {
                // Kept apart: no number may count on it, see `Circuit::touching`.
                self.circuit.touching.extend(self.circuit.edges.pop());
                continue;
            }
            edge_of.insert((link.a, link.b), id);
        }
        for port in &template.ports {
            self.ports.insert((kind, index, port.word.clone().into_owned()), port.inward.map(node));
        }
        for (word, frog) in &template.frogs {
            self.circuit.frogs.push((kind, index, node(*frog), word));
            self.frog_node.insert((kind, index, word), node(*frog));
        }
        self.circuit.illegal.extend(template.illegal.iter().filter_map(|when| guard(controls, when)));
        for route in &template.routes {
            let Some(guard) = guard(controls, &route.when) else { continue };
            let segment = self.circuit.segments.len();
            let rails = [0, 1].map(|side| {
                let stops = &route.rails[side];
                crate::lines::local_line(stops, &node, &edge_of)
            });
            let (start, end) = route.ports;
            let word = |port: usize| template.ports[port].word.clone().into_owned();
            for (port, end) in [(Some(start), TrackEnd::From), (end, TrackEnd::To)] {
                if let Some(port) = port {
                    self.port_routes.entry((kind, index, word(port))).or_default().push((segment, end));
                }
            }
            self.circuit.segments.push(Segment {
                name: format!("{} {}", name.value, route.word),
                owner: RailOwner::Work {
                    kind,
                    index,
                    ends: [word(start), end.map_or_else(|| "deck".to_owned(), word)],
                },
                guard,
                length: route.length,
                rails,
                ends: [SegmentEnd::default(), SegmentEnd::default()],
                span: name.span.clone(),
            });
        }
        local
    }

    /// The wires of a deck that has a feed of its own.
    fn deck_feeds(&mut self, (index, track): (usize, usize), rails: [NodeId; 2], buses: &mut Buses) {
        let turntable = &self.plan.turntable[index];
        for (side, text) in [(RailSide::Left, &turntable.left), (RailSide::Right, &turntable.right)] {
            let Some(text) = text else { continue };
            let Ok(target) = self.names.terminal(self.plan, &text.value) else { continue };
            let start = WireStart { here: None, beside: Vec::new() };
            let Some(end) = self.wire_end(&target, text, &start, buses) else { continue };
            let part = Part::DeckFeeder { turntable: index, track, side };
            let made = WireMade {
                what: "deck feeder",
                plug: turntable.plug.as_ref(),
                wire: None,
                length: self.feeder_length(),
                way: end.way,
                usual: handbook::limits::FEEDER_LENGTH,
            };
            self.lay([rails[side], end.node], EdgeKind::Feeder, made, part, &text.span);
        }
    }
}

/// Positions of local controls as a guard; none where it asks one control for two positions, as where one motor moves
/// two parts that would have to stand differently, or where a control is missing.
fn guard(controls: &[ControlId], when: &When) -> Option<Guard> {
    let mut guard = Guard::new();
    for &(local, position) in when {
        let literal = Literal { control: *controls.get(local)?, position };
        match guard.iter().find(|l| l.control == literal.control) {
            Some(same) if same.position != position => return None,
            Some(_) => {}
            None => guard.push(literal),
        }
    }
    Some(guard)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_motor_for_two_parts_makes_one_literal_or_none() {
        let [four, five] = [4, 5].map(ControlId::new);
        let both = guard(&[four, four], &vec![(0, 1), (1, 1)]);
        assert_eq!(both, Some(vec![Literal { control: four, position: 1 }]));
        assert_eq!(guard(&[four, four], &vec![(0, 1), (1, 0)]), None);
        assert_eq!(guard(&[four, five], &vec![(0, 1), (1, 0)]).map(|g| g.len()), Some(2));
        assert_eq!(guard(&[four], &vec![(1, 0)]), None);
    }
}
