//! A plug that may carry less than what trips the breaker above it.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::feeds;
use finding::{Finding, Harm};
use handbook::contacts::PLUG_RATING;
use handbook::quantity::{Amps, Quantity, show_amps};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "plug-overloaded",
        title: "a plug may carry less than what trips its breaker",
        text: "All current of a board flows through the plug of its bus. Until the breaker trips, that can be as much as trips it. \
               A contact that carries more than it is made for gets hot, and its spring goes soft: from then on it gets hotter.\
               \n\nThe finding compares the rating of one contact with the current at which the nearest breaker above trips. Where \
               the plan gives no rating, a usual one is assumed (from memory, confirm).\n\nFix: a plug with stronger contacts; or several \
               contacts side by side for each conductor, and their common rating in the plan; or a sub-breaker that trips at \
               less for that board.",
        drawing: r#"   bus ──── plug, 5 A ──── bus of the next board
   breaker trips at 8 A: the plug may carry up to 8 A for good"#,
        example: include_str!("examples/plug-overloaded.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    for (index, bus) in plan.bus.iter().enumerate() {
        let Some(plug) = &bus.plug else { continue };
        let Some(nearest) = feeds::breaker_of_bus(facts, index).map(|breaker| &circuit.breakers[breaker]) else {
            continue;
        };
        // Where the plan does not say what trips it, the one it hangs behind must.
        let known = feeds::chain(circuit, nearest).find_map(|breaker| Some((breaker.trip_amps?, breaker.supply)));
        let Some((trip, breaker)) = known else { continue };
        let said = plug.value.rating.as_ref();
        let rating = said.map_or(PLUG_RATING.value, |rating| rating.value);
        if rating.si() >= trip {
            continue;
        }
        let supply = &plan.supply[breaker];
        let mut finding = Finding::warning(
            "plug-overloaded",
            Harm::CanBurn,
            format!(
                "the plug of `{}` may carry {}; `{}` trips at {}",
                bus.name.value,
                show_amps(rating),
                supply.name.value,
                show_amps(Amps(trip))
            ),
        )
        .at(said.map_or(plug.span.clone(), |rating| rating.span.clone()), "what a contact of it may carry");
        if let Some(trips) = &supply.trips {
            finding = finding.also(trips.value.at.span.clone(), "what trips the breaker");
        }
        if said.is_none() {
            finding = finding.fact(format!(
                "the plan gives no rating, so a usual one was assumed ({}): `plug = {{ rating = \"8 A\" }}`",
                PLUG_RATING.source
            ));
        }
        found.push(finding.help(
            "use a plug with stronger contacts, more contacts side by side, or a sub-breaker that trips at less",
        ));
    }
}
