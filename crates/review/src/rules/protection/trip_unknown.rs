//! The plan does not say when a supply trips.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "trip-unknown",
        title: "the plan does not say when a supply trips",
        text: "Whether a short trips a breaker depends on the current that trips it. Without it the report can say what \
               current a short draws, but not whether that is enough.\n\nFix: add `trips = { at = \"4.5 A\", after = \
               \"120 ms\" }` with the values of the supply's data sheet, or as you measured them.",
        drawing: r#"   booster ── trips at ? A ── rails"#,
        example: include_str!("examples/trip-unknown.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    for breaker in facts.circuit.breakers.iter().filter(|b| b.trip_amps.is_none()) {
        let supply = &facts.plan.supply[breaker.supply];
        found.push(
            Finding::note(
                "trip-unknown",
                Harm::GoodToKnow,
                format!("nothing says at what current `{}` trips", supply.name.value),
            )
            .at(supply.name.span.clone(), "no `trips`")
            .help("add `trips = { at = \"4.5 A\", after = \"120 ms\" }` with your supply's values"),
        );
    }
}
