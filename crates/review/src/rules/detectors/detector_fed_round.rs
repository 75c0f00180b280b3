//! A rail that gets current past the detector that is to watch it.

use super::sight;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{Circuit, EdgeId, EdgeKind, NodeId};
use finding::{Finding, Harm, Severity};
use plan::tables::RailSide;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "detector-fed-round",
        title: "a rail gets its current past its detector",
        text: "A current detector sees only the current that flows over it. A rail of its track has another feed: a feeder \
               straight to the bus, a contact, or the rail of its neighbour. A train there takes its current past the detector, \
               and the panel shows the track as free although a train stands on it.\n\n\
               What to do: bring every feeder of this rail to the detector, and cut a gap where the rail runs on into a track \
               that is fed otherwise. A detector sees nothing at all of a track if none of its rails is wired to it.",
        drawing: r#"            ┌ D1 ┐
   bus.A ═╤═╡    ╞══╤═══
          │ └────┘  │
          │  dock 1 ╧═══════════[____]═════╤══
          └────────────────────────────────┘
             a second feeder: D1 sees nothing of the train"#,
        example: include_str!("examples/detector-fed-round.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let circuit = &facts.circuit;
    let detectors = sight::detectors(facts);
    if detectors.is_empty() {
        return;
    }
    let neighbours = circuit.neighbours();
    let settings = sight::settings(facts);
    let round: Vec<Vec<Option<EdgeId>>> =
        settings.iter().map(|setting| sight::fed_round(circuit, &neighbours, setting)).collect();
    for detector in &detectors {
        let seen: Vec<Vec<bool>> = settings
            .iter()
            .map(|setting| circuit.seen_from(&neighbours, detector.output, |edge| edge.is_closed(setting)))
            .collect();
        // Where it sees a track that is not its own, that is the cause, and has a finding of its own.
        let too_much = |number: usize| {
            (0..circuit.tracks).filter(|track| !detector.tracks.contains(track)).any(|track| {
                let mut nodes = RailSide::ALL.into_iter().flat_map(|side| sight::rail_nodes(circuit, track, side));
                nodes.any(|node| seen[number][node])
            })
        };
        let judged: Vec<usize> = (0..settings.len()).filter(|&number| !too_much(number)).collect();
        for &track in &detector.tracks {
            let sides = sight::sides(facts, detector, track, &seen);
            let table = &facts.plan.detector[detector.index];
            let name = &facts.plan.track[track].name;
            if sides.is_empty() {
                found.push(
                    Finding::new(
                        Severity::Error,
                        "detector-fed-round",
                        Harm::CanStop,
                        format!(
                            "detector `{}` sees nothing of `{}`: no rail of it is wired to it",
                            table.name.value, name.value
                        ),
                    )
                    .at(table.name.span.clone(), "sees nothing of it")
                    .also(name.span.clone(), "fed from elsewhere")
                    .help(format!(
                        "write `left = \"{}\"` or `right = \"{}\"` in the track",
                        table.name.value, table.name.value
                    )),
                );
                continue;
            }
            let fed = sides.iter().find_map(|&side| {
                let number = judged.iter().copied().find(|&number| {
                    sight::rail_nodes(circuit, track, side).any(|node| round[number][node].is_some())
                })?;
                let node = sight::rail_nodes(circuit, track, side).find(|&node| round[number][node].is_some())?;
                Some((side, number, node))
            });
            let Some((side, number, node)) = fed else { continue };
            let when = sight::literals(&settings[number]);
            let when = if when.is_empty() { String::new() } else { format!(" {}", words::when(circuit, &when)) };
            let mut finding = Finding::new(
                Severity::Error,
                "detector-fed-round",
                Harm::CanStop,
                format!(
                    "the {} rail of `{}` gets current past detector `{}`{when}: a train there is not shown",
                    side.word(),
                    name.value,
                    table.name.value
                ),
            )
            .at(name.span.clone(), "not all of its current goes over the detector")
            .also(table.name.span.clone(), "the detector");
            if let Some(edge) = wire(circuit, &round[number], node) {
                let edge = &circuit.edges[edge];
                finding = finding.also(edge.span.clone(), "fed by this").fact(format!("by the {}", edge.name));
            }
            found.push(finding.help(format!(
                "bring this feed to the detector: write `to = \"{0}\"` in the feeder, or `\"{0}\"` in the contact",
                table.name.value
            )));
        }
    }
}

/// The first wire or feeder on the way back from a node to the bus.
fn wire(circuit: &Circuit, came: &[Option<EdgeId>], node: NodeId) -> Option<EdgeId> {
    let mut at = node;
    // No way back is longer than there are nodes.
    for _ in 0..circuit.nodes.len() {
        let edge = came[at.index()]?;
        if matches!(circuit.edges[edge].kind, EdgeKind::Feeder | EdgeKind::Wire) {
            return Some(edge);
        }
        let (a, b) = (circuit.edges[edge].a, circuit.edges[edge].b);
        at = if a == at { b } else { a };
    }
    None
}
