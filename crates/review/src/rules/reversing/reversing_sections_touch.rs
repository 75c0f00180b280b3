//! Two reversing sections share their gaps.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reversing-sections-touch",
        title: "two reversing sections lie end to end",
        text: "Between two reversing sections there should be track whose phase never changes (common practice, no \
               source: two reversing sections never touch). Where they share their gaps, a train bridges them while \
               either side may change over: each change of the one is a short until the other follows, and two \
               reversers that sense shorts chase each other.\n\nFix: put a stretch of track with a constant phase \
               between them, longer than the longest train over its metal wheels, or make one section of both.",
        drawing: r#"   ┤├── section 1 ──┤├── section 2 ──┤├
                    each changes over to suit the other"#,
        example: include_str!("examples/reversing-sections-touch.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    for (index, section) in proof.reversing.iter().enumerate() {
        for &(other, gap) in section.touches.iter().filter(|t| t.0 > index) {
            let Some(names) = [section, &proof.reversing[other]]
                .map(|s| {
                    analysis::lengths_table::longest_part(&facts.circuit, s)
                        .map(|p| facts.circuit.segments[p].name.clone())
                })
                .into_iter()
                .collect::<Option<Vec<String>>>()
            else {
                continue;
            };
            let gap = &facts.circuit.gaps[gap];
            let controls = |s: &proof::ReversingSection| {
                let names: Vec<String> = s.controls.iter().map(|&c| facts.circuit.controls[c].name.clone()).collect();
                words::list(&names)
            };
            found.push(
                Finding::warning(
                    "reversing-sections-touch",
                    Harm::CanBurn,
                    format!("the reversing sections `{}` and `{}` lie end to end", names[0], names[1]),
                )
                .at(gap.span.clone(), "the gap they share")
                .fact(format!(
                    "the phase of `{}` depends on {}, that of `{}` on {}",
                    names[0],
                    controls(section),
                    names[1],
                    controls(&proof.reversing[other])
                ))
                .help("put a stretch of constant phase between them, or make one section of both"),
            );
        }
    }
}
