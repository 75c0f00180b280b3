//! Branch and bound over the positions of controls.

use super::{CARRIES, LeastMet, REACHED, WorstOfAll, WorstSearch, ZoneAnswer};
use crate::settings::{Setting, Settings};
use crate::{Failed, Level};
use circuit::ControlId;
use std::collections::BTreeMap;

impl<S: Settings> WorstSearch<'_, S> {
    /// Whether the worst of a zone is met with the positions that it depends on, all others open, and whether some full setting
    /// reaches that.
    pub(super) fn by_implied(&mut self, zone: usize, given: usize, answer: &mut ZoneAnswer) -> Result<bool, Failed> {
        let given = &self.given[given].setting;
        let Some(set) = self.settings.implied(zone, given).filter(|set| set != given) else { return Ok(false) };
        let Some(full) = self.settings.complete(zone, &set) else { return Ok(false) };
        let whole: Setting = full.iter().map(|&p| Some(p)).collect();
        let (Some(whole), Some(set)) = (self.ask(&whole), self.ask(&set)) else { return Ok(false) };
        self.meet(answer, zone, whole)?;
        let reached = self.worse_than(set, zone, answer)?.is_none();
        if reached {
            self.bounded(answer, zone, set)?;
        }
        Ok(reached)
    }

    /// `outer` is a setting whose bound holds here too; `given` comes with how many positions were chosen on the way to it.
    pub(super) fn branch(
        &mut self,
        zone: usize,
        (given, chosen): (&[Option<u8>], usize),
        outer: Option<usize>,
        answer: &mut ZoneAnswer,
    ) -> Result<(), Failed> {
        let Some(set) = self.settings.implied(zone, given) else { return Ok(()) };
        let Some(full) = self.settings.complete(zone, &set) else { return Ok(()) };
        let whole: Setting = full.iter().map(|&p| Some(p)).collect();
        let Some(reached) = self.ask_beyond(&whole, chosen) else {
            answer.exact = false;
            return Ok(());
        };
        self.meet(answer, zone, reached)?;
        if let Some(outer) = outer
            && self.worse_than(outer, zone, answer)?.is_none()
        {
            return self.bounded(answer, zone, outer);
        }
        let Some(bound) = self.ask_beyond(&set, chosen) else {
            answer.exact = false;
            return Ok(());
        };
        let Some(level) = self.worse_than(bound, zone, answer)? else {
            return self.bounded(answer, zone, bound);
        };
        let Some(control) = self.carrier(reached, zone, level, &set)? else { return Ok(()) };
        let own = full[control.index()];
        let others = (0..self.circuit.controls[control].positions.len() as u8).filter(|&p| p != own);
        for position in others.chain([own]) {
            let mut next = set.clone();
            next[control] = Some(position);
            self.branch(zone, (&next, chosen + 1), Some(bound), answer)?;
        }
        Ok(())
    }

    /// The first level at which a bound leaves room for worse than what is known; none where it does at none.
    pub(super) fn worse_than(
        &mut self,
        bound: usize,
        zone: usize,
        answer: &ZoneAnswer,
    ) -> Result<Option<usize>, Failed> {
        let met = self.met(zone, bound)?;
        Ok((0..3).find(|&level| match (&met[level], &answer.worst[level]) {
            (Some(bound), Some(known)) => {
                self.harm(level, &bound.ohms) > self.harm(level, &known.ohms.0) * (1.0 + REACHED)
            }
            _ => true,
        }))
    }

    /// A control that is not set and carries most of the current to a zone's worst place in a full setting.
    fn carrier(
        &mut self,
        setting: usize,
        zone: usize,
        level: usize,
        set: &[Option<u8>],
    ) -> Result<Option<ControlId>, Failed> {
        let unset = |control: ControlId| set[control].is_none();
        let Some(met) = self.met(zone, setting)?[level] else {
            // Several supplies feed it together there: nothing is known of it but in other settings.
            return Ok(ControlId::all(set.len()).find(|&c| unset(c)));
        };
        self.grid.set(&self.asked[setting], Level::ALL[level])?;
        let carried = self.grid.carried(&met.ohms.place).unwrap_or_default();
        let mut by_control: BTreeMap<ControlId, f64> = BTreeMap::new();
        for (edge, amps) in carried.into_iter().filter(|c| c.1 > CARRIES) {
            for literal in self.circuit.edges[edge].guard.iter().filter(|l| unset(l.control)) {
                let most = by_control.entry(literal.control).or_default();
                *most = most.max(amps);
            }
        }
        Ok(by_control.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|c| c.0))
    }

    /// Takes what a setting gives into an answer, where it is worse.
    pub(super) fn meet(&mut self, answer: &mut ZoneAnswer, zone: usize, setting: usize) -> Result<(), Failed> {
        let met = self.met(zone, setting)?;
        for (level, (worst, met)) in answer.worst.iter_mut().zip(&*met).enumerate() {
            let Some(met) = met else { continue };
            let sensed = met.sensed.map(|least| (least, setting));
            let new = WorstOfAll { ohms: (met.ohms, setting), lost: (met.lost.0, met.lost.1, setting), sensed };
            let worst = worst.get_or_insert(new);
            keep_less(&mut worst.sensed, &sensed);
            if self.harm(level, &met.ohms) > self.harm(level, &worst.ohms.0) {
                worst.ohms = new.ohms;
            }
            if self.left_over(met.lost) < self.left_over((worst.lost.0, worst.lost.1)) {
                worst.lost = new.lost;
            }
        }
        Ok(())
    }

    /// Takes in what a setting bounds of a short's current. Where the resistances are reached nothing that is open there carries
    /// any of it, and what is noticed is the same.
    pub(super) fn bounded(&mut self, answer: &mut ZoneAnswer, zone: usize, bound: usize) -> Result<(), Failed> {
        let met = self.met(zone, bound)?;
        for (worst, met) in answer.worst.iter_mut().zip(&*met) {
            let (Some(worst), Some(met)) = (worst, met) else { continue };
            keep_less(&mut worst.sensed, &met.sensed.map(|least| (least, bound)));
        }
        Ok(())
    }
}

/// Keeps the less of each two.
fn keep_less(kept: &mut [(LeastMet, usize); 3], new: &[(LeastMet, usize); 3]) {
    for (kept, new) in kept.iter_mut().zip(new) {
        if new.0.amps < kept.0.amps {
            *kept = *new;
        }
    }
}
