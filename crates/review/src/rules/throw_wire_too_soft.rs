//! Throw wires that press too little.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::linkage_words::{force, linkage_finding, newtons};
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-too-soft",
        title: "a throw wire does not hold its points fast",
        text: "What the arm travels beyond the throw bends the wire, and the bent wire holds the points. Less than 0.3 N (from \
               memory, confirm) lets a wheel or a grain of ballast lift a blade off its stock rail. Its force goes with \
               the fourth power of its diameter, see `throw-wire-too-stiff`.\n\nMend: a thicker wire, or more travel.",
        drawing: r#"   throwbar  ──o──  pressed with 0.1 N
               |
   fulcrum   ──▲──
   arm         o    0.5 mm wire"#,
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
throw_wire = { diameter = "0.5 mm", travel = "4 mm", below = "25 mm", above = "30 mm" }

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
    found.extend(linkage_finding(facts, WireFault::Soft, |names, first| {
        let words =
            format!("the wire of {names} holds the points with {} only, {} are wanted", force(&first.fit), newtons(0));
        Finding::warning("throw-wire-too-soft", Harm::CanStop, words)
    }));
}
