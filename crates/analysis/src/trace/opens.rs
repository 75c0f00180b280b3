//! What a trace found, in words.

use super::OpenPart;
use super::walk::{self, CircuitSetting};
use crate::words;
use circuit::{Circuit, EdgeId, EdgeKind};
use finding::Lines;
use plan::tables::RailSide;
use std::collections::BTreeSet;

/// Open switches and gaps, and when each switch closes.
pub fn opens(setting: &CircuitSetting<'_>, lines: &Lines<'_>, steps: &[walk::Opening]) -> Vec<OpenPart> {
    let circuit = setting.circuit;
    let shown = steps.iter().map(|step| match *step {
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
            OpenPart {
                words: format!("{}: {verb} when {}", edge.name, words::list(&when)),
                line: lines.line_at(edge.span.start),
            }
        }
        walk::Opening::Gap(gap) => {
            let gap = &circuit.gaps[gap];
            let segment = &circuit.segments[gap.segment].name;
            OpenPart {
                words: format!("gap in {segment}.{} @ {}", gap.side.word(), circuit.units.metres(gap.x)),
                line: lines.line_at(gap.span.start),
            }
        }
    });
    shown.collect()
}

/// What is one conductor, in words: stretches of rail, rails of trackwork, terminals of contacts.
pub fn conductor(circuit: &Circuit, reached: &[bool]) -> Vec<String> {
    let here = |edge: EdgeId| reached[circuit.edges[edge].a] && reached[circuit.edges[edge].b];
    let mut shown: Vec<String> = Vec::new();
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
                let [from, to] = [from, to].map(|x| circuit.units.metres(x));
                shown.push(format!("{}.{} from {from} to {to}", segment.name, side.word()));
            }
        }
    }
    for (id, edge) in EdgeId::each(&circuit.edges) {
        let work = edge.kind == EdgeKind::Rail && !of_tracks.contains(&id) && here(id);
        if work && !shown.contains(&edge.name) {
            shown.push(edge.name.clone());
        }
        if edge.kind == EdgeKind::Contact {
            let terminals = [edge.a, edge.b].into_iter().filter(|&n| reached[n]);
            for node in terminals.map(|n| &circuit.nodes[n].name) {
                if !shown.contains(node) {
                    shown.push(node.clone());
                }
            }
        }
    }
    shown
}
