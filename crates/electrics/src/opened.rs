//! The numbers once one joint, tap, feeder or contact has opened: closed forms, nothing is factored again.

use crate::loops::{LoopPiece, bend};
use crate::profile::Parabola;
use crate::worst::Setting;
use crate::{Demand, Extreme, Failed, Grid, LeastShort, Level, Profile, Resistances};
use circuit::{Circuit, EdgeId, EdgeKind, NodeId, SegmentId};
use handbook::Spread;
use network::EdgeChange;
use std::collections::BTreeMap;

/// Resistances of a grid with one of its closed edges opened.
///
/// With one ampere put in at the edge's one end and taken out at its other, each node `a` is lifted by `x_a`; opening the
/// edge of conductance `g` lifts the driving-point resistance of `a` by `x_a² / (1/g − R)`, with `R` the resistance
/// between the edge's ends (Sherman and Morrison 1950; see [`EdgeChange`]). One solve gives all `x`.
pub struct OpenedEdge<'r> {
    resistances: &'r Resistances<'r>,
    change: EdgeChange,
    /// Potentials of all nodes of the network.
    across: Vec<f64>,
}

impl Resistances<'_> {
    /// What is left when a closed edge opens. None where it is open already, joined to no source, or the only way
    /// between what lies before and behind it: then that is dead, which is no matter of numbers.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn opened(&self, edge: EdgeId) -> Option<OpenedEdge<'_>> {
        let grid = self.grid;
        let ends = &grid.circuit.edges[edge];
        let (round, change) = self.change_by_opening(edge)?;
        let mut across = vec![0.0; grid.circuit.nodes.len()];
        across[grid.network_node(ends.a) as usize] += 1.0;
        across[grid.network_node(ends.b) as usize] -= 1.0;
        grid.solve(round, &mut across);
        Some(OpenedEdge { resistances: self, change, across })
    }

    /// The round in which the part of a closed edge is calculated, and what its opening changes; none as for
    /// [`Resistances::opened`].
    fn change_by_opening(&self, edge: EdgeId) -> Option<(usize, EdgeChange)> {
        let grid = self.grid;
        let part = grid.poles.part_of(grid.circuit.edges[edge].a).filter(|_| grid.is_closed(edge))?;
        let round = self.round_of(part)?;
        let between = self.inverses[round].resistance_between_ends(edge.index());
        let change = EdgeChange::new(between, -grid.conductance[edge]).filter(|change| !change.cuts())?;
        Some((round, change))
    }

    /// The round in which a part is calculated.
    fn round_of(&self, part: usize) -> Option<usize> {
        let grid = self.grid;
        let sources = &grid.circuit.sources;
        let source = (0..sources.len()).find(|&s| grid.poles.part_of(sources[s].plus) == Some(part))?;
        Some(grid.poles.rank[source])
    }
}

/// The same for many edges and few nodes: by reciprocity, what one ampere through an edge's ends does to a node is what one
/// ampere into the node does between the ends. One solve a node gives all edges.
struct Seen<'r> {
    resistances: &'r Resistances<'r>,
    /// Each node of the network that is asked for, its part, and the potentials of all nodes for one ampere into it.
    from: Vec<(u32, usize, Vec<f64>)>,
}

impl<'r> Seen<'r> {
    /// Seen from all stops of these tracks.
    fn from_tracks(resistances: &'r Resistances<'r>, nodes: &[NodeId]) -> Seen<'r> {
        let grid = resistances.grid;
        let solved = |&node: &NodeId| {
            let part = grid.poles.part_of(node)?;
            let mut potentials = vec![0.0; grid.circuit.nodes.len()];
            potentials[grid.network_node(node) as usize] = 1.0;
            grid.solve(resistances.round_of(part)?, &mut potentials);
            Some((grid.network_node(node), part, potentials))
        };
        Seen { resistances, from: nodes.iter().filter_map(solved).collect() }
    }

    /// As [`Resistances::opened`], right at the nodes asked for and nowhere else; `memory` has room for all nodes, and is
    /// taken.
    fn opened(&self, edge: EdgeId, memory: &mut Vec<f64>) -> Option<OpenedEdge<'r>> {
        let grid = self.resistances.grid;
        let (_, change) = self.resistances.change_by_opening(edge)?;
        let mut across = std::mem::take(memory);
        let ends = &grid.circuit.edges[edge];
        let own = grid.poles.part_of(ends.a);
        let [a, b] = [ends.a, ends.b].map(|node| grid.network_node(node) as usize);
        for (node, part, potentials) in &self.from {
            across[*node as usize] = if own == Some(*part) { potentials[a] - potentials[b] } else { 0.0 };
        }
        Some(OpenedEdge { resistances: self.resistances, change, across })
    }
}

/// The nodes of the stops of some tracks, each node of the network once.
fn stops_of(grid: &Grid<'_>, tracks: &[usize]) -> Vec<NodeId> {
    let lines = tracks.iter().flat_map(|&track| &grid.circuit.segments[track].rails);
    let nodes = lines.flat_map(|line| &line.stops).flat_map(|stop| [stop.before, stop.after]);
    let by_place: BTreeMap<u32, NodeId> = nodes.map(|node| (grid.network_node(node), node)).collect();
    by_place.into_values().collect()
}

/// Below this what an opened edge lifts a node by, in ohms, is rounding.
const NOTHING: f64 = 1e-9;

impl OpenedEdge<'_> {
    /// Whether the numbers of a segment change at all.
    pub fn touches(&self, segment: SegmentId) -> bool {
        let grid = self.resistances.grid;
        let mut stops = grid.circuit.segments[segment].rails.iter().flat_map(|line| &line.stops);
        stops.any(|stop| {
            [stop.before, stop.after].iter().any(|&n| self.across[grid.network_node(n) as usize].abs() > NOTHING)
        })
    }

    /// Loop resistance along a segment, as [`Resistances::profile`] gives it with the edge closed.
    pub fn profile(&self, segment: SegmentId) -> Profile {
        let grid = self.resistances.grid;
        let at = |node: NodeId| self.across[grid.network_node(node) as usize];
        self.resistances.profile_with(segment, |_, ends, before| {
            let [start, end] = ends.map(at);
            let more = |was: f64, across: f64| self.change.transfer_across(was, across, across);
            // What rises between the ends falls out of the bow, which is the edge's own resistance less that.
            let bow = before.bow - (more(0.0, start - end));
            Parabola { start: more(before.start, start), end: more(before.end, end), bow: bow.max(0.0) }
        })
    }
}

/// What the worst single failure leaves of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackFailure {
    /// Index of the track.
    pub track: usize,
    /// The edge whose opening leaves the least current to a short, and where and how much: aged, as usual, as new.
    pub fault_amps: Spread<(EdgeId, Extreme)>,
    /// The edge whose opening leaves a train the least voltage, and where and how much; standing trains not counted.
    pub volts: Spread<(EdgeId, Extreme)>,
    /// The edge whose opening leaves breakers the least to notice of a short: mean, root mean square, greatest.
    pub sensed: [Spread<(EdgeId, LeastShort)>; 3],
}

/// What is worst at one level: current of a short, voltage, and what breakers notice.
#[derive(Clone, Copy, Default)]
struct Worst {
    fault_amps: Option<(EdgeId, Extreme)>,
    volts: Option<(EdgeId, Extreme)>,
    sensed: [Option<(EdgeId, LeastShort)>; 3],
}

/// What is tried: what opens by itself, and soldered joints, which crack.
fn is_tried(kind: EdgeKind) -> bool {
    kind.can_open() || kind == EdgeKind::SolderedJoint
}

/// The worst that one joint, blade, contact, tap or feeder can do to each track when it opens, everything else as it is in
/// a setting (`of`: tracks, and the setting of each). What goes dead altogether is left out; the proof tells that. Each
/// [`Extreme`] has the place of its track in `of` for its setting.
///
/// # Errors
/// [`Failed::Resistance`].
pub fn failures(circuit: &Circuit, of: &[(usize, Setting)], demand: &Demand<'_>) -> Result<Vec<TrackFailure>, Failed> {
    let mut by_setting: BTreeMap<&Setting, (usize, Vec<usize>)> = BTreeMap::new();
    for (number, (track, setting)) in of.iter().enumerate() {
        by_setting.entry(setting).or_insert_with(|| (number, Vec::new())).1.push(*track);
    }
    let mut grid = Grid::new(circuit, &[], Level::Typical)?;
    let mut bent_grid = Grid::new(circuit, &[], Level::Typical)?;
    let tried: Vec<EdgeId> = EdgeId::all(circuit.edges.len()).filter(|&e| is_tried(circuit.edges[e].kind)).collect();
    let mut found: BTreeMap<usize, [Worst; 3]> = BTreeMap::new();
    let levels = || Level::ALL.into_iter().enumerate();
    let each =
        by_setting.iter().flat_map(|(setting, (number, tracks))| levels().map(move |l| (setting, *number, tracks, l)));
    for (setting, number, tracks, (slot, level)) in each {
        grid.set(setting, level)?;
        let seconds = bend(circuit, level).filter(|_| circuit.sources.iter().any(|s| s.square_wave));
        bent_grid.set_bent(setting, level, seconds.unwrap_or(0.0))?;
        let (resistances, bent) = (grid.resistances(), bent_grid.resistances());
        // Whichever are fewer are solved for: the places on the tracks, or the edges.
        let stops = stops_of(&grid, tracks);
        let seen = |of| (stops.len() < tried.len()).then(|| Seen::from_tracks(of, &stops));
        let (seen, bent_seen) = (seen(&resistances), seconds.and_then(|_| seen(&bent)));
        let [mut memory, mut bent_memory] = [0, 1].map(|_| vec![0.0; circuit.nodes.len()]);
        for &edge in &tried {
            let opened = match &seen {
                Some(seen) => seen.opened(edge, &mut memory),
                None => resistances.opened(edge),
            };
            let Some(opened) = opened else { continue };
            let bent_opened = seconds.and_then(|seconds| {
                let opened = match &bent_seen {
                    Some(seen) => seen.opened(edge, &mut bent_memory),
                    None => bent.opened(edge),
                };
                Some((opened?, seconds))
            });
            for &track in tracks.iter().filter(|&&track| opened.touches(track)) {
                let profile = opened.profile(track);
                let bent = bent_opened.as_ref().map(|(bent, seconds)| (bent.profile(track), *seconds));
                let worst = &mut found.entry(track).or_default()[slot];
                worst.meet((edge, number), (circuit, demand, level), &profile, bent.as_ref());
            }
            memory = opened.across;
            if let Some((opened, _)) = bent_opened {
                bent_memory = opened.across;
            }
        }
    }
    Ok(found.iter().filter_map(|(&track, worst)| of_track(track, *worst)).collect())
}

impl Worst {
    /// Takes in what an opened edge leaves of a track in a setting.
    fn meet(
        &mut self,
        (edge, setting): (EdgeId, usize),
        (circuit, demand, level): (&Circuit, &Demand<'_>, Level),
        profile: &Profile,
        bent: Option<&(Profile, f64)>,
    ) {
        let Some(at) = profile.worst() else { return };
        let supply = circuit.sources[at.source].volts;
        let met = [supply / (at.loop_ohms + level.pick(demand.bridge_ohms)), supply - demand.amps * at.loop_ohms];
        for (kept, amount) in [&mut self.fault_amps, &mut self.volts].into_iter().zip(met) {
            if kept.is_none_or(|k| amount < k.1.amount) {
                *kept = Some((edge, Extreme { amount, at, setting }));
            }
        }
        for (index, piece) in profile.pieces.iter().enumerate() {
            let bent = bent.map(|(bent, seconds)| (&bent.pieces[index], *seconds));
            let Some(on_loop) = LoopPiece::new(circuit, demand, level, piece, bent) else { continue };
            let less = on_loop.least(self.sensed.map(|s| s.map_or(f64::INFINITY, |s| s.1.found.amount)));
            for (kept, less) in self.sensed.iter_mut().zip(less) {
                let Some(less) = less else { continue };
                let Some(at) = piece.at_fraction(less.s) else { continue };
                if kept.is_none_or(|k| less.amps < k.1.found.amount) {
                    let found = Extreme { amount: less.amps, at, setting };
                    *kept = Some((edge, LeastShort { found, henries: less.henries }));
                }
            }
        }
    }
}

fn of_track(track: usize, worst: [Worst; 3]) -> Option<TrackFailure> {
    // What falls goes from aged to new.
    let [new, usual, aged] = worst;
    Some(TrackFailure {
        track,
        fault_amps: Spread::new(aged.fault_amps?, usual.fault_amps?, new.fault_amps?),
        volts: Spread::new(aged.volts?, usual.volts?, new.volts?),
        sensed: [
            Spread::new(aged.sensed[0]?, usual.sensed[0]?, new.sensed[0]?),
            Spread::new(aged.sensed[1]?, usual.sensed[1]?, new.sensed[1]?),
            Spread::new(aged.sensed[2]?, usual.sensed[2]?, new.sensed[2]?),
        ],
    })
}
