//! A contact in a track feed would not bear a short until the breaker opens.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::contact_currents::{Wires, above};
use analysis::words;
use circuit::Breaker;
use finding::{Finding, Harm};
use handbook::quantity::{Amps, Quantity, show_amps, show_seconds};
use plan::At;
use plan::tables::ContactTable;
use plan::value::List;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "contact-overloaded",
        title: "a contact cannot bear the current that trips its breaker",
        text: "Whatever shorts the rail behind a contact draws at least what trips the breaker, or the breaker would not \
               open; until it does, that current flows through the contact. A contact that may carry less can weld \
               together. It then feeds a frog of the wrong phase, or a storage track that should be dead.\n\nThe finding \
               compares `contact_rating` with the current at which the nearest breaker above the contact trips. A rating \
               is most often for hours; a maker who gives a higher one for a moment may be believed instead. Contacts \
               that feed no rail are left alone.\n\nFix: a relay with stronger contacts that follows the motor; or a \
               sub-breaker that trips at less, for what these contacts feed.",
        drawing: r#"   bus ──── contact, rated 1 A ──── rails ⚡ short: 4.5 A
   until the breaker opens, the contact must bear it"#,
        example: include_str!("examples/contact-overloaded.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let wires = Wires::from_circuit(&facts.circuit);
    for motor in &facts.plan.motor {
        hold(facts, &wires, ("motor", &motor.name), motor.contact_rating.as_ref(), &motor.contact, found);
    }
    for relay in &facts.plan.relay {
        hold(facts, &wires, ("relay", &relay.name), relay.contact_rating.as_ref(), &relay.contact, found);
    }
}

fn hold(
    facts: &Context<'_>,
    wires: &Wires<'_>,
    (what, name): (&str, &At<String>),
    rating: Option<&At<Amps>>,
    contacts: &List<ContactTable>,
    found: &mut Vec<Finding>,
) {
    let Some(rating) = rating else { return };
    let mut weak: Vec<String> = Vec::new();
    let mut worst: Option<(f64, &Breaker)> = None;
    for (number, contact) in contacts.iter().enumerate() {
        let Some((trip, breaker)) = above(wires, &contact.span) else { continue };
        if rating.value.si() < trip {
            weak.push(format!("{}.{}", name.value, number + 1));
            if worst.is_none_or(|(most, _)| trip > most) {
                worst = Some((trip, breaker));
            }
        }
    }
    let Some((trip, breaker)) = worst else { return };
    let supply = &facts.plan.supply[breaker.supply];
    let mut finding = Finding::warning(
        "contact-overloaded",
        Harm::CanBurn,
        format!(
            "the contacts of {what} `{}` may carry {}; `{}` lets {} through before it trips",
            name.value,
            show_amps(rating.value),
            supply.name.value,
            show_amps(Amps(trip))
        ),
    )
    .at(rating.span.clone(), "what each contact may carry");
    if let Some(trips) = &supply.trips {
        finding = finding.also(trips.value.at.span.clone(), "what trips the breaker");
        if let Some(after) = &trips.value.after {
            finding = finding.fact(format!("a short flows for {} until it opens", show_seconds(after.value)));
        }
    }
    finding = finding.fact(format!("in the feed of rails: {}", words::list(&weak)));
    found.push(finding.help("use a relay with stronger contacts, or a sub-breaker that trips at less"));
}
