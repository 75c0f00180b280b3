//! Two reversing sections share their gaps.

use super::{FindingPage, Rule};
use crate::context::Context;
use analysis::words;
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reversing-sections-touch",
        title: "two reversing sections lie end to end",
        text: "Between two reversing sections there should be track whose phase never changes (common practice, no \
               source: two reversing sections never touch). Where they share their gaps, a train bridges them while \
               either side may change over: each change of the one is a short until the other follows, and two \
               reversers that sense shorts chase each other.\n\nMend: put a stretch of track with a constant phase \
               between them, longer than the longest train over its metal wheels, or make one section of both.",
        drawing: r#"   ┤├── section 1 ──┤├── section 2 ──┤├
                    each changes over to suit the other"#,
        example: r#"[layout]
name = "two tails"
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
name = "line"
from = "beyond"
to = "T1.points"
length = "3 m"
left = "bus.A"
right = "bus.B"
feeders = ["1 m"]

[[turnout]]
name = "T1"
hand = "left"
wiring = "live-bonded"

[[track]]
name = "loop"
from = "T1.diverging"
to = "back.from"
length = "3 m"
gaps = ["0 m"]

[[track]]
name = "back"
from = "loop.to"
to = "T1.through"
length = "3 m"
gaps = ["0 m", "3 m"]

[[toggle]]
name = "turn"
contact = [
  { common = "back.left @ 1 m", off = "bus.A", on = "bus.B" },
  { common = "back.right @ 1 m", off = "bus.B", on = "bus.A" },
]

[[motor]]
name = "M1"
moves = "T1"
contact = [
  { common = "T1.frog", through = "bus.A", diverging = "bus.B" },
  { common = "loop.left @ 1 m", through = "bus.B", diverging = "bus.A" },
  { common = "loop.right @ 1 m", through = "bus.A", diverging = "bus.B" },
]
"#,
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = &facts.proof else { return };
    for (index, section) in proof.reversing.iter().enumerate() {
        for &(other, gap) in section.touches.iter().filter(|t| t.0 > index) {
            let Some(names) = [section, &proof.reversing[other]]
                .map(|s| {
                    analysis::lengths_table::longest_part(&facts.circuit, s)
                        .map(|p| facts.circuit.segments[p].name.clone())
                })
                .into_iter()
                .collect::<Option<Vec<String>>>()
            else {
                continue;
            };
            let gap = &facts.circuit.gaps[gap];
            let controls = |s: &proof::ReversingSection| {
                let names: Vec<String> = s.controls.iter().map(|&c| facts.circuit.controls[c].name.clone()).collect();
                words::list(&names)
            };
            found.push(
                Finding::warning(
                    "reversing-sections-touch",
                    Harm::CanBurn,
                    format!("the reversing sections `{}` and `{}` lie end to end", names[0], names[1]),
                )
                .at(gap.span.clone(), "the gap they share")
                .fact(format!(
                    "the phase of `{}` hangs on {}, that of `{}` on {}",
                    names[0],
                    controls(section),
                    names[1],
                    controls(&proof.reversing[other])
                ))
                .help("put a stretch of constant phase between them, or make one section of both"),
            );
        }
    }
}
