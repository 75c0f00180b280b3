//! Breakers one behind the other: which opens first, when, and whether it is the right one.
//!
//! A breaker opens once at least its trip current has flowed for its delay without a break (definite time). Those
//! further up see the same current and their clocks run as well; when the first opens, the others begin anew. A supply
//! that folds back lets the full fault current flow for a while and a smaller one afterwards; breakers that need more
//! than that and longer than that never open.
//!
//! Between two trip currents nothing changes with the fault current, so that a whole band of it is judged exactly by
//! its ends and both sides of the trip currents within.

/// A breaker of the chain. Values not negative; `share` more than none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainBreaker {
    /// The current that trips it, amperes; endless where it is not known, so that it never trips.
    pub trip_amps: f64,
    /// How long that current must last, seconds.
    pub delay_seconds: f64,
    /// Which part of the fault current passes it, see [`crate::Passed::share`].
    pub share: f64,
}

/// A supply that gives less current when it is asked for too much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foldback {
    /// It folds back above this current, amperes.
    pub above_amps: f64,
    /// How long it takes to, seconds.
    pub after_seconds: f64,
    /// What it gives afterwards, amperes.
    pub to_amps: f64,
}

/// Breakers, those nearest the fault first, and what the supply above them does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreakerChain<'a> {
    /// The breakers.
    pub breakers: &'a [ChainBreaker],
    /// Nothing where the supply gives whatever flows.
    pub foldback: Option<Foldback>,
}

/// What becomes of a fault.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// A breaker opens.
    Cleared {
        /// Which, by its index in the chain; the one nearest the fault where several open together.
        breaker: usize,
        /// How long after the fault, seconds.
        seconds: f64,
        /// How long before the next one would have, seconds: none where two open together, endless where no other one
        /// would.
        margin_seconds: f64,
    },
    /// None opens, and this current goes on, amperes.
    Never {
        /// What flows in the end.
        amps: f64,
    },
}

/// What becomes of faults over a band of currents.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverBand {
    /// The breaker nearest the fault opens, and before all others, at every current of the band.
    pub always_nearest_first: bool,
    /// The least margin between the first and the second to open, seconds; endless where never two would.
    pub least_margin_seconds: f64,
    /// The longest a fault lasts, seconds; endless where one is never cleared.
    pub longest_seconds: f64,
    /// The greatest ∫I²dt until a fault is cleared, A²s, for the wires: see [`crate::conductor`].
    pub let_through: f64,
}

impl ChainBreaker {
    /// The fault current from which on it trips, amperes.
    fn least_amps(&self) -> f64 {
        self.trip_amps / self.share
    }
}

impl BreakerChain<'_> {
    /// The current after the supply has folded back.
    fn folded(&self, fault_amps: f64) -> Option<(f64, f64)> {
        self.foldback
            .filter(|fold| fault_amps > fold.above_amps)
            .map(|fold| (fold.after_seconds, fault_amps.min(fold.to_amps)))
    }

    /// What becomes of a fault that draws this current, amperes, while the supply does not fold back.
    pub fn outcome(&self, fault_amps: f64) -> Outcome {
        let folded = self.folded(fault_amps);
        let opens = |breaker: &ChainBreaker| {
            let from = breaker.least_amps();
            fault_amps >= from && folded.is_none_or(|(after, amps)| breaker.delay_seconds <= after || amps >= from)
        };
        let opening = || self.breakers.iter().enumerate().filter(|(_, breaker)| opens(breaker));
        let first = opening().min_by(|one, other| one.1.delay_seconds.total_cmp(&other.1.delay_seconds));
        let Some((breaker, found)) = first else {
            return Outcome::Never { amps: folded.map_or(fault_amps, |(_, amps)| amps) };
        };
        let others = opening().filter(|&(index, _)| index != breaker).map(|(_, other)| other.delay_seconds);
        let margin_seconds = others.fold(f64::INFINITY, f64::min) - found.delay_seconds;
        Outcome::Cleared { breaker, seconds: found.delay_seconds, margin_seconds }
    }

    /// ∫I²dt of such a fault until it is cleared, A²s.
    pub fn let_through(&self, fault_amps: f64) -> f64 {
        let Outcome::Cleared { seconds, .. } = self.outcome(fault_amps) else { return f64::INFINITY };
        let full = self.folded(fault_amps).map_or(seconds, |(after, _)| seconds.min(after));
        let amps = self.folded(fault_amps).map_or(0.0, |(_, amps)| amps);
        fault_amps * fault_amps * full + amps * amps * (seconds - full)
    }

    /// What becomes of faults of all currents from `low_amps` to `high_amps`, exactly.
    pub fn over_band(&self, low_amps: f64, high_amps: f64) -> OverBand {
        let steps = self.breakers.iter().map(ChainBreaker::least_amps).chain(self.foldback.map(|fold| fold.above_amps));
        let both_sides = steps.flat_map(|amps| [amps.next_down(), amps, amps.next_up()]);
        let within = both_sides.filter(|amps| (low_amps..=high_amps).contains(amps));
        let mut found = OverBand {
            always_nearest_first: true,
            least_margin_seconds: f64::INFINITY,
            longest_seconds: 0.0,
            let_through: 0.0,
        };
        for amps in within.chain([low_amps, high_amps]) {
            found.let_through = found.let_through.max(self.let_through(amps));
            match self.outcome(amps) {
                Outcome::Cleared { breaker, seconds, margin_seconds } => {
                    found.always_nearest_first &= breaker == 0 && margin_seconds > 0.0;
                    found.least_margin_seconds = found.least_margin_seconds.min(margin_seconds);
                    found.longest_seconds = found.longest_seconds.max(seconds);
                }
                Outcome::Never { .. } => {
                    found.always_nearest_first = false;
                    found.longest_seconds = f64::INFINITY;
                }
            }
        }
        found
    }
}
