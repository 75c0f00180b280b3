//! What the inductance of the wiring does when a fault lets go.
//!
//! A fault current I holds the energy `½·L·I²` in the loop inductance L. When the fault lets go, that current has
//! nowhere to go but into whatever capacitance C is there, decoders first; and if its breaker opens at the same time it
//! goes on through the output stage all the same. Supply V, resistance R, L and C in series, v being the voltage of C,
//! from `i(0) = I` and `v(0) = v0`:
//!
//! `L·di/dt = V − R·i − v`, `C·dv/dt = i`.
//!
//! v is greatest when i first falls to none. With `α = R/2L`, `ω² = 1/LC − α²`, `W = V − v0`, `U = W − R·I/2` that is
//! at `t = atan2(I·L·ω, −U)/ω`, or `atanh(I·L·β/−U)/β` where `β² = −ω² > 0` and `−U > I·L·β`; and then, exactly,
//!
//! `v = V + √(W² − W·R·I + I²·L/C) · e^(−α·t)`.
//!
//! Overdamped loops that do not fulfil the last condition only approach V.
//!
//! An edge of the track signal is the same with `I` the load's current and `v0 = −V`: unloaded, undamped, it rings to
//! 3·V. A real output stage takes time over its edge, and a decoder's own reservoir capacitor conducts once the track
//! is above it: both make less of it, so that this is an upper bound for the C given. NMRA S-9.1 asks decoders to
//! withstand 24 V (N) or 27 V ([`handbook::scales::Scale::decoder_withstand`]).

use handbook::Spread;

/// Energy of a current in an inductance, `½·L·I²`, joules.
pub fn energy_joules(henries: f64, amps: f64) -> f64 {
    0.5 * henries * amps * amps
}

/// Supply, loop and capacitance in series. All values finite; `ohms` not negative, `henries` and `farads` more than
/// none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingingLoop {
    /// Volts that the supply has from now on, forward of the current: its own where a fault let go by itself, the worst
    /// case; none where an output stage that tripped shorts the loop; its own, negative, where the stage's diodes give
    /// the current back.
    pub volts: f64,
    /// Resistance of the loop, ohms.
    pub ohms: f64,
    /// Inductance of the loop, henries.
    pub henries: f64,
    /// Capacitance at its end, farads.
    pub farads: f64,
}

/// How it begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Current in the inductance, towards the capacitance, amperes; not negative.
    pub amps: f64,
    /// Volts of the capacitance.
    pub volts: f64,
}

impl Start {
    /// A fault of no resistance that lets go, with this current.
    pub fn of_fault(amps: f64) -> Self {
        Self { amps, volts: 0.0 }
    }

    /// A reversal of the track signal without a load: from −V.
    pub fn of_reversal(supply_volts: f64) -> Self {
        Self { amps: 0.0, volts: -supply_volts }
    }
}

/// The greatest voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Volts.
    pub volts: f64,
    /// When, seconds. Endless where the supply's voltage is only approached.
    pub seconds: f64,
}

impl RingingLoop {
    /// `√(L/C)`, ohms.
    pub fn surge_ohms(&self) -> f64 {
        (self.henries / self.farads).sqrt()
    }

    /// Damping ratio, `(R/2)·√(C/L)`: below 1 it rings.
    pub fn damping_ratio(&self) -> f64 {
        0.5 * self.ohms / self.surge_ohms()
    }

    /// How fast it rings, periods a second; nothing where it does not.
    pub fn ringing_hertz(&self) -> Option<f64> {
        let squared = self.squared_ringing();
        (squared > 0.0).then(|| squared.sqrt() / (2.0 * std::f64::consts::PI))
    }

    /// `1/LC − (R/2L)²`, negative where overdamped.
    fn squared_ringing(&self) -> f64 {
        let decay = 0.5 * self.ohms / self.henries;
        1.0 / (self.henries * self.farads) - decay * decay
    }

    /// The greatest voltage of the capacitance.
    pub fn peak(&self, start: Start) -> Peak {
        let step = self.volts - start.volts;
        let against = 0.5 * self.ohms * start.amps - step; // −U
        let squared = self.squared_ringing();
        let speed = squared.abs().sqrt();
        let flux = start.amps * self.henries; // I·L
        let seconds = if start.amps == 0.0 && step <= 0.0 {
            0.0
        } else if squared > 0.0 {
            (flux * speed).atan2(against) / speed
        } else if against <= flux * speed {
            f64::INFINITY
        } else if speed == 0.0 {
            flux / against
        } else {
            (flux * speed / against).atanh() / speed
        };
        let squared_volts = step * (step - self.ohms * start.amps) + (start.amps * self.surge_ohms()).powi(2);
        // Rounding may leave less than nothing of nothing.
        let above = squared_volts.max(0.0).sqrt() * (-0.5 * self.ohms / self.henries * seconds).exp();
        if seconds.is_finite() {
            Peak { volts: self.volts + above, seconds }
        } else {
            Peak { volts: self.volts, seconds }
        }
    }
}

/// The greatest voltage over bands of the loop's resistance and the current: high is that of least resistance and
/// greatest current. `ringing.ohms` and `start.amps` are not looked at.
pub fn peak_band(ringing: RingingLoop, ohms: Spread<f64>, start: Start, amps: Spread<f64>) -> Spread<Peak> {
    // Up to the first top all current is towards C, and a push of current or voltage has not yet swung back: more
    // current lifts that top, and what more resistance takes off the driving voltage lowers it.
    let of = |ohms, amps| RingingLoop { ohms, ..ringing }.peak(Start { amps, ..start });
    Spread::new(of(ohms.high, amps.low), of(ohms.typical, amps.typical), of(ohms.low, amps.high))
}
