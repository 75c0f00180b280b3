//! Current detectors: an input wire, a series element, and an output that rails are fed from.
//!
//! A detector of diodes keeps a voltage that hardly depends on the current: it is no resistance, but volts lost wherever the feed
//! passes it ([`Circuit::detector_drop`]).

use crate::builder::Builder;
use crate::bus::Buses;
use crate::wire::{TapPlace, WireMade};
use crate::{Circuit, EdgeKind, NodeId, Origin, Part, SegmentId, Spot};
use handbook::Spread;
use handbook::limits::DETECTOR_DROP;
use handbook::quantity::Quantity;
use plan::{At, Names, Plan, Pole, Terminal};

/// The conductor of a bus that a detector is in, and the place on it where one is said, in metres.
pub fn fed_from(plan: &Plan, names: &Names, detector: usize) -> Option<(usize, Pole, Option<f64>)> {
    match names.terminal(plan, &plan.detector[detector].from.value) {
        Ok(Terminal::Bus(bus, pole, at)) => Some((bus, pole, at.map(|at| at.si()))),
        _ => None,
    }
}

/// The volts that stay behind in a detector.
pub fn volts(plan: &Plan, detector: usize) -> f64 {
    let table = &plan.detector[detector];
    match (&table.drop, &table.resistance) {
        (Some(drop), _) => drop.value.si(),
        (None, Some(_)) => 0.0,
        (None, None) => DETECTOR_DROP.value.si(),
    }
}

impl Builder<'_> {
    /// Every detector with the wire that feeds it.
    pub(crate) fn detectors(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        for (detector, table) in plan.detector.iter().enumerate() {
            let name = &table.name;
            let mut end = |output: bool| {
                let word = if output { "out" } else { "in" };
                self.node(format!("{}.{word}", name.value), &name.span, Spot::Detector { detector, output })
            };
            let (input, output) = (end(false), end(true));
            self.detector_outputs.insert(detector, output);
            let Some((bus, pole, at)) = fed_from(plan, self.names, detector) else { continue };
            let text = At { value: table.from.value.clone(), span: table.from.span.clone() };
            let tap = buses.tap(self, bus, pole, at.map_or(TapPlace::Unknown, TapPlace::Said), &text);
            // The plan has no places for detectors: one stands beside where it taps its bus, as drivers do.
            let made = WireMade {
                what: "detector wire",
                wire: table.wire.as_ref(),
                length: table.wire_length.as_ref(),
                way: Some(0.0),
                usual: handbook::limits::FEEDER_LENGTH,
            };
            self.lay([input, tap], EdgeKind::Wire, made, Part::DetectorFeed { detector }, &table.from.span);
            let (ohms, origin) = match &table.resistance {
                Some(said) => {
                    let ohms = Spread::exactly(said.value.si());
                    let words = crate::inputs::spread_words(ohms);
                    let origin = Origin::Plan(said.span.clone());
                    (ohms, self.inputs.add(format!("resistance of detector {}", name.value), words, origin))
                }
                None => self.contact_ohms(EdgeKind::SolderedJoint),
            };
            let part = Part::Detector { detector };
            self.edge([input, output], EdgeKind::Wire, ohms, Vec::new(), origin, part, &name.span);
        }
    }

    /// What detectors take of the volts of each segment.
    pub(crate) fn detector_drops(&mut self) {
        let plan = self.plan;
        let mut drops = vec![[0.0_f64; 2]; self.circuit.segments.len()];
        if !plan.detector.is_empty() {
            let neighbours = self.circuit.neighbours();
            for (&detector, &output) in &self.detector_outputs {
                let Some((_, pole, _)) = fed_from(plan, self.names, detector) else { continue };
                // Whatever contacts may join with it counts: what another position feeds past it is no better off then.
                let seen = self.circuit.seen_from(&neighbours, output, |_| true);
                let volts = volts(plan, detector);
                for (segment, drop) in self.circuit.segments.iter().zip(&mut drops) {
                    let stops = segment.rails.iter().flat_map(|rail| &rail.stops);
                    if stops.into_iter().any(|s| seen[s.before] || seen[s.after]) {
                        drop[pole] = drop[pole].max(volts);
                    }
                }
            }
        }
        self.circuit.detector_drop = drops.into_iter().map(|[a, b]| a + b).collect();
    }
}

impl Circuit {
    /// The nodes that are joined to a node over edges of a kind, neither past a bus or a supply nor through a detector.
    pub fn seen_from(
        &self,
        neighbours: &crate::Neighbours,
        from: NodeId,
        passes: impl Fn(&crate::Edge) -> bool,
    ) -> Vec<bool> {
        let mut seen = vec![false; self.nodes.len()];
        seen[from] = true;
        let mut stack = vec![from];
        while let Some(node) = stack.pop() {
            for &(next, edge) in &neighbours[node] {
                let edge = &self.edges[edge];
                let ends = matches!(
                    self.nodes[next].spot,
                    Spot::Bus { .. } | Spot::Tap { .. } | Spot::Supply { .. } | Spot::Detector { .. }
                );
                let inside = matches!(edge.part, Part::Detector { .. });
                if !ends && !inside && !edge.removed && passes(edge) && !std::mem::replace(&mut seen[next], true) {
                    stack.push(next);
                }
            }
        }
        seen
    }

    /// The volts with which a source feeds a segment: its own, less what detectors on the way there may keep.
    pub fn volts_on(&self, source: usize, segment: SegmentId) -> f64 {
        let drop = self.detector_drop.get(segment).copied().unwrap_or(0.0);
        (self.sources[source].volts - drop).max(0.0)
    }
}
