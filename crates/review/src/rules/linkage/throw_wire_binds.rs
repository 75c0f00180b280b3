//! Throw wires that touch the edge of their hole.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::linkage_words::{grouped, names};
use finding::{Finding, Harm};
use movement::linkage::FREE_IN_HOLE;
use plan::edit;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-binds",
        title: "the hole is too small for the throw wire that moves in it",
        text: "On its way from fulcrum to throwbar the wire leans to either side, most in the upper part of the base. A hole that is \
               narrower than that stops it: the edge of the hole becomes the fulcrum, the points do not get home, and the \
               wire cuts its way.\n\nHow far it leans is calculated as it stands bent, with the points home; 1 mm is added for \
               drilling (our own default), and not asked for here. The hole is as deep as `thickness` under `[base]`.\n\nFix: a larger hole, or \
               a slot along the throwbar's way. `gapwright linkage` tells how large, and where.",
        drawing: r#"   base ▒▒▒▒▒▒▒▒▒\ ▒▒▒▒▒▒▒▒▒▒   touches here
        ▒▒▒▒▒▒▒▒▒ \▒▒▒▒▒▒▒▒▒▒
   fulcrum         ▲"#,
        example: include_str!("examples/throw-wire-binds.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let binding = grouped(facts, |linkage| linkage.binds());
    let Some(first) = binding.first() else { return };
    let Some(wire) = &facts.plan.motor[first.motor].throw_wire else { return };
    let (Some(hole), Some(said)) = (&wire.value.hole, first.hole) else { return };
    let due = first.fit.hole;
    found.push(
        Finding::warning(
            "throw-wire-binds",
            Harm::CanStop,
            format!(
                "the wire of {} sweeps {} in its hole of {}",
                names(facts, &binding),
                facts.plan.units().fine(due - FREE_IN_HOLE),
                facts.plan.units().fine(said)
            ),
        )
        .at(hole.span.clone(), "this hole")
        .help(format!("a hole of {}, or a slot as long along the throwbar's way", facts.plan.units().fine(due)))
        .proposal(
            format!("drill holes of {}", facts.plan.units().fine(due)),
            binding
                .iter()
                .filter_map(|l| facts.plan.motor[l.motor].throw_wire.as_ref()?.value.hole.as_ref())
                .map(|hole| edit::set(hole, &edit::quoted(&facts.plan.units().fine(due))))
                .collect(),
        ),
    );
}
