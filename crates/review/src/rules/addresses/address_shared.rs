//! Two motors that answer to the same address.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{addresses, words};
use finding::{Finding, Harm};
use plan::driven;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "address-shared",
        title: "motors that are not one have one address",
        text: "Whoever throws one of them throws the other: both hear the same packet. The plan gives each motor positions of \
               its own, so that whatever was proved of settings in which they differ is proved of settings that never \
               come about, and a way that wants them to differ cannot be lined.\n\nA crossover is often meant so, two \
               turnouts on one address. Then say it: one `[[motor]]` that moves both, with the contacts of both.\n\nFix: \
               an address of its own for each; or one motor that moves all of them. `gapwright addresses` lists those \
               in use.",
        drawing: r#"   "accessory 31, output 0" ───┬─▶ M1 ─▶ T1 diverging
                               └─▶ M2 ─▶ T2 diverging too"#,
        example: include_str!("examples/address-shared.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, names_of) = (facts.plan, facts.names);
    let mut sharing: BTreeMap<u16, Vec<usize>> = BTreeMap::new();
    // What shares an output shares its address as well, and is taken for one motor everywhere.
    let leaders = driven::leaders(plan, names_of);
    for motor in (0..plan.motor.len()).filter(|&m| leaders[m] == m) {
        if let Some(address) = addresses::motor_address(plan, names_of, motor) {
            sharing.entry(address.bits()).or_default().push(motor);
        }
    }
    for motors in sharing.values() {
        let [first, others @ ..] = motors.as_slice() else { continue };
        let Some(number) = driven::address(plan, names_of, *first) else { continue };
        if others.is_empty() {
            continue;
        }
        let names = words::few(motors.iter().map(|&m| format!("`{}`", plan.motor[m].name.value)));
        let moves: Vec<String> =
            motors.iter().flat_map(|&m| &plan.motor[m].moves.0).map(|m| format!("\"{}\"", m.value)).collect();
        let one = match moves.len() {
            2..=4 => format!("write them as one motor, `moves = [{}]`", moves.join(", ")),
            _ => "write them as one motor that moves all of them".to_owned(),
        };
        let words =
            format!("{names} have one address, {}, so that whoever throws one throws all of them", number.value);
        let finding = Finding::error("address-shared", Harm::CanStop, words).at(number.span.clone(), "this address");
        let finding = others
            .iter()
            .take(MOST_PLACES)
            .filter_map(|&m| driven::address(plan, names_of, m))
            .fold(finding, |finding, address| finding.also(address.span.clone(), "and again"));
        found.push(finding.help(format!("give each an address of its own, or {one}")));
    }
}

/// Places that a finding points at; more would not be read.
const MOST_PLACES: usize = 6;
