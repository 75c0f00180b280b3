//! The worst of every way and of every track.

use crate::{Failed, Feed, Grid, Level, Parabola, ProfilePiece, Standing, Worst, setting_of};
use circuit::{Circuit, SegmentId, Way};
use handbook::Spread;

/// What is asked of every place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand<'t> {
    /// What a train draws, in amperes.
    pub amps: f64,
    /// Trains that stand elsewhere meanwhile.
    pub standing: &'t [Standing],
    /// Resistance of a short as wheels, pick-ups or a tool make it, in ohms.
    pub bridge_ohms: Spread<f64>,
}

/// An extreme value, and where and when it is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// The value: ohms, volts or amperes.
    pub amount: f64,
    /// The place.
    pub at: Worst,
    /// Index of the way.
    pub way: usize,
}

/// The extremes over a way or a track. Each is a band in the order of its own amounts, and each end of it has a place
/// of its own: the greatest loop resistance and the least volts and amperes belong to [`Level::High`], everything aged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// The greatest loop resistance in ohms, the source's own included.
    pub loop_ohms: Spread<Found>,
    /// The least voltage under a train, `V − I·R_loop` less what standing trains take; below 0 where the wiring cannot bring
    /// that current at all.
    pub volts: Spread<Found>,
    /// The least current of a short, `V / (R_loop + R_bridge)`, in amperes.
    pub fault_amps: Spread<Found>,
}

/// A stretch of a segment with the same feed from end to end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// The segment.
    pub segment: SegmentId,
    /// Where it starts, metres from the segment's start.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What a train on it has under it.
    pub feed: Feed,
}

/// A way's numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct WayFigures {
    /// Index of the way.
    pub way: usize,
    /// The extremes over all its segments; none where no place of it is powered.
    pub extremes: Option<Extremes>,
    /// Stretches of it that are not powered, in the order of the way.
    pub unpowered: Vec<Stretch>,
}

/// A track's numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct TrackFigures {
    /// Index of the track.
    pub track: usize,
    /// The extremes over all ways that run over it; none where it is powered on none of them.
    pub extremes: Option<Extremes>,
}

/// The numbers of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// For each way, in the order given.
    pub ways: Vec<WayFigures>,
    /// For each track of the circuit.
    pub tracks: Vec<TrackFigures>,
}

/// The worst of every way and of every track over all ways.
///
/// Each way is asked with everything open that it does not need: by Rayleigh's law no other setting in which it is
/// lined is worse, as long as it makes no short.
///
/// # Errors
/// [`Failed::Resistance`].
pub fn figures(circuit: &Circuit, ways: &[Way], demand: &Demand<'_>) -> Result<Figures, Failed> {
    let mut tracks = vec![[Worse::default(); 3]; circuit.tracks];
    let mut done = Vec::with_capacity(ways.len());
    let mut grid = Grid::new(circuit, &[], Level::Typical)?;
    for (number, way) in ways.iter().enumerate() {
        let setting = setting_of(circuit, way);
        let mut whole = [Worse::default(); 3];
        let mut unpowered = Vec::new();
        for (slot, level) in Level::ALL.into_iter().enumerate() {
            grid.set(&setting, level)?;
            let resistances = grid.resistances();
            let taken = resistances.taken(demand.standing);
            for &(segment, _) in &way.steps {
                let mut here = Worse::default();
                let missing = taken.along(segment);
                for (index, piece) in resistances.profile(segment).pieces.iter().enumerate() {
                    match piece.worst() {
                        Some(worst) => {
                            here.meet(circuit, demand, level, worst, number);
                            here.meet_volts(circuit, demand, piece, missing.get(index), number);
                        }
                        None if slot == 0 => extend(&mut unpowered, segment, piece),
                        None => {}
                    }
                }
                whole[slot].join(&here);
                if let Some(track) = tracks.get_mut(segment) {
                    track[slot].join(&here);
                }
            }
        }
        done.push(WayFigures { way: number, extremes: extremes(&whole), unpowered });
    }
    let tracks = tracks.iter().enumerate().map(|(track, worse)| TrackFigures { track, extremes: extremes(worse) });
    Ok(Figures { ways: done, tracks: tracks.collect() })
}

/// Adds a piece to the stretches, as part of the last one where it goes on from there.
fn extend(stretches: &mut Vec<Stretch>, segment: SegmentId, piece: &ProfilePiece) {
    match stretches.last_mut() {
        Some(last) if last.segment == segment && last.feed == piece.feed && last.to == piece.from => last.to = piece.to,
        _ => stretches.push(Stretch { segment, from: piece.from, to: piece.to, feed: piece.feed }),
    }
}

/// The worst met so far at one level.
#[derive(Clone, Copy, Default)]
struct Worse {
    loop_ohms: Option<Found>,
    volts: Option<Found>,
    fault_amps: Option<Found>,
}

impl Worse {
    fn meet(&mut self, circuit: &Circuit, demand: &Demand<'_>, level: Level, at: Worst, way: usize) {
        let supply = circuit.sources[at.source].volts;
        let found = |amount: f64| Some(Found { amount, at, way });
        self.join(&Worse {
            loop_ohms: found(at.loop_ohms),
            volts: None,
            fault_amps: found(supply / (at.loop_ohms + level.of(demand.bridge_ohms))),
        });
    }

    /// The least voltage of a piece, of which some may be missing.
    fn meet_volts(
        &mut self,
        circuit: &Circuit,
        demand: &Demand<'_>,
        piece: &ProfilePiece,
        missing: Option<&Parabola>,
        way: usize,
    ) {
        let Some(drop) = piece.loop_ohms.map(|ohms| ohms.drop_of(demand.amps, missing)) else { return };
        let (s, volts) = drop.greatest();
        let Some(at) = piece.at_fraction(s) else { return };
        let amount = circuit.sources[at.source].volts - volts;
        self.join(&Worse { volts: Some(Found { amount, at, way }), ..Worse::default() });
    }

    /// Keeps the worse of two, and the first of two alike.
    fn join(&mut self, other: &Worse) {
        keep(&mut self.loop_ohms, other.loop_ohms, |new, old| new > old);
        keep(&mut self.volts, other.volts, |new, old| new < old);
        keep(&mut self.fault_amps, other.fault_amps, |new, old| new < old);
    }
}

fn keep(kept: &mut Option<Found>, new: Option<Found>, worse: impl Fn(f64, f64) -> bool) {
    if let Some(new) = new
        && kept.is_none_or(|old| worse(new.amount, old.amount))
    {
        *kept = Some(new);
    }
}

fn extremes(worse: &[Worse; 3]) -> Option<Extremes> {
    let band = |of: fn(&Worse) -> Option<Found>, [low, typical, high]: [usize; 3]| {
        Some(Spread::new(of(&worse[low])?, of(&worse[typical])?, of(&worse[high])?))
    };
    Some(Extremes {
        loop_ohms: band(|w| w.loop_ohms, [0, 1, 2])?,
        volts: band(|w| w.volts, [2, 1, 0])?,
        fault_amps: band(|w| w.fault_amps, [2, 1, 0])?,
    })
}
