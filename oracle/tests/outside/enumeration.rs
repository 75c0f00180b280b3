//! The proof against every setting, one by one, with a general graph library (petgraph).

use circuit::{Circuit, NodeId, PoleId};
use libtest_mimic::{Failed, Trial};
use oracle::{Demo, demos, settings};
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::Dfs;
use plan::Pole;
use proof::Conditions;
use std::collections::BTreeSet;

/// Plans with more controls than this are left to the other checks.
const MOST_CONTROLS: usize = 14;

pub fn trials() -> Vec<Trial> {
    vec![Trial::test("enumeration::every_demo_plan", || {
        let mut checked = 0;
        for demo in demos()? {
            if demo.circuit.controls.len() <= MOST_CONTROLS {
                check(&demo)?;
                checked += 1;
            }
        }
        require(checked >= 3, || format!("only {checked} demo plans were small enough"))
    })]
}

/// A side of a grid: all of it where all checks are asked for, every day its two ends.
pub fn side(all: &[f64]) -> impl Iterator<Item = f64> {
    let step = if std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_some() { 1 } else { (all.len() - 1).max(1) };
    all.iter().copied().step_by(step)
}

pub fn require(holds: bool, words: impl FnOnce() -> String) -> Result<(), Failed> {
    if holds { Ok(()) } else { Err(words().into()) }
}

/// The closed edges of a setting as a graph, without the nodes named.
fn graph(circuit: &Circuit, setting: &[u8], without: &BTreeSet<NodeId>) -> UnGraph<(), ()> {
    let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
    let mut graph = UnGraph::with_capacity(circuit.nodes.len(), circuit.edges.len());
    for _ in &circuit.nodes {
        graph.add_node(());
    }
    for edge in &circuit.edges {
        if edge.is_closed(&positions) && !without.contains(&edge.a) && !without.contains(&edge.b) {
            graph.add_edge(NodeIndex::new(edge.a.index()), NodeIndex::new(edge.b.index()), ());
        }
    }
    graph
}

fn reached(graph: &UnGraph<(), ()>, from: NodeId) -> Vec<bool> {
    let mut seen = vec![false; graph.node_count()];
    let mut walk = Dfs::new(graph, NodeIndex::new(from.index()));
    while let Some(node) = walk.next(graph) {
        seen[node.index()] = true;
    }
    seen
}

/// Live conditions and shorts of a plan, in every setting.
pub fn check(demo: &Demo) -> Result<(), Failed> {
    let circuit = &demo.circuit;
    let conditions = Conditions::from_circuit(circuit).map_err(|e| format!("{}: {e:?}", demo.name))?;
    // A path counts only if it leads over no other pole, nor over anything that is one with it for good.
    let conductor = proof::Conductors::from_circuit(circuit, &[]).of;
    let pole_conductors: Vec<u32> = circuit.sources.iter().flat_map(|s| s.node).map(|n| conductor[n]).collect();
    let distinct: BTreeSet<u32> = pole_conductors.iter().copied().collect();
    if distinct.len() < pole_conductors.len() {
        return Ok(()); // shorted for good: told as such, and nothing else is asked
    }
    for setting in settings(circuit) {
        for (index, source) in circuit.sources.iter().enumerate() {
            for pole in Pole::ALL {
                let own = conductor[source.node[pole]];
                let others: BTreeSet<NodeId> = NodeId::all(circuit.nodes.len())
                    .filter(|&n| conductor[n] != own && distinct.contains(&conductor[n]))
                    .collect();
                let walked = graph(circuit, &setting, &others);
                let live = reached(&walked, source.node[pole]);
                for node in NodeId::all(circuit.nodes.len()) {
                    let told = conditions.live(node, PoleId { source: index, pole }, &setting);
                    require(told == live[node], || {
                        format!("{} {setting:?}: {} on pole {pole:?}", demo.name, circuit.nodes[node].name)
                    })?;
                }
            }
            let whole = graph(circuit, &setting, &BTreeSet::new());
            let shorted = reached(&whole, source.node[0])[source.node[1]];
            if circuit.sources.len() == 1 {
                require(conditions.shorted(index, &setting) == shorted, || {
                    format!("{} {setting:?}: short", demo.name)
                })?;
            }
        }
    }
    Ok(())
}
