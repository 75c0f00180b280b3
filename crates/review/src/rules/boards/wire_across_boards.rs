//! Wires that run from one board to another without a plug.

use super::board_words;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{EdgeKind, Part};
use finding::{Finding, Harm};
use std::collections::BTreeMap;
use std::ops::Range;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wire-across-boards",
        title: "wires run from one board to another without a plug",
        text: "When two boards part, every wire between them has to come off. A feeder or contact wire that taps the bus of another \
               board must be unsoldered; a bus that runs on must be cut.\n\nFix: give each board a bus of its own that starts on that \
               of its neighbour with a plug (`from = \"main bus @ 5 m\"`, `plug = true`), and feed the board's tracks from it. Where \
               the boards never part, leave it as it is.",
        drawing: r#"   board 1         │ board 2
   bus ════════════╪═══════  no plug: cut it to move the board
   bus ══════[plug]╪═══════  branch with a plug"#,
        example: include_str!("examples/wire-across-boards.toml"),
    },
    find,
};

/// The wires between two boards, and where the first of them stands in the plan.
struct WiresBetween {
    names: Vec<String>,
    first: Range<usize>,
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    if plan.board.is_empty() {
        return;
    }
    let mut between: BTreeMap<[Option<usize>; 2], WiresBetween> = BTreeMap::new();
    for edge in &circuit.edges {
        let may_run_over = match edge.kind {
            EdgeKind::Feeder | EdgeKind::Wire => !matches!(edge.part, Part::Detector { .. }),
            EdgeKind::Tap => matches!(edge.part, Part::BranchJoint { bus, .. } if plan.bus[bus].plug.is_none()),
            _ => false,
        };
        let ends = [edge.a, edge.b].map(|node| circuit.board_at(&circuit.nodes[node]));
        let [Some(one), Some(other)] = ends else { continue };
        if may_run_over && one != other {
            let names = between.entry([one.min(other), one.max(other)]);
            let first = || WiresBetween { names: Vec::new(), first: edge.span.clone() };
            names.or_insert_with(first).names.push(edge.name.clone());
        }
    }
    for ([one, other], WiresBetween { names, first }) in between {
        let count = names.len();
        let mut shown: Vec<String> = names.into_iter().take(4).collect();
        if count > shown.len() {
            shown.push(format!("{} more", count - shown.len()));
        }
        let [one, other] = [one, other].map(|board| board_words(plan, board));
        let wires = if count == 1 { "1 wire runs".to_owned() } else { format!("{count} wires run") };
        found.push(
            Finding::note("wire-across-boards", Harm::GoodToKnow, format!("{wires} between {one} and {other} without a plug"))
                .at(first, "one of them")
                .fact(words::list(&shown))
                .help("give the board a bus of its own: `from = \"main bus @ 5 m\"`, `plug = true`; leave it where they never part"),
        );
    }
}
