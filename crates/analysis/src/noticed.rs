//! What breakers notice of a short on each track: see [`electrics::square_short`].

use crate::load_case::LoadCase;
use circuit::{Circuit, Senses};
use electrics::square_short::{Sensed, SquareShort};
use electrics::{Extremes, LeastShort, Passed, margin, margin_noticed};
use handbook::Spread;
use signal::waveform::{Timing, bits};

/// What breakers notice of the worst short on a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noticed {
    /// Whether it is fed by a signal that reverses. If not, all currents are what a direct voltage drives.
    pub square_wave: bool,
    /// What the plan says the nearest breaker with a known trip current measures.
    pub senses: Option<Senses>,
    /// The least of each kind of current while ones are sent: aged, as usual, as new.
    pub sensed: Spread<Sensed>,
    /// The same at the place below, as usual, while idle packets are sent.
    pub idle: Sensed,
    /// Where the least of what counts is met as usual, metres from the track's start.
    pub at: f64,
    /// Resistance of the loop there, the short's own included, ohms.
    pub ohms: f64,
    /// Inductance of the loop at the places of the least: as new and near together, as usual, aged and far apart.
    pub henries: Spread<f64>,
    /// What a direct voltage would drive at the place, the upper bound, in amperes.
    pub upper_bound: f64,
}

/// The half bits of an idle packet as S-9.2 has it, nothing astray, in seconds.
fn idle_half_bits() -> Vec<f64> {
    let seconds = |one: bool| (if one { Timing::NOMINAL.one } else { Timing::NOMINAL.zero }) as f64 * 1e-12;
    bits(Timing::NOMINAL.preamble, &[0xFF, 0x00, 0xFF]).flat_map(|one| [seconds(one); 2]).collect()
}

/// Which of the kinds, in the order mean, root mean square, greatest, a breaker goes by; of an unknown one the least.
fn kind(senses: Option<Senses>) -> usize {
    match senses {
        None | Some(Senses::Mean) => 0,
        Some(Senses::Rms) => 1,
        Some(Senses::Peak) => 2,
    }
}

/// What is noticed of the worst short on a track, and the margins by it and by what a direct voltage would drive; none where no
/// trip current is known.
pub(crate) fn noticed(
    circuit: &Circuit,
    extremes: &Extremes,
    passed: &[Passed],
    asked: &LoadCase,
) -> (Noticed, Option<Spread<f64>>, Option<Spread<f64>>) {
    let breakers = passed.iter().map(|p| &circuit.breakers[p.breaker]);
    let senses = breakers.filter(|b| b.trip_amps.is_some()).map(|b| b.senses).next().flatten();
    let of = |least: [&LeastShort; 3]| {
        let [mean, rms, peak] = least.map(|l| l.found.amount);
        Sensed { mean, rms, peak }
    };
    let [mean, rms, peak] = &extremes.sensed;
    let sensed = Spread::new(
        of([&mean.low, &rms.low, &peak.low]),
        of([&mean.typical, &rms.typical, &peak.typical]),
        of([&mean.high, &rms.high, &peak.high]),
    );
    let least = &extremes.sensed[kind(senses)];
    let place = &least.typical;
    let source = &circuit.sources[place.found.at.source];
    let ohms = place.found.at.loop_ohms + asked.bridge_ohms.typical;
    let volts = circuit.volts_on(place.found.at.source, place.found.at.place.segment);
    let short = SquareShort { volts, ohms, henries: place.henries, half_bit: asked.half_bit.typical };
    let steady = Sensed::steady(short.upper_bound());
    let noticed = Noticed {
        square_wave: source.square_wave,
        senses,
        sensed,
        idle: if source.square_wave { short.sensed_over(&idle_half_bits()) } else { steady },
        at: place.found.at.place.x,
        ohms,
        // What falls goes from aged to new, inductance the other way.
        henries: Spread::new(least.high.henries, place.henries, least.low.henries),
        upper_bound: short.upper_bound(),
    };
    let band = |of: &dyn Fn(&Sensed) -> Option<f64>, sensed: &Spread<Sensed>| {
        Some(Spread::new(of(&sensed.low)?, of(&sensed.typical)?, of(&sensed.high)?))
    };
    let by_breakers = band(&|sensed| margin_noticed(circuit, passed, sensed), &sensed);
    let direct = extremes.fault_amps.map(|found| Sensed::steady(found.amount));
    let upper = band(&|sensed| margin(circuit, passed, sensed.peak), &direct);
    (noticed, by_breakers, upper)
}

impl Noticed {
    /// What of a current the breaker goes by; the least where the plan does not say.
    pub fn counts(&self, sensed: &Sensed) -> f64 {
        sensed.by(self.senses)
    }

    /// What the breaker notices of the worst short: aged, as usual, as new.
    pub fn amps(&self) -> Spread<f64> {
        self.sensed.map(|sensed| self.counts(&sensed))
    }

    /// Whether inductance, more than resistance, keeps the current of the short from what trips a breaker: less than two thirds of
    /// what a direct voltage would drive is noticed.
    pub fn inductance_leads(&self) -> bool {
        self.counts(&self.sensed.typical) < 2.0 / 3.0 * self.upper_bound
    }
}
