//! Throw wires that are bent for good.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::linkage_words::linkage_finding;
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-overstressed",
        title: "a throw wire is bent farther than it springs back from",
        text: "A wire that is bent too far stays bent, and then holds its points on one side only. The stress is greatest at the \
               fulcrum, `32·F·b/(π·d³)`. Music wire bears some three quarters of its tensile strength (from memory, \
               confirm); the strength is the least of ASTM A228 for its diameter.\n\nFix: less travel, or longer arms. A \
               thinner wire bears more bending, and holds with less force.",
        drawing: r#"   throwbar  ──o──
                )   bent past what it bears
   fulcrum   ──▲──
   arm     o        20 mm of travel too much"#,
        example: include_str!("examples/throw-wire-overstressed.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    found.extend(linkage_finding(facts, WireFault::Overstressed, |names, first| {
        let words = format!(
            "the wire of {names} is bent to {}, {} is what it bears",
            facts.plan.units().stress(first.fit.stress),
            facts.plan.units().stress(first.fit.bears.unwrap_or_default())
        );
        Finding::warning("throw-wire-overstressed", Harm::WillAge, words)
    }));
}
