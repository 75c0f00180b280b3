//! Throw wires that press too hard.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::linkage_words::{force, linkage_finding, newtons};
use finding::{Finding, Harm};
use movement::linkage::WireFault;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "throw-wire-too-stiff",
        title: "a throw wire holds its points with too much force",
        text: "What the arm travels beyond the throw bends the wire, and the bent wire holds the points. Its force goes with the \
               fourth power of its diameter. More than 1 N (from memory, confirm) works blades loose from their throwbar \
               and solder from its joints, and a stall motor never gets there.\n\nReckoned as a beam over a fulcrum with \
               the usual stiffness of music wire: `F = δ·12EI/(b²(3a+4b))`, the lower end clamped, \
               `δ·3EI/(b²(a+b))` pinned.\n\nMend: a thinner wire, less travel, or longer arms.",
        drawing: r#"   throwbar  ──o──  pressed with 2 N
               )
   fulcrum   ──▲──
   arm         o    1.2 mm wire"#,
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
throw_wire = { diameter = "1.2 mm", travel = "4 mm", below = "25 mm", above = "30 mm" }

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
    found.extend(linkage_finding(facts, WireFault::Stiff, |names, first| {
        let words =
            format!("the wire of {names} holds the points with {}, more than {}", force(&first.fit), newtons(1));
        Finding::warning("throw-wire-too-stiff", Harm::WillAge, words)
    }));
}
