//! Throw wires that press too little.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::linkage_words::{force, linkage_finding, wanted_force};
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-too-soft",
        title: "a throw wire does not hold its points fast",
        text: "What the arm travels beyond the throw bends the wire, and the bent wire holds the points. Less than 0.3 N (from \
               memory, confirm) lets a wheel or a grain of ballast lift a blade off its stock rail. Its force goes with \
               the fourth power of its diameter, see `throw-wire-too-stiff`.\n\nFix: a thicker wire, or more travel.",
        drawing: r#"   throwbar  ──o──  pressed with 0.1 N
               |
   fulcrum   ──▲──
   arm         o    0.5 mm wire"#,
        example: include_str!("examples/throw-wire-too-soft.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    found.extend(linkage_finding(facts, WireFault::Soft, |names, first| {
        let words = format!(
            "the wire of {names} holds the points with {} only, {} are wanted",
            force(facts.plan.units(), &first.fit),
            wanted_force(facts.plan.units(), 0)
        );
        Finding::warning("throw-wire-too-soft", Harm::CanStop, words)
    }));
}
