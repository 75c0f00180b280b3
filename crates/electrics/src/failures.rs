//! The worst that one joint, blade, contact, tap or feeder can do when it opens, where that is bad enough to be told.
//!
//! # What need not be tried
//! One ampere into an edge's one end and out of its other lifts no node further from ground than the ends themselves (a potential
//! is greatest where current comes in). So opening it raises the driving-point resistance of any node by no more than that of the
//! ends: `max(x_a², x_b²) / (1/g − R)`, known of every edge from the selected inverse without a solve. Edges are tried from the
//! greatest such bound down, until no other can do worse than what is known, or bring a short below what is asked for.

use crate::opened::{OpenedEdge, Seen, stops_of};
use crate::worst::Setting;
use crate::{Demand, Extreme, Failed, Grid, Level, Resistances};
use circuit::{Circuit, EdgeId, EdgeKind};
use handbook::Spread;
use network::EdgeChange;
use std::collections::BTreeMap;

/// A track, the setting in which it is asked what a failure leaves of it, and the current of a short below which that is told.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedTrack {
    /// Index of the track.
    pub track: usize,
    /// The setting.
    pub setting: Setting,
    /// Amperes, all parts as usual. What leaves more is not told.
    pub below: f64,
}

/// What the worst single failure leaves of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackFailure {
    /// Index of the track.
    pub track: usize,
    /// The edge whose opening leaves the least current to a short, and where and how much: aged, as usual, as new.
    pub fault_amps: Spread<(EdgeId, Extreme)>,
}

/// What is tried: what opens by itself, and soldered joints, which crack.
fn is_tried(kind: EdgeKind) -> bool {
    kind.can_open() || kind == EdgeKind::SolderedJoint
}

/// The worst that one joint, blade, contact, tap or feeder can do to each track when it opens, everything else as it is in
/// its setting; each track at most once. What goes dead altogether is left out; the proof tells that. Each [`Extreme`] has the place of its track in `of`
/// for its setting; tracks of the same setting share that of the first.
///
/// # Errors
/// [`Failed::Resistance`].
pub fn failures(circuit: &Circuit, of: &[AskedTrack], demand: &Demand<'_>) -> Result<Vec<TrackFailure>, Failed> {
    let mut by_setting: BTreeMap<&Setting, (usize, Vec<&AskedTrack>)> = BTreeMap::new();
    for (number, asked) in of.iter().enumerate() {
        by_setting.entry(&asked.setting).or_insert_with(|| (number, Vec::new())).1.push(asked);
    }
    let mut search = FailureSearch::new(circuit, demand)?;
    let mut found = Vec::new();
    for (setting, (number, tracks)) in by_setting {
        let stops = search.stops_of(&tracks.iter().map(|t| t.track).collect::<Vec<_>>());
        let below = tracks.iter().map(|t| (t.track, t.below));
        let usual = search.worst(setting, (number, stops), Level::Typical, below.collect())?;
        if usual.is_empty() {
            continue;
        }
        let of_level = |search: &mut FailureSearch<'_>, level| {
            let any = usual.keys().map(|&track| (track, f64::INFINITY)).collect();
            search.worst(setting, (number, stops), level, any)
        };
        let [new, _, aged] = Level::ALL;
        let (new, aged) = (of_level(&mut search, new)?, of_level(&mut search, aged)?);
        for (track, usual) in usual {
            // What falls goes from aged to new.
            if let (Some(&new), Some(&aged)) = (new.get(&track), aged.get(&track)) {
                found.push(TrackFailure { track, fault_amps: Spread::new(aged, usual, new) });
            }
        }
    }
    found.sort_by_key(|f| f.track);
    Ok(found)
}

/// What is known of a track so far, at one level.
struct Kept {
    track: usize,
    /// Its greatest loop resistance with nothing opened.
    ohms: f64,
    /// What leaves no less than this is of no interest.
    limit: f64,
    least: Option<(EdgeId, Extreme)>,
}

/// An edge that is tried.
struct Tried {
    edge: EdgeId,
    /// By how much its opening raises any driving-point resistance at most.
    rise: f64,
}

/// Bounds are compared with this much room for rounding.
const ROOM: f64 = 1.0 + 1e-9;

struct FailureSearch<'c> {
    circuit: &'c Circuit,
    grid: Grid<'c>,
    tried: Vec<EdgeId>,
    bridge_ohms: Spread<f64>,
    least_volts: f64,
}

impl<'c> FailureSearch<'c> {
    fn new(circuit: &'c Circuit, demand: &Demand<'_>) -> Result<FailureSearch<'c>, Failed> {
        Ok(FailureSearch {
            circuit,
            grid: Grid::new(circuit, &[], Level::Typical)?,
            tried: EdgeId::all(circuit.edges.len()).filter(|&e| is_tried(circuit.edges[e].kind)).collect(),
            bridge_ohms: demand.bridge_ohms,
            least_volts: circuit.sources.iter().map(|s| s.volts).fold(f64::INFINITY, f64::min),
        })
    }

    /// How many places of the network some tracks have.
    fn stops_of(&self, tracks: &[usize]) -> usize {
        stops_of(&self.grid, tracks).len()
    }

    /// For each track the failure that leaves the least, if that is below what is given with the track.
    fn worst(
        &mut self,
        setting: &Setting,
        (number, stops): (usize, usize),
        level: Level,
        tracks: Vec<(usize, f64)>,
    ) -> Result<BTreeMap<usize, (EdgeId, Extreme)>, Failed> {
        self.grid.set(setting, level)?;
        let resistances = self.grid.resistances();
        let order = self.most_first(&resistances);
        let kept = tracks.into_iter().filter_map(|(track, limit)| {
            let ohms = resistances.profile(track).worst()?.loop_ohms;
            Some(Kept { track, ohms, limit, least: None })
        });
        let mut kept: Vec<Kept> = kept.collect();
        let open = |kept: &Kept, tried: &Tried| self.may_leave_less(kept, tried, level);
        // Whichever are fewer are solved for: the places on the tracks, or the edges.
        if stops < self.tried.len() {
            let mut memory = vec![0.0; self.circuit.nodes.len()];
            for kept in kept.iter_mut().filter(|k| order.first().is_some_and(|first| open(k, first))) {
                let seen = Seen::from_nodes(&resistances, &stops_of(&self.grid, &[kept.track]));
                for tried in &order {
                    if !open(kept, tried) {
                        break;
                    }
                    let Some(opened) = seen.opened(tried.edge, &mut memory) else { continue };
                    self.meet(kept, tried, &opened, (number, level));
                    memory = opened.into_memory();
                }
            }
        } else {
            for tried in &order {
                let mut at_stake = kept.iter_mut().filter(|k| open(k, tried)).peekable();
                if at_stake.peek().is_none() {
                    break;
                }
                let Some(opened) = resistances.opened(tried.edge) else { continue };
                at_stake.for_each(|kept| self.meet(kept, tried, &opened, (number, level)));
            }
        }
        Ok(kept.into_iter().filter_map(|k| Some((k.track, k.least.filter(|l| l.1.amount < k.limit * ROOM)?))).collect())
    }

    /// What can be opened without cutting anything off, from what can raise most down.
    fn most_first(&self, resistances: &Resistances<'_>) -> Vec<Tried> {
        let rise = |&edge: &EdgeId| {
            let (change, ends) = resistances.ends_lifted(edge)?;
            Some(Tried { edge, rise: ends.into_iter().map(|x| raised(&change, x)).fold(0.0, f64::max) })
        };
        let mut order: Vec<Tried> = self.tried.iter().filter_map(rise).collect();
        order.sort_by(|a, b| b.rise.total_cmp(&a.rise));
        order
    }

    /// Whether an edge may leave less of a track than is known and wanted. A loop has two rails.
    fn may_leave_less(&self, kept: &Kept, tried: &Tried, level: Level) -> bool {
        let known = kept.least.map_or(kept.limit, |least| least.1.amount.min(kept.limit));
        let ohms = kept.ohms + 2.0 * tried.rise + level.pick(self.bridge_ohms);
        self.least_volts / ohms < known * ROOM
    }

    fn meet(&self, kept: &mut Kept, tried: &Tried, opened: &OpenedEdge<'_>, (setting, level): (usize, Level)) {
        if !opened.touches(kept.track) {
            return;
        }
        let Some(at) = opened.profile(kept.track).worst() else { return };
        let amount = self.circuit.sources[at.source].volts / (at.loop_ohms + level.pick(self.bridge_ohms));
        // Of two alike the first of the plan.
        let less =
            |known: &(EdgeId, Extreme)| amount < known.1.amount || amount == known.1.amount && tried.edge < known.0;
        if kept.least.as_ref().is_none_or(less) {
            kept.least = Some((tried.edge, Extreme { amount, at, setting }));
        }
    }
}

/// By how much a change raises the driving-point resistance of a node that it lifts.
fn raised(change: &EdgeChange, lifted: f64) -> f64 {
    change.transfer_across(0.0, lifted, lifted)
}
