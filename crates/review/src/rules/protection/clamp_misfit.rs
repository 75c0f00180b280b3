//! A suppressor diode that conducts too early to be borne, or too late to be of use.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{feeds, filters};
use finding::{Finding, Harm};
use handbook::quantity::{Quantity, Volts, show_volts};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "clamp-misfit",
        title: "a suppressor diode conducts at the wrong voltage",
        text: "When a short circuit clears, the current in the wiring's inductance has nowhere to go but into the decoders, and \
               lifts the rails far above the supply. A suppressor diode across the bus takes that current, and holds the \
               rails at the voltage it conducts at. That voltage must lie between two others: above the supply's, or it \
               conducts all the time and burns; below what decoders are made to bear, 24 V for N and 27 V for larger \
               scales (NMRA S-9.1), or they take the blow before it does. A filter of resistor and capacitor does not do \
               this work.\n\nFix: a diode for both polarities between the two voltages; what its sheet calls the \
               clamping voltage counts, not the one at which it starts to conduct.",
        drawing: r#"   27 V  ─ ─ ─ ─ ─ ─ ─ ─ ─ ─ ─  what decoders bear
                 ╭─╮   clamp: between the two
   15 V  ────────╯ ╰──────────  the supply"#,
        example: include_str!("examples/clamp-misfit.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let bears = filters::borne(facts);
    for (index, bus) in facts.plan.bus.iter().enumerate() {
        let Some(clamp) = &bus.clamp else { continue };
        let Some(breaker) = feeds::breaker_of_bus(facts, index) else { continue };
        let supply = facts.circuit.sources[facts.circuit.breakers[breaker].source].volts;
        let at = clamp.value.si();
        let name = &bus.name.value;
        let shown = |volts: f64| show_volts(Volts(volts));
        let finding = if at <= supply {
            let message =
                format!("the clamp of `{name}` conducts at {}, and its supply has {}", shown(at), shown(supply));
            Finding::error("clamp-misfit", Harm::CanBurn, message).at(clamp.span.clone(), "conducts all the time")
        } else if at > bears {
            let message = format!("the clamp of `{name}` holds at {}, and decoders bear {}", shown(at), shown(bears));
            Finding::warning("clamp-misfit", Harm::WillAge, message).at(clamp.span.clone(), "holds too late")
        } else {
            continue;
        };
        found.push(finding.help(format!("one that holds between {} and {}", shown(supply), shown(bears))));
    }
}
