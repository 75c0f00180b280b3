//! What feeds a bus, and what stands inside it.

use crate::Facts;
use circuit::Breaker;
use handbook::limits::{BOOSTER_SOURCE_RESISTANCE, SUB_BREAKER_RESISTANCE};
use handbook::quantity::Quantity;
use plan::Kind;

/// The breaker that a bus hangs behind, a branch behind that of the bus it starts from: its index in the circuit. None
/// where nothing feeds it.
pub(crate) fn breaker_of_bus(facts: &Facts<'_>, mut bus: usize) -> Option<usize> {
    for _ in 0..facts.plan.bus.len() {
        let table = &facts.plan.bus[bus];
        if let Some(supply) = &table.supply {
            let (_, supply) = facts.names.get(&supply.value).filter(|n| n.0 == Kind::Supply)?;
            return facts.circuit.breakers.iter().position(|b| b.supply == supply);
        }
        let name = table.from.as_ref()?.value.split('@').next()?.trim();
        bus = facts.names.get(name).filter(|n| n.0 == Kind::Bus)?.1;
    }
    None
}

/// A breaker and those it hangs behind, the nearest first.
pub(crate) fn chain<'c>(facts: &'c Facts<'_>, nearest: &'c Breaker) -> impl Iterator<Item = &'c Breaker> {
    let breakers = &facts.circuit.breakers;
    std::iter::successors(Some(nearest), |b| breakers.get(b.behind?)).take(breakers.len())
}

/// Ohms inside a supply and the breakers behind it: what the plan says, or as usual.
pub(crate) fn inside_ohms(facts: &Facts<'_>, nearest: &Breaker) -> f64 {
    chain(facts, nearest)
        .map(|breaker| {
            let usual = if breaker.behind.is_some() { SUB_BREAKER_RESISTANCE } else { BOOSTER_SOURCE_RESISTANCE };
            let said = facts.plan.supply[breaker.supply].source.as_ref();
            said.map_or(usual.value.typical.si(), |ohms| ohms.value.si())
        })
        .sum()
}
