//! Current detectors as conductors: an input wire, a series element, and an output that rails are fed from.

use crate::builder::Builder;
use crate::bus::Buses;
use crate::detectors::{fed_from, volts as detector_volts};
use crate::wire::{TapPlace, WireMade};
use crate::{EdgeKind, Origin, Part, Spot};
use handbook::Spread;
use handbook::quantity::Quantity;
use plan::At;
use plan::tables::RailSide;

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
                plug: table.plug.as_ref(),
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
            let inside = self.edge([input, output], EdgeKind::Wire, ohms, Vec::new(), origin, part, &name.span);
            let keeps = detector_volts(plan, detector);
            if keeps > 0.0 {
                self.circuit.kept_volts.insert(inside, keeps);
            }
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
                let volts = detector_volts(plan, detector);
                for (segment, drop) in drops.iter_mut().enumerate() {
                    let rails = RailSide::ALL.into_iter().flat_map(|side| self.circuit.rail_nodes(segment, side));
                    if rails.into_iter().any(|node| seen[node]) {
                        drop[pole] = drop[pole].max(volts);
                    }
                }
            }
        }
        self.circuit.detector_drop = drops.into_iter().map(|[a, b]| a + b).collect();
    }
}
