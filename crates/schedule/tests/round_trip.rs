//! The tables of a plan rebuild its circuit.
#![allow(clippy::unwrap_used)]

mod common;

use circuit::{EdgeKind, Spot};
use common::{demos, with_job};
use schedule::Job;
use schedule::csv::table_csv;
use schedule::places::Places;
use schedule::read_back::{ReadBack, Texts, read_back};
use schedule::tables::circuit_tables;
use schedule::wires::wires;
use std::collections::{BTreeMap, BTreeSet};

type Edges = BTreeMap<(EdgeKind, [String; 2], String), Vec<f64>>;

fn sorted(mut ends: [String; 2]) -> [String; 2] {
    ends.sort();
    ends
}

/// The edges of a job's circuit by the words for their ends.
fn edges_of(job: &Job<'_>) -> Edges {
    let circuit = &job.facts.circuit;
    let places = Places::of(circuit, job.facts.plan, job.choices.units);
    // The wire's side of a tap is named by its wire, a reverser's by its input.
    let mut taps: BTreeMap<u32, String> = BTreeMap::new();
    for wire in wires(job) {
        let at = |node: Option<u32>| node.filter(|n| matches!(circuit.nodes[*n as usize].spot, Spot::Tap { .. }));
        if let Some(node) = at(wire.ends[1].node) {
            let words = match wire.what {
                "reverser input" => wire.ends[1].words.clone(),
                _ => format!("tap of {}", wire.number),
            };
            assert_eq!(taps.insert(node, words), None, "a tap of two wires");
        }
    }
    let mut names = BTreeSet::new();
    let words: Vec<String> = (0..circuit.nodes.len() as u32)
        .map(|node| {
            let words = taps.get(&node).cloned().unwrap_or_else(|| places.words(node));
            assert!(names.insert(words.clone()), "two nodes are called {words}");
            words
        })
        .collect();
    let mut edges = Edges::new();
    for edge in &circuit.edges {
        let ends = sorted([edge.a, edge.b].map(|n| words[n as usize].clone()));
        let when: Vec<String> = edge
            .guard
            .iter()
            .map(|&l| circuit.literal_words(l))
            .map(|(control, position)| format!("{control} = {position}"))
            .collect();
        edges.entry((edge.kind, ends, when.join(", "))).or_default().push(edge.ohms.typical);
    }
    edges
}

fn read(job: &Job<'_>) -> ReadBack {
    let [wires, gaps, joints, rails, contacts, sources] = circuit_tables(job).map(|table| table_csv(&table));
    let texts =
        Texts { wires: &wires, gaps: &gaps, joints: &joints, rails: &rails, contacts: &contacts, sources: &sources };
    read_back(&texts, job.choices.units).unwrap()
}

fn check(name: &str, job: &Job<'_>) {
    let mut due = edges_of(job);
    let back = read(job);
    let mut found = Edges::new();
    for edge in back.edges {
        found.entry((edge.kind, sorted(edge.ends), edge.when)).or_default().push(edge.ohms);
    }
    let keys = |edges: &Edges| edges.iter().map(|(k, v)| (k.clone(), v.len())).collect::<BTreeMap<_, _>>();
    let (of_plan, of_tables) = (keys(&due), keys(&found));
    for key in of_plan.iter().filter(|(k, n)| of_tables.get(*k) != Some(n)) {
        panic!("{name}: the tables do not have {key:?}");
    }
    for key in of_tables.iter().filter(|(k, n)| of_plan.get(*k) != Some(n)) {
        panic!("{name}: the circuit does not have {key:?}");
    }
    for (key, ohms) in &mut due {
        let mut theirs = found[key].clone();
        ohms.sort_by(f64::total_cmp);
        theirs.sort_by(f64::total_cmp);
        for (one, other) in ohms.iter().zip(&theirs) {
            // Six digits are printed, places to a hundredth of a millimetre: of the thinnest bus wire 5 µΩ.
            assert!((one - other).abs() <= 2e-6 * one.abs() + 1e-6, "{name}: {key:?}: {one} and {other}");
        }
    }
    let circuit = &job.facts.circuit;
    let places = Places::of(circuit, job.facts.plan, job.choices.units);
    let gaps: BTreeSet<[String; 2]> =
        circuit.gaps.iter().map(|g| sorted([g.before, g.after].map(|n| places.words(n)))).collect();
    assert_eq!(back.gaps.into_iter().map(sorted).collect::<BTreeSet<_>>(), gaps, "{name}");
}

#[test]
fn the_tables_of_every_demo_plan_rebuild_its_circuit() {
    for (name, text) in demos() {
        with_job(&text, |job| check(&name, job));
    }
}
