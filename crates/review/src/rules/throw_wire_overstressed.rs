//! Throw wires that are bent for good.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::linkage_words::{linkage_finding, megapascals};
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-overstressed",
        title: "a throw wire is bent farther than it springs back from",
        text: "A wire that is bent too far stays bent, and then holds its points on one side only. The stress is greatest at the \
               fulcrum, `32·F·b/(π·d³)`. Music wire bears some three quarters of its tensile strength (from memory, \
               confirm); the strength is the least of ASTM A228 for its diameter.\n\nMend: less travel, or longer arms. A \
               thinner wire bears more bending, and holds with less force.",
        drawing: r#"   throwbar  ──o──
                )   bent past what it bears
   fulcrum   ──▲──
   arm     o        20 mm of travel too much"#,
        example: r#"[layout]
name = "points"
scale = "HO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "2.5 mm²"
length = "3 m"

[[turnout]]
name = "T1"
number = 6
hand = "left"
wiring = "insulated-routed"

[[motor]]
name = "M1"
moves = "T1"
kind = "stall"
throw_wire = { diameter = "0.5 mm", travel = "45 mm", below = "25 mm", above = "45 mm", end = "pinned" }

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "main"
from = "T1.through"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "siding"
from = "T1.diverging"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]
"#,
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    found.extend(linkage_finding(facts, WireFault::Overstressed, |names, first| {
        let words = format!(
            "the wire of {names} is bent to {}, {} is what it bears",
            megapascals(first.fit.stress),
            megapascals(first.fit.bears.unwrap_or_default())
        );
        Finding::warning("throw-wire-overstressed", Harm::WillAge, words)
    }));
}
