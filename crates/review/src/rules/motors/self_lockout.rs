//! A short at a turnout takes away the power that would throw it clear.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::RailOwner;
use finding::{Finding, Harm};
use plan::tables::MotorKind;
use plan::{Kind, driven};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "self-lockout",
        title: "a short at a turnout takes the power from its own motor",
        text: "A train that runs through this turnout while it is set against it makes a short, and throwing the \
               turnout would end it. But the short trips the breaker that the turnout's motor is fed from too: the \
               motor is dead as long as the short lasts, and the short lasts as long as the motor is dead. Only a hand \
               on the train ends it.\n\nFix: feed motors from a supply of their own, or from behind a breaker that \
               no short at their turnouts trips.",
        drawing: r#"   booster ─┬─ rails ⚡ short at T1: the booster trips
            └─ motor of T1: no power to throw it clear"#,
        example: include_str!("examples/self-lockout.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let plan = facts.plan;
    // Only where running through the turnout is a short would throwing it help.
    let shorts: BTreeSet<(Kind, usize)> = proof.run_throughs.iter().map(|r| (r.kind, r.index)).collect();
    // What trips one breaker for one reason is one cause, however many turnouts it holds.
    let mut told: BTreeMap<String, (usize, Vec<String>)> = BTreeMap::new();
    for (index, motor) in plan.motor.iter().enumerate() {
        if motor.kind.as_ref().is_some_and(|k| k.value == MotorKind::Hand) {
            continue;
        }
        for (supply, said, commands) in needs(facts, index) {
            let above = chain(facts, supply);
            let turnouts = motor.moves.0.iter().filter_map(|m| facts.names.get(&m.value));
            let locked = turnouts.filter(|t| shorts.contains(t)).find_map(|turnout| {
                let tripped = proof.tripped_at.get(&turnout)?;
                let breaker = tripped.iter().find(|&&b| above.contains(&facts.circuit.breakers[b].supply))?;
                Some((turnout, facts.circuit.breakers[*breaker].supply))
            });
            let Some((turnout, breaker)) = locked else { continue };
            let of_turnout =
                |o: &RailOwner| matches!(o, RailOwner::Work { kind, index, .. } if (*kind, *index) == turnout);
            let Some(route) = facts.circuit.segments.iter().find(|s| of_turnout(&s.owner)) else { continue };
            let name = facts.text.get(route.span.clone()).unwrap_or_default().trim_matches(['"', '\'']).to_owned();
            let (own, breaker) = (&plan.supply[supply].name.value, &plan.supply[breaker].name.value);
            let by = match (breaker == own, commands) {
                (true, false) => format!("`{breaker}`, its own supply"),
                (false, false) => format!("`{breaker}`, which its supply `{own}` hangs behind"),
                (_, true) => format!("`{breaker}`, and its driver hears no commands from there"),
            };
            if let Some((_, more)) = told.get_mut(&by) {
                more.push(format!("`{}` at `{name}`", motor.name.value));
                break;
            }
            told.insert(by.clone(), (found.len(), Vec::new()));
            found.push(
                Finding::warning(
                    "self-lockout",
                    Harm::CanStop,
                    format!("a short at `{name}` trips {by}, so `{}` cannot throw it clear", motor.name.value),
                )
                .at(said, "goes dead with the short it should end")
                .also(route.span.clone(), "a train that runs through this set against it is a short")
                .help("feed the motor, or its driver, from a supply of its own, such as an accessory supply"),
            );
            break;
        }
    }
    for (at, more) in told.into_values().filter(|(_, more)| !more.is_empty()) {
        let fact = format!("the same holds for {}", words::few(more.into_iter()));
        found[at].facts.push(fact);
    }
}

/// What a motor needs to be thrown: the supply of its power, and of its driver's commands; each with the words that say so.
fn needs(facts: &Context<'_>, motor: usize) -> Vec<(usize, Range<usize>, bool)> {
    let (plan, names) = (facts.plan, facts.names);
    let power = driven::supply_of_motor(plan, names, motor).map(|(supply, said)| (supply, said, false));
    let commands = driven::of_motor(plan, names, motor).and_then(|output| {
        let text = plan.driver[output.driver].commands.as_ref()?;
        let (bus, _) = names.bus_place(&text.value).ok()?;
        Some((driven::supply_of_bus(plan, names, bus)?, text.span.clone(), true))
    });
    power.into_iter().chain(commands).collect()
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
