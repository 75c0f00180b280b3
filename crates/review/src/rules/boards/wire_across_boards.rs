//! Wires that run from one board to another without a plug.

use super::board_words;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{EdgeId, EdgeKind, Part};
use finding::{Finding, Harm};
use plan::Plan;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "wire-across-boards",
        title: "wires run from one board to another without a plug",
        text: "When two boards part, every wire between them has to come off. A feeder or contact wire that taps the bus of another \
               board must be unsoldered; a bus that runs on must be cut.\n\nFix: give each board a bus of its own that starts on that \
               of its neighbour with a plug (`from = \"main bus @ 5 m\"`, `plug = true`), and feed the board's tracks from it. What is \
               left, such as the wires of contacts, goes through one plug with many contacts: `plug = true` under `[[board]]`. A feeder or \
               a wire of a contact can have a plug of its own: `feeders = [{ at = \"0.5 m\", plug = true }]`. Where the boards never \
               part, leave it as it is.",
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
    /// The branches among them, by their index, and whether there is any single wire.
    branches: BTreeSet<usize>,
    single: bool,
}

impl WiresBetween {
    /// The lines to write.
    fn help(&self, plan: &Plan, boards: [Option<usize>; 2]) -> String {
        let of_branches =
            self.branches.iter().map(|&bus| format!("`plug = true` under bus `{}`", plan.bus[bus].name.value));
        let board = boards[1].or(boards[0]).filter(|_| self.single);
        let of_board = board.map(|board| format!("`plug = true` under board `{}`", plan.board[board].name.value));
        let lines: Vec<String> = of_branches.chain(of_board).collect();
        format!("where they come apart, write {}; leave it where they never part", words::list(&lines))
    }
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    if plan.board.is_empty() {
        return;
    }
    let mut between: BTreeMap<[Option<usize>; 2], WiresBetween> = BTreeMap::new();
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let branch = if let Part::BranchJoint { bus, .. } = edge.part { Some(bus) } else { None };
        let may_run_over = match edge.kind {
            EdgeKind::Feeder | EdgeKind::Wire => !matches!(edge.part, Part::Detector { .. }),
            EdgeKind::Tap => branch.is_some(),
            _ => false,
        };
        let may_run_over = may_run_over && !circuit.plugs.contains_key(&id);
        let ends = [edge.a, edge.b].map(|node| circuit.board_at(&circuit.nodes[node]));
        let [Some(one), Some(other)] = ends else { continue };
        if may_run_over && one != other {
            let names = between.entry([one.min(other), one.max(other)]);
            let first = || WiresBetween {
                names: Vec::new(),
                first: edge.span.clone(),
                branches: BTreeSet::new(),
                single: false,
            };
            let these = names.or_insert_with(first);
            these.names.push(edge.name.clone());
            these.branches.extend(branch);
            these.single |= branch.is_none();
        }
    }
    for ([one, other], wires) in between {
        let help = wires.help(plan, [one, other]);
        let WiresBetween { names, first, .. } = wires;
        let count = names.len();
        let mut shown: Vec<String> = names.into_iter().take(4).collect();
        if count > shown.len() {
            shown.push(format!("{} more", count - shown.len()));
        }
        let [one, other] = [one, other].map(|board| board_words(plan, board));
        let wires = if count == 1 { "1 wire runs".to_owned() } else { format!("{count} wires run") };
        found.push(
            Finding::note(
                "wire-across-boards",
                Harm::GoodToKnow,
                format!("{wires} between {one} and {other} without a plug"),
            )
            .at(first, "one of them")
            .fact(words::list(&shown))
            .help(help),
        );
    }
}
