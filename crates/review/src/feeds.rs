//! What feeds a bus, and what stands inside it.

use crate::Facts;
use circuit::{Breaker, Circuit};
use handbook::limits::{BOOSTER_SOURCE_RESISTANCE, SUB_BREAKER_RESISTANCE};
use handbook::quantity::Quantity;
use plan::Kind;

/// The breaker that a bus hangs behind, a branch behind that of the bus it starts from: its index in the circuit. None
/// where nothing feeds it.
pub(crate) fn breaker_of_bus(facts: &Facts<'_>, bus: usize) -> Option<usize> {
    let supply = buses_up(facts, bus).find_map(|bus| facts.plan.bus[bus].supply.as_ref())?;
    let (_, supply) = facts.names.get(&supply.value).filter(|n| n.0 == Kind::Supply)?;
    facts.circuit.breakers.iter().position(|b| b.supply == supply)
}

/// A bus and those it branches from, up to the supply.
pub(crate) fn buses_up(facts: &Facts<'_>, bus: usize) -> impl Iterator<Item = usize> {
    let above = |bus: &usize| {
        let name = facts.plan.bus[*bus].from.as_ref()?.value.split('@').next()?.trim();
        Some(facts.names.get(name).filter(|n| n.0 == Kind::Bus)?.1)
    };
    std::iter::successors(Some(bus), above).take(facts.plan.bus.len())
}

/// A breaker and those it hangs behind, the nearest first.
pub(crate) fn chain<'c>(circuit: &'c Circuit, nearest: &'c Breaker) -> impl Iterator<Item = &'c Breaker> {
    let breakers = &circuit.breakers;
    std::iter::successors(Some(nearest), |b| breakers.get(b.behind?)).take(breakers.len())
}

/// Ohms inside a supply and the breakers behind it: what the plan says, or as usual.
pub(crate) fn inside_ohms(facts: &Facts<'_>, nearest: &Breaker) -> f64 {
    chain(&facts.circuit, nearest)
        .map(|breaker| {
            let usual = if breaker.behind.is_some() { SUB_BREAKER_RESISTANCE } else { BOOSTER_SOURCE_RESISTANCE };
            let said = facts.plan.supply[breaker.supply].source.as_ref();
            said.map_or(usual.value.typical.si(), |ohms| ohms.value.si())
        })
        .sum()
}
