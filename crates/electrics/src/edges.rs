//! Reversals of the track signal that take time: what the end of a bus rises to over the band of edges and capacitances.
//!
//! A driver's edge is no step. While the supply goes evenly from −V to +V within a time T, the end of the bus answers with the mean
//! of what it answers to a step at each moment of the edge (the equations are linear):
//!
//! `v(t) = (1/T)·∫ s(u) du` over `u` from `t − T` to `t`, s being the answer to a step, and −V before it.
//!
//! Undamped, a step rings to 3·V and an edge to `V + 2·V·|sin(ωT/2)/(ωT/2)|`: an edge as long as a period of the ringing does not
//! ring at all. How quick edges are S-9.1 says one way only (at least 2.4 V/µs); what hangs on the end of a bus no standard says.
//! So both are gone through over their bands, and a verdict is given only where it holds everywhere.

use crate::overshoot::{RingingLoop, Start};
use crate::rc_filter::{Filter, volts_at};
use handbook::Spread;

/// Samples in the quickest unit of an answer, of which a period of the ringing has 6.28.
const FINE: f64 = 40.0;
/// How long an answer is looked at beyond the edge, in units of √(LC): the first top of the ringing is the greatest.
const UNITS: f64 = 8.0;
/// Steps at most.
const MOST_STEPS: usize = 6_000;

/// The greatest voltage at the end of a bus after a reversal without a load whose edge takes this long, seconds. Found by
/// sampling, to a thousandth.
pub fn reversal_peak(ringing: &RingingLoop, filter: Option<Filter>, edge_seconds: f64) -> f64 {
    let unit = (ringing.henries * ringing.farads).sqrt();
    let start = Start::of_reversal(ringing.volts);
    let end = edge_seconds + UNITS * unit * filter.map_or(1.0, |f| (1.0 + f.farads / ringing.farads).sqrt());
    let steps = ((end / unit * FINE) as usize).clamp(400, MOST_STEPS);
    let step = end / steps as f64;
    // Means over less than a step are the step's answer itself.
    let window = edge_seconds / step;
    let answer: Vec<f64> = (0..=steps).map(|k| volts_at(ringing, filter, start, k as f64 * step)).collect();
    if window < 1.0 {
        return answer.iter().copied().fold(-ringing.volts, f64::max);
    }
    // Trapezoidal sums from the start.
    let mut sums = vec![0.0];
    for pair in answer.windows(2) {
        sums.push(sums[sums.len() - 1] + 0.5 * step * (pair[0] + pair[1]));
    }
    let sum_to = |time: f64| {
        let at = (time / step).clamp(0.0, steps as f64);
        let k = (at as usize).min(steps - 1);
        sums[k] + (at - k as f64) * (sums[k + 1] - sums[k])
    };
    let smoothed = |k: usize| {
        let time = k as f64 * step;
        let before = (edge_seconds - time).max(0.0);
        (sum_to(time) - sum_to(time - edge_seconds) - ringing.volts * before) / edge_seconds
    };
    (0..=steps).map(smoothed).fold(-ringing.volts, f64::max)
}

/// What a reversal rises to over bands of edges and capacitances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverEdges {
    /// Without a filter, least and greatest.
    pub without: [f64; 2],
    /// With it.
    pub with: [f64; 2],
}

/// What a filter is good for over the whole band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FilterUse {
    /// Decoders withstand all of it without.
    NotNeeded,
    /// They withstand none of it without and all of it with the filter.
    Needed,
    /// They withstand some of it without, all of it with the filter: it depends on the edges and on what hangs on the bus.
    MayBeNeeded,
    /// With the filter there is still some that they do not withstand.
    NotEnough,
}

/// Goes through both bands at their ends, their usual values and between them.
pub fn over_edges(ringing: &RingingLoop, filter: Filter, edge: Spread<f64>, farads: Spread<f64>) -> OverEdges {
    let between = |band: Spread<f64>| {
        [band.low, (band.low * band.typical).sqrt(), band.typical, (band.typical * band.high).sqrt(), band.high]
    };
    let mut found = OverEdges { without: [f64::INFINITY, 0.0], with: [f64::INFINITY, 0.0] };
    for farads in between(farads) {
        for edge in between(edge) {
            let ringing = RingingLoop { farads, ..*ringing };
            for (kept, filter) in [(&mut found.without, None), (&mut found.with, Some(filter))] {
                let peak = reversal_peak(&ringing, filter, edge);
                *kept = [kept[0].min(peak), kept[1].max(peak)];
            }
        }
    }
    found
}

impl OverEdges {
    /// What the filter is good for where decoders withstand so many volts.
    pub fn good_for(&self, withstand_volts: f64) -> FilterUse {
        if self.without[1] <= withstand_volts {
            FilterUse::NotNeeded
        } else if self.with[1] > withstand_volts {
            FilterUse::NotEnough
        } else if self.without[0] > withstand_volts {
            FilterUse::Needed
        } else {
            FilterUse::MayBeNeeded
        }
    }
}
