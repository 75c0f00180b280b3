//! Rails that are pressed harder than what holds them bears.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::season_words::{growth_causes, others};
use finding::{Finding, Harm};
use handbook::materials;
use handbook::quantity::{Newtons, Quantity, Units};
use movement::pressed::{Pressed, WhyPressed};
use movement::season::CLIMATE_CASES;
use movement::{Movement, buckling};
use plan::tables::Fixing;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "rail-may-buckle",
        title: "rail that cannot grow is pressed until it goes sideways",
        text: "Rail that is held at both ends and grows is pressed: a force of `E·A·ε`, whatever its length. Between two \
               pins it buckles at a strain of `(π·r/(K·L))²`; K is 1 where the rail can turn over its pins, as it can \
               when the spans beside it go the other way, and ½ where pins clamp it. Code 83 rail clamped every 135 mm \
               buckles at a rise of 20 K. Glued track buckles where the force beats what holds it sideways; no \
               published value tells that of model track, so it is calculated only where `sideways` under `[base]` \
               gives a measured one (Hobbs's and Kerr's shapes).\n\nHeld in this sense is rail soldered to itself all the \
               way round, rail in a ring whose gaps and joints have all closed, rail that is fast to the base at two places \
               (`held`), and, where `grip` under `[base]` is measured, rail that its fastenings hold. The finding names what buckles with usual values where the rail can turn \
               over its pins. One finding names the worst.\n\nFix: a joint that slides in every ring, wide enough on \
               the day; or pins nearer to each other.",
        drawing: r#"   laid       ──o──────────o──────────o──     pins
                       ___
   hot, dry   ──o────/   \──o──\     /──o──     goes to alternate sides
                                \___/"#,
        example: include_str!("examples/rail-may-buckle.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(movement) = facts.movement() else { return };
    let mut pressed = movement.pressed();
    pressed.retain(|p| p.strain > p.buckles.typical);
    pressed.sort_by(|a, b| {
        (b.strain / b.buckles.typical).total_cmp(&(a.strain / a.buckles.typical)).then(a.run.cmp(&b.run))
    });
    let Some(&worst) = pressed.first() else { return };
    let run = &movement.runs.list[worst.run];
    let node = &facts.circuit.nodes[run.node];
    let force = facts.plan.units().force(Newtons(movement.stiffness(worst.run).typical * worst.strain));
    let mut finding = Finding::warning(
        "rail-may-buckle",
        Harm::WillAge,
        format!(
            "{} of rail, at {}, may buckle in the {} air{}",
            facts.plan.units().metres(run.length),
            node.name,
            CLIMATE_CASES[worst.air],
            others(pressed.len() - 1)
        ),
    )
    .at(node.span.clone(), why(worst.why))
    .fact(format!(
        "it pushes with {force}, as if warmed by {} on a base that never moves",
        rise(facts.plan.units(), movement, worst, worst.strain)
    ))
    .fact(bears(facts.plan.units(), movement, worst))
    .fact(growth_causes(facts.plan.units(), movement, worst.run, worst.air));
    if let Some(Fixing::Pins(_)) = movement.held_by(worst.run).fixing {
        let least = |strain: f64| {
            let [area, second] = [run.rail.area.typical.si(), run.rail.lateral_second_moment.typical];
            facts.plan.units().metres(buckling::euler_spacing(area, second, strain, 1.0))
        };
        finding = finding.fact(format!("pins {} apart would hold it", least(worst.strain)));
    }
    let help = match worst.why {
        WhyPressed::Closed => "leave one joint to slide in each rail of the ring, with a feeder on both sides of it",
        WhyPressed::Shut => "leave the joints of the ring wider: `gapwright gaps` tells how wide",
        WhyPressed::Held => "leave a joint to slide between the two places at which the rail is fast to the base",
        WhyPressed::Gripped => "more joints that slide, so that less rail is held between two of them",
    };
    found.push(finding.help(help));
}

fn why(why: WhyPressed) -> &'static str {
    match why {
        WhyPressed::Closed => "soldered to itself all the way round",
        WhyPressed::Shut => "part of a ring whose gaps and joints have closed",
        WhyPressed::Gripped => "held by its fastenings",
        WhyPressed::Held => "fast to the base at both ends",
    }
}

/// A strain as the rise of temperature that would do as much to held rail.
fn rise(units: Units, movement: &Movement, pressed: Pressed, strain: f64) -> String {
    let metal = movement.runs.list[pressed.run].rail.metal;
    let expansion = materials::rail_metal(metal).map_or(f64::NAN, |m| m.thermal_expansion.value.typical);
    units.temperature_step(strain / expansion)
}

/// What it would take for it to go.
fn bears(units: Units, movement: &Movement, pressed: Pressed) -> String {
    let rise = |strain| rise(units, movement, pressed, strain);
    match &movement.held_by(pressed.run).fixing {
        Some(Fixing::Pins(spacing)) => format!(
            "with pins {} apart a rise of {} buckles it; firmly clamped by them, {} at most",
            units.length(*spacing),
            rise(pressed.buckles.typical),
            rise(pressed.buckles.high)
        ),
        _ => format!("held sideways as you measured, a rise of {} can buckle it", rise(pressed.buckles.typical)),
    }
}
