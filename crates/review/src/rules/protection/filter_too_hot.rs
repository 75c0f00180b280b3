//! A filter whose resistor burns what it cannot bear.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::filters::{self, Fitted};
use finding::{Finding, Harm};
use handbook::quantity::{Quantity, Watts, show_watts};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "filter-too-hot",
        title: "the filter at a bus end burns more than its resistor bears",
        text: "A resistor and a capacitor across the far end of a bus calm the ringing of the track signal. Each time the \
               signal turns over, the capacitor is charged anew through the resistor, 17,000 times a second, with or \
               without trains: about `4·C·V²·f`. A resistor for a quarter or half a watt is soon too small; it browns, \
               smells, and may set light to what it touches.\n\nFix: a smaller capacitor, or a resistor for twice what \
               it burns, held away from wood and insulation.",
        drawing: r#"   A ═══════════════════╤══
      bus               ▒ R   hot
   B ═══════════════╤═══╧══
                    ╪ C       charged and discharged 17,000 times a second"#,
        example: include_str!("examples/filter-too-hot.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    for Fitted { bus, filter, volts, .. } in filters::fitted(facts) {
        let bus = &facts.plan.bus[bus];
        let Some(said) = &bus.filter else { continue };
        let Some(power) = &said.value.power else { continue };
        let heat = filter.heat(volts, analysis::figures::track_hertz());
        if heat.watts <= power.value.si() {
            continue;
        }
        found.push(
            Finding::warning(
                "filter-too-hot",
                Harm::CanBurn,
                format!(
                    "the filter of `{}` burns {}; its resistor bears {}",
                    bus.name.value,
                    show_watts(Watts(heat.watts)),
                    show_watts(power.value)
                ),
            )
            .at(power.span.clone(), "what the resistor bears for good")
            .help(format!("a resistor for {} or more, or a smaller capacitor", show_watts(Watts(2.0 * heat.watts)))),
        );
    }
}
