//! Measurements that could be made next.

use crate::fault::Element;
use crate::hunt::{Hunt, LONG};
use crate::observation::{Conditions, Kit, Measurement};
use crate::ranking::Ranking;
use crate::state::across;
use circuit::{EdgeId, EdgeKind, NodeId, Spot};
use commissioning::candidates::{candidates, settings};
use commissioning::mistake::is_made;
use network::BadConductance;
use std::collections::{BTreeMap, BTreeSet};

/// Suspects that measurements with pulled wires are thought of for.
const PULLED_FOR: usize = 16;
/// Wires that are pulled at most for one measurement.
const MOST_PULLED: usize = 4;
/// Of an ampere across a piece, what may pass beside it before it is worth pulling wires.
const BESIDE: f64 = 0.15;

/// Minutes that may be spent on pulling wires for one reading.
const LONGEST_PULLING: f64 = 12.0;

/// All pairs of places worth reading, by setting.
pub struct Pairs {
    list: Vec<(Vec<Option<u8>>, [NodeId; 2])>,
    /// Stretches of rail with all wires that end on them pulled.
    stretches: Vec<([NodeId; 2], BTreeSet<EdgeId>)>,
}

impl Pairs {
    /// Those of a hunt, whatever was read.
    pub fn new(hunt: &Hunt) -> Pairs {
        let circuit = &hunt.wiring.circuit;
        let cold = commissioning::unpowered::unpowered(circuit, commissioning::Age::New);
        let settings = settings(&cold);
        let mut found = BTreeSet::new();
        let mut list = Vec::new();
        let mut add = |setting: &Vec<Option<u8>>, pair: [NodeId; 2]| {
            let pair = [pair[0].min(pair[1]), pair[0].max(pair[1])];
            if pair[0] != pair[1] && found.insert((setting.clone(), pair)) {
                list.push((setting.clone(), pair));
            }
        };
        if circuit.edges.len() > LONG {
            return Pairs { list, stretches: Vec::new() };
        }
        for candidate in candidates(&cold, &settings, false) {
            add(&settings[candidate.setting], candidate.pair);
        }
        // From each pole to every place of its conductor, in the usual setting and wherever something else is joined.
        let usual = commissioning::candidates::pieces(&cold, &settings[0]);
        for (index, setting) in settings.iter().enumerate() {
            let pieces = commissioning::candidates::pieces(&cold, setting);
            for pole in circuit.breakers.iter().flat_map(|b| b.node) {
                for (node, n) in NodeId::each(&circuit.nodes) {
                    let place = matches!(n.spot, Spot::Rail { .. } | Spot::Work { .. });
                    let new = index == 0 || pieces[node] != usual[node];
                    if place && new && pieces[node] == pieces[pole] {
                        add(setting, [pole, node]);
                    }
                }
            }
        }
        // Along each rail, from any place to any other behind it.
        for segment in &circuit.segments[..circuit.tracks] {
            for line in &segment.rails {
                let places: Vec<NodeId> = line.stops.iter().flat_map(|s| [s.before, s.after]).collect();
                for (i, &from) in places.iter().enumerate() {
                    for &to in places.iter().skip(i + 1).take(12) {
                        if usual[from] == usual[to] {
                            add(&settings[0], [from, to]);
                        }
                    }
                }
            }
        }
        Pairs { list, stretches: stretches(hunt, &usual) }
    }

    /// The measurements that a kit makes of them, and those that pull wires around the likeliest things.
    ///
    /// # Errors
    /// When a resistance is none that can be calculated with.
    pub fn measurements(&self, hunt: &mut Hunt, ranking: &Ranking) -> Result<Vec<Measurement>, BadConductance> {
        let kit = hunt.options.kit;
        if kit == Kit::Volts {
            // From one pole to its rail would tell left from right, but only where current flows at all: not asked for.
            return Ok(loops(hunt));
        }
        let of = |setting: &[Option<u8>], pair: [NodeId; 2], pulled: BTreeSet<EdgeId>| Measurement {
            kit,
            conditions: Conditions { powered: false, setting: setting.to_vec(), pulled },
            force: pair,
            sense: pair,
        };
        let mut found: Vec<Measurement> =
            self.list.iter().map(|(setting, pair)| of(setting, *pair, BTreeSet::new())).collect();
        let age = most_likely_age(ranking);
        if hunt.options.pulling {
            let usual = hunt.usual(false).setting;
            found.extend(self.stretches.iter().map(|(pair, pulled)| of(&usual, *pair, pulled.clone())));
        }
        for edge in suspected_edges(ranking) {
            let circuit = &hunt.wiring.circuit;
            let edge_of = &circuit.edges[edge];
            let pair = [edge_of.a, edge_of.b];
            let mut given: Vec<Option<u8>> = vec![None; circuit.controls.len()];
            edge_of.guard.iter().for_each(|l| given[l.control] = Some(l.position));
            let setting = circuit.complete(&given);
            if circuit.edges.len() > LONG {
                found.push(of(&setting, pair, BTreeSet::new()));
                let poles: Vec<NodeId> = circuit.breakers.iter().flat_map(|b| b.node).take(4).collect();
                for pole in poles {
                    found.extend(pair.map(|end| of(&setting, [pole, end], BTreeSet::new())));
                }
            }
            if hunt.options.pulling {
                for pulled in worth_pulling(hunt, edge, &setting, age)? {
                    found.push(of(&setting, pair, pulled));
                }
            }
        }
        found.retain(|m| m.force[0] != m.force[1]);
        Ok(found)
    }
}

/// Stretches of each rail, twice as long each time, with all that feeds them from a wire pulled: nothing lies beside their joints then.
fn stretches(hunt: &Hunt, pieces: &[NodeId]) -> Vec<([NodeId; 2], BTreeSet<EdgeId>)> {
    let circuit = &hunt.wiring.circuit;
    let most = (LONGEST_PULLING / hunt.options.minutes.pull.max(1e-3)) as usize;
    let mut wires: BTreeMap<NodeId, Vec<EdgeId>> = BTreeMap::new();
    for (id, edge) in EdgeId::each(&circuit.edges).filter(|(id, _)| hunt.can_be_pulled(*id)) {
        [edge.a, edge.b].into_iter().for_each(|end| wires.entry(end).or_default().push(id));
    }
    let mut found = Vec::new();
    for segment in &circuit.segments[..circuit.tracks] {
        for line in &segment.rails {
            // Runs without a gap.
            let stops = &line.stops;
            let mut length = 2;
            while length < 2 * stops.len() {
                let mut from = 0;
                while from + 1 < stops.len() {
                    let to = (from + length).min(stops.len() - 1);
                    let ends = [stops[from].after, stops[to].before];
                    let within = stops[from..=to].iter().flat_map(|s| [s.before, s.after]);
                    let pulled: BTreeSet<EdgeId> =
                        within.filter_map(|node| wires.get(&node)).flatten().copied().collect();
                    let one = pieces[ends[0]] == pieces[ends[1]] && ends[0] != ends[1];
                    if one && !pulled.is_empty() && pulled.len() <= most {
                        found.push((ends, pulled));
                    }
                    from += (length / 2).max(1);
                }
                length *= 2;
            }
        }
    }
    found
}

/// The likeliest age.
pub fn most_likely_age(ranking: &Ranking) -> usize {
    (0..ranking.ages.len()).max_by(|&a, &b| ranking.ages[a].total_cmp(&ranking.ages[b])).unwrap_or(0)
}

fn suspected_edges(ranking: &Ranking) -> Vec<EdgeId> {
    let edges = ranking.ranked.iter().flat_map(|r| &r.elements).filter_map(|element| match element {
        Element::Edge(edge) => Some(*edge),
        _ => None,
    });
    let mut seen = BTreeSet::new();
    edges.filter(|edge| seen.insert(*edge)).take(PULLED_FOR).collect()
}

/// Sets of wires to pull so that what passes beside a piece does not hide it: each time the one that carries most.
fn worth_pulling(
    hunt: &mut Hunt,
    edge: EdgeId,
    setting: &[Option<u8>],
    age: usize,
) -> Result<Vec<BTreeSet<EdgeId>>, BadConductance> {
    let mut found = Vec::new();
    let mut pulled = BTreeSet::new();
    let pieces = [hunt.wiring.circuit.edges[edge].a, hunt.wiring.circuit.edges[edge].b];
    for _ in 0..MOST_PULLED {
        let conditions = Conditions { powered: false, setting: setting.to_vec(), pulled: pulled.clone() };
        let state = hunt.state(&conditions, age)?;
        let own = state.siemens(edge.index());
        if own == 0.0 {
            break;
        }
        let volts = state.drive(pieces);
        let through = own * across(&volts, state.ends(edge.index()));
        if 1.0 - through < BESIDE {
            break;
        }
        let current = |other: EdgeId| (state.siemens(other.index()) * across(&volts, state.ends(other.index()))).abs();
        let most = EdgeId::all(hunt.wiring.circuit.edges.len())
            .filter(|&other| other != edge && !pulled.contains(&other) && hunt.can_be_pulled(other))
            .map(|other| (current(other), other))
            .max_by(|one, other| one.0.total_cmp(&other.0).then(other.1.cmp(&one.1)));
        match most {
            Some((amps, other)) if amps > 0.02 => pulled.insert(other),
            _ => break,
        };
        found.push(pulled.clone());
    }
    Ok(found)
}

/// Loops under load, with power on: both rails of each place of each track, in the usual setting and in each other position.
fn loops(hunt: &Hunt) -> Vec<Measurement> {
    let circuit = &hunt.wiring.circuit;
    let cold = commissioning::unpowered::unpowered(circuit, commissioning::Age::New);
    let settings = settings(&cold);
    let mut found = Vec::new();
    for setting in &settings {
        let conditions = Conditions { powered: true, setting: setting.clone(), pulled: BTreeSet::new() };
        for track in 0..circuit.tracks {
            for pair in track_places(hunt, track) {
                found.push(Measurement { kit: Kit::Volts, conditions: conditions.clone(), force: pair, sense: pair });
            }
        }
    }
    found
}

/// Pairs of left and right rail of a track that a train can stand on, one for each place where something is.
pub fn track_places(hunt: &Hunt, track: usize) -> Vec<[NodeId; 2]> {
    let segment = &hunt.wiring.circuit.segments[track];
    let mut places: BTreeMap<u64, f64> = BTreeMap::new();
    for stop in segment.rails.iter().flat_map(|line| &line.stops) {
        places.insert((stop.x * 1e4).round() as u64, stop.x);
    }
    let nearest = |side: usize, x: f64, last: bool| {
        let stops = &segment.rails[side].stops;
        // What lies at or before the place, on its far side; at the end of the track on the near one.
        let place = stops.iter().rposition(|s| s.x <= x + 1e-5).unwrap_or(0);
        stops.get(place).map(|s| if last && place + 1 == stops.len() { s.before } else { s.after })
    };
    let end = segment.length;
    let pairs = places.into_values().filter_map(|x| {
        let last = (x - end).abs() < 1e-5;
        Some([nearest(0, x, last)?, nearest(1, x, last)?])
    });
    let mut pairs: Vec<[NodeId; 2]> = pairs.collect();
    pairs.dedup();
    pairs
}

/// Whether a piece is of those that can be at fault.
pub fn can_be_at_fault(hunt: &Hunt, edge: EdgeId) -> bool {
    let edge = &hunt.wiring.circuit.edges[edge];
    is_made(edge) && edge.kind != EdgeKind::Rail
}
