//! Addresses that are not one decoder's.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::{addresses, words};
use finding::{Finding, Harm};
use plan::tables::Motor;
use signal::{Counting, ValueMeaning};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reserved-address",
        title: "an address is everybody's, or hardly anybody's",
        text: "Of the 2048 accessory addresses eight are not like the others. Linear 2041 to 2044 are board 511: every \
               accessory decoder obeys them, whatever its own address, and the last of them with output 0 off is the \
               emergency stop of accessories (NMRA S-9.2.1, broadcast command). A turnout there throws the whole \
               layout. Linear 2045 to 2048 wrap round to board 0, values 0 to 3 of the packet; who counts four-off calls \
               them 1 to 4. Many decoders cannot be given board 0, and another command station may not reach it.\n\nMend: \
               another address. `gapwright addresses` lists those in use.",
        drawing: r#"   linear     1 … 2040       2041 … 2044        2045 … 2048
   in packet  4 … 2043       2044 … 2047        0 … 3
              one decoder    every decoder      board 0"#,
        example: r#"[layout]
name = "a number for all"
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

[[motor]]
name = "M1"
moves = "T1"
address = 2042

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
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
from = "T1.through"
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
    // One decoder's alone are packet values 4 to 2043.
    let [low, high] = match addresses::counting(facts.plan) {
        Counting::Linear => [1, 2040],
        Counting::FourOff => [5, 2044],
    };
    let standing = |motor: &&Motor| addresses::motor_address(facts.plan, motor).map(signal::RawAddress::standing);
    for wanted in [ValueMeaning::Broadcast, ValueMeaning::BoardZero] {
        let motors: Vec<&Motor> = facts.plan.motor.iter().filter(|m| standing(m) == Some(wanted)).collect();
        let names = words::few(motors.iter().map(|m| format!("`{}`", m.name.value)));
        let name = "reserved-address";
        let finding = match wanted {
            ValueMeaning::Broadcast => {
                let words = format!("every accessory decoder obeys the address of {names}, whatever its own");
                Finding::error(name, Harm::CanStop, words)
            }
            ValueMeaning::BoardZero | ValueMeaning::Ordinary => {
                let words = format!("the address of {names} is on board 0, which many decoders cannot be given");
                Finding::warning(name, Harm::CanStop, words)
            }
        };
        let mut places = motors.iter().filter_map(|m| m.address.as_ref()).take(MOST_PLACES);
        let Some(first) = places.next() else { continue };
        let finding = finding.at(first.span.clone(), "reserved");
        let finding = places.fold(finding, |finding, address| finding.also(address.span.clone(), "reserved too"));
        found.push(finding.help(format!("an address from {low} to {high}; `gapwright addresses` lists those in use")));
    }
}

/// Places that a finding points at; more would not be read.
const MOST_PLACES: usize = 6;
