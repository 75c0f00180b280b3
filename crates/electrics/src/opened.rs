//! The numbers once one joint, tap, feeder or contact has opened: closed forms, nothing is factored again.

use crate::profile::Parabola;
use crate::{Demand, Failed, Found, Grid, Level, Profile, Resistances, setting_of};
use circuit::{Circuit, EdgeId, EdgeKind, SegmentId, Way};
use network::EdgeChange;
use std::collections::BTreeMap;

/// Resistances of a grid with one of its closed edges opened.
///
/// With one ampere put in at the edge's one end and taken out at its other, each node `a` is lifted by `x_a`; opening the
/// edge of conductance `g` lifts the driving-point resistance of `a` by `x_a² / (1/g − R)`, with `R` the resistance
/// between the edge's ends (Sherman and Morrison 1950; see [`EdgeChange`]). One solve gives all `x`.
pub struct Opened<'r> {
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
    pub fn opened(&self, edge: EdgeId) -> Option<Opened<'_>> {
        let grid = self.grid;
        let circuit = grid.circuit;
        let ends = &circuit.edges[edge as usize];
        let part = grid.poles.part_of(ends.a).filter(|_| grid.is_closed(edge))?;
        let source = (0..circuit.sources.len()).find(|&s| grid.poles.part_of(circuit.sources[s].plus) == Some(part))?;
        let round = grid.poles.rank[source];
        let between = self.inverses[round].resistance_between_ends(edge as usize);
        let change = EdgeChange::new(between, -grid.conductance[edge as usize]).filter(|change| !change.cuts())?;
        let mut across = vec![0.0; circuit.nodes.len()];
        across[grid.network_node(ends.a) as usize] += 1.0;
        across[grid.network_node(ends.b) as usize] -= 1.0;
        grid.solve(round, &mut across);
        Some(Opened { resistances: self, change, across })
    }
}

/// Below this what an opened edge lifts a node by, in ohms, is rounding.
const NOTHING: f64 = 1e-9;

impl Opened<'_> {
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
        let at = |node: u32| self.across[grid.network_node(node) as usize];
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
    /// The edge whose opening leaves the least current to a short, and where and how much.
    pub fault_amps: (EdgeId, Found),
    /// The edge whose opening leaves a train the least voltage, and where and how much.
    pub volts: (EdgeId, Found),
}

/// What is tried: what opens by itself, and soldered joints, which crack.
fn is_tried(kind: EdgeKind) -> bool {
    kind.can_open() || kind == EdgeKind::SolderedJoint
}

/// The worst that one joint, blade, contact, tap or feeder can do to each track when it opens, everything else as usual and
/// the track's way set (`of`: tracks, and the way of each). What goes dead altogether is left out; the proof tells that.
///
/// # Errors
/// [`Failed::Resistance`].
pub fn failures(
    circuit: &Circuit,
    ways: &[Way],
    of: &[(usize, usize)],
    demand: &Demand,
) -> Result<Vec<TrackFailure>, Failed> {
    let mut by_way: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    of.iter().for_each(|&(track, way)| by_way.entry(way).or_default().push(track));
    let mut grid = Grid::new(circuit, &[], Level::Typical)?;
    let mut found: BTreeMap<usize, TrackFailure> = BTreeMap::new();
    for (way, tracks) in by_way {
        grid.set(&setting_of(circuit, &ways[way]), Level::Typical)?;
        let resistances = grid.resistances();
        for edge in (0..circuit.edges.len() as EdgeId).filter(|&e| is_tried(circuit.edges[e as usize].kind)) {
            let Some(opened) = resistances.opened(edge) else { continue };
            for &track in tracks.iter().filter(|&&track| opened.touches(track)) {
                let Some(at) = opened.profile(track).worst() else { continue };
                let supply = circuit.sources[at.source].volts;
                let met = |amount: f64| (edge, Found { amount, at, way });
                let fault_amps = met(supply / (at.loop_ohms + demand.bridge_ohms.typical));
                let volts = met(supply - demand.amps * at.loop_ohms);
                let worst = found.entry(track).or_insert(TrackFailure { track, fault_amps, volts });
                if fault_amps.1.amount < worst.fault_amps.1.amount {
                    worst.fault_amps = fault_amps;
                }
                if volts.1.amount < worst.volts.1.amount {
                    worst.volts = volts;
                }
            }
        }
    }
    Ok(found.into_values().collect())
}
