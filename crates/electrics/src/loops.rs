//! Resistance and inductance of the loop along a piece of rail, and where a short on it is noticed least.
//!
//! The inductance of a loop is the slope of its resistance: with the currents as resistances share them out,
//! `L = Σ l·i² = Σ l·∂R/∂r`. So a second elimination, every resistance less by a short time h times its inductance, gives the
//! inductance of all places at once, `L = (R(r) − R(r − h·l))/h`. R is nowhere hollow in the r, so that this is never less than
//! the true slope, and more by no more than h times the greatest l/r: a part in ten thousand.
//!
//! Between two stops of the rails both are parabolas, the resistance one that is nowhere hollow (see the crate's page).

use crate::square_short::{Sensed, SquareShort};
use crate::{Demand, Feed, Level, Parabola, ProfilePiece};
use circuit::Circuit;

/// The step of the perturbation: how far the resistances are changed by their inductance, as a part of the one that is changed most.
const BENT: f64 = 1e-4;

/// The time by which resistances are bent at a level, seconds; none where nothing has inductance.
pub(crate) fn bend(circuit: &Circuit, level: Level) -> Option<f64> {
    let with = circuit.edges.iter().filter(|e| level.pick(e.henries) > 0.0);
    with.map(|e| level.pick(e.ohms) / level.pick(e.henries)).reduce(f64::min).map(|least| BENT * least)
}

/// Inductance along a piece from its resistance straight and bent.
pub(crate) fn slope(straight: &Parabola, bent: &Parabola, seconds: f64) -> Parabola {
    let of = |a: f64, b: f64| (a - b) / seconds;
    Parabola {
        // What is rounding of nothing must not be less than nothing.
        start: of(straight.start, bent.start).max(0.0),
        end: of(straight.end, bent.end).max(0.0),
        bow: of(straight.bow, bent.bow),
    }
}

/// A piece of rail with what a short on it meets.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LoopPiece {
    /// Volts of its supply.
    pub(crate) volts: f64,
    /// Loop resistance along it, ohms.
    pub(crate) ohms: Parabola,
    /// Loop inductance along it, henries.
    pub(crate) henries: Parabola,
    /// The resistance of the short itself, ohms.
    pub(crate) bridge: f64,
    /// Time between reversals, seconds.
    pub(crate) half_bit: f64,
}

/// Where on a piece the least is met of what a short draws: the fraction, the amperes and the loop's inductance.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LeastOn {
    pub(crate) s: f64,
    pub(crate) amps: f64,
    pub(crate) henries: f64,
}

/// The worst place is found to this part of the current.
const CLOSE: f64 = 1e-6;
/// Pieces that are looked at, at most; what is left is bounded.
const MOST_PARTS: usize = 200;

/// The profiles of a piece, straight and with bent resistances: by how many seconds.
pub(crate) type Bent<'p> = (&'p ProfilePiece, f64);

impl LoopPiece {
    /// What a short on a piece meets; none where it is not powered.
    pub(crate) fn new(
        circuit: &Circuit,
        demand: &Demand<'_>,
        level: Level,
        piece: &ProfilePiece,
        bent: Option<Bent<'_>>,
    ) -> Option<LoopPiece> {
        let (Feed::Powered { source }, Some(ohms)) = (piece.feed, piece.loop_ohms) else { return None };
        let (volts, source) = (circuit.volts_on(source, piece.segment()), &circuit.sources[source]);
        let henries = bent.and_then(|(bent, seconds)| Some(slope(&ohms, &bent.loop_ohms?, seconds)));
        Some(LoopPiece {
            volts,
            ohms,
            henries: henries.unwrap_or(Parabola::NOTHING),
            bridge: level.pick(demand.bridge_ohms),
            half_bit: if source.square_wave { demand.half_bit_at(level) } else { f64::INFINITY },
        })
    }

    pub(crate) fn at(&self, s: f64) -> SquareShort {
        SquareShort {
            volts: self.volts,
            ohms: self.ohms.at(s) + self.bridge,
            henries: self.henries.at(s).max(0.0),
            half_bit: self.half_bit,
        }
    }

    /// What would flow at the corner of the control polygon from one fraction to another. With what flows at both ends it bounds what
    /// flows between: one over a current is the perspective of a convex function of `T·R/2L` (see [`SquareShort`]), so that it is convex
    /// in R and L, and greatest over the polygon, in which the curve lies, at one of its corners. No less of any kind flows.
    fn corner(&self, from: f64, to: f64) -> Sensed {
        let (ohms, henries) = (self.ohms.corner(from, to) + self.bridge, self.henries.corner(from, to).max(0.0));
        SquareShort { volts: self.volts, ohms, henries, half_bit: self.half_bit }.sensed()
    }

    /// The least of each kind of current (mean, root mean square, greatest) and where it is met: branch and bound over parts
    /// of the piece. The amperes are a bound, no place has less; the place has no more than a millionth above it. None of a
    /// kind of which no less flows here than what is known already.
    pub(crate) fn least(&self, known: [f64; 3]) -> [Option<LeastOn>; 3] {
        // What flows falls with both, so that the greatest of each bound it, be they in one place or in two.
        let (most_ohms, most_henries) = (self.ohms.greatest(), self.henries.greatest());
        let (ohms, henries) = (most_ohms.1 + self.bridge, most_henries.1.max(0.0));
        let bound = SquareShort { volts: self.volts, ohms, henries, half_bit: self.half_bit }.sensed().all();
        let less = |kind: usize| bound[kind] < known[kind];
        if !(0..3).any(less) {
            return [None; 3];
        }
        if most_ohms.0 == most_henries.0 || henries == 0.0 || self.half_bit == f64::INFINITY {
            let there =
                |kind: usize| LeastOn { s: most_ohms.0, amps: bound[kind], henries: self.at(most_ohms.0).henries };
            return [0, 1, 2].map(|kind| less(kind).then(|| there(kind)));
        }
        // The hyperbolic functions are most of the work: where the search begins they are worked out once for all three.
        let first = [0.0, 1.0, most_ohms.0, most_henries.0].map(|s| (s, self.at(s)));
        let first = first.map(|(s, short)| (s, short.henries, short.sensed().all()));
        let corner = self.corner(0.0, 1.0).all();
        [0, 1, 2].map(|kind| less(kind).then(|| self.least_of(kind, bound[kind].max(corner[kind]), &first)))
    }

    /// The least of one kind: no less flows than `bound`, or than in one of the places of `first`, both ends among them; each has the
    /// inductance there and what flows.
    fn least_of(&self, kind: usize, bound: f64, first: &[(f64, f64, [f64; 3]); 4]) -> LeastOn {
        let here = |s: f64| {
            let short = self.at(s);
            LeastOn { s, amps: short.sensed().all()[kind], henries: short.henries }
        };
        let less = |a: LeastOn, b: LeastOn| if b.amps < a.amps { b } else { a };
        let [start, others @ ..] = first.map(|(s, henries, amps)| LeastOn { s, amps: amps[kind], henries });
        let mut best = others.into_iter().fold(start, less);
        let mut open = vec![(bound, 0.0, 1.0)];
        let mut floor = f64::INFINITY;
        let mut parts = 0;
        while let Some((bound, from, to)) = open.pop() {
            if bound >= best.amps * (1.0 - CLOSE) || parts == MOST_PARTS {
                floor = floor.min(bound);
                continue;
            }
            parts += 1;
            let middle = 0.5 * (from + to);
            best = less(best, here(middle));
            for (from, to) in [(from, middle), (middle, to)] {
                let bound = self.corner(from, to).all()[kind];
                // The least promising is looked at last.
                let place = open.partition_point(|other: &(f64, f64, f64)| other.0.total_cmp(&bound).is_ge());
                open.insert(place, (bound, from, to));
            }
        }
        LeastOn { amps: best.amps.min(floor), ..best }
    }
}
