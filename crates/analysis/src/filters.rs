//! Filters and clamps at the ends of buses, and what rises without them.

use crate::figures::TrackLine;
use crate::{Analysis, feeds};
use electrics::edges::{FilterUse, over_edges};
use electrics::overshoot::{RingingLoop, energy_joules};
use electrics::rc_filter::Filter;
use handbook::limits::{DECODER_INPUT, EDGE_TIME, LEAST_WITHSTAND};
use handbook::quantity::{Amps, Quantity, Volts, show_amps, show_volts};
use handbook::{scales, wires};

/// A bus with a filter.
pub struct Fitted {
    /// The bus.
    pub bus: usize,
    /// What it has to bear.
    pub filter: Filter,
    /// Volts of what feeds it.
    pub volts: f64,
    /// The bus as a loop that rings with what depends on its end.
    pub ringing: RingingLoop,
}

/// Every filter of the plan whose bus is fed.
pub fn fitted(facts: &Analysis<'_>) -> Vec<Fitted> {
    let plan = facts.plan;
    let mut found = Vec::new();
    for (index, bus) in plan.bus.iter().enumerate() {
        let Some(said) = &bus.filter else { continue };
        let Ok(wire) = wires::wire(&bus.wire.value) else { continue };
        let Some(breaker) = feeds::breaker_of_bus(facts, index) else { continue };
        let breaker = &facts.circuit.breakers[breaker];
        let source = &facts.circuit.sources[breaker.source];
        let Some(per_metre) = circuit::bus_henries_per_metre(bus) else { continue };
        let metres = bus.length.value.si();
        let ohms = 2.0 * wire.resistance_per_metre.typical.si() * metres + feeds::inside_ohms(facts, breaker);
        found.push(Fitted {
            bus: index,
            filter: Filter { ohms: said.value.resistance.value.si(), farads: said.value.capacitance.value.si() },
            volts: source.volts,
            ringing: RingingLoop {
                volts: source.volts,
                ohms,
                henries: per_metre.typical * metres,
                farads: DECODER_INPUT.value.typical.si(),
            },
        });
    }
    found
}

/// What decoders of the layout's scale bear, in volts; of an unknown scale the least.
pub fn borne(facts: &Analysis<'_>) -> f64 {
    let scale = facts.plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
    scale.map_or(LEAST_WITHSTAND.value.si(), |s| s.decoder_withstand.value.si())
}

/// What a short that lets go leaves in the wiring, where no diode takes it. How much a decoder's own capacitors hold no
/// standard says, so what they would have to hold is reported: with C at the supply's voltage V behind the decoders' bridges
/// and a current I in L, V + I·√(L/C) is what it rises to, undamped.
pub fn broken_fault(facts: &Analysis<'_>) -> Option<String> {
    let figures = facts.figures().filter(|_| facts.plan.bus.iter().all(|b| b.clamp.is_none()))?;
    let bears = borne(facts);
    let left = |t: &TrackLine| {
        let henries = t.decoder?.1.typical;
        let in_wiring = t.supply_volts - t.detector_volts - t.standing_volts - t.volts.typical;
        let ohms = in_wiring / figures.load_case.train_amps;
        let amps = t.supply_volts / (ohms + figures.load_case.bridge_ohms.typical);
        let farads = henries * (amps / (bears - t.supply_volts)).powi(2);
        (bears > t.supply_volts && farads.is_finite()).then_some((amps, henries, farads))
    };
    let all = figures.tracks.iter().filter_map(|t| Some((t, left(t)?)));
    let (track, (amps, henries, farads)) = all.max_by(|a, b| a.1.2.total_cmp(&b.1.2))?;
    Some(format!(
        "when a short circuit on `{}` clears, {} in {:.1} µH of wiring ({:.1} mJ) kicks out a spike above the {} that decoders \
         bear, unless {:.0} µF or more are on the rails. Fit a suppressor diode across the end of the bus (`clamp`); a filter does not help",
        track.name,
        show_amps(Amps(amps)),
        henries * 1e6,
        energy_joules(henries, amps) * 1e3,
        show_volts(Volts(bears)),
        (farads * 1e6).ceil()
    ))
}

/// What each filter does, in words: over the band of edges and of what hangs on the end of the bus, both named.
pub fn notes(facts: &Analysis<'_>) -> Vec<String> {
    let bears = borne(facts);
    let volts = |v: f64| show_volts(Volts(v));
    let (edge, farads) = (EDGE_TIME.value.map(|s| s.si()), DECODER_INPUT.value.map(|f| f.si()));
    let describe = |fitted: &Fitted| {
        let name = &facts.plan.bus[fitted.bus].name.value;
        let found = over_edges(&fitted.ringing, fitted.filter, edge, farads);
        let use_of = match found.good_for(bears) {
            FilterUse::NotNeeded => "it is not needed",
            FilterUse::Needed => "it is needed",
            FilterUse::MayBeNeeded => "whether it is needed depends on how quick the edges of your booster are",
            FilterUse::NotEnough => "it is not always enough",
        };
        let [[low, high], [low_with, high_with]] = [found.without, found.with];
        format!(
            "filter of `{name}`: {} to {} at a reversal without it, {} to {} with it, for edges of {:.1} to {:.1} µs and {:.1} to \
             {:.0} nF at the end of the bus; decoders bear {}: {use_of}; what breaking a short throws up no such filter holds",
            volts(low),
            volts(high),
            volts(low_with),
            volts(high_with),
            edge.high * 1e6,
            edge.low * 1e6,
            farads.low * 1e9,
            farads.high * 1e9,
            volts(bears)
        )
    };
    fitted(facts).iter().map(describe).collect()
}
