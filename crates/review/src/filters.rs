//! Filters at the ends of buses: what they do, and what they do not.

use crate::{Facts, feeds};
use electrics::overshoot::{RingingLoop, Start};
use electrics::rc_filter::{self, Filter, Use};
use handbook::limits::{DECODER_INPUT, ONE_HALF_BIT};
use handbook::quantity::{Quantity, Volts, show_volts};
use handbook::{scales, wires};

/// A bus with a filter.
pub(crate) struct Fitted {
    /// The bus.
    pub(crate) bus: usize,
    pub(crate) filter: Filter,
    /// Volts of what feeds it.
    pub(crate) volts: f64,
    /// The bus as a loop that rings with what hangs on its end.
    pub(crate) ringing: RingingLoop,
}

/// The frequency of a track signal of ones.
pub(crate) fn track_hertz() -> f64 {
    0.5 / ONE_HALF_BIT.value.typical.si()
}

/// Every filter of the plan whose bus is fed.
pub(crate) fn fitted(facts: &Facts<'_>) -> Vec<Fitted> {
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
                henries: per_metre * metres,
                farads: DECODER_INPUT.value.si(),
            },
        });
    }
    found
}

/// What each filter does, in words.
pub(crate) fn notes(facts: &Facts<'_>) -> Vec<String> {
    let scale = facts.plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
    let bears = scale.map_or(24.0, |s| s.decoder_withstand.value.si());
    let volts = |v: f64| show_volts(Volts(v));
    let tell = |fitted: &Fitted| {
        let name = &facts.plan.bus[fitted.bus].name.value;
        let turn = rc_filter::effect(&fitted.ringing, fitted.filter, Start::of_reversal(fitted.volts), bears);
        let peaks = format!(
            "{} at a reversal without it, {} with it",
            volts(turn.without.peak.volts),
            volts(turn.with.peak.volts)
        );
        let use_of = match turn.good_for {
            Use::NotNeeded => "it is not needed",
            Use::Needed => "it is needed",
            Use::NotEnough => "it is not enough",
            Use::Nothing => "it is of no use",
        };
        format!(
            "filter of `{name}`: {peaks}, decoders bear {}: {use_of}; what breaking a short throws up no such filter holds",
            volts(bears)
        )
    };
    fitted(facts).iter().map(tell).collect()
}
