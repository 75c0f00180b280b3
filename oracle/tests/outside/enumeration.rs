//! The proof against every setting, one by one, with a general graph library (petgraph).

use circuit::{Circuit, ways::ways};
use libtest_mimic::{Failed, Trial};
use oracle::{Demo, demos, settings};
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::Dfs;
use proof::Conditions;
use std::collections::{BTreeMap, BTreeSet};

/// Plans with more controls than this are left to the other checks.
const MOST_CONTROLS: usize = 14;

pub fn trials() -> Vec<Trial> {
    vec![
        Trial::test("enumeration::every_demo_plan", || {
            let mut checked = 0;
            for demo in demos()? {
                if demo.circuit.controls.len() <= MOST_CONTROLS {
                    check(&demo)?;
                    checked += 1;
                }
            }
            require(checked >= 3, || format!("only {checked} demo plans were small enough"))
        }),
        Trial::test("enumeration::findings_of_every_demo_plan", || {
            for demo in demos()? {
                if demo.circuit.controls.len() <= MOST_CONTROLS {
                    findings(&demo)?;
                }
            }
            Ok(())
        }),
    ]
}

pub fn require(holds: bool, words: impl FnOnce() -> String) -> Result<(), Failed> {
    if holds { Ok(()) } else { Err(words().into()) }
}

/// The closed edges of a setting as a graph, without the nodes named.
fn graph(circuit: &Circuit, setting: &[u8], without: &BTreeSet<u32>) -> UnGraph<(), ()> {
    let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
    let mut graph = UnGraph::with_capacity(circuit.nodes.len(), circuit.edges.len());
    for _ in &circuit.nodes {
        graph.add_node(());
    }
    for edge in &circuit.edges {
        if Circuit::holds(&edge.guard, &positions) && !without.contains(&edge.a) && !without.contains(&edge.b) {
            graph.add_edge(NodeIndex::new(edge.a as usize), NodeIndex::new(edge.b as usize), ());
        }
    }
    graph
}

fn reached(graph: &UnGraph<(), ()>, from: u32) -> Vec<bool> {
    let mut seen = vec![false; graph.node_count()];
    let mut walk = Dfs::new(graph, NodeIndex::new(from as usize));
    while let Some(node) = walk.next(graph) {
        seen[node.index()] = true;
    }
    seen
}

/// Live conditions, shorts and lined places of a plan, in every setting.
pub fn check(demo: &Demo) -> Result<(), Failed> {
    let circuit = &demo.circuit;
    let conditions = Conditions::of(circuit).map_err(|e| format!("{}: {e:?}", demo.name))?;
    let all_ways = ways(circuit, 100_000);
    require(all_ways.complete, || format!("{}: too many ways", demo.name))?;
    // A path counts only if it leads over no other pole, nor over anything that is one with it for good.
    let conductor = proof::Conductors::of(circuit, &[]).of;
    let pole_conductors: Vec<u32> =
        circuit.sources.iter().flat_map(|s| s.node).map(|n| conductor[n as usize]).collect();
    let distinct: BTreeSet<u32> = pole_conductors.iter().copied().collect();
    if distinct.len() < pole_conductors.len() {
        return Ok(()); // shorted for good: told as such, and nothing else is asked
    }
    for setting in settings(circuit) {
        for (index, source) in circuit.sources.iter().enumerate() {
            for pole in 0..2 {
                let own = conductor[source.node[pole] as usize];
                let others: BTreeSet<u32> = (0..circuit.nodes.len() as u32)
                    .filter(|&n| conductor[n as usize] != own && distinct.contains(&conductor[n as usize]))
                    .collect();
                let walked = graph(circuit, &setting, &others);
                let live = reached(&walked, source.node[pole]);
                for node in 0..circuit.nodes.len() as u32 {
                    require(conditions.live(node, index, pole, &setting) == live[node as usize], || {
                        format!("{} {setting:?}: {} on pole {pole}", demo.name, circuit.nodes[node as usize].name)
                    })?;
                }
            }
            let whole = graph(circuit, &setting, &BTreeSet::new());
            let shorted = reached(&whole, source.node[0])[source.node[1] as usize];
            if circuit.sources.len() == 1 {
                require(conditions.shorted(index, &setting) == shorted, || {
                    format!("{} {setting:?}: short", demo.name)
                })?;
            }
        }
        lined(demo, &conditions, &all_ways, &setting)?;
    }
    Ok(())
}

/// A train is lined over a segment when one of the listed ways runs over it.
fn lined(demo: &Demo, conditions: &Conditions<'_>, all: &circuit::Ways, setting: &[u8]) -> Result<(), Failed> {
    let mut over = vec![false; demo.circuit.segments.len()];
    for way in &all.list {
        if way.setting.iter().all(|(&control, &position)| setting[control] == position) {
            way.steps.iter().for_each(|step| over[step.0] = true);
        }
    }
    for (segment, &expected) in over.iter().enumerate() {
        require(conditions.lined(segment, setting) == expected, || {
            let name = &demo.circuit.segments[segment].name;
            let text = &demo.text;
            format!("{} {setting:?}: a train over {name}, ways say {expected}\n{text}", demo.name)
        })?;
    }
    Ok(())
}

/// What the proof calls free of faults has none in any setting, and each witness is true.
fn findings(demo: &Demo) -> Result<(), Failed> {
    let storage = review::storage(&demo.reading.plan, &demo.reading.names);
    let proof = proof::prove(&demo.circuit, storage.as_ref()).map_err(|e| format!("{e:?}"))?;
    let found = faults_by_enumeration(demo)?;
    let told = (
        !proof.shorts.is_empty(),
        !proof.bridges.is_empty(),
        !proof.dead.is_empty(),
        proof.storage.iter().any(|f| f.live),
    );
    require(found == told, || {
        format!("{}: (short, bridged, dead, storage live) by walking {found:?}, by proof {told:?}", demo.name)
    })
}

/// What is wrong in one setting.
#[derive(Clone, Default, PartialEq)]
struct Faults {
    short: bool,
    /// Gaps bridged under a train.
    bridged: BTreeSet<usize>,
    /// Segments and places (between which stops) where a train stands dead.
    dead: BTreeSet<(usize, usize)>,
    /// Storage tracks that are live though no way is lined to them.
    live: BTreeSet<usize>,
}

/// Whether any setting shorts, bridges a gap under a train, leaves a train dead, or feeds a storage track
/// that no way is lined to. A second formulation, from ways and walks.
///
/// What settles by itself takes another position where one is a fault: settings that differ in nothing else are
/// looked at together, and what is no fault in one of them (that is not shorted) is none.
pub fn faults_by_enumeration(demo: &Demo) -> Result<(bool, bool, bool, bool), Failed> {
    let circuit = &demo.circuit;
    let all = ways(circuit, 100_000);
    require(all.complete, || format!("{}: too many ways", demo.name))?;
    let mut by_hand: BTreeMap<Vec<u8>, Vec<Faults>> = BTreeMap::new();
    for setting in settings(circuit) {
        let set = setting.iter().zip(&circuit.controls).filter(|(_, c)| !c.settles).map(|(&p, _)| p).collect();
        by_hand.entry(set).or_default().push(faults_in(demo, &all, &setting));
    }
    let mut found = (false, false, false, false);
    for senses in by_hand.values() {
        let clean: Vec<&Faults> = senses.iter().filter(|f| !f.short).collect();
        let Some(first) = clean.first() else {
            found.0 = true;
            continue;
        };
        found.1 |= first.bridged.iter().any(|gap| clean.iter().all(|f| f.bridged.contains(gap)));
        found.2 |= first.dead.iter().any(|place| clean.iter().all(|f| f.dead.contains(place)));
        found.3 |= clean.iter().any(|f| !f.live.is_empty());
    }
    Ok(found)
}

fn faults_in(demo: &Demo, all: &circuit::Ways, setting: &[u8]) -> Faults {
    let circuit = &demo.circuit;
    let mut found = Faults::default();
    let walked = graph(circuit, setting, &BTreeSet::new());
    let on: Vec<[Vec<bool>; 2]> = circuit.sources.iter().map(|s| s.node.map(|n| reached(&walked, n))).collect();
    if on.iter().zip(&circuit.sources).any(|(on, s)| on[0][s.node[1] as usize]) {
        found.short = true;
        return found;
    }
    let pole = |node: u32| -> Option<(usize, usize)> {
        on.iter().enumerate().find_map(|(s, on)| (0..2).find(|&p| on[p][node as usize]).map(|p| (s, p)))
    };
    let powered = |one: u32, other: u32| match (pole(one), pole(other)) {
        (Some((s, p)), Some((t, q))) => s == t && p != q,
        _ => false,
    };
    let mut lined_over: BTreeSet<usize> = BTreeSet::new();
    for way in &all.list {
        if !way.setting.iter().all(|(&c, &p)| setting[c] == p) {
            continue;
        }
        for (i, &(segment, entered)) in way.steps.iter().enumerate() {
            lined_over.insert(segment);
            let rails = &circuit.segments[segment].rails;
            // A train that waits stops short of the last gap, if that is in the half it comes to.
            let half = circuit.segments[segment].length / 2.0;
            let waits = way.ends_in_loop && i + 1 == way.steps.len();
            for line in rails {
                let gaps: Vec<_> = circuit
                    .gaps
                    .iter()
                    .enumerate()
                    .filter(|(_, g)| {
                        g.segment == segment && line.stops.iter().any(|s| (s.before, s.after) == (g.before, g.after))
                    })
                    .collect();
                let last = match entered {
                    plan::TrackEnd::From => gaps.iter().map(|g| g.1.x).fold(f64::MIN, f64::max),
                    plan::TrackEnd::To => gaps.iter().map(|g| g.1.x).fold(f64::MAX, f64::min),
                };
                for (index, gap) in gaps {
                    let ahead_half = (gap.x > half) == (entered == plan::TrackEnd::From);
                    if waits && ahead_half && gap.x == last {
                        continue;
                    }
                    if let (Some((_, p)), Some((_, q))) = (pole(gap.before), pole(gap.after))
                        && p != q
                    {
                        found.bridged.insert(index);
                    }
                }
            }
            // Nor is it on what lies beyond the last gap of either rail there.
            let beyond = |x: f64| {
                let ahead = |from: f64, to: f64| if entered == plan::TrackEnd::From { from < to } else { from > to };
                let mut gaps = circuit.gaps.iter().filter(|g| g.segment == segment).peekable();
                waits && ahead(half, x) && gaps.peek().is_some() && gaps.all(|g| ahead(g.x, x))
            };
            let mut places: Vec<f64> = rails.iter().flat_map(|l| l.stops.iter().map(|s| s.x)).collect();
            places.sort_by(f64::total_cmp);
            for (place, pair) in places.windows(2).enumerate().filter(|(_, p)| p[1] - p[0] > 1e-9) {
                let middle = (pair[0] + pair[1]) / 2.0;
                let node =
                    |side: usize| rails[side].stops.iter().rev().find(|s| s.x <= middle).map(|s| s.after).unwrap();
                if !beyond(middle) && !powered(node(0), node(1)) {
                    found.dead.insert((segment, place));
                }
            }
        }
    }
    if let Some(storage) = review::storage(&demo.reading.plan, &demo.reading.names)
        && matches!(storage.live, plan::tables::Live::Lined | plan::tables::Live::BothEndsAgree)
    {
        for &track in &storage.tracks {
            // In the middle of its longest stretch without gaps.
            let segment = &circuit.segments[track];
            let mut cuts: Vec<f64> = vec![0.0, segment.length];
            cuts.extend(circuit.gaps.iter().filter(|g| g.segment == track).map(|g| g.x));
            cuts.sort_by(f64::total_cmp);
            let longest = cuts.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0]))).unwrap();
            let middle = (longest[0] + longest[1]) / 2.0;
            let node =
                |side: usize| segment.rails[side].stops.iter().rev().find(|s| s.x <= middle).map(|s| s.after).unwrap();
            if powered(node(0), node(1)) && !lined_over.contains(&track) {
                found.live.insert(track);
            }
        }
    }
    found
}
