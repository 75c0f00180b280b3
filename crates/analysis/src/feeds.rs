//! What feeds a bus, and what stands inside it.

use crate::Analysis;
use circuit::{Breaker, Circuit};
use handbook::Spread;
use handbook::limits::{BOOSTER_SOURCE_RESISTANCE, FEEDER_WIRE, SUB_BREAKER_RESISTANCE};
use handbook::quantity::Quantity;
use plan::{At, Kind, Plan};

/// The breaker that a bus hangs behind, a branch behind that of the bus it starts from: its index in the circuit. None
/// where nothing feeds it.
pub fn breaker_of_bus(facts: &Analysis<'_>, bus: usize) -> Option<usize> {
    let supply = buses_up(facts, bus).find_map(|bus| facts.plan.bus[bus].supply.as_ref())?;
    let (_, supply) = facts.names.get(&supply.value).filter(|n| n.0 == Kind::Supply)?;
    facts.circuit.breakers.iter().position(|b| b.supply == supply)
}

/// A bus and those it branches from, up to the supply.
pub fn buses_up(facts: &Analysis<'_>, bus: usize) -> impl Iterator<Item = usize> {
    let above = |bus: &usize| {
        let name = facts.plan.bus[*bus].from.as_ref()?.value.split('@').next()?.trim();
        Some(facts.names.get(name).filter(|n| n.0 == Kind::Bus)?.1)
    };
    std::iter::successors(Some(bus), above).take(facts.plan.bus.len())
}

/// A breaker and those it hangs behind, the nearest first.
pub fn chain<'c>(circuit: &'c Circuit, nearest: &'c Breaker) -> impl Iterator<Item = &'c Breaker> {
    let breakers = &circuit.breakers;
    std::iter::successors(Some(nearest), |b| breakers.get(b.behind?)).take(breakers.len())
}

/// The current that trips a breaker, in amperes, and that breaker; where the plan does not say it, of the nearest above it of
/// which it does.
pub fn known_trip<'c>(circuit: &'c Circuit, nearest: &'c Breaker) -> Option<(f64, &'c Breaker)> {
    chain(circuit, nearest).find_map(|breaker| Some((breaker.trip_amps?, breaker)))
}

/// Ohms inside a supply and the breakers behind it: what the plan says, or as usual.
pub fn inside_ohms(facts: &Analysis<'_>, nearest: &Breaker) -> f64 {
    inside_band(facts, nearest).typical
}

/// The same over its band.
pub fn inside_band(facts: &Analysis<'_>, nearest: &Breaker) -> Spread<f64> {
    chain(&facts.circuit, nearest)
        .map(|breaker| {
            let usual = if breaker.behind.is_some() { SUB_BREAKER_RESISTANCE } else { BOOSTER_SOURCE_RESISTANCE };
            let said = facts.plan.supply[breaker.supply].source.as_ref();
            said.map_or(usual.value.map(|ohms| ohms.si()), |ohms| Spread::exactly(ohms.value.si()))
        })
        .fold(Spread::exactly(0.0), Spread::plus)
}

/// The wire of feeders and contacts where nothing nearer says it.
pub fn feeder_wire(plan: &Plan) -> Option<&At<String>> {
    plan.layout.as_ref().and_then(|l| l.value.feeder_wire.as_ref())
}

/// Every feeder of every track: the track's index and its wire, where the plan says it.
pub fn feeder_wires(plan: &Plan) -> impl Iterator<Item = (usize, Option<&At<String>>)> {
    plan.track.iter().enumerate().flat_map(move |(index, track)| {
        let own = track.feeder_wire.as_ref().or(feeder_wire(plan));
        track.feeders.iter().map(move |feeder| (index, feeder.value.wire.as_ref().or(own)))
    })
}

/// A wire as it is said, or the handbook's default for feeders.
pub fn wire_size(said: Option<&At<String>>) -> &str {
    said.map_or(FEEDER_WIRE.value, |wire| wire.value.as_str())
}
