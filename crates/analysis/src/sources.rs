//! Where the values come from that numbers rest on: the plan, the handbook and its source, or a usual value.

use crate::Analysis;
use circuit::Origin;
use handbook::quantity::{
    Fraction, Metres, Quantity, Units, show_amps, show_farads, show_percent, show_seconds, show_volts,
};
use handbook::scales::{self, TURNOUT_LEAD_SOURCE};
use handbook::{Spread, contacts, limits, materials, rails, wires};
use movement::{clear_length, clearance};
use plan::At;
use std::collections::BTreeSet;
use std::ops::Range;

/// What values are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SourceTopic {
    /// Resistances, what trains draw, what a short is, the track signal.
    Current,
    /// What wires and decoders stand.
    Protection,
    /// How rails and base move.
    Movement,
    /// Turnouts, clearances, trains.
    Lengths,
}

impl SourceTopic {
    /// All of them, in order.
    pub const ALL: [SourceTopic; 4] =
        [SourceTopic::Current, SourceTopic::Protection, SourceTopic::Movement, SourceTopic::Lengths];

    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            SourceTopic::Current => "volts and amperes",
            SourceTopic::Protection => "wires, filters and decoders",
            SourceTopic::Movement => "gaps and movement",
            SourceTopic::Lengths => "lengths",
        }
    }
}

/// A value and who says it.
#[derive(Clone, Debug, PartialEq)]
pub struct ValueSource {
    /// What it is for.
    pub topic: SourceTopic,
    /// What it is.
    pub name: String,
    /// The value in the plan's units, with its band where it has one.
    pub value: String,
    /// Who says it.
    pub origin: Origin,
}

struct List {
    topic: SourceTopic,
    rows: Vec<ValueSource>,
}

impl List {
    fn add(&mut self, name: impl Into<String>, value: impl Into<String>, origin: Origin) {
        self.rows.push(ValueSource { topic: self.topic, name: name.into(), value: value.into(), origin });
    }

    /// What the plan may say and the handbook knows else.
    fn said<T>(&mut self, name: &str, said: Option<&At<T>>, usual: (T, &'static str), show: impl Fn(&T) -> String) {
        match said {
            Some(said) => self.add(name, show(&said.value), Origin::Plan(said.span.clone())),
            None => self.add(name, show(&usual.0), Origin::Default(usual.1)),
        }
    }
}

fn banded<T: Copy + PartialEq>(band: Spread<T>, show: impl Fn(T) -> String) -> String {
    if band.low == band.high {
        return show(band.typical);
    }
    format!("{} ({} to {})", show(band.typical), show(band.low), show(band.high))
}

impl Analysis<'_> {
    /// Every value that the answers on these topics rest on, each once, in the order of the topics.
    pub fn sources(&self, topics: &[SourceTopic]) -> Vec<ValueSource> {
        let mut list = List { topic: SourceTopic::Current, rows: Vec::new() };
        let asked: BTreeSet<SourceTopic> = topics.iter().copied().collect();
        for topic in asked {
            list.topic = topic;
            match topic {
                SourceTopic::Current => self.current_sources(&mut list),
                SourceTopic::Protection => self.protection_sources(&mut list),
                SourceTopic::Movement => self.movement_sources(&mut list),
                SourceTopic::Lengths => self.length_sources(&mut list),
            }
        }
        list.rows
    }

    fn scale(&self) -> Option<&'static scales::Scale> {
        scales::scale(&self.plan.layout.as_ref()?.value.scale.value)
    }

    fn current_sources(&self, list: &mut List) {
        for input in &self.circuit.inputs {
            list.add(input.name.as_str(), input.value.as_str(), input.origin.clone());
        }
        let said = self.plan.limits.as_ref().map(|l| &l.value);
        let drop = said.and_then(|l| l.drop.as_ref());
        let usual = (limits::VOLTAGE_DROP.value, limits::VOLTAGE_DROP.source);
        list.said("voltage that may be lost on the way", drop, usual, |share| show_percent(Fraction(share.si())));
        let margin = said.and_then(|l| l.fault_margin.as_ref());
        let usual = (limits::FAULT_MARGIN.value, limits::FAULT_MARGIN.source);
        list.said("what a short must draw, over the trip current", margin, usual, |times| format!("{times} times"));
        if self.plan.train.iter().all(|t| t.draws.as_ref().is_none_or(|d| d.value.running.is_none()))
            && let Some(scale) = self.scale()
        {
            let amps = scale.train_running_current;
            let value = banded(amps.value, show_amps);
            list.add(format!("a train of {}", scale.name), value, Origin::Default(amps.source));
        }
        let short = contacts::WHEEL_SHORT;
        let value = banded(short.value, handbook::quantity::show_ohms);
        list.add("a short as wheels make it", value, Origin::Default(short.source));
        if self.circuit.sources.iter().any(|s| s.square_wave) {
            let bit = limits::ONE_HALF_BIT;
            list.add("half of a one bit", banded(bit.value, show_seconds), Origin::Handbook(bit.source));
        }
        let (step, degree) = degree(self.plan.units());
        let copper = format!("{:.3} % a {degree}", wires::COPPER_TEMPERATURE_COEFFICIENT * step * 100.0);
        let by_table = "wire tables as NBS Handbook 100; at the room's hottest air";
        list.add("copper's resistance grows by", copper, Origin::Handbook(by_table));
        let pair = limits::LOOSE_PAIR;
        if self.plan.bus.iter().any(|bus| bus.pair.is_none()) {
            let apart = banded(pair.value, |apart| self.plan.units().fine(apart.si()));
            list.add("distance of a bus's two wires", apart, Origin::Default(pair.source));
        }
    }

    fn protection_sources(&self, list: &mut List) {
        let withstand = self.scale().map_or(limits::LEAST_WITHSTAND, |scale| scale.decoder_withstand);
        list.add("what decoders withstand", show_volts(withstand.value), Origin::Handbook(withstand.source));
        let track = limits::TRACK_VOLTS;
        let [least, most] = track.value.map(show_volts);
        list.add("voltage of a track signal", format!("{least} to {most}"), Origin::Handbook(track.source));
        let edge = limits::EDGE_TIME;
        list.add("edges of the track signal", banded(edge.value, show_seconds), Origin::Handbook(edge.source));
        let input = limits::DECODER_INPUT;
        let value = banded(input.value, show_farads);
        list.add("a decoder across the rails", value, Origin::Default(input.source));
        let alone = wires::ADIABATIC_LIMIT;
        list.add("a short heats a wire alone for up to", show_seconds(alone.value), Origin::Handbook(alone.source));
        let mut seen = BTreeSet::new();
        for bus in &self.plan.bus {
            let Ok(wire) = wires::wire(&bus.wire.value) else { continue };
            if let Some(limit) = wire.overcurrent_limit.filter(|_| seen.insert(wire.label.clone())) {
                let value = show_amps(limit.value);
                list.add(format!("breaker before {}", wire.label), value, Origin::Handbook(limit.source));
            }
        }
        let rating = contacts::CONTACT_RATING;
        let value = banded(rating.value, show_amps);
        list.add("a motor's contact", value, Origin::Default(rating.source));
    }

    fn movement_sources(&self, list: &mut List) {
        let units = self.plan.units();
        let mut metals = BTreeSet::new();
        let layout = self.plan.layout.as_ref().map(|l| &l.value);
        let named = layout.and_then(|l| rails::rail(&l.rail.as_ref()?.value));
        let usual = layout.map(|l| rails::default_rail(&l.scale.value));
        let tracks = self.plan.track.iter().filter_map(|t| rails::rail(&t.rail.as_ref()?.value));
        metals.extend(tracks.chain(named.or(usual)).map(|rail| rail.metal));
        for metal in metals.into_iter().filter_map(materials::rail_metal) {
            let growth = metal.thermal_expansion;
            list.add(
                format!("{}, warmth", metal.name),
                per_kelvin(units, growth.value),
                Origin::Handbook(growth.source),
            );
            let modulus = metal.elasticity;
            let value = banded(modulus.value, |pascals| units.stress(pascals));
            list.add(format!("{}, Young's modulus", metal.name), value, Origin::Handbook(modulus.source));
        }
        let base = self.plan.base.as_ref().and_then(|b| materials::base_material(&b.value.material.value));
        let boards = self.plan.board.iter().filter_map(|b| materials::base_material(&b.material.as_ref()?.value));
        let mut bases: Vec<&materials::BaseMaterial> = base.into_iter().chain(boards).collect();
        bases.dedup_by_key(|base| base.name);
        for base in bases {
            let warmth = base.thermal_expansion;
            list.add(
                format!("{}, warmth", base.name),
                per_kelvin(units, warmth.value),
                Origin::Handbook(warmth.source),
            );
            let damp = base.growth_per_ten_percent_humidity;
            let value = banded(damp.value, |share| units.growth(share.si()));
            let each = units.growth_length();
            list.add(
                format!("{}, for 10 % more damp", base.name),
                format!("{value} {each}"),
                Origin::Handbook(damp.source),
            );
        }
        let said = self.plan.limits.as_ref().map(|l| &l.value);
        for (name, said, usual) in [
            ("narrowest gap", said.and_then(|l| l.smallest_gap.as_ref()), limits::SMALLEST_GAP),
            ("widest gap", said.and_then(|l| l.largest_gap.as_ref()), limits::LARGEST_GAP),
        ] {
            list.said(name, said, (usual.value, usual.source), |width: &Metres| units.fine(width.si()));
        }
    }

    fn length_sources(&self, list: &mut List) {
        let units = self.plan.units();
        let limits_said = self.plan.limits.as_ref().map(|l| &l.value);
        let layout = self.plan.layout.as_ref().map(|l| &l.value);
        if let Some((centres, source)) = clearance::centres(self.plan) {
            let said = layout.and_then(|l| l.centres.as_ref());
            list.said("centre lines of tracks side by side", said, (centres, source), |m| units.fine(m.si()));
        }
        if let Some(scale) = self.scale() {
            let row = |list: &mut List, name: &str, metres: Metres, source| {
                list.add(name, units.fine(metres.si()), Origin::Handbook(source));
            };
            row(list, &format!("gauge of {}", scale.name), scale.gauge.value, scale.gauge.source);
            row(list, "width that a train needs", scale.clear_width.value, scale.clear_width.source);
            if let Some(wheel) = scales::wheel(scale) {
                row(list, "width of a wheel", wheel.value.width, wheel.source);
            }
            if self.plan.turnout.iter().any(|t| t.lead.is_none()) {
                list.add(
                    "points to frog, where not measured",
                    "by number and gauge",
                    Origin::Default(TURNOUT_LEAD_SOURCE),
                );
            }
        }
        let (share, source) = clear_length::slack(self.plan);
        let said = limits_said.and_then(|l| l.slack.as_ref());
        list.said("room for slack and couplings", said, (Fraction(share), source), |share| show_percent(*share));
    }
}

/// A degree in kelvins, and its name.
fn degree(units: Units) -> (f64, &'static str) {
    match units {
        Units::Metric => (1.0, "°C"),
        Units::Imperial => (5.0 / 9.0, "°F"),
    }
}

/// Growth per kelvin, or per degree Fahrenheit.
fn per_kelvin(units: Units, band: Spread<f64>) -> String {
    let (step, name) = degree(units);
    let millionths = |strain: f64| format!("{:.1}", strain * step * 1e6);
    format!("{} millionths a {name}", banded(band, millionths))
}

/// Who says a value, in words; lines of the plan are counted by the caller.
pub fn said_by(origin: &Origin, line: impl Fn(&Range<usize>) -> usize) -> String {
    match origin {
        Origin::Plan(span) => format!("your plan, line {}", line(span)),
        Origin::Handbook(source) => (*source).to_owned(),
        Origin::Default(source) => format!("not in your plan; usual: {source}"),
    }
}
