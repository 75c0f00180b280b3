//! More contacts are wired than a motor or relay has.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};
use plan::At;
use plan::tables::ContactTable;
use plan::value::List;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "too-few-contacts",
        title: "more contacts are wired than there are",
        text: "A turnout motor has one change-over contact, or two; a relay as many as its maker gave it. Each can do one \
               thing: feed the frog, or feed a storage track, or light a lamp. Where `contacts` says how many there \
               are, and more are wired, some of what the plan proves will never be there: a frog stays dead, or a track.\
               \n\nFix: let a relay follow the motor (`[[relay]]` with `follows`) and wire the rest to its contacts; or \
               choose a motor with more contacts; or correct `contacts`.",
        drawing: r#"   motor with 2 contacts:  1 frog   2 storage   3 lamp?"#,
        example: include_str!("examples/too-few-contacts.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    for motor in &facts.plan.motor {
        hold("motor", &motor.name, motor.contacts.as_ref(), &motor.contact, found);
    }
    for relay in &facts.plan.relay {
        hold("relay", &relay.name, relay.contacts.as_ref(), &relay.contact, found);
    }
}

fn hold(what: &str, name: &At<String>, has: Option<&At<u32>>, wired: &List<ContactTable>, found: &mut Vec<Finding>) {
    let Some(has) = has else { return };
    let most = usize::try_from(has.value).unwrap_or(usize::MAX);
    let Some(first_missing) = wired.items.get(most) else { return };
    let number = |n: usize| match n {
        0 => "no contact".to_owned(),
        1 => "1 contact".to_owned(),
        n => format!("{n} contacts"),
    };
    let words = format!(
        "{what} `{}` has {}, and {} {} wired",
        name.value,
        number(most),
        wired.items.len(),
        if wired.items.len() == 1 { "is" } else { "are" }
    );
    let follow = if what == "motor" { name.value.as_str() } else { "the same motor" };
    found.push(
        Finding::error("too-few-contacts", Harm::CanStop, words)
            .at(first_missing.span.clone(), "from here on there is none to wire")
            .also(has.span.clone(), "how many there are")
            .help(format!("wire the rest to a relay that follows {follow}, or correct `contacts`")),
    );
}
