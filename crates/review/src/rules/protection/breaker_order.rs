//! A breaker that hangs behind another does not break first.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};
use handbook::quantity::{show_amps, show_seconds};
use plan::Kind;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "breaker-order",
        title: "the breaker of a district does not break before the one it hangs behind",
        text: "A sub-breaker is there so that a short in its district stops only that district. For that it must break \
               at a smaller current than the breaker it hangs behind, and sooner: else the upper one opens too, or \
               instead, and everything behind it stands still. (Common practice, no source.)\n\nFix: set the \
               sub-breaker lower and quicker, or the upper one higher and slower.",
        drawing: r#"   booster ─ trips at 4 A ─── east breaker ─ trips at 5 A ─── rails
   a short in the east trips the booster first: everything stops"#,
        example: include_str!("examples/breaker-order.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    for supply in facts.plan.supply.iter() {
        let Some(behind) = &supply.behind else { continue };
        let Some((Kind::Supply, upper)) = facts.names.get(&behind.value) else { continue };
        let upper = &facts.plan.supply[upper];
        let (Some(own), Some(above)) = (&supply.trips, &upper.trips) else { continue };
        let (lower_at, upper_at) = (own.value.at.value, above.value.at.value);
        let mut faults = Vec::new();
        if lower_at.0 >= upper_at.0 {
            faults.push(format!("at {}, not below {}", show_amps(lower_at), show_amps(upper_at)));
        }
        if let (Some(lower), Some(upper)) = (&own.value.after, &above.value.after)
            && lower.value.0 >= upper.value.0
        {
            faults.push(format!("after {}, not before {}", show_seconds(lower.value), show_seconds(upper.value)));
        }
        if faults.is_empty() {
            continue;
        }
        let words = faults.join(", and ");
        let fact = format!("it breaks {words}");
        found.push(
            Finding::warning(
                "breaker-order",
                Harm::CanStop,
                format!("`{}` does not trip before `{}`, which it is behind", supply.name.value, upper.name.value),
            )
            .fact(fact)
            .at(own.span.clone(), "does not break first")
            .also(above.span.clone(), "the breaker above it")
            .help("set the sub-breaker lower and quicker than the one it hangs behind"),
        );
    }
}
