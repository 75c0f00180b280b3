//! Unlike decoders at switch-on: exactly, as a sum of exponentials.
//!
//! Decoders of capacitance `C_i` behind `r_i` share the loop resistance R. With `V'` what is left of the supply's volts behind
//! bridge and steady current, the current that fills them is in Laplace's terms `V'/s · Y/(1 + R·Y)` with
//! `Y = Σ s·C_i/(1 + s·r_i·C_i)`. Its poles lie on the negative axis, one below each rate `1/(r_i·C_i)`, and
//!
//! `I(t) = I_b + Σ a_k·e^(−p_k·t)`, `a_k = V'/(R²·p_k·Σ C_i/(1 − p_k·r_i·C_i)²)`, every one of them positive:
//!
//! so that the current only falls, and there is one time at which it comes below a trip current. Without R each decoder fills by
//! itself. [`crate::inrush`] is the same for decoders that are alike.

use crate::inrush::SwitchOn;

/// One decoder's reservoir.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reservoir {
    /// Farads, more than none.
    pub farads: f64,
    /// Ohms that it fills through by itself, more than none.
    pub ohms: f64,
}

/// Decoders on one supply at the moment it is switched on. All values finite, none negative.
#[derive(Debug, Clone, PartialEq)]
pub struct MixedFleet {
    /// Their reservoirs, all empty.
    pub reservoirs: Vec<Reservoir>,
    /// Volts that fill them: the supply's less the bridges' and less what the steady current takes.
    pub filling_volts: f64,
    /// Loop resistance they share, supply included, ohms.
    pub loop_ohms: f64,
    /// Steady current that flows beside, amperes.
    pub steady_amps: f64,
}

/// A part of the current: amperes at the start, and how fast it falls, a second.
type Mode = (f64, f64);

impl MixedFleet {
    /// The modes of the current.
    pub fn modes(&self) -> Vec<Mode> {
        let volts = self.filling_volts.max(0.0);
        if self.loop_ohms == 0.0 {
            return self.reservoirs.iter().map(|c| (volts / c.ohms, 1.0 / (c.ohms * c.farads))).collect();
        }
        // Those of one rate fill as one.
        let mut rates: Vec<f64> = self.reservoirs.iter().map(|c| 1.0 / (c.ohms * c.farads)).collect();
        rates.sort_by(f64::total_cmp);
        rates.dedup_by(|a, b| (*a - *b).abs() <= 1e-12 * b.abs());
        let of_rate = |q: f64| {
            let alike = self.reservoirs.iter().filter(move |c| (1.0 / (c.ohms * c.farads) - q).abs() <= 1e-9 * q);
            alike.map(|c| c.farads).sum::<f64>()
        };
        let groups: Vec<(f64, f64)> = rates.iter().map(|&q| (q, of_rate(q))).collect();
        // Rises from −1 to infinity below the first rate, and from −infinity to infinity between two.
        let left_over = |p: f64| self.loop_ohms * groups.iter().map(|(q, c)| p * c / (1.0 - p / q)).sum::<f64>() - 1.0;
        let mut from = 0.0;
        let mut modes = Vec::new();
        for (to, _) in &groups {
            let (mut below, mut above) = (from, *to);
            for _ in 0..200 {
                let middle = 0.5 * (below + above);
                if left_over(middle) < 0.0 { below = middle } else { above = middle }
            }
            let p = 0.5 * (below + above);
            let slope: f64 = groups.iter().map(|(q, c)| c / (1.0 - p / q).powi(2)).sum();
            modes.push((volts / (self.loop_ohms * self.loop_ohms * p * slope), p));
            from = *to;
        }
        modes
    }

    /// Current of the supply so many seconds after switch-on, amperes.
    pub fn amps_at(&self, seconds: f64) -> f64 {
        self.steady_amps + self.modes().iter().map(|(amps, rate)| amps * (-rate * seconds).exp()).sum::<f64>()
    }

    /// Whether a breaker of this trip current and delay holds.
    pub fn switch_on(&self, trip_amps: f64, delay_seconds: f64) -> SwitchOn {
        let modes = self.modes();
        let at = |t: f64| self.steady_amps + modes.iter().map(|(amps, rate)| amps * (-rate * t).exp()).sum::<f64>();
        let first_amps = at(0.0);
        let above_seconds = if self.steady_amps >= trip_amps {
            f64::INFINITY
        } else if first_amps < trip_amps {
            0.0
        } else {
            // By then the slowest of them has fallen to what is left to the trip current.
            let slowest = modes.iter().map(|m| m.1).fold(f64::INFINITY, f64::min);
            let room = (first_amps - self.steady_amps) / (trip_amps - self.steady_amps);
            let (mut above, mut below) = (0.0, room.ln() / slowest);
            for _ in 0..100 {
                let middle = 0.5 * (above + below);
                if at(middle) >= trip_amps { above = middle } else { below = middle }
            }
            0.5 * (above + below)
        };
        SwitchOn { first_amps, above_seconds, trips: first_amps >= trip_amps && above_seconds >= delay_seconds }
    }
}
