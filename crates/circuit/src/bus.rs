//! Supplies, buses with their branches, and the taps and feeders that depend on them.

use crate::builder::Builder;
use crate::wire::{TapPlace, WireMade, WireStart};
use crate::{AssumedTap, Breaker, BreakerPole, EdgeKind, InputId, NodeId, Origin, Part, Source, Spot};
use handbook::quantity::{Ohms, Quantity};
use handbook::{Spread, limits};
use plan::tables::{Feeder, Opens, RailSide, SupplyKind};
use plan::{At, Kind, Pole, Terminal};
use std::collections::BTreeMap;
use std::ops::Range;

/// What has been asked of buses and supplies so far; they are made once all taps are known.
#[derive(Default)]
pub(crate) struct Buses {
    /// For each bus and pole, the node at each place, in hundredths of a millimetre.
    nodes: BTreeMap<(usize, Pole), BTreeMap<i64, (f64, NodeId)>>,
    supplies: BTreeMap<(usize, Pole), NodeId>,
}

impl Buses {
    /// The node of a bus conductor at a place (its far end where none is said).
    pub(crate) fn node(
        &mut self,
        builder: &mut Builder<'_>,
        bus: usize,
        pole: Pole,
        place: Option<f64>,
        span: &Range<usize>,
    ) -> NodeId {
        let length = builder.plan.bus[bus].length.value.si();
        let x = match place.unwrap_or(length) {
            x if x < 1e-5 => 0.0,
            x if length - x < 1e-5 => length,
            x => x,
        };
        let name = &builder.plan.bus[bus].name.value;
        let places = self.nodes.entry((bus, pole)).or_default();
        // Places nearer than a hundredth of a millimetre are one; they may still fall into neighbouring steps.
        let step = (x * 1e5).round() as i64;
        let near = places.range(step - 1..=step + 1).find(|(_, (at, _))| (at - x).abs() < 1e-5);
        let key = near.map_or(step, |(&key, _)| key);
        let units = builder.plan.units();
        let shown = || units.metres(x);
        let spot = Spot::Bus { bus, pole, x };
        let words = || format!("{name}.{} at {}", pole.word(), shown());
        let place = places.entry(key).or_insert_with(|| (x, builder.node(words(), span, spot)));
        // The first of them along the bus is meant, whichever was asked for first.
        place.0 = place.0.min(x);
        place.1
    }

    /// A tap on a bus conductor: the node on the wire's side of it.
    pub(crate) fn tap(
        &mut self,
        builder: &mut Builder<'_>,
        bus: usize,
        pole: Pole,
        place: TapPlace,
        text: &At<String>,
    ) -> NodeId {
        let table = &builder.plan.bus[bus];
        let length = table.length.value.si();
        let (at, assumed) = match place {
            TapPlace::Said(x) | TapPlace::Beside(x) => (Some(x), None),
            TapPlace::Nearest(x) => (Some(x), Some("the nearest point; its far end for the worst case")),
            TapPlace::Unknown => (None, Some("its far end, the worst place")),
        };
        let assumed = assumed.map(|words| {
            builder.inputs.add(
                format!("where the feeders and contacts without a place tap `{}`", table.name.value),
                format!("{words} (say `along`, or `@ 2 m`)"),
                Origin::Default("the worst place, where the plan does not say"),
            )
        });
        let on_bus = self.node(builder, bus, pole, at, &text.span);
        let x = at.unwrap_or(length).clamp(0.0, length);
        let part = Part::Tap { bus, pole, x };
        let wire_side = builder.node(part.words(builder.plan), &text.span, Spot::Tap { bus, pole, x });
        let (mut ohms, mut input) = builder.contact_ohms(EdgeKind::Tap);
        let mut henries = Spread::exactly(0.0);
        if let (TapPlace::Nearest(_), Some(assumed)) = (place, assumed)
            && let Ok(wire) = handbook::wires::wire(&table.wire.value)
        {
            ohms.high += builder.copper_ohms(&wire).high * (length - x);
            input = assumed;
            let along = crate::bus_henries_per_metre(table).map_or(0.0, |pair| 0.5 * pair.high * (length - x));
            henries = Spread::new(0.0, 0.0, along);
        }
        let tap = builder.edge([wire_side, on_bus], EdgeKind::Tap, ohms, Vec::new(), input, part, &text.span);
        builder.circuit.edges[tap].henries = henries;
        let assumed = match place {
            TapPlace::Said(_) => None,
            TapPlace::Beside(_) | TapPlace::Nearest(_) => Some(AssumedTap::NearestPoint),
            TapPlace::Unknown => Some(AssumedTap::FarEnd),
        };
        builder.circuit.assumed_taps.extend(assumed.map(|assumed| (wire_side, assumed)));
        wire_side
    }

    /// A terminal of a supply.
    pub(crate) fn supply_terminal(&mut self, builder: &mut Builder<'_>, supply: usize, pole: Pole) -> NodeId {
        *self.supplies.entry((supply, pole)).or_insert_with(|| {
            let name = &builder.plan.supply[supply].name;
            builder.node(format!("{}.{}", name.value, pole.word()), &name.span, Spot::Supply { supply, pole })
        })
    }
}

impl<'p> Builder<'p> {
    /// Feeders of every track: rail to tap.
    pub(crate) fn feeders(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        for (index, track) in plan.track.iter().enumerate() {
            for feeder in track.feeders.iter() {
                for side in RailSide::ALL {
                    if feeder.value.rail.as_ref().is_none_or(|r| r.value == side) {
                        self.feeder(index, &feeder.value, side, &feeder.span, buses);
                    }
                }
            }
        }
    }

    fn feeder(&mut self, index: usize, feeder: &'p Feeder, side: RailSide, span: &Range<usize>, buses: &mut Buses) {
        let plan = self.plan;
        let track = &plan.track[index];
        let Some(text) = feeder.to.as_ref().or(track.conductor(side)) else { return };
        let Ok(target) = self.names.terminal(self.plan, &text.value) else { return };
        let x = feeder.at.value.si();
        let Some(rail) = self.circuit.at(index, side, x) else { return };
        let here = At { value: text.value.clone(), span: span.clone() };
        let beside = self.reach.beside(index, x).map(|(bus, at)| (bus, TapPlace::Said(at)));
        let start = WireStart { here: Some(self.reach.on_track(index, x)), beside: beside.into_iter().collect() };
        let Some(end) = self.wire_end(&target, &here, &start, buses) else { return };
        let wire = feeder.wire.as_ref().or(track.feeder_wire.as_ref());
        let length = feeder.length.as_ref().or(track.feeder_length.as_ref()).or(self.feeder_length());
        let part = Part::Feeder { track: index, side, x };
        let plug = feeder.plug.as_ref();
        let made = WireMade { what: "feeder", wire, length, plug, way: end.way, usual: limits::FEEDER_LENGTH };
        self.lay([rail, end.node], EdgeKind::Feeder, made, part, span);
    }

    /// Buses, their branches, supplies and breakers, now that all taps are known; then which pole
    /// each rail is meant to be on.
    pub(crate) fn buses(&mut self, mut buses: Buses) {
        let plan = self.plan;
        // Branch points first, so that the bus they are on gets its nodes there.
        for (index, bus) in plan.bus.iter().enumerate() {
            for pole in Pole::ALL {
                let start = buses.node(self, index, pole, Some(0.0), &bus.name.span);
                if let Some(from) = &bus.from
                    && let Ok((of, at)) = self.names.bus_place(&from.value)
                {
                    let trunk = buses.node(self, of, pole, at.map(|a| a.si()), &from.span);
                    let (ohms, input) = match &bus.plug {
                        Some(plug) => self.plug_ohms(plug),
                        None => self.contact_ohms(EdgeKind::Tap),
                    };
                    let part = Part::BranchJoint { bus: index, trunk: of, pole };
                    let joint = self.edge([start, trunk], EdgeKind::Tap, ohms, Vec::new(), input, part, &from.span);
                    if let Some(plug) = &bus.plug {
                        self.plugged(joint, plug);
                    }
                }
            }
        }
        for ((index, pole), places) in std::mem::take(&mut buses.nodes) {
            self.bus_runs(index, pole, &places);
            let bus = &plan.bus[index];
            if let Some(text) = &bus.supply
                && let Some((Kind::Supply, supply)) = self.names.get(&text.value)
                && let Some(&(_, start)) = places.get(&0)
            {
                let terminal = buses.supply_terminal(self, supply, pole);
                let (ohms, input) = self.contact_ohms(EdgeKind::SolderedJoint);
                let part = Part::BusLead { bus: index, supply, pole };
                self.edge([terminal, start], EdgeKind::BusWire, ohms, Vec::new(), input, part, &text.span);
            }
        }
        self.supplies(&mut buses);
        self.find_intended_poles();
    }

    fn bus_runs(&mut self, index: usize, pole: Pole, places: &BTreeMap<i64, (f64, NodeId)>) {
        let bus = &self.plan.bus[index];
        let Ok(wire) = handbook::wires::wire(&bus.wire.value) else { return };
        let per_metre = self.copper_ohms(&wire);
        let words = crate::inputs::spread_per_length(self.plan.units(), per_metre);
        let input = self.inputs.add(format!("bus wire, {}", wire.label), words, Origin::Handbook(wire.source));
        let henries = crate::bus_henries_per_metre(bus).unwrap_or(Spread::exactly(0.0));
        let mut last: Option<(f64, NodeId)> = None;
        for &(x, node) in places.values() {
            if let Some((from, before)) = last {
                let ohms = per_metre.map(|r| r * (x - from));
                let part = Part::BusRun { bus: index, pole };
                let run = self.edge([before, node], EdgeKind::BusWire, ohms, Vec::new(), input, part, &bus.name.span);
                self.circuit.edges[run].henries = henries.times(0.5 * (x - from));
            }
            last = Some((x, node));
        }
    }

    /// Supplies that feed something here, roots before those behind them.
    fn supplies(&mut self, buses: &mut Buses) {
        let plan = self.plan;
        // Whatever a used sub-breaker hangs behind is used too.
        let mut order: Vec<usize> = Vec::new();
        let mut on_way: Vec<usize> = buses.supplies.keys().map(|k| k.0).collect();
        on_way.dedup();
        let parent = |supply: usize| {
            let text = plan.supply[supply].behind.as_ref()?;
            self.names.get(&text.value).filter(|f| f.0 == Kind::Supply).map(|f| f.1)
        };
        for start in on_way {
            let mut chain = Vec::new();
            let mut at = Some(start);
            while let Some(supply) = at {
                if order.contains(&supply) || chain.contains(&supply) {
                    break;
                }
                chain.push(supply);
                at = parent(supply);
            }
            order.extend(chain.into_iter().rev());
        }
        let parents: Vec<Option<usize>> = order.iter().map(|&s| parent(s)).collect();
        let mut breaker_of: BTreeMap<usize, usize> = BTreeMap::new();
        for (&index, parent) in order.iter().zip(parents) {
            let supply = &plan.supply[index];
            let node = Pole::ALL.map(|pole| buses.supply_terminal(self, index, pole));
            let trip_amps = supply.trips.as_ref().map(|t| t.value.at.value.si());
            let senses = supply.senses.as_ref().map(|s| s.value);
            match parent.and_then(|p| breaker_of.get(&p).copied()) {
                Some(behind) => {
                    let upper = self.circuit.breakers[behind].node;
                    let (ohms, input) = self.source_ohms(index, true);
                    let opens = match supply.opens.as_ref().map_or(Opens::Both, |o| o.value) {
                        Opens::Both => [true, true],
                        Opens::A => [true, false],
                        Opens::B => [false, true],
                    };
                    let share = 1.0 / f64::from(u8::from(opens[0]) + u8::from(opens[1]));
                    for pole in Pole::ALL {
                        let ends = [upper[pole], node[pole]];
                        if opens[pole] {
                            let (ohms, part) = (ohms.map(|r| r * share), Part::Breaker { supply: index, pole });
                            self.edge(ends, EdgeKind::Source, ohms, Vec::new(), input, part, &supply.name.span);
                        } else {
                            let (joint, joint_input) = self.contact_ohms(EdgeKind::SolderedJoint);
                            let part = Part::Common { supply: index, pole };
                            self.edge(ends, EdgeKind::BusWire, joint, Vec::new(), joint_input, part, &supply.name.span);
                        }
                    }
                    let source = self.circuit.breakers[behind].source;
                    breaker_of.insert(index, self.circuit.breakers.len());
                    self.circuit.breakers.push(Breaker {
                        supply: index,
                        node,
                        behind: Some(behind),
                        opens,
                        trip_amps,
                        senses,
                        source,
                    });
                }
                None => {
                    let plus = self.node(
                        format!("{} inside", supply.name.value),
                        &supply.name.span,
                        Spot::Inside { supply: index },
                    );
                    let (ohms, input) = self.source_ohms(index, false);
                    let part = Part::Inside { supply: index };
                    self.edge([plus, node[0]], EdgeKind::Source, ohms, Vec::new(), input, part, &supply.name.span);
                    breaker_of.insert(index, self.circuit.breakers.len());
                    self.circuit.breakers.push(Breaker {
                        supply: index,
                        node,
                        behind: None,
                        opens: [true, true],
                        trip_amps,
                        senses,
                        source: self.circuit.sources.len(),
                    });
                    self.circuit.sources.push(Source {
                        supply: index,
                        name: supply.name.value.clone(),
                        plus,
                        node,
                        volts: supply.voltage.as_ref().map_or(0.0, |v| v.value.si()),
                        square_wave: !matches!(
                            supply.kind.as_ref().map(|k| k.value),
                            Some(SupplyKind::Accessory | SupplyKind::Dc)
                        ),
                    });
                }
            }
        }
    }

    fn source_ohms(&mut self, index: usize, sub_breaker: bool) -> (Spread<f64>, InputId) {
        let supply = &self.plan.supply[index];
        let name = format!("source resistance of {}", supply.name.value);
        if let Some(said) = &supply.source {
            let ohms = Spread::exactly(said.value.si());
            let words = crate::inputs::spread_words(ohms);
            return (ohms, self.inputs.add(name, words, Origin::Plan(said.span.clone())));
        }
        let accessory = supply.kind.as_ref().is_some_and(|k| matches!(k.value, SupplyKind::Accessory | SupplyKind::Dc));
        let value = if sub_breaker { limits::SUB_BREAKER_RESISTANCE } else { limits::BOOSTER_SOURCE_RESISTANCE };
        let ohms = value.value.map(|o: Ohms| o.si());
        let words = crate::inputs::spread_words(ohms);
        let origin = Origin::Default(if accessory { "as a booster's; from memory, confirm" } else { value.source });
        (ohms, self.inputs.add(name, words, origin))
    }

    /// Which pole of which breaker each rail is meant to be on, from the tracks' `left` and `right`.
    fn find_intended_poles(&mut self) {
        let plan = self.plan;
        for (index, track) in plan.track.iter().enumerate() {
            for (side, text) in [(RailSide::Left, &track.left), (RailSide::Right, &track.right)] {
                let Some(text) = text else { continue };
                let (supply, pole) = match self.names.terminal(plan, &text.value) {
                    Ok(Terminal::Bus(bus, pole, _)) => (self.supply_of(bus), pole),
                    Ok(Terminal::Supply(supply, pole)) => (Some(supply), pole),
                    Ok(Terminal::Detector(detector)) => match crate::detectors::fed_from(plan, self.names, detector) {
                        Some((bus, pole, _)) => (self.supply_of(bus), pole),
                        None => continue,
                    },
                    _ => continue,
                };
                let breaker = self.circuit.breakers.iter().position(|b| Some(b.supply) == supply);
                self.circuit.intended_pole[index][side] = breaker.map(|breaker| BreakerPole { breaker, pole });
            }
        }
    }

    /// The supply a bus depends on, through the buses it branches from.
    fn supply_of(&self, mut bus: usize) -> Option<usize> {
        for _ in 0..=self.plan.bus.len() {
            let at = &self.plan.bus[bus];
            if let Some(text) = &at.supply {
                return self.names.get(&text.value).filter(|f| f.0 == Kind::Supply).map(|f| f.1);
            }
            bus = self.names.bus_place(&at.from.as_ref()?.value).ok()?.0;
        }
        None
    }
}
