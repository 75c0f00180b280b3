//! The plan is too tangled to be proved.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::Unproved;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "not-covered",
        title: "the plan is too tangled to be proved",
        text: "The plan is understood, but so much in it depends on so much else that the conditions outgrow their \
               limit of a million decisions. Nothing is called proved then: not even what seems independent of it, \
               since a current finds every path.\n\nA ladder of hundreds of turnouts is far from that limit. What comes \
               near it is a great many switches in a net with many ways round, such as rail that each of dozens of \
               contacts can join to each of dozens of others.\n\nFix: split the plan at a place where both rails \
               are gapped, and have its parts proved one by one.",
        drawing: r#"   ──┬─/ ──┬─/ ──┬─/ ──
     /     /     /        many switches, many ways round
   ──┴─/ ──┴─/ ──┴─/ ──"#,
        example: "",
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    if let Err(Unproved::TooComplex(limit)) = facts.proof() {
        found.push(
            Finding::error(
                "not-covered",
                Harm::Unclear,
                format!("the plan is too tangled to be proved: a condition outgrew {limit} decision nodes"),
            )
            .help("split the plan at a place where both rails are gapped"),
        );
    }
}
