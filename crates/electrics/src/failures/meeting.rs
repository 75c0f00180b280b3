//! What an opened edge leaves of a track, taken in where it is the least so far.

use super::{ALIKE, FailureSearch, Worst};
use crate::loops::LoopPiece;
use crate::{Extreme, LeastShort, Level, Profile};
use circuit::EdgeId;

impl FailureSearch<'_> {
    /// The pieces of a profile that are powered, by their place in it.
    pub(super) fn on_loops(
        &self,
        level: Level,
        profile: &Profile,
        bent: Option<&(Profile, f64)>,
    ) -> impl Iterator<Item = (usize, LoopPiece)> {
        profile.pieces.iter().enumerate().filter_map(move |(index, piece)| {
            let bent = bent.map(|(bent, seconds)| (&bent.pieces[index], *seconds));
            Some((index, LoopPiece::new(self.circuit, &self.demand, level, piece, bent)?))
        })
    }

    /// Takes in what an opened edge leaves of a track in a setting; of two alike the first of the plan.
    pub(super) fn meet(
        &self,
        worst: &mut Worst,
        (edge, setting): (EdgeId, usize),
        level: Level,
        profile: &Profile,
        bent: Option<&(Profile, f64)>,
    ) {
        let Some(at) = profile.worst() else { return };
        let less = |known: Option<(EdgeId, f64)>, amount: f64| {
            known.is_none_or(|(by, least)| {
                amount < least * (1.0 - ALIKE) || edge < by && amount <= least * (1.0 + ALIKE)
            })
        };
        let supply = self.circuit.volts_on(at.source, at.place.segment);
        let amount = supply / (at.loop_ohms + level.pick(self.demand.bridge_ohms));
        if less(worst.fault_amps.map(|k| (k.0, k.1.amount)), amount) {
            worst.fault_amps = Some((edge, Extreme { amount, at, setting }));
        }
        let mut own: [Option<LeastShort>; 3] = [None; 3];
        for (index, on_loop) in self.on_loops(level, profile, bent) {
            let known = worst.sensed.map(|s| s.map_or(f64::INFINITY, |s| s.1.found.amount * (1.0 + 2.0 * ALIKE)));
            let found = on_loop
                .least([0, 1, 2].map(|kind| own[kind].map_or(known[kind], |own| known[kind].min(own.found.amount))));
            for (own, found) in own.iter_mut().zip(found) {
                let Some(found) = found.filter(|f| own.is_none_or(|own| f.amps < own.found.amount)) else { continue };
                let Some(at) = profile.pieces[index].at_fraction(found.s) else { continue };
                *own = Some(LeastShort { found: Extreme { amount: found.amps, at, setting }, henries: found.henries });
            }
        }
        for (kept, own) in worst.sensed.iter_mut().zip(own) {
            let Some(own) = own else { continue };
            if less(kept.map(|k| (k.0, k.1.found.amount)), own.found.amount) {
                *kept = Some((edge, own));
            }
        }
    }
}
