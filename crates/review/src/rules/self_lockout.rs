//! A short at a turnout takes away the power that would throw it clear.

use super::{FindingPage, Rule};
use crate::context::Context;
use circuit::RailOwner;
use finding::{Finding, Harm};
use plan::Kind;
use plan::tables::MotorKind;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "self-lockout",
        title: "a short at a turnout takes the power from its own motor",
        text: "A train that runs through this turnout while it is set against it makes a short, and throwing the \
               turnout would end it. But the short trips the breaker that the turnout's motor is fed from too: the \
               motor is dead as long as the short lasts, and the short lasts as long as the motor is dead. Only a hand \
               on the train ends it.\n\nMend: feed motors from a supply of their own, or from behind a breaker that \
               no short at their turnouts trips.",
        drawing: r#"   booster ─┬─ rails ⚡ short at T1: the booster trips
            └─ motor of T1: no power to throw it clear"#,
        example: r#"[layout]
name = "motors on the track bus"
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

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[turnout]]
name = "T1"
hand = "left"
wiring = "live-bonded"

[[track]]
name = "road 1"
from = "T1.through"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
gaps = [{ at = "80 mm", rail = "left" }]
feeders = ["0.5 m"]

[[track]]
name = "road 2"
from = "T1.diverging"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
gaps = [{ at = "80 mm", rail = "right" }]
feeders = ["0.5 m"]

[[motor]]
name = "M1"
moves = "T1"
kind = "stall"
supply = "booster"
contact = [{ common = "T1.frog", through = "bus.A", diverging = "bus.B" }]
"#,
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = &facts.proof else { return };
    let plan = facts.plan;
    // Only where running through the turnout is a short would throwing it help.
    let shorts: BTreeSet<(Kind, usize)> = proof.run_throughs.iter().map(|r| (r.kind, r.index)).collect();
    for motor in plan.motor.iter() {
        let Some(said) = &motor.supply else { continue };
        let Some((Kind::Supply, supply)) = facts.names.get(&said.value) else { continue };
        if motor.kind.as_ref().is_some_and(|k| k.value == MotorKind::Hand) {
            continue;
        }
        let above = chain(facts, supply);
        let turnouts = motor.moves.0.iter().filter_map(|m| facts.names.get(&m.value));
        let locked = turnouts.filter(|t| shorts.contains(t)).find_map(|turnout| {
            let tripped = proof.tripped_at.get(&turnout)?;
            let breaker = tripped.iter().find(|&&b| above.contains(&facts.circuit.breakers[b].supply))?;
            Some((turnout, facts.circuit.breakers[*breaker].supply))
        });
        let Some((turnout, breaker)) = locked else { continue };
        let of_turnout = |o: &RailOwner| matches!(o, RailOwner::Work { kind, index, .. } if (*kind, *index) == turnout);
        let Some(route) = facts.circuit.segments.iter().find(|s| of_turnout(&s.owner)) else { continue };
        let name = facts.text.get(route.span.clone()).unwrap_or_default().trim_matches(['"', '\'']).to_owned();
        let breaker = &plan.supply[breaker].name.value;
        let by = if *breaker == said.value {
            format!("`{breaker}`, its own supply")
        } else {
            format!("`{breaker}`, which its supply `{}` hangs behind", said.value)
        };
        found.push(
            Finding::warning(
                "self-lockout",
                Harm::CanStop,
                format!("a short at `{name}` trips {by}, so `{}` cannot throw it clear", motor.name.value),
            )
            .at(said.span.clone(), "goes dead with the short it should end")
            .also(route.span.clone(), "a train that runs through this set against it is a short")
            .help("feed the motor from a supply of its own, such as an accessory supply"),
        );
    }
}

/// A supply and all those it hangs behind.
fn chain(facts: &Context<'_>, supply: usize) -> BTreeSet<usize> {
    let mut chain = BTreeSet::new();
    let mut at = Some(supply);
    while let Some(index) = at.filter(|&i| chain.insert(i)) {
        let behind = facts.plan.supply[index].behind.as_ref();
        at = behind.and_then(|b| facts.names.get(&b.value)).filter(|f| f.0 == Kind::Supply).map(|f| f.1);
    }
    chain
}
