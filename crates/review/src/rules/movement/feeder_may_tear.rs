//! Feeders soldered to rail that moves farther than their hole.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::season_words::{air, growth_causes, others, width_band};
use circuit::EdgeKind;
use finding::{Finding, Harm};

/// How far a feeder may be moved at its hole, metres: what is free about a wire of 1 mm in a hole of 5 mm. Our own default.
const FREE_IN_HOLE: f64 = 0.002;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "feeder-may-tear",
        title: "a feeder is carried along by its rail, farther than its hole is wide",
        text: "A feeder is soldered to the rail and goes down through a hole in the base. As the rail grows past the base, \
               it carries the feeder along: nothing near the middle of a piece of rail, most near its ends. Farther than \
               the hole leaves free, the wire bends on its edge each year until the solder or the wire gives way.\n\nThe finding names feeders that move more than 2 mm either way from the day of laying, what is free about a wire of 1 mm \
               in a hole of 5 mm (our own default), with usual values. Rail is taken to slide freely, see \
               `gap-closes`. One finding names the worst.\n\nFix: feed each piece near its middle, let more joints \
               slide, or leave a loop of slack above the base and make the hole a slot.",
        drawing: r#"   rail   ════════════════════╦═══>  carried along by 3 mm
   base   ─────────────────┐  ║
                           │  ║ feeder, bent on the edge of its hole"#,
        example: include_str!("examples/feeder-may-tear.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(movement) = facts.movement() else { return };
    let feeders = facts.circuit.edges.iter().filter(|e| e.kind == EdgeKind::Feeder);
    let moved = feeders.filter_map(|feeder| {
        let (run, distance) = [feeder.a, feeder.b].into_iter().find_map(|node| movement.runs.from_anchor(node))?;
        let both = [0, 1].map(|air| movement.moved(run, air, distance));
        let worst = usize::from(both[1].typical.abs() > both[0].typical.abs());
        Some((both[worst], worst, run, feeder))
    });
    let mut torn: Vec<_> = moved.filter(|m| m.0.typical.abs() > FREE_IN_HOLE).collect();
    torn.sort_by(|a, b| b.0.typical.abs().total_cmp(&a.0.typical.abs()));
    let Some((by, worst, run, feeder)) = torn.first() else { return };
    let size = if by.typical < 0.0 { by.times(-1.0) } else { *by };
    found.push(
        Finding::warning(
            "feeder-may-tear",
            Harm::WillAge,
            format!(
                "its rail carries the {} {} along{}",
                feeder.name,
                facts.plan.units().fine(size.typical),
                others(torn.len() - 1)
            ),
        )
        .at(
            feeder.span.clone(),
            format!("more than {} either way bends it on its hole", facts.plan.units().fine(FREE_IN_HOLE)),
        )
        .fact(format!(
            "in {} it moves by {} from where it was on the day",
            air(facts.plan.units(), movement, *run, *worst),
            width_band(facts.plan.units(), size)
        ))
        .fact(format!("its piece of rail is {} long", facts.plan.units().metres(movement.runs.list[*run].length)))
        .fact(growth_causes(facts.plan.units(), movement, *run, *worst))
        .help("feed the rail near the middle of each piece, or leave the wire a loop of slack in a slot"),
    );
}
