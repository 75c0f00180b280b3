//! A resistor and a capacitor in series across the end of a bus: what they damp, burn and delay.
//!
//! # Damping
//! Loop R, L and capacitance C as in [`crate::overshoot`], the filter's R_s and C_s beside C, v_s on C_s:
//!
//! `L·di/dt = V − R·i − v`, `C·dv/dt = i − (v − v_s)/R_s`, `C_s·dv_s/dt = (v − v_s)/R_s`.
//!
//! Three equations; they are solved exactly, and the greatest v is found where dv/dt changes its sign. With C_s much
//! larger than C the damping ratio is about `√(L/C)/(2·R_s)`, so R_s should be near `√(L/C)`: much smaller, and C_s
//! merely joins C and both ring lower; much larger, and the filter is not there. Nothing of this clamps: the equations
//! are linear, so that twice the fault current lifts v by twice as much, filter or not.
//!
//! # Heat
//! A square wave of ±V and frequency f, R_s and C_s across it: the capacitor swings between `±V·tanh(1/(4·f·R_s·C_s))`
//! and the resistor burns, exactly,
//!
//! `P = 4·f·C_s·V²·tanh(1/(4·f·R_s·C_s))`,
//!
//! which is `4·f·C_s·V²` for a filter faster than the track signal and `V²/R_s` for one much slower.
//!
//! # Detection
//! A short of resistance r_f at the end of the bus: the supply's current climbs through L. The filter's capacitor feeds
//! the short for a while and keeps v up, which slows the climb; [`detection`] gives both times. What a quick breaker
//! is more likely to notice is the filter's pulse at each reversal, up to 2·V/R_s ([`Heat::pulse_amps`]).

use crate::overshoot::{Peak, RingingLoop, Start};
use crate::state_space::{Modes, RootPair, State};

/// Resistor and capacitor in series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filter {
    /// Ohms, more than none.
    pub ohms: f64,
    /// Farads, more than none.
    pub farads: f64,
}

/// What a filter burns across the track signal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Watts in its resistor.
    pub watts: f64,
    /// Greatest current through it, just after a reversal, amperes.
    pub pulse_amps: f64,
}

/// How the end of the bus answers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Response {
    /// The greatest voltage.
    pub peak: Peak,
    /// Damping ratio of what rings, below 1; nothing where nothing does.
    pub damping_ratio: Option<f64>,
    /// How fast it rings, periods a second; nothing where it does not.
    pub ringing_hertz: Option<f64>,
}

/// What a filter is good for against one disturbance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// Decoders withstand the peak without it.
    NotNeeded,
    /// They withstand it with the filter only.
    Needed,
    /// The filter lowers the peak, but not to what decoders withstand.
    NotEnough,
    /// The filter does not lower the peak.
    Nothing,
}

/// A disturbance with and without a filter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// Without.
    pub without: Response,
    /// With.
    pub with: Response,
    /// What the filter is good for.
    pub good_for: Use,
}

/// When the supply's current reaches a breaker's trip current, seconds after the fault; nothing where it never does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Detection {
    /// Without the filter.
    pub without: Option<f64>,
    /// With it.
    pub with: Option<f64>,
}

impl Filter {
    /// What it burns across a square wave of ±`volts`, `hertz` periods a second.
    pub fn heat(&self, volts: f64, hertz: f64) -> Heat {
        let swing = (1.0 / (4.0 * hertz * self.ohms * self.farads)).tanh();
        Heat { watts: 4.0 * hertz * self.farads * volts * volts * swing, pulse_amps: volts * (1.0 + swing) / self.ohms }
    }
}

/// Loop, filter and a conductance across the end, in units that make all terms alike: time in √(LC), current times
/// √(L/C). The state is what current, v and v_s lack of their last values.
struct Scaled {
    modes: Modes,
    /// √(LC), seconds.
    unit: f64,
}

impl Scaled {
    fn new(ringing: &RingingLoop, filter: Option<Filter>, fault_siemens: f64) -> Self {
        let surge = ringing.surge_ohms();
        let unit = (ringing.henries * ringing.farads).sqrt();
        let (through, fills) = filter.map_or((0.0, 0.0), |f| (surge / f.ohms, unit / (f.ohms * f.farads)));
        Self {
            modes: Modes([
                [-ringing.ohms / surge, -1.0, 0.0],
                [1.0, -(through + fault_siemens * surge), through],
                [0.0, fills, -fills],
            ]),
            unit,
        }
    }
}

/// How the end of the bus answers a disturbance, with a filter or without. The filter's capacitor begins at the same
/// voltage as the end of the bus.
pub fn response(ringing: &RingingLoop, filter: Option<Filter>, start: Start) -> Response {
    let Some(filter) = filter else {
        let ringing_hertz = ringing.ringing_hertz();
        let damping_ratio = ringing_hertz.map(|_| ringing.damping_ratio());
        return Response { peak: ringing.peak(start), damping_ratio, ringing_hertz };
    };
    let Scaled { modes, unit } = Scaled::new(ringing, Some(filter), 0.0);
    let climb = |x: &State| (0..3).map(|k| modes.0[1][k] * x[k]).sum::<f64>();
    // No state to come has more energy than this one, all of it in C at most.
    let reach = |x: &State| (x[0] * x[0] + x[1] * x[1] + filter.farads / ringing.farads * x[2] * x[2]).sqrt();
    let begin = scaled_start(ringing, start);
    // V itself is approached in any case, and what is there at the start counts as well.
    let mut best = (f64::INFINITY, 0.0);
    if begin[1] > 0.0 {
        best = (0.0, begin[1]);
    }
    modes.walk(begin, |from, to| {
        if climb(&from.1) > 0.0 && climb(&to.1) <= 0.0 {
            let top = modes.between(from, to, climb);
            if top.1[1] > best.1 {
                best = (top.0, top.1[1]);
            }
        }
        best.1 == 0.0 || reach(&to.1) > best.1
    });
    let (damping_ratio, ringing_hertz) = match modes.roots().pair {
        RootPair::Rings { decay, speed } => {
            (Some(decay / decay.hypot(speed)), Some(speed / unit / (2.0 * std::f64::consts::PI)))
        }
        RootPair::Real(..) => (None, None),
    };
    let peak = Peak { volts: ringing.volts + best.1, seconds: best.0 * unit };
    Response { peak, damping_ratio, ringing_hertz }
}

/// Volts at the end of the bus at a time after the disturbance, seconds.
pub fn volts_at(ringing: &RingingLoop, filter: Option<Filter>, start: Start, seconds: f64) -> f64 {
    let Scaled { modes, unit } = Scaled::new(ringing, filter, 0.0);
    ringing.volts + modes.at(&scaled_start(ringing, start), seconds / unit)[1]
}

fn scaled_start(ringing: &RingingLoop, start: Start) -> State {
    let lacks = start.volts - ringing.volts;
    [start.amps * ringing.surge_ohms(), lacks, lacks]
}

/// What a filter is good for against a disturbance, where decoders withstand so many volts.
pub fn effect(ringing: &RingingLoop, filter: Filter, start: Start, withstand_volts: f64) -> Effect {
    let (without, with) = (response(ringing, None, start), response(ringing, Some(filter), start));
    let good_for = if without.peak.volts <= withstand_volts {
        Use::NotNeeded
    } else if with.peak.volts <= withstand_volts {
        Use::Needed
    } else if with.peak.volts < without.peak.volts {
        Use::NotEnough
    } else {
        Use::Nothing
    };
    Effect { without, with, good_for }
}

/// When the supply's current reaches a trip current after a short of `fault_ohms` at the end of a bus that stood at the
/// supply's voltage without a current. A short of no resistance leaves a filter nothing to do; one below 0.1 mΩ is
/// better taken as none, since rounding grows with its conductance. Reversals meanwhile are left out: the times are
/// good where they are short of a half bit.
pub fn detection(ringing: &RingingLoop, filter: Filter, fault_ohms: f64, trip_amps: f64) -> Detection {
    if fault_ohms == 0.0 {
        let part = trip_amps * ringing.ohms / ringing.volts;
        let curved = if part == 0.0 { 1.0 } else { -(-part).ln_1p() / part };
        let found = (part < 1.0).then_some(ringing.henries * trip_amps / ringing.volts * curved);
        return Detection { without: found, with: found };
    }
    let last_amps = ringing.volts / (ringing.ohms + fault_ohms);
    let last_volts = last_amps * fault_ohms;
    let surge = ringing.surge_ohms();
    let time = |filter: Option<Filter>| {
        let Scaled { modes, unit } = Scaled::new(ringing, filter, 1.0 / fault_ohms);
        let lacks = ringing.volts - last_volts;
        let beyond = |x: &State| x[0] / surge + last_amps - trip_amps;
        let mut found = None;
        modes.walk([-last_amps * surge, lacks, lacks], |from, to| {
            if beyond(&from.1) < 0.0 && beyond(&to.1) >= 0.0 {
                found = Some(modes.between(from, to, beyond).0 * unit);
            }
            found.is_none()
        });
        found
    };
    Detection { without: time(None), with: time(Some(filter)) }
}
