//! A stretch of a way: what feeds it and what every place of it gets, exact along the rails.

use crate::figures;
use crate::load_case::LoadCase;
use circuit::Senses;
use electrics::square_short::sensed_band;
use electrics::{Level, Parabola};
use handbook::Spread;

/// A stretch of a way over which neither rail has a stop.
#[derive(Clone, Debug, PartialEq)]
pub struct WayPiece {
    /// Index of its step.
    pub step: usize,
    /// Where it starts, metres along the way.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What feeds it, or why no voltage is to be reported.
    pub feed: Result<StretchFeed, &'static str>,
}

/// What feeds a stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct StretchFeed {
    /// Name of the supply.
    pub supply: String,
    /// Its voltage.
    pub supply_volts: f64,
    /// What of that is left behind the detectors on the way there.
    pub fed_volts: f64,
    /// The breaker that trips first and how many amperes at the place trip it; none where no trip current is known.
    /// Where breakers stand side by side, the more of what both ends of the stretch ask for.
    pub trip: Option<(String, f64)>,
    /// What that breaker measures of a current that reverses, where the plan says.
    pub senses: Option<Senses>,
    /// Whether its supply reverses with every half bit.
    pub square_wave: bool,
    /// Loop resistance in ohms along the way, the source's own included: as new, as usual, aged.
    pub loop_ohms: Spread<Parabola>,
    /// Volts that standing trains take along the way, at the same levels.
    pub standing_train_drop: Spread<Parabola>,
    /// Inductance of the loop in henries, over its band, at none, one, two and three thirds of the stretch; none for a plan so
    /// long that it is not calculated.
    pub henries: Option<[Spread<f64>; 4]>,
}

impl StretchFeed {
    /// The volts a train takes of the supply's at a level, its own and what is missing for standing ones.
    fn drop(&self, level: Level, load_case: &LoadCase) -> Parabola {
        level.pick(self.loop_ohms).drop_of(load_case.train_amps, Some(&level.pick(self.standing_train_drop)))
    }

    /// Inductance of the loop at a fraction of the stretch, in henries. Currents change along a straight line on both rails
    /// of it, their squares times its own length by the third power: the cubic through four places is exact.
    pub fn henries(&self, s: f64) -> Option<Spread<f64>> {
        let at = self.henries?;
        let t = 3.0 * s;
        let basis = |k: usize| {
            let others = (0..4).filter(|&j| j != k);
            others.map(|j| (t - j as f64) / (k as f64 - j as f64)).product::<f64>()
        };
        let cubic = |of: fn(&Spread<f64>) -> f64| (0..4).map(|k| of(&at[k]) * basis(k)).sum();
        Some(Spread::new(cubic(|l| l.low), cubic(|l| l.typical), cubic(|l| l.high)))
    }
}

/// What a place gets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointResult {
    /// Voltage under a train: aged, as usual, as new. Below 0 where the wiring cannot bring its current at all.
    pub volts: Spread<f64>,
    /// What is left behind a decoder's rectifier; none where the wiring's inductance was not calculated.
    pub decoder: Option<Spread<f64>>,
    /// Current of a short made by wheels, in amperes: aged, as usual, as new. What a direct voltage drives, an upper bound.
    pub fault_amps: Spread<f64>,
    /// What of it the breaker notices while the track signal reverses; the same where no inductance was worked out.
    pub noticed: Spread<f64>,
}

impl PointResult {
    /// What is got behind some loop resistances, where nothing else takes any.
    pub fn behind_resistance(ohms: Spread<f64>, fed_volts: f64, load_case: &LoadCase) -> PointResult {
        let volts = |ohms: f64| (fed_volts - load_case.train_amps * ohms).max(0.0);
        let amps = |ohms: f64, bridge: f64| fed_volts / (ohms + bridge);
        let bridge = &load_case.bridge_ohms;
        let fault_amps =
            Spread::new(amps(ohms.high, bridge.high), amps(ohms.typical, bridge.typical), amps(ohms.low, bridge.low));
        PointResult {
            volts: Spread::new(volts(ohms.high), volts(ohms.typical), volts(ohms.low)),
            decoder: None,
            fault_amps,
            noticed: fault_amps,
        }
    }
}

/// The value of what is got at a level: such bands run from aged to new, those of resistances from new to aged.
pub fn result_at_level(band: Spread<f64>, level: Level) -> f64 {
    level.pick(Spread::new(band.high, band.typical, band.low))
}

impl WayPiece {
    /// The fraction of it at which a place along the way lies.
    fn fraction(&self, along: f64) -> f64 {
        ((along - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }

    /// What a place of it gets, metres along the way; none where it is not powered.
    pub fn point_result(&self, along: f64, load_case: &LoadCase) -> Option<PointResult> {
        let fed = self.feed.as_ref().ok()?;
        let s = self.fraction(along);
        let ohms = fed.loop_ohms.map(|parabola| parabola.at(s));
        let volts = |level| fed.fed_volts - fed.drop(level, load_case).at(s);
        let volts = Spread::new(volts(Level::High), volts(Level::Typical), volts(Level::Low));
        let mut got = PointResult { volts, ..PointResult::behind_resistance(ohms, fed.fed_volts, load_case) };
        if let Some(henries) = fed.henries(s).filter(|_| fed.square_wave) {
            let ohms = ohms.plus(load_case.bridge_ohms);
            let sensed = sensed_band(fed.fed_volts, ohms, henries, load_case.half_bit);
            got.noticed = sensed.map(|sensed| sensed.by(fed.senses));
        }
        got.decoder = fed.henries(s).map(|henries| figures::decoder_band(got.volts, ohms, henries, load_case));
        // Where the wiring would take more than the supply has, nothing is left.
        got.volts = got.volts.map(|volts| volts.max(0.0));
        Some(got)
    }

    /// The greatest loop resistance of it as new, as usual and aged, and where each is met, metres along the way; none
    /// where it is not powered. That is where the current of a short is least, too.
    pub fn greatest(&self) -> Option<Spread<(f64, f64)>> {
        Some(self.feed.as_ref().ok()?.loop_ohms.map(|parabola| self.along(parabola.greatest())))
    }

    /// The greatest loss of voltage of it as new, as usual and aged, and where each is met, metres along the way; none where
    /// it is not powered. Without standing trains that is where the loop resistance is greatest.
    pub fn most_lost(&self, load_case: &LoadCase) -> Option<Spread<(f64, f64)>> {
        let fed = self.feed.as_ref().ok()?;
        let of = |level| self.along(fed.drop(level, load_case).greatest());
        Some(Spread::new(of(Level::Low), of(Level::Typical), of(Level::High)))
    }

    fn along(&self, (s, value): (f64, f64)) -> (f64, f64) {
        (self.from + s * (self.to - self.from), value)
    }
}
