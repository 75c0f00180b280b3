//! What a short draws from a track signal, and what of it a breaker notices.
//!
//! The track is no direct-current supply: it reverses with every half bit, every 52 to 64 µs while ones are sent
//! (NMRA S-9.1). The current of a short has only that long to rise in. On ±V, through resistance R and inductance L, it runs
//! within each half bit T towards ±V/R with the time constant L/R; once that goes round, from −I to +I with, x being
//! `T·R/L`,
//!
//! - greatest value `I = (V/R)·tanh(x/2)`,
//! - root mean square `(V/R)·√(1 − (2/x)·tanh(x/2))`,
//! - mean of its size `(V/R)·(1 − (2/x)·ln(1 + tanh(x/2)))`: with `t0 = (L/R)·ln(1 + I·R/V)` the zero crossing, the integral
//!   of `L·di/dt = V − R·i` over what comes before it and what comes behind it leaves `(V/R)·(T − 2·t0)`.
//!
//! All three tend to V/R without inductance, and to `V·T/2L`, `V·T/(√12·L)` and `V·T/4L` where resistance does not matter.
//! They fall with R, with L and with shorter half bits, and stand in the order mean, root mean square, greatest.
//!
//! Edges that take time leave less: of 12.5 µs, the slowest that S-9.1 allows, 12 % less flows where inductance leads, of 5 µs
//! 5 % less (against the simulator). That is not counted in.
//!
//! # Where several paths lie side by side
//! R and L are those of currents that share themselves out as a direct current does. The true ones leave a path of much
//! inductance for one of less: at each rate of growth σ the impedance `R + σ·L` is more than the network's, which is the least
//! over all ways to share (Thomson's principle). Right after a reversal more flows than is worked out here, later on a little
//! less. Over three thousand rings of a bus beside rails, mean and root mean square came out 4 % less than those of the
//! network's own modes on average, at most 37 % less (half where a thick bus of much inductance lies
//! beside short rails) and at most 4 % more, the greatest at most 8 % more; `oracle` holds
//! that against the simulator. By the same principle a contact that is closed besides does not raise the network's impedance
//! at any rate, though the L of direct currents may grow with it: so what is found with everything open that may be is told
//! for all settings.

use handbook::Spread;

/// A short on a square wave. All values finite, none negative; `volts` and `half_bit` more than none, and `ohms` and `henries`
/// not both none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SquareShort {
    /// Volts of the supply, either way.
    pub volts: f64,
    /// Resistance of the loop, the short's own included, ohms.
    pub ohms: f64,
    /// Inductance of the loop, henries.
    pub henries: f64,
    /// Time between two reversals, seconds; endless for a direct voltage.
    pub half_bit: f64,
}

/// What of a current breakers may measure, amperes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensed {
    /// Rectified mean.
    pub mean: f64,
    /// Root mean square.
    pub rms: f64,
    /// The greatest.
    pub peak: f64,
}

impl Sensed {
    /// A current that does not change.
    pub fn steady(amps: f64) -> Sensed {
        Sensed { mean: amps, rms: amps, peak: amps }
    }

    /// In the order mean, root mean square, greatest.
    pub fn all(&self) -> [f64; 3] {
        [self.mean, self.rms, self.peak]
    }

    /// What a breaker compares with its trip current; of an unknown one the least of all three.
    pub fn by(&self, senses: Option<circuit::Senses>) -> f64 {
        match senses {
            Some(circuit::Senses::Peak) => self.peak,
            Some(circuit::Senses::Rms) => self.rms,
            Some(circuit::Senses::Mean) => self.mean,
            None => self.mean.min(self.rms).min(self.peak),
        }
    }
}

/// Below this x the closed forms lose digits to rounding and their series are exact enough: the first term left out is x⁴.
const SMALL: f64 = 1e-3;

impl SquareShort {
    /// `V/R`, the upper bound: what a direct voltage would drive. Endless without resistance.
    pub fn upper_bound(&self) -> f64 {
        self.volts / self.ohms
    }

    /// What flows once it goes round with ones only, or with half bits all of one length.
    pub fn sensed(&self) -> Sensed {
        if self.henries == 0.0 || self.half_bit == f64::INFINITY {
            return Sensed::steady(self.upper_bound());
        }
        let x = self.half_bit * self.ohms / self.henries;
        // What would flow in the end without resistance, V·T/L.
        let ramp = self.volts * self.half_bit / self.henries;
        if x < SMALL {
            return Sensed {
                mean: ramp * (0.25 - x * x / 96.0),
                rms: ramp * (1.0 / 12.0 - x * x / 120.0).sqrt(),
                peak: ramp * (0.5 - x * x / 24.0),
            };
        }
        let swing = (0.5 * x).tanh();
        let most = self.upper_bound();
        Sensed {
            mean: most * (1.0 - 2.0 / x * swing.ln_1p()),
            rms: most * (1.0 - 2.0 / x * swing).max(0.0).sqrt(),
            peak: most * swing,
        }
    }

    /// The same while half bits of several lengths go round, in order; `half_bit` is not looked at. Exact: the current within
    /// each is known, and the one it begins with is that at which it ends.
    pub fn sensed_over(&self, half_bits: &[f64]) -> Sensed {
        let total: f64 = half_bits.iter().sum();
        if self.henries == 0.0 || total == 0.0 {
            return Sensed::steady(self.upper_bound());
        }
        let rate = self.ohms / self.henries;
        let last = |sign: f64| sign * self.upper_bound();
        let sign = |k: usize| if k.is_multiple_of(2) { 1.0 } else { -1.0 };
        // i at the end is `gain · i at the start + carried`.
        let (mut gain, mut carried) = (1.0, 0.0);
        for (k, half) in half_bits.iter().enumerate() {
            let kept = (-rate * half).exp();
            (gain, carried) = (gain * kept, last(sign(k)) * (1.0 - kept) + carried * kept);
        }
        let mut amps = carried / (1.0 - gain);
        let (mut charge, mut square, mut peak) = (0.0, 0.0, 0.0_f64);
        for (k, &half) in half_bits.iter().enumerate() {
            let (to, kept) = (last(sign(k)), (-rate * half).exp());
            let off = amps - to;
            let end = to + off * kept;
            let integral = |seconds: f64| to * seconds + off / rate * (1.0 - (-rate * seconds).exp());
            square +=
                to * to * half + 2.0 * to * off / rate * (1.0 - kept) + off * off / (2.0 * rate) * (1.0 - kept * kept);
            charge += if amps * end < 0.0 {
                let zero = (-off / to).ln() / rate;
                (integral(half) - 2.0 * integral(zero)).abs()
            } else {
                integral(half).abs()
            };
            peak = peak.max(amps.abs()).max(end.abs());
            amps = end;
        }
        Sensed { mean: charge / total, rms: (square / total).max(0.0).sqrt(), peak }
    }
}

/// The hottest a short can be at the end of a loop without tripping a breaker that trips once it notices `trip_amps`: its
/// resistance and the watts it burns, `rms² · r`. `square.ohms` is that of the loop without the short. Found to a thousandth.
pub fn hottest(square: &SquareShort, senses: Option<circuit::Senses>, trip_amps: f64) -> (f64, f64) {
    let with = |short: f64| SquareShort { ohms: square.ohms + short, ..*square }.sensed();
    let watts = |short: f64| with(short).rms.powi(2) * short;
    let trips = |short: f64| with(short).by(senses) >= trip_amps;
    // What is noticed falls with the short's resistance. On the logarithm of that, from a tenth of a milliohm to a kiloohm.
    let (mut trips_at, mut holds_at) = (1e-4_f64.ln(), 1e3_f64.ln());
    if trips(1e-4) {
        for _ in 0..60 {
            let middle = 0.5 * (trips_at + holds_at);
            if trips(middle.exp()) { trips_at = middle } else { holds_at = middle }
        }
    } else {
        holds_at = trips_at;
    }
    // What is burnt rises to one top and falls from there.
    let (mut from, mut to) = (holds_at, 1e3_f64.ln());
    for _ in 0..60 {
        let (one, other) = (from + (to - from) / 3.0, to - (to - from) / 3.0);
        if watts(one.exp()) < watts(other.exp()) { from = one } else { to = other }
    }
    let hottest = 0.5 * (from + to);
    (hottest.exp(), watts(hottest.exp()))
}

/// What flows over bands: low is what the highest resistance and inductance and the shortest half bits leave.
pub fn sensed_band(volts: f64, ohms: Spread<f64>, henries: Spread<f64>, half_bit: Spread<f64>) -> Spread<Sensed> {
    let of = |ohms, henries, half_bit| SquareShort { volts, ohms, henries, half_bit }.sensed();
    Spread::new(
        of(ohms.high, henries.high, half_bit.low),
        of(ohms.typical, henries.typical, half_bit.typical),
        of(ohms.low, henries.low, half_bit.high),
    )
}
