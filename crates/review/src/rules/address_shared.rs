//! Two motors that answer to the same address.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::{addresses, words};
use finding::{Finding, Harm};
use plan::tables::Motor;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "address-shared",
        title: "motors that are not one have one address",
        text: "Whoever throws one of them throws the other: both hear the same packet. The plan gives each motor positions of \
               its own, so that whatever was proved of settings in which they differ is proved of settings that never \
               come about, and a way that wants them to differ cannot be lined.\n\nA crossover is often meant so, two \
               turnouts on one address. Then say it: one `[[motor]]` that moves both, with the contacts of both.\n\nMend: \
               an address of its own for each; or one motor that moves all of them. `gapwright addresses` lists those \
               in use.",
        drawing: r#"   "accessory 31, output 0" ───┬─▶ M1 ─▶ T1 diverging
                               └─▶ M2 ─▶ T2 diverging too"#,
        example: r#"[layout]
name = "two motors, one number"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "3 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "2.5 mm²"
length = "3 m"

[[turnout]]
name = "T1"
hand = "left"
wiring = "insulated-bonded"

[[turnout]]
name = "T2"
hand = "left"
wiring = "insulated-bonded"

[[motor]]
name = "M1"
moves = "T1"
address = 31

[[motor]]
name = "M2"
moves = "T2"
address = 31

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "middle"
from = "T1.through"
to = "T2.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "road 1"
from = "T1.diverging"
to = "buffer"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]

[[track]]
name = "road 2"
from = "T2.diverging"
to = "buffer"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]

[[track]]
name = "road 3"
from = "T2.through"
to = "buffer"
length = "2 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]
"#,
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let mut sharing: BTreeMap<u16, Vec<&Motor>> = BTreeMap::new();
    for motor in &facts.plan.motor {
        if let Some(address) = addresses::motor_address(facts.plan, motor) {
            sharing.entry(address.bits()).or_default().push(motor);
        }
    }
    for motors in sharing.values() {
        let [first, others @ ..] = motors.as_slice() else { continue };
        let Some(number) = first.address.as_ref() else { continue };
        if others.is_empty() {
            continue;
        }
        let names = words::few(motors.iter().map(|m| format!("`{}`", m.name.value)));
        let moves: Vec<String> = motors.iter().flat_map(|m| &m.moves.0).map(|m| format!("\"{}\"", m.value)).collect();
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
            .filter_map(|m| m.address.as_ref())
            .fold(finding, |finding, address| finding.also(address.span.clone(), "and again"));
        found.push(finding.help(format!("give each an address of its own, or {one}")));
    }
}

/// Places that a finding points at; more would not be read.
const MOST_PLACES: usize = 6;
