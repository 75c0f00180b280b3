//! What a rectifier gets from a square wave through the inductance of its wiring.
//!
//! A track signal of ±V reverses twice in each period. The current of a train that draws a steady direct current I must
//! then swing in the wiring from −I to +I. Until it has, all of the decoder's diodes conduct and its input is shorted:
//! the whole of the supply's voltage stands across loop resistance R and loop inductance L,
//!
//! `L·di/dt = V − R·i`, from −I to +I in `t_c = (L/R)·ln((V + I·R)/(V − I·R)) = (2L/R)·atanh(I·R/V)`.
//!
//! Afterwards the current is steady and the decoder has `V − I·R`, so that its mean is
//! `V_dc = (V − I·R)·(1 − 2·f·t_c)`: the commutation overlap of the power-electronics textbooks, for a square source.
//! For R → 0, `t_c → 2·L·I/V`.
//!
//! Edges are taken as ideal. One of `t_e` seconds costs a decoder up to `V·t_e/2` of each half bit's volt-seconds besides: 1 % for 1 µs, 11 to 14 %
//! for 12.5 µs, the slowest that S-9.1 allows (0.3 to 1 Ω, 2 to 25 µH, 2 A, against the simulator).
//!
//! Left out: the drop of the decoder's own diodes, and that a reservoir capacitor draws its current in pulses. Bits of
//! zero are longer than ones, so the frequency of ones is the worst case.

use handbook::Spread;

/// A square-wave supply and the wiring between it and a train. All values finite, none negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SquareLoop {
    /// Volts of the supply, either way; more than none.
    pub volts: f64,
    /// Resistance of the loop, there and back, ohms; none is allowed.
    pub ohms: f64,
    /// Inductance of the loop, there and back, henries; none is allowed.
    pub henries: f64,
    /// Periods a second; more than none. A period has two reversals.
    pub hertz: f64,
}

/// What a train that asks for a steady direct current gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rectified {
    /// The current has swung round before the next reversal.
    Steady {
        /// Mean direct voltage, volts, before the drop of the decoder's diodes.
        volts: f64,
        /// How long after each reversal the decoder is shorted, seconds.
        overlap_seconds: f64,
    },
    /// The swing would take longer than the half period: the diodes never stop conducting together, no voltage is left
    /// for the decoder, and the line current is less than was asked for.
    NeverSwingsRound {
        /// The currents that do swing round are less than this, amperes.
        limit_amps: f64,
        /// How long the swing would take, seconds.
        overlap_seconds: f64,
    },
    /// `I·R ≥ V`: the resistance alone takes all of the voltage. No time would be long enough.
    NothingLeft {
        /// The currents for which something is left are less than this, amperes; [`SquareLoop::limit_amps`].
        limit_amps: f64,
    },
}

impl Rectified {
    /// Mean direct voltage, volts: none where the current cannot be had.
    pub fn volts(&self) -> f64 {
        match *self {
            Rectified::Steady { volts, .. } => volts,
            Rectified::NeverSwingsRound { .. } | Rectified::NothingLeft { .. } => 0.0,
        }
    }
}

impl SquareLoop {
    /// What a train that draws this steady direct current gets, `amps` finite and not negative.
    pub fn rectified(&self, amps: f64) -> Rectified {
        let drop = amps * self.ohms;
        if drop >= self.volts {
            return Rectified::NothingLeft { limit_amps: self.limit_amps() };
        }
        let overlap_seconds = 2.0 * self.henries * amps / self.volts * over_argument(f64::atanh, drop / self.volts);
        let lost = 2.0 * self.hertz * overlap_seconds;
        if lost >= 1.0 {
            return Rectified::NeverSwingsRound { limit_amps: self.limit_amps(), overlap_seconds };
        }
        Rectified::Steady { volts: (self.volts - drop) * (1.0 - lost), overlap_seconds }
    }

    /// The direct current at which nothing is left, amperes: `(V/R)·tanh(R/(4·f·L))`, from `t_c = 1/(2f)`. Endless
    /// without resistance and inductance.
    pub fn limit_amps(&self) -> f64 {
        let swing = 4.0 * self.hertz * self.henries;
        if swing == 0.0 {
            return self.volts / self.ohms;
        }
        self.volts / swing * over_argument(f64::tanh, self.ohms / swing)
    }
}

/// The same over bands of resistance, inductance and frequency: low is what the highest of each leave.
pub fn rectified_band(
    volts: f64,
    ohms: Spread<f64>,
    henries: Spread<f64>,
    hertz: Spread<f64>,
    amps: f64,
) -> Spread<Rectified> {
    // It falls with each of the three.
    let of = |ohms, henries, hertz| SquareLoop { volts, ohms, henries, hertz }.rectified(amps);
    Spread::new(
        of(ohms.high, henries.high, hertz.high),
        of(ohms.typical, henries.typical, hertz.typical),
        of(ohms.low, henries.low, hertz.low),
    )
}

/// `f(x)/x` of a function that starts as x, without a division by nothing.
fn over_argument(function: fn(f64) -> f64, x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { function(x) / x }
}
