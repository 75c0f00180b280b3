//! Wires behind a larger breaker than a code for buildings allows: advice, no fault.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{feeds, words};
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Quantity, show_amps};
use handbook::wires::{self, WireGauge};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wire-beyond-code",
        title: "a wire is thinner than a building code allows behind its breaker",
        text: "Codes for wiring in buildings set the largest breaker for each small wire: 7 A for 18 AWG, 10 A for 16, 15 A for 14, \
               20 A for 12, 30 A for 10 (NEC 240.4(D)). Low-voltage wiring of a layout need not keep to it where its supply is \
               limited, and `wire-too-thin` tells what gets too hot in truth. It is good practice all the same: this is \
               advice.\n\nMetric wires are held to the next thinner AWG size. Wires thinner than 18 AWG are not in the table and are \
               left out: feeders are short, and their bus is what counts.\n\nFix: thicker wire, or a sub-breaker that trips at less.",
        drawing: r#"   breaker 10 A ═══ 18 AWG ═══   the code allows 7 A"#,
        example: include_str!("examples/wire-beyond-code.toml"),
    },
    find,
};

/// The largest breaker that may stand before a wire: of its own row, or of the next thinner size that has one.
fn allowed(wire: &WireGauge) -> Option<(Amps, &'static str)> {
    let thinner = wires::all_wires().iter().filter(|w| w.area.0 <= wire.area.0 && w.overcurrent_limit.is_some());
    let row = thinner.max_by(|a, b| a.area.0.total_cmp(&b.area.0))?.overcurrent_limit?;
    Some((row.value, row.source))
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let mut told: BTreeMap<(usize, String), Vec<usize>> = BTreeMap::new();
    for (index, bus) in facts.plan.bus.iter().enumerate() {
        if let Some(breaker) = feeds::breaker_of_bus(facts, index) {
            told.entry((breaker, bus.wire.value.clone())).or_default().push(index);
        }
    }
    for ((breaker, label), buses) in told {
        let Ok(wire) = wires::wire(&label) else { continue };
        let Some((most, source)) = allowed(&wire) else { continue };
        let nearest = &facts.circuit.breakers[breaker];
        // Where the plan does not say what trips it, the one it hangs behind must.
        let Some((trip, above)) = feeds::chain(&facts.circuit, nearest).find_map(|b| Some((b.trip_amps?, b))) else {
            continue;
        };
        if trip <= most.si() {
            continue;
        }
        let supply = &facts.plan.supply[above.supply];
        let names = buses.iter().map(|&bus| format!("`{}`", facts.plan.bus[bus].name.value));
        let message = format!(
            "`{}` trips at {}; a building code allows {} before wire of {}",
            supply.name.value,
            show_amps(Amps(trip)),
            show_amps(most),
            wire.label
        );
        found.push(
            Finding::note("wire-beyond-code", Harm::GoodToKnow, message)
                .at(facts.plan.bus[buses[0]].wire.span.clone(), "this wire")
                .fact(format!("{source}, held against {}: advice for low voltage, no rule", words::few(names)))
                .help("thicker wire, or a sub-breaker that trips at less"),
        );
    }
}
