//! A train does not fit into a reversing section.

use crate::context::Context;
use crate::loops;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reversing-section-too-short",
        title: "a train is longer than the reversing section it runs through",
        text: "A reversing section agrees with the track at one of its ends at a time. While a train's metal wheels \
               bridge the gaps at one end, the section must have the phase of that end; while they bridge those at the \
               other end, the other phase. A train that bridges both at once is a short, whatever the contacts or \
               the reverser do (common practice, no source: the section is longer than the longest metal-wheeled \
               train).\n\nA section with one end only, such as the tail of a triangle, must hold the train all the \
               same: its phase changes while the train is in it, and no wheel may bridge the gaps then.\n\nFix: move \
               the gaps at one end further out, run shorter trains, or use plastic wheels at one end of the train and \
               say so with `metal_wheels`.",
        drawing: r#"      ┤├──── section ────┤├
      ▄▄▄▄▄▄▄ train ▄▄▄▄▄▄▄▄▄      wheels over both ends at once:
                                   whatever its phase, one end is wrong"#,
        example: include_str!("examples/reversing-section-too-short.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let Some((train, train_length)) = loops::longest_train(facts) else { return };
    let name = &train.name.value;
    for section in &proof.reversing {
        let Some(length) = section.length.filter(|&l| l < train_length) else { continue };
        let Some(main) = analysis::lengths_table::longest_part(&facts.circuit, section) else { continue };
        let segment = &facts.circuit.segments[main];
        let message = if section.runs_through {
            format!(
                "`{name}` is {} long and bridges both ends of the reversing section `{}`, {} long, at once",
                facts.plan.units().metres(train_length),
                segment.name,
                facts.plan.units().metres(length)
            )
        } else {
            format!(
                "`{name}` is {} long and does not fit into the reversing section `{}`, {} from its gaps to its end",
                facts.plan.units().metres(train_length),
                segment.name,
                facts.plan.units().metres(length)
            )
        };
        let mut finding = Finding::error("reversing-section-too-short", Harm::CanBurn, message)
            .at(segment.span.clone(), format!("{} between its gaps", facts.plan.units().metres(length)));
        let said = train.metal_wheels.as_ref().unwrap_or(&train.length);
        finding = finding.also(said.span.clone(), "the longest train over its metal wheels");
        for &gap in &section.gaps {
            let gap = &facts.circuit.gaps[gap];
            let place = format!(
                "gap in {} {} rail at {}",
                facts.circuit.segments[gap.segment].name,
                gap.side.word(),
                facts.plan.units().metres(gap.x)
            );
            finding = finding.fact(place);
        }
        let help = "move the gaps at one end further out, or run trains whose metal wheels fit between them";
        found.push(finding.help(help));
    }
}
