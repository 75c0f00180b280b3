//! Something of the plan cannot be proved by this version.

use super::{Page, Rule};
use crate::{Facts, Unproved};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: Page {
        name: "not-covered",
        title: "something in the plan cannot be proved yet",
        text: "The plan is understood, but it holds trackwork whose circuit this version does not know, or it is so \
               tangled that the conditions outgrow their limit. Nothing is called proved then: not even what seems \
               independent of it, since a current finds every path.\n\nMend: leave that trackwork out to have the \
               rest proved, or split the plan at a place where both rails are gapped.",
        drawing: r#"   ═══╗ ╔═══
      ╳        a crossing, say: which rails does it join, and when?
   ═══╝ ╚═══"#,
        example: r#"[layout]
name = "diamond"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "1.5 mm²"
length = "3 m"

[[crossing]]
name = "X1"
frogs = "insulated"

[[track]]
name = "main"
from = "beyond"
to = "X1.west 1"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]
"#,
    },
    find,
};

fn find(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    match &facts.proof {
        Ok(_) => {}
        Err(Unproved::Uncovered(list)) => {
            for uncovered in list {
                found.push(
                    Finding::error(
                        "not-covered",
                        Harm::Unclear,
                        format!("the circuit of {} is not covered yet, so nothing is proved", uncovered.what),
                    )
                    .at(uncovered.span.clone(), "not covered")
                    .help("leave it out to have the rest proved"),
                );
            }
        }
        Err(Unproved::TooComplex(limit)) => found.push(
            Finding::error(
                "not-covered",
                Harm::Unclear,
                format!("the plan is too tangled to be proved: a condition outgrew {limit} decision nodes"),
            )
            .help("split the plan at a place where both rails are gapped"),
        ),
    }
}
