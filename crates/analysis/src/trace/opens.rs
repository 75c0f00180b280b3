//! What a trace found, in words.

use super::Open;
use super::walk::{self, Setting};
use crate::words;
use circuit::{Circuit, EdgeId, EdgeKind};
use finding::Lines;
use plan::tables::RailSide;
use std::collections::BTreeSet;

/// Open switches and gaps, and when each switch closes.
pub fn opens(setting: &Setting<'_>, lines: &Lines<'_>, steps: &[walk::Opening]) -> Vec<Open> {
    let circuit = setting.circuit;
    let told = steps.iter().map(|step| match *step {
        walk::Opening::Edge(edge) => {
            let edge = &circuit.edges[edge];
            let when: Vec<String> = edge
                .guard
                .iter()
                .filter(|l| setting.positions.get(l.control.index()).copied().flatten() != Some(l.position))
                .map(|&l| {
                    let (control, position) = circuit.literal_words(l);
                    format!("{control} is {position}")
                })
                .collect();
            let verb = if edge.kind == EdgeKind::Blade { "touches" } else { "closes" };
            Open {
                words: format!("{}: {verb} when {}", edge.name, words::list(&when)),
                line: lines.line_at(edge.span.start),
            }
        }
        walk::Opening::Gap(gap) => {
            let gap = &circuit.gaps[gap];
            let segment = &circuit.segments[gap.segment].name;
            Open {
                words: format!("gap in {segment}.{} @ {}", gap.side.word(), words::metres(gap.x)),
                line: lines.line_at(gap.span.start),
            }
        }
    });
    told.collect()
}

/// What is one conductor, in words: stretches of rail, rails of trackwork, terminals of contacts.
pub fn conductor(circuit: &Circuit, reached: &[bool]) -> Vec<String> {
    let here = |edge: EdgeId| reached[circuit.edges[edge].a] && reached[circuit.edges[edge].b];
    let mut told: Vec<String> = Vec::new();
    let mut of_tracks: BTreeSet<EdgeId> = BTreeSet::new();
    for segment in &circuit.segments[..circuit.tracks] {
        for (side, line) in RailSide::ALL.into_iter().zip(&segment.rails) {
            let mut stretches: Vec<[f64; 2]> = Vec::new();
            for (ends, &piece) in line.stops.windows(2).zip(&line.pieces) {
                of_tracks.insert(piece);
                if !here(piece) {
                    continue;
                }
                match stretches.last_mut() {
                    Some(last) if last[1] == ends[0].x => last[1] = ends[1].x,
                    _ => stretches.push([ends[0].x, ends[1].x]),
                }
            }
            for [from, to] in stretches {
                let [from, to] = [from, to].map(words::metres);
                told.push(format!("{}.{} from {from} to {to}", segment.name, side.word()));
            }
        }
    }
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let work = edge.kind == EdgeKind::Rail && !of_tracks.contains(&id) && here(id);
        if work && !told.contains(&edge.name) {
            told.push(edge.name.clone());
        }
        if edge.kind == EdgeKind::Contact {
            let terminals = [edge.a, edge.b].into_iter().filter(|&n| reached[n]);
            for node in terminals.map(|n| &circuit.nodes[n].name) {
                if !told.contains(node) {
                    told.push(node.clone());
                }
            }
        }
    }
    told
}
