//! Motors whose travel is too short for their points.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::linkage_words::linkage_finding;
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-too-short",
        title: "a motor's travel does not bring the points home",
        text: "The wire from a motor's arm turns over a fulcrum: what the arm travels comes out at the throwbar multiplied by \
               the length above over the length below. Where that is no more than the throwbar's own travel, the points \
               do not lie against their stock rails, or nothing holds them there: wheels pick the points, and live blades \
               do not touch.\n\nThe throw is that of `throw` under the turnout, or the scale's (HO 0.063 in, NMRA S-3.2; N \
               1.2 mm, NEM).\n\nFix: the fulcrum nearer to the arm, or more travel. `gapwright linkage` tells how much \
               travel each wire wants.",
        drawing: r#"   throwbar    |--- 1.6 mm due ---|
                    \     /            what comes out: 1.1 mm
   fulcrum            ▲
   arm             |--| 1 mm"#,
        example: include_str!("examples/throw-too-short.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    found.extend(linkage_finding(facts, WireFault::Short, |names, first| {
        let words = format!(
            "the wire of {names} moves the throwbar by {}, {} are due",
            facts.plan.units().fine(first.free_travel()),
            facts.plan.units().fine(first.throw)
        );
        Finding::warning("throw-too-short", Harm::CanStop, words)
    }));
}
