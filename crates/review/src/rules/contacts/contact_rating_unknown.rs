//! Contacts in the feed of rails whose rating the plan does not say, behind a breaker that lets more through than usual ones bear.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::contact_currents::{Wires, above};
use analysis::words;
use finding::{Finding, Harm};
use handbook::contacts::CONTACT_RATING;
use handbook::quantity::{Amps, Quantity, show_amps};
use plan::At;
use plan::tables::ContactTable;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "contact-rating-unknown",
        title: "contacts feed rails, and the plan does not say what they bear",
        text: "A contact that switches a frog or a section carries the whole of a short's current until the breaker opens. What it \
               bears is written on the motor or relay, and the plan does not say it (`contact_rating`). Usual ones bear 1 to 5 A, 3 A \
               in the middle (from memory, confirm); the breaker above these lets more through than the strongest of them bears.\n\nTold once for all contacts.\n\n\
               Fix: look it up and write it into the plan, or feed these contacts behind a sub-breaker that trips at less.",
        drawing: r#"   breaker 8 A ────o ╱o──── frog     this contact: 3 A, or 1, or 5?"#,
        example: include_str!("examples/contact-rating-unknown.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let wires = Wires::from_circuit(&facts.circuit);
    let motors = facts.plan.motor.iter().map(|m| (&m.name, m.contact_rating.is_some(), &m.contact));
    let relays = facts.plan.relay.iter().map(|r| (&r.name, r.contact_rating.is_some(), &r.contact));
    let trip = |contact: &At<ContactTable>| above(&wires, &contact.span).map(|found| found.0);
    let unknown = motors.chain(relays).filter(|(_, said, _)| !said).filter_map(|(name, _, contacts)| {
        let most = contacts.iter().filter_map(&trip).reduce(f64::max)?;
        (most > CONTACT_RATING.value.high.si()).then_some((name, most))
    });
    let unknown: Vec<_> = unknown.collect();
    let Some(worst) = unknown.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    let usual = CONTACT_RATING.value;
    found.push(
        Finding::note(
            "contact-rating-unknown",
            Harm::GoodToKnow,
            format!(
                "the contacts of `{}` carry up to {} until the breaker trips; what they bear is not said",
                worst.0.value,
                show_amps(Amps(worst.1))
            ),
        )
        .at(worst.0.span.clone(), "its contacts feed rails")
        .fact(format!(
            "usual ones bear {} to {}, {} in the middle ({})",
            show_amps(usual.low),
            show_amps(usual.high),
            show_amps(usual.typical),
            CONTACT_RATING.source
        ))
        .fact(format!("not said of: {}", words::few(unknown.iter().map(|(name, _)| format!("`{}`", name.value)))))
        .help("look it up and write it down: `contact_rating = \"5 A\"`"),
    );
}
