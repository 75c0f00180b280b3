//! Addresses that are not one decoder's.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{addresses, words};
use finding::{Finding, Harm};
use signal::{Counting, ValueMeaning};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reserved-address",
        title: "an address is everybody's, or hardly anybody's",
        text: "Of the 2048 accessory addresses eight are not like the others. Linear 2041 to 2044 are board 511: every \
               accessory decoder obeys them, whatever its own address, and the last of them with output 0 off is the \
               emergency stop of accessories (NMRA S-9.2.1, broadcast command). A turnout there throws the whole \
               layout. Linear 2045 to 2048 wrap round to board 0, values 0 to 3 of the packet; who counts four-off calls \
               them 1 to 4. Many decoders cannot be given board 0, and another command station may not reach it.\n\nFix: \
               another address. `gapwright addresses` lists those in use.",
        drawing: r#"   linear     1 … 2040       2041 … 2044        2045 … 2048
   in packet  4 … 2043       2044 … 2047        0 … 3
              one decoder    every decoder      board 0"#,
        example: include_str!("examples/reserved-address.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    // One decoder's alone are packet values 4 to 2043.
    let [low, high] = match addresses::counting(facts.plan) {
        Counting::Linear => [1, 2040],
        Counting::FourOff => [5, 2044],
    };
    let (plan, names_of) = (facts.plan, facts.names);
    let standing = |motor: usize| addresses::motor_address(plan, names_of, motor).map(signal::RawAddress::standing);
    for wanted in [ValueMeaning::Broadcast, ValueMeaning::BoardZero] {
        let motors: Vec<usize> = (0..plan.motor.len()).filter(|&m| standing(m) == Some(wanted)).collect();
        let names = words::few(motors.iter().map(|&m| format!("`{}`", plan.motor[m].name.value)));
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
        let mut places = motors.iter().filter_map(|&m| plan::driven::address(plan, names_of, m)).take(MOST_PLACES);
        let Some(first) = places.next() else { continue };
        let finding = finding.at(first.span.clone(), "reserved");
        let finding = places.fold(finding, |finding, address| finding.also(address.span.clone(), "reserved too"));
        found.push(finding.help(format!("an address from {low} to {high}; `gapwright addresses` lists those in use")));
    }
}

/// Places that a finding points at; more would not be read.
const MOST_PLACES: usize = 6;
