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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// No small plan outgrows the limit, so the proof is put in by hand.
    #[test]
    fn a_plan_that_outgrew_the_limit_is_told_as_not_proved() {
        let text = "[layout]\nname = \"t\"\nscale = \"OO\"\n\
                    [[track]]\nname = \"a\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"1 m\"\n";
        let reading = plan::read(text);
        let analysis = analysis::Analysis::of(text, &reading.plan, &reading.names);
        let mut found = Vec::new();
        find(&Context::new(&analysis, crate::rules::find_all), &mut found);
        assert!(found.is_empty());
        let unproved = Err(Unproved::TooComplex(1 << 20));
        let analysis = analysis::Analysis::of_proved((text, &reading.plan, &reading.names), analysis.circuit, unproved);
        let context = Context::new(&analysis, crate::rules::find_all);
        find(&context, &mut found);
        let [shown] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!(
            shown.message.to_string(),
            "the plan is too tangled to be proved: a condition outgrew 1048576 decision nodes"
        );
        assert!(crate::Summary::from_context(&context).render(80).contains("nothing: see below"));
    }
}
