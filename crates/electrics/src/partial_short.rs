//! What a short that is not quite one can burn while the breaker stays closed.
//!
//! A fault of resistance r_f at the end of a loop of resistance R (supply included) draws `I = V/(R + r_f)` and burns
//! `P = V²·r_f/(R + r_f)²`. The breaker holds as long as `I < I_trip`, which is `r_f > V/I_trip − R`. P is greatest at
//! `r_f = R`, with `V²/4R`; where that trips the breaker, P falls with r_f over all that do not, and its least upper
//! bound is that of a fault on the edge of tripping, `I_trip·(V − I_trip·R)`.
//!
//! Trains that run meanwhile take from both voltage and trip current, and the wiring's inductance keeps a square wave
//! from its full current, so that all of this is an upper bound.

use handbook::Spread;

/// The hottest a fault can be without tripping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hottest {
    /// What it burns, watts. Endless where there is no resistance and no breaker.
    pub watts: f64,
    /// Its resistance, ohms.
    pub fault_ohms: f64,
    /// What keeps it from burning more.
    pub bound: HeatBound,
}

/// What keeps a fault from burning more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeatBound {
    /// The loop's resistance: the fault has as much, and the breaker does not trip. Only a smaller loop resistance
    /// makes it trip.
    Loop,
    /// The breaker: anything that burns more trips it. The fault itself is the last that would, a bound not reached.
    Breaker,
}

/// What a fault of resistance `fault_ohms` burns behind a loop of `loop_ohms`, watts: nothing where both are none,
/// since then it is the supply that burns.
pub fn burnt_watts(volts: f64, loop_ohms: f64, fault_ohms: f64) -> f64 {
    if fault_ohms == 0.0 { 0.0 } else { (volts / (loop_ohms + fault_ohms)).powi(2) * fault_ohms }
}

/// The hottest a fault at the end of a loop can be without tripping a breaker that trips at `trip_amps`; none where no
/// breaker is known. `volts` and `trip_amps` more than none, `loop_ohms` not negative.
pub fn hottest(volts: f64, loop_ohms: f64, trip_amps: Option<f64>) -> Hottest {
    match trip_amps {
        // The middle, V/2R, trips.
        Some(trip) if 2.0 * loop_ohms * trip <= volts => Hottest {
            watts: trip * (volts - trip * loop_ohms),
            fault_ohms: volts / trip - loop_ohms,
            bound: HeatBound::Breaker,
        },
        _ => Hottest { watts: volts * volts / (4.0 * loop_ohms), fault_ohms: loop_ohms, bound: HeatBound::Loop },
    }
}

/// The same over a band of loop resistances. Low burns least: that of the highest resistance.
pub fn hottest_band(volts: f64, loop_ohms: Spread<f64>, trip_amps: Option<f64>) -> Spread<Hottest> {
    let found = loop_ohms.map(|ohms| hottest(volts, ohms, trip_amps));
    Spread::new(found.high, found.typical, found.low)
}
