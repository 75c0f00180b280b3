//! The worst that one joint, blade, contact, tap or feeder can do when it opens, where that is bad enough to be told.
//!
//! # What need not be tried
//! One ampere into an edge's one end and out of its other lifts no node further from ground than the ends themselves (a potential
//! is greatest where current comes in). So opening it raises the driving-point resistance of any node by no more than that of the
//! ends: `max(x_a², x_b²) / (1/g − R)`, known of every edge from the selected inverse without a solve. Edges are tried from the
//! greatest such bound down, until no other can do worse than what is known, or bring a short below what is asked for.

use crate::loops::{LoopPiece, bend};
use crate::opened::{OpenedEdge, Seen, stops_of};
use crate::square_short::{Sensed, SquareShort};
use crate::worst::Setting;
use crate::{Demand, Extreme, Failed, Grid, LeastShort, Level, Profile, Resistances};
use circuit::{Circuit, EdgeId, EdgeKind, Senses};
use handbook::Spread;
use network::EdgeChange;
use std::collections::BTreeMap;

/// A track, the setting in which it is asked what a failure leaves of it, and what of a short there is worth telling.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedTrack {
    /// Index of the track.
    pub track: usize,
    /// The setting.
    pub setting: Setting,
    /// Amperes that its breaker notices, all parts as usual. What leaves more is not told.
    pub below: f64,
    /// What that breaker measures.
    pub senses: Option<Senses>,
}

/// What the worst single failure leaves of a track.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackFailure {
    /// Index of the track.
    pub track: usize,
    /// The edge whose opening leaves the least current to a short, and where and how much: aged, as usual, as new.
    pub fault_amps: Spread<(EdgeId, Extreme)>,
    /// The edge whose opening leaves breakers the least to notice of a short: mean, root mean square, greatest.
    pub sensed: [Spread<(EdgeId, LeastShort)>; 3],
}

/// What is tried: what opens by itself, and soldered joints, which crack.
fn is_tried(kind: EdgeKind) -> bool {
    kind.can_open() || kind == EdgeKind::SolderedJoint
}

/// Single failures (N−1), what they leave of volts and fault current; what they leave dead is `proof::single_failures`. The worst that one joint, blade, contact, tap or feeder can do to each track when it opens, everything else as it is in
/// its setting; each track at most once. What goes dead altogether is left out; the proof tells that. Each [`Extreme`] has the
/// place of its track in `of` for its setting; tracks of the same setting share that of the first.
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
    for (setting, (number, mut tracks)) in by_setting {
        search.stops = stops_of(&search.grid, &tracks.iter().map(|t| t.track).collect::<Vec<_>>()).len();
        let mut at_levels = BTreeMap::new();
        for level in [Level::Typical, Level::Low, Level::High] {
            let worst = search.worst((setting, number), level, &tracks)?;
            // Of what is told as usual the rest is worked out too.
            tracks.retain(|t| worst.contains_key(&t.track));
            at_levels.insert(level, worst);
        }
        found.extend(tracks.iter().filter_map(|asked| {
            let of_level = |level| at_levels.get(&level)?.get(&asked.track).copied();
            of_track(asked.track, [of_level(Level::Low)?, of_level(Level::Typical)?, of_level(Level::High)?])
        }));
    }
    found.sort_by_key(|f| f.track);
    Ok(found)
}

/// What is worst at one level: current of a short, and what breakers notice.
#[derive(Clone, Copy, Default)]
struct Worst {
    fault_amps: Option<(EdgeId, Extreme)>,
    sensed: [Option<(EdgeId, LeastShort)>; 3],
}

/// What is known of a track so far, at one level.
struct Kept<'a> {
    asked: &'a AskedTrack,
    /// Its greatest loop resistance and inductance with nothing opened.
    ohms: f64,
    henries: f64,
    worst: Worst,
}

/// An edge that is tried.
struct Tried {
    edge: EdgeId,
    /// By how much its opening raises any driving-point resistance at most.
    rise: f64,
}

/// An edge that is opened, and the same with bent resistances.
type Opened<'r> = (OpenedEdge<'r>, Option<OpenedEdge<'r>>);

/// Bounds are compared with this much room for rounding.
const ROOM: f64 = 1.0 + 1e-9;
/// The same for inductance, which comes from a slope that is told to a part in ten thousand.
const HENRIES_ROOM: f64 = 1.001;

struct FailureSearch<'c> {
    circuit: &'c Circuit,
    demand: Demand<'c>,
    grid: Grid<'c>,
    bent_grid: Grid<'c>,
    tried: Vec<EdgeId>,
    /// How many places of the network the tracks of a setting have.
    stops: usize,
    least_volts: f64,
    square_wave: bool,
    /// The greatest inductance of an edge by its resistance, seconds.
    slowest: Spread<f64>,
}

impl<'c> FailureSearch<'c> {
    fn new(circuit: &'c Circuit, demand: &Demand<'c>) -> Result<FailureSearch<'c>, Failed> {
        let slowest = |level: Level| {
            let times = circuit.edges.iter().map(|e| level.pick(e.henries) / level.pick(e.ohms));
            times.filter(|t| t.is_finite()).fold(0.0, f64::max)
        };
        let [low, typical, high] = Level::ALL.map(slowest);
        Ok(FailureSearch {
            circuit,
            slowest: Spread { low, typical, high },
            demand: *demand,
            grid: Grid::new(circuit, &[], Level::Typical)?,
            bent_grid: Grid::new(circuit, &[], Level::Typical)?,
            tried: EdgeId::all(circuit.edges.len()).filter(|&e| is_tried(circuit.edges[e].kind)).collect(),
            stops: 0,
            least_volts: circuit.sources.iter().map(|s| s.volts).fold(f64::INFINITY, f64::min)
                - circuit.detector_drop.iter().copied().fold(0.0, f64::max),
            square_wave: circuit.sources.iter().any(|s| s.square_wave),
        })
    }

    /// For each track what the worst failure leaves of it; as usual, of those of which that is little enough.
    fn worst(
        &mut self,
        (setting, number): (&Setting, usize),
        level: Level,
        tracks: &[&AskedTrack],
    ) -> Result<BTreeMap<usize, Worst>, Failed> {
        if tracks.is_empty() {
            return Ok(BTreeMap::new());
        }
        self.grid.set(setting, level)?;
        let seconds = bend(self.circuit, level).filter(|_| self.square_wave);
        self.bent_grid.set_bent(setting, level, seconds.unwrap_or(0.0))?;
        let (resistances, bent) = (self.grid.resistances(), self.bent_grid.resistances());
        let order = self.most_first(&resistances);
        let kept = tracks.iter().filter_map(|asked| {
            let profile = resistances.profile(asked.track);
            let bent = seconds.map(|seconds| (bent.profile(asked.track), seconds));
            let pieces = self.on_loops(level, &profile, bent.as_ref());
            let henries = pieces.map(|p| p.1.henries.greatest().1).fold(0.0, f64::max);
            Some(Kept { asked, ohms: profile.worst()?.loop_ohms, henries, worst: Worst::default() })
        });
        let worth = |kept: &Kept<'_>| {
            let least = order.first().map(|first| self.least_after(kept, first, level));
            least.is_some_and(|least| level != Level::Typical || least.by(kept.asked.senses) < kept.asked.below * ROOM)
        };
        let mut kept: Vec<Kept<'_>> = kept.filter(worth).collect();
        let open = |kept: &Kept<'_>, tried: &Tried| self.may_leave_less(kept, tried, level);
        let meet = |kept: &mut Kept<'_>, tried: &Tried, opened: &Opened<'_>| {
            let (opened, bent) = opened;
            if opened.touches(kept.asked.track) {
                let profile = opened.profile(kept.asked.track);
                let bent = bent.as_ref().zip(seconds).map(|(bent, seconds)| (bent.profile(kept.asked.track), seconds));
                self.meet(&mut kept.worst, (tried.edge, number), level, &profile, bent.as_ref());
            }
        };
        // Whichever are fewer are solved for: the places on the tracks, or the edges.
        if self.stops < self.tried.len() {
            let [mut memory, mut bent_memory] = [0, 1].map(|_| vec![0.0; self.circuit.nodes.len()]);
            for kept in &mut kept {
                let nodes = stops_of(&self.grid, &[kept.asked.track]);
                let seen = Seen::from_nodes(&resistances, &nodes);
                let bent_seen = seconds.map(|_| Seen::from_nodes(&bent, &nodes));
                for tried in &order {
                    if !open(kept, tried) {
                        break;
                    }
                    let Some(opened) = seen.opened(tried.edge, &mut memory) else { continue };
                    let bent_opened = bent_seen.as_ref().and_then(|seen| seen.opened(tried.edge, &mut bent_memory));
                    let both = (opened, bent_opened);
                    meet(kept, tried, &both);
                    memory = both.0.into_memory();
                    if let Some(bent) = both.1 {
                        bent_memory = bent.into_memory();
                    }
                }
            }
        } else {
            for tried in &order {
                let mut at_stake = kept.iter_mut().filter(|k| open(k, tried)).peekable();
                if at_stake.peek().is_none() {
                    break;
                }
                let Some(opened) = resistances.opened(tried.edge) else { continue };
                let both = (opened, seconds.and_then(|_| bent.opened(tried.edge)));
                at_stake.for_each(|kept| meet(kept, tried, &both));
            }
        }
        let told = kept.into_iter().filter(|k| {
            let [mean, rms, peak] = k.worst.sensed.map(|s| s.map_or(f64::INFINITY, |s| s.1.found.amount));
            level != Level::Typical || Sensed { mean, rms, peak }.by(k.asked.senses) < k.asked.below * ROOM
        });
        Ok(told.map(|k| (k.asked.track, k.worst)).collect())
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

    /// No less is noticed anywhere on a track with an edge opened. A loop has two rails. What the currents `i` change by, `d`,
    /// raises the resistance by `Σ r·d²`, since they share themselves out so that it is least; so that the inductance
    /// `Σ l·(i + d)²` rises to no more than `(√Σ l·i² + √(τ·Σ r·d²))²`, with τ the greatest `l/r`.
    fn least_after(&self, kept: &Kept<'_>, tried: &Tried, level: Level) -> Sensed {
        let rise = 2.0 * tried.rise;
        let slowest = level.pick(self.slowest);
        let henries = (kept.henries.sqrt() + (slowest * rise).sqrt()).powi(2) * HENRIES_ROOM;
        let half_bit = if self.square_wave { self.demand.half_bit_at(level) } else { f64::INFINITY };
        let ohms = kept.ohms + rise + level.pick(self.demand.bridge_ohms);
        SquareShort { volts: self.least_volts, ohms, henries, half_bit }.sensed()
    }

    /// Whether an edge may leave less of a track than is known.
    fn may_leave_less(&self, kept: &Kept<'_>, tried: &Tried, level: Level) -> bool {
        let direct = self.least_volts / (kept.ohms + 2.0 * tried.rise + level.pick(self.demand.bridge_ohms));
        let least = self.least_after(kept, tried, level).all();
        kept.worst.fault_amps.is_none_or(|k| direct < k.1.amount * ROOM)
            || least
                .iter()
                .zip(&kept.worst.sensed)
                .any(|(least, known)| known.is_none_or(|known| *least < known.1.found.amount * ROOM))
    }

    /// The pieces of a profile that are powered, by their place in it.
    fn on_loops(
        &self,
        level: Level,
        profile: &Profile,
        bent: Option<&(Profile, f64)>,
    ) -> impl Iterator<Item = (usize, LoopPiece)> {
        profile.pieces.iter().enumerate().filter_map(move |(index, piece)| {
            let bent = bent.map(|(bent, seconds)| (&bent.pieces[index], *seconds));
            Some((index, LoopPiece::new(self.circuit, &self.demand, level, piece, bent)?))
        })
    }

    /// Takes in what an opened edge leaves of a track in a setting; of two alike the first of the plan.
    fn meet(
        &self,
        worst: &mut Worst,
        (edge, setting): (EdgeId, usize),
        level: Level,
        profile: &Profile,
        bent: Option<&(Profile, f64)>,
    ) {
        let Some(at) = profile.worst() else { return };
        let less = |known: Option<(EdgeId, f64)>, amount: f64| {
            known.is_none_or(|(by, least)| amount < least || amount == least && edge < by)
        };
        let supply = self.circuit.volts_on(at.source, at.place.segment);
        let amount = supply / (at.loop_ohms + level.pick(self.demand.bridge_ohms));
        if less(worst.fault_amps.map(|k| (k.0, k.1.amount)), amount) {
            worst.fault_amps = Some((edge, Extreme { amount, at, setting }));
        }
        for (index, on_loop) in self.on_loops(level, profile, bent) {
            let found = on_loop.least(worst.sensed.map(|s| s.map_or(f64::INFINITY, |s| s.1.found.amount * ROOM)));
            for (kept, found) in worst.sensed.iter_mut().zip(found) {
                let Some(found) = found else { continue };
                let Some(at) = profile.pieces[index].at_fraction(found.s) else { continue };
                if less(kept.map(|k| (k.0, k.1.found.amount)), found.amps) {
                    let least = Extreme { amount: found.amps, at, setting };
                    *kept = Some((edge, LeastShort { found: least, henries: found.henries }));
                }
            }
        }
    }
}

fn of_track(track: usize, [new, usual, aged]: [Worst; 3]) -> Option<TrackFailure> {
    // What falls goes from aged to new.
    let sensed = |kind: usize| Some(Spread::new(aged.sensed[kind]?, usual.sensed[kind]?, new.sensed[kind]?));
    Some(TrackFailure {
        track,
        fault_amps: Spread::new(aged.fault_amps?, usual.fault_amps?, new.fault_amps?),
        sensed: [sensed(0)?, sensed(1)?, sensed(2)?],
    })
}

/// By how much a change raises the driving-point resistance of a node that it lifts.
fn raised(change: &EdgeChange, lifted: f64) -> f64 {
    change.transfer_across(0.0, lifted, lifted)
}
