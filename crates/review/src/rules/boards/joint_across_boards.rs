//! Rails soldered together over the edge between two boards.

use super::board_words;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use circuit::{EdgeKind, Part};
use finding::{Finding, Harm};
use handbook::quantity::Quantity;
use plan::names::EndOf;
use plan::{Kind, TrackEnd};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "joint-across-boards",
        title: "rails are soldered together over the edge between two boards",
        text: "Boards that come apart take the rail with them: a soldered joint over their edge tears, or tears the rail from its \
               sleepers, the first time the boards part. Where the boards stay together but stand in different air, the rail \
               is pulled each season.\n\nFix: leave that joint to slide, or cut a gap there, and make both rails fast to the edge of \
               each board (`held`), so that they meet again. The rail beyond the edge then needs feeders of its own.",
        drawing: r#"   board 1            │ board 2
   ═══════════════════╪══════════  soldered: tears when they part
   ══════════════════ │ ═════════  gap or sliding joint: comes apart"#,
        example: include_str!("examples/joint-across-boards.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    if plan.board.is_empty() {
        return;
    }
    let on = |thing: (Kind, usize)| circuit.on_board.get(&thing).copied().flatten();
    let beyond = |track: usize, end: TrackEnd| match end {
        TrackEnd::From => &plan.track[track].from,
        TrackEnd::To => &plan.track[track].to,
    };
    // For each end of a track at which rails are soldered: the board there and that beyond.
    let mut soldered: BTreeMap<(usize, TrackEnd), [Option<usize>; 2]> = BTreeMap::new();
    for edge in circuit.edges.iter().filter(|e| e.kind == EdgeKind::SolderedJoint) {
        let Part::EndJoint { track, end, .. } = edge.part else { continue };
        let other = match facts.names.end(plan, &beyond(track, end).value) {
            Ok(EndOf::Track(other, _)) => on((Kind::Track, other)),
            Ok(EndOf::Work(kind, index, _)) => on((kind, index)),
            _ => continue,
        };
        let boards = [on((Kind::Track, track)), other];
        if boards[0] != boards[1] {
            soldered.insert((track, end), boards);
        }
    }
    for ((track, end), boards) in soldered {
        let (table, text) = (&plan.track[track], beyond(track, end));
        let [here, there] = boards.map(|board| board_words(plan, board));
        let at = match end {
            TrackEnd::From => "0 m".to_owned(),
            TrackEnd::To => plan.units().metres(table.length.value.si()),
        };
        found.push(
            Finding::warning(
                "joint-across-boards",
                Harm::WillAge,
                format!("`{}` is soldered to `{}`, across the edge of two boards", table.name.value, text.value),
            )
            .at(text.span.clone(), "this joint")
            .fact(format!("one lies on {here}, the other on {there}"))
            .help(format!(
                "let the joint slide: `joints = [{{ at = \"{at}\", kind = \"sliding\" }}]` under `{}`; or cut a gap there",
                table.name.value
            )),
        );
    }
}
