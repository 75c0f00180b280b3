//! Rails soldered together over the edge between two boards.

use super::board_words;
use crate::context::Context;
use crate::fixes::proving::ends;
use crate::rules::{FindingPage, Rule};
use circuit::{EdgeKind, Part};
use finding::{Finding, Harm};
use handbook::quantity::Quantity;
use plan::{TrackEnd, edit};

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
    let across = circuit.ends_across_boards(plan, facts.names);
    let is_soldered = |of: (usize, TrackEnd)| {
        let joins = |part: &Part| matches!(*part, Part::EndJoint { track, end, .. } if (track, end) == of);
        circuit.edges.iter().any(|e| e.kind == EdgeKind::SolderedJoint && joins(&e.part))
    };
    for ((track, end), boards) in across.into_iter().filter(|joint| is_soldered(joint.0)) {
        let table = &plan.track[track];
        let (text, at) = (table.beyond(end), table.place_of(end));
        let [here, there] = boards.map(|board| board_words(plan, board));
        let words = plan.units().written(at);
        let finding = Finding::warning(
            "joint-across-boards",
            Harm::WillAge,
            format!("`{}` is soldered to `{}`, across the edge of two boards", table.name.value, text.value),
        )
        .at(text.span.clone(), "this joint")
        .fact(format!("one lies on {here}, the other on {there}"));
        let item = format!("{{ at = {}, kind = \"sliding\" }}", edit::quoted(&words));
        let is_said = table.joints.iter().any(|j| (j.value.at.value.si() - at).abs() < 1e-6);
        let edits = edit::add_to_list(facts.written_text(), &table.joints, &table.place, "joints", &item);
        found.push(if !is_said && ends(facts, &edits, "joint-across-boards") {
            let says = format!("let the joint of `{}` slide at {words}, at the edge of its board", table.name.value);
            finding.proposal(says, edits)
        } else {
            finding.help(format!(
                "let the joint slide: `joints = [{item}]` under `{}`; or cut a gap there",
                table.name.value
            ))
        });
    }
}
