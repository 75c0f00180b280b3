//! Throw wires that press too hard.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::linkage_words::{force, linkage_finding, wanted_force};
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-too-stiff",
        title: "a throw wire holds its points with too much force",
        text: "What the arm travels beyond the throw bends the wire, and the bent wire holds the points. Its force goes with the \
               fourth power of its diameter. More than 1 N (from memory, confirm) works blades loose from their throwbar \
               and solder from its joints, and a stall motor never gets there.\n\nCalculated as a beam over a fulcrum with \
               the usual stiffness of music wire: `F = δ·12EI/(b²(3a+4b))`, the lower end clamped, \
               `δ·3EI/(b²(a+b))` pinned.\n\nFix: a thinner wire, less travel, or longer arms.",
        drawing: r#"   throwbar  ──o──  pressed with 2 N
               )
   fulcrum   ──▲──
   arm         o    1.2 mm wire"#,
        example: include_str!("examples/throw-wire-too-stiff.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    found.extend(linkage_finding(facts, WireFault::Stiff, |names, first| {
        let words = format!(
            "the wire of {names} holds the points with {}, more than {}",
            force(facts.plan.units(), &first.fit),
            wanted_force(facts.plan.units(), 1)
        );
        Finding::warning("throw-wire-too-stiff", Harm::WillAge, words)
    }));
}
