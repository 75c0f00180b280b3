//! The worst that one joint, blade, contact, tap or feeder can do when it opens, where that is bad enough to be told.
//!
//! # What need not be tried
//! Opening an edge of conductance `g` raises the driving-point resistance of a node `a` by `x² / (1/g − R)`: `x` are the volts
//! between the edge's ends for an ampere into `a`, `R` the resistance between them (Sherman and Morrison 1950). A loop has its two
//! halves in common with nothing but its source, so that an edge raises one of them only. What the currents `i` change by, `d`, raises
//! the resistance by `Σ r·d²`, since they share themselves out so that it is least; so that the inductance `Σ l·(i + d)²` rises to
//! no more than `(√Σ l·i² + √(τ·Σ r·d²))²`, with τ the greatest `l/r` (Cauchy and Schwarz).
//!
//! So an edge can matter to a track only where `x²` is at least what the track can bear times `1/g − R`; and by Rayleigh's law
//! `1/g − R` is no less than with everything open that need not be closed, which is known once for all settings. Where little or
//! nothing is known from there, something else is: with the edge open the volts `V` between its ends are no more than those at `a`,
//! `Z + rise`, and the rise is `i·V`, so that the edge must carry at least `i = rise / (Z + rise)`. An edge that alone holds together
//! what is joined for good cuts something off, unless positions join that in a second way; as long as they do not, it is left out.
//!
//! From each stop of the track the network is searched down from there along the elimination tree, and left where the volts are too
//! few: far away they all are. What is found is worked out exactly, by closed forms, and the worst of it is told.

mod bounds;
mod meeting;

use crate::following_grid::{FollowingGrid, GridShape};
use crate::poles::NetworkPieces;
use crate::square_short::{Sensed, SquareShort};
use crate::worst::Setting;
use crate::{Demand, Extreme, Failed, Grid, LeastShort, Level, Profile};
use bounds::{EdgeBounds, OpenLevel, cutting, least_rise};
use circuit::{Circuit, EdgeId, EdgeKind, Senses};
use handbook::Spread;
use network::SolveMemory;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

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

/// Edges from which on the tracks are shared out.
const LONG: usize = 1_000;

/// What is tried: what opens by itself, and soldered joints, which crack.
fn is_tried(kind: EdgeKind) -> bool {
    kind.can_open() || kind == EdgeKind::SolderedJoint
}

/// Single failures (N−1 contingencies), what they leave of volts and fault current; what they leave dead is `proof::single_failures`. The worst
/// that one joint, blade, contact, tap or feeder can do to each track when it opens, everything else as it is in its setting; each
/// track at most once. What goes dead altogether is left out; the proof tells that. Each [`Extreme`] has the place of its track in
/// `of` for its setting; tracks of the same setting share that of the first.
///
/// # Errors
/// [`Failed::Resistance`].
pub fn failures(circuit: &Circuit, of: &[AskedTrack], demand: &Demand<'_>) -> Result<Vec<TrackFailure>, Failed> {
    let mut first_of: BTreeMap<&Setting, usize> = BTreeMap::new();
    for (number, asked) in of.iter().enumerate() {
        first_of.entry(&asked.setting).or_insert(number);
    }
    // From one setting to the next little changes; those of one setting stay in order.
    let mut asked: Vec<(usize, &AskedTrack)> = of.iter().map(|asked| (first_of[&asked.setting], asked)).collect();
    asked.sort_by(|a, b| a.1.setting.cmp(&b.1.setting));
    let mut found = if circuit.edges.len() < LONG {
        failures_of(circuit, &asked, demand)?
    } else {
        // In two halves side by side: always two, so that what is told does not hang on the machine.
        let (one, other) = asked.split_at(asked.len() / 2);
        std::thread::scope(|scope| {
            let other = scope.spawn(|| failures_of(circuit, other, demand));
            let mut found = failures_of(circuit, one, demand)?;
            found.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))?);
            Ok::<_, Failed>(found)
        })?
    };
    found.sort_by_key(|f| f.track);
    Ok(found)
}

/// The same of some tracks, those of the same setting behind each other, each with its setting's number.
fn failures_of(
    circuit: &Circuit,
    asked: &[(usize, &AskedTrack)],
    demand: &Demand<'_>,
) -> Result<Vec<TrackFailure>, Failed> {
    let Some((_, first)) = asked.first() else { return Ok(Vec::new()) };
    let mut search = FailureSearch::new(circuit, demand, &first.setting)?;
    let mut found = Vec::new();
    for tracks in asked.chunk_by(|a, b| a.0 == b.0) {
        search.grid.turn_to(&tracks[0].1.setting);
        search.forest = search.grid.is_forest(&search.pieces);
        for &(number, asked) in tracks {
            let Some(usual) = search.worst(asked, number, Level::Typical, &BTreeSet::new())? else { continue };
            // Of what is told as usual the rest is worked out too, from what is worst then.
            let seeds = usual.edges();
            let new = search.worst(asked, number, Level::Low, &seeds)?;
            let aged = search.worst(asked, number, Level::High, &seeds)?;
            found.extend(new.zip(aged).and_then(|(new, aged)| of_track(asked.track, [new, usual, aged])));
        }
    }
    Ok(found)
}

/// What is worst at one level: current of a short, and what breakers notice.
#[derive(Clone, Copy, Default)]
struct Worst {
    fault_amps: Option<(EdgeId, Extreme)>,
    sensed: [Option<(EdgeId, LeastShort)>; 3],
}

impl Worst {
    fn edges(&self) -> BTreeSet<EdgeId> {
        let sensed = self.sensed.iter().flatten().map(|s| s.0);
        self.fault_amps.iter().map(|f| f.0).chain(sensed).collect()
    }

    /// The least that is noticed.
    fn by(&self, senses: Option<Senses>) -> f64 {
        let [mean, rms, peak] = self.sensed.map(|s| s.map_or(f64::INFINITY, |s| s.1.found.amount));
        Sensed { mean, rms, peak }.by(senses)
    }
}

/// What is known of a track with nothing opened, at one level: the greatest resistance and inductance of its loop.
#[derive(Clone, Copy)]
struct Unopened {
    ohms: f64,
    henries: f64,
}

/// A profile and the one with bent resistances.
type Profiles = (Profile, Option<(Profile, f64)>);

/// Bounds are compared with this much room for rounding.
const ROOM: f64 = 1.0 + 1e-9;
/// The same for inductance, which comes from a slope that is told to a part in ten thousand.
const HENRIES_ROOM: f64 = 1.001;
/// Of an edge beside which less than this part of a current flows, nothing is known from differences.
const ALONE: f64 = 1e-6;
/// Amounts that differ by no more than this part are alike.
const ALIKE: f64 = 1e-9;

struct FailureSearch<'c> {
    circuit: &'c Circuit,
    demand: Demand<'c>,
    shape: Rc<GridShape>,
    open_grid: Grid<'c>,
    open: [Option<OpenLevel>; 3],
    /// For each edge whether it holds together by itself what is joined for good, or joins what is not.
    cutting: Vec<bool>,
    pieces: NetworkPieces,
    /// Whether positions join nothing in two ways, in the setting at hand.
    forest: bool,
    grid: FollowingGrid<'c>,
    memory: SolveMemory,
    least_volts: f64,
    square_wave: bool,
    /// The greatest inductance of an edge by its resistance, seconds.
    slowest: Spread<f64>,
}

impl<'c> FailureSearch<'c> {
    fn new(circuit: &'c Circuit, demand: &Demand<'c>, setting: &Setting) -> Result<FailureSearch<'c>, Failed> {
        let slowest = |level: Level| {
            let times = circuit.edges.iter().map(|e| level.pick(e.henries) / level.pick(e.ohms));
            times.filter(|t| t.is_finite()).fold(0.0, f64::max)
        };
        let [low, typical, high] = Level::ALL.map(slowest);
        let open_grid = Grid::new(circuit, &[], Level::Typical)?;
        let shape = Rc::new(GridShape::of(&open_grid));
        let pieces = NetworkPieces::from_circuit(circuit);
        let cutting = cutting(&open_grid, &pieces);
        Ok(FailureSearch {
            circuit,
            cutting,
            pieces,
            forest: false,
            slowest: Spread { low, typical, high },
            demand: *demand,
            grid: FollowingGrid::new(circuit, shape.clone(), shape.levels(), setting),
            memory: SolveMemory::new(shape.pattern()),
            shape,
            open_grid,
            open: [None, None, None],
            least_volts: circuit.sources.iter().map(|s| s.volts).fold(f64::INFINITY, f64::min)
                - circuit.detector_drop.iter().copied().fold(0.0, f64::max),
            square_wave: circuit.sources.iter().any(|s| s.square_wave),
        })
    }

    /// What the worst failure leaves of a track; as usual, where that is little enough. `seeds` are tried in any case.
    fn worst(
        &mut self,
        asked: &AskedTrack,
        setting: usize,
        level: Level,
        seeds: &BTreeSet<EdgeId>,
    ) -> Result<Option<Worst>, Failed> {
        let straight = self.grid.profile(asked.track, self.shape.level(level, false))?;
        let Some(at) = straight.worst() else { return Ok(None) };
        let bent = match self.shape.bend(level) {
            Some(seconds) => Some((self.grid.profile(asked.track, self.shape.level(level, true))?, seconds)),
            None => None,
        };
        let pieces = self.on_loops(level, &straight, bent.as_ref());
        let henries = pieces.map(|p| p.1.henries.greatest().1).fold(0.0, f64::max);
        let known = Unopened { ohms: at.loop_ohms, henries };
        let mut worst = Worst::default();
        let mut tried = BTreeSet::new();
        let mut first = seeds.clone();
        if level == Level::Typical {
            let told = |rise| self.least_after(known, rise, level).by(asked.senses) < asked.below * ROOM;
            let rise = least_rise(told);
            first.extend(self.can_rise((asked.track, known.ohms), level, rise)?);
        }
        self.try_all(&mut worst, (asked.track, setting, level), first, &mut tried)?;
        if level == Level::Typical && worst.by(asked.senses) >= asked.below * ROOM {
            return Ok(None);
        }
        let less = |rise| self.may_leave_less(&worst, known, rise, level);
        let rise = least_rise(less);
        let second = self.can_rise((asked.track, known.ohms), level, rise)?;
        self.try_all(&mut worst, (asked.track, setting, level), second, &mut tried)?;
        Ok(Some(worst))
    }

    /// The edges whose opening may raise the loop resistance of a track, which has so much at most, by more than this.
    fn can_rise(
        &mut self,
        (track, ohms): (usize, f64),
        level: Level,
        rise: Option<f64>,
    ) -> Result<BTreeSet<EdgeId>, Failed> {
        let Some(rise) = rise else { return Ok(BTreeSet::new()) };
        let carries = rise / (ohms + rise);
        if self.open[level as usize].is_none() {
            self.open[level as usize] = Some(self.open_level(level)?);
        }
        let mut found = BTreeSet::new();
        if let Some(OpenLevel { room, round, weak, cutting, trees }) = &self.open[level as usize] {
            let forest = self.forest;
            let enough = |volts: f64, [room, round, weak, cutting]: [f64; 4]| {
                rise * round < 1.0 && volts * volts > rise * room
                    || volts > carries * weak
                    || !forest && volts > carries * cutting
            };
            let below = |at: usize| [room.below[at], round.below[at], weak.below[at], cutting.below[at]];
            let of = |edge: EdgeId| [room, round, weak, cutting].map(|bounds| bounds.of[edge.index()]);
            let meet = |edge: EdgeId, volts: f64| {
                if enough(volts, of(edge)) {
                    found.insert(edge);
                }
            };
            let variant = self.shape.level(level, false);
            let memory = (&trees[usize::from(forest)], &mut self.memory);
            self.grid.search_from(track, variant, memory, |at, volts| enough(volts, below(at)), meet)?;
        }
        Ok(found)
    }

    /// What is known of edges with everything open that need not be closed.
    fn open_level(&mut self, level: Level) -> Result<OpenLevel, Failed> {
        self.open_grid.set(&[], level)?;
        let resistances = self.open_grid.resistances();
        let circuit = self.circuit;
        let mut bounds = [0, 1, 2, 3].map(|_| vec![f64::INFINITY; circuit.edges.len()]);
        for (id, edge) in EdgeId::each(&circuit.edges).filter(|(_, e)| !e.removed && is_tried(e.kind)) {
            let own = level.pick(edge.ohms);
            let between = resistances.between_ends(id);
            let room = match between {
                Some(between) if edge.is_always_closed() => own - between,
                Some(between) if between.is_finite() => own * own / (own + between),
                _ => 0.0,
            };
            let [of_room, of_round, of_weak, of_cutting] = &mut bounds;
            if room > ALONE * own {
                of_room[id.index()] = room * (1.0 - ALONE);
                of_round[id.index()] = of_room[id.index()] / (own * own);
            } else if self.cutting[id.index()] {
                of_cutting[id.index()] = own;
            } else {
                of_weak[id.index()] = own;
            }
        }
        let [room, round, weak, cutting] = bounds.map(|of| EdgeBounds::new(of, self.shape.pattern()));
        let but_cutting = |at: usize| room.below[at].min(weak.below[at]) < f64::INFINITY;
        let pattern = self.shape.pattern();
        let is_tried = |edge: usize| room.of[edge].min(weak.of[edge]).min(cutting.of[edge]) < f64::INFINITY;
        let trees = [
            pattern.search_tree(|at| but_cutting(at) || cutting.below[at] < f64::INFINITY, is_tried),
            pattern.search_tree(but_cutting, is_tried),
        ];
        Ok(OpenLevel { room, round, weak, cutting, trees })
    }

    /// Opens some edges, each once, and keeps what is worst.
    fn try_all(
        &mut self,
        worst: &mut Worst,
        (track, setting, level): (usize, usize, Level),
        edges: BTreeSet<EdgeId>,
        tried: &mut BTreeSet<EdgeId>,
    ) -> Result<(), Failed> {
        for edge in edges {
            if tried.insert(edge)
                && let Some((straight, bent)) = self.opened(track, level, edge)?
            {
                self.meet(worst, (edge, setting), level, &straight, bent.as_ref());
            }
        }
        Ok(())
    }

    fn opened(&mut self, track: usize, level: Level, edge: EdgeId) -> Result<Option<Profiles>, Failed> {
        let [straight, bent] = [false, true].map(|bent| self.shape.level(level, bent));
        let Some(straight) = self.grid.opened(track, straight, edge, &mut self.memory)? else { return Ok(None) };
        let bent = match self.shape.bend(level) {
            Some(seconds) => self.grid.opened(track, bent, edge, &mut self.memory)?.map(|p| (p, seconds)),
            None => None,
        };
        Ok(Some((straight, bent)))
    }

    /// No less is noticed anywhere on a track with an edge opened that raises its loop resistance by so much.
    fn least_after(&self, known: Unopened, rise: f64, level: Level) -> Sensed {
        let slowest = level.pick(self.slowest);
        let henries = (known.henries.sqrt() + (slowest * rise).sqrt()).powi(2) * HENRIES_ROOM;
        let half_bit = if self.square_wave { self.demand.half_bit_at(level) } else { f64::INFINITY };
        let ohms = known.ohms + rise + level.pick(self.demand.bridge_ohms);
        SquareShort { volts: self.least_volts, ohms, henries, half_bit }.sensed()
    }

    /// Whether such a rise may leave less of a track than is known.
    fn may_leave_less(&self, worst: &Worst, known: Unopened, rise: f64, level: Level) -> bool {
        let direct = self.least_volts / (known.ohms + rise + level.pick(self.demand.bridge_ohms));
        let least = self.least_after(known, rise, level).all();
        worst.fault_amps.is_none_or(|k| direct < k.1.amount * ROOM)
            || least
                .iter()
                .zip(&worst.sensed)
                .any(|(least, known)| known.is_none_or(|known| *least < known.1.found.amount * ROOM))
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
