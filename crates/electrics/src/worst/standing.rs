//! What trains that stand elsewhere take from a zone, in whatever setting: an upper bound that does not depend on which of
//! several settings with the same loop resistance was met first.
//!
//! Each train is calculated by itself, with only those positions set that the zone and the train's own track ask for, and
//! everything else open. Where one of the two is not fed then, it takes what it would if all of its current went the whole way
//! to the zone: at no place does a current leave more than where it is drawn, and what `x` takes at `y`, `y` takes at `x`.

use super::{SAME_PLACE, Setting, Settings, WorstSearch, ZoneAnswer};
use crate::{Failed, Level, Parabola, StandingTrain};

/// Pairs of zones that are calculated; on longer plans the upper bound is taken for all.
const MOST_PAIRS: usize = 4_000;

/// Volts missing along a zone's segment, one line for each piece of its profile, at each level.
pub type Missing = [Vec<Parabola>; 3];

impl<S: Settings> WorstSearch<'_, S> {
    /// What standing trains take along a zone while some positions are given.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn standing_train_drop(
        &mut self,
        zone: usize,
        given: &[Option<u8>],
        answer: &ZoneAnswer,
    ) -> Result<Missing, Failed> {
        let (segment, _) = self.zones[zone];
        let mut sum = Missing::default();
        let elsewhere = || self.demand.standing.iter().filter(|train| train.segment != segment);
        let Some(set) = elsewhere().next().and_then(|_| self.settings.implied(zone, given)) else { return Ok(sum) };
        for train in elsewhere().copied().collect::<Vec<_>>() {
            let of_train = (0..self.zones.len()).filter(|&z| self.zones[z].0 == train.segment);
            let mut both: Vec<Setting> = of_train.filter_map(|z| self.settings.implied(z, &set)).collect();
            both.sort();
            both.dedup();
            for (slot, level) in Level::ALL.into_iter().enumerate() {
                let ohms = answer.worst[slot].map_or(0.0, |worst| worst.ohms.0.loop_ohms);
                let mut most: Option<(f64, Vec<Parabola>)> = None;
                for setting in &both {
                    let taken = self.taken_by(train, zone, (setting, level), ohms)?;
                    if most.as_ref().is_none_or(|m| taken.0 > m.0) {
                        most = Some(taken);
                    }
                }
                let Some((_, lines)) = most else { continue };
                sum[slot].resize(lines.len(), Parabola::NOTHING);
                for (sum, line) in sum[slot].iter_mut().zip(&lines) {
                    *sum = sum.beside(line);
                }
            }
        }
        Ok(sum)
    }

    /// The most that one train takes in a zone, and the lines along the zone's segment.
    fn taken_by(
        &mut self,
        train: StandingTrain,
        zone: usize,
        (setting, level): (&Setting, Level),
        ohms: f64,
    ) -> Result<(f64, Vec<Parabola>), Failed> {
        let (segment, [from, to]) = self.zones[zone];
        let pairs = self.zones.len() * self.demand.standing.len();
        let mut lines = Vec::new();
        let mut fed = false;
        if pairs <= MOST_PAIRS {
            self.grid.set(setting, level)?;
            let resistances = self.grid.resistances();
            lines = resistances.taken(&[train]).along(segment);
            let pieces = resistances.profile(segment).pieces;
            let mut inside = pieces.iter().filter(|p| p.from >= from - SAME_PLACE && p.to <= to + SAME_PLACE);
            fed = !lines.is_empty() && inside.all(|p| p.loop_ohms.is_some());
        }
        if !fed {
            let volts = train.amps * ohms;
            let pieces = self.grid.resistances().profile(segment).pieces.len();
            lines = vec![Parabola { start: volts, end: volts, bow: 0.0 }; pieces];
        }
        Ok((lines.iter().map(|line| line.greatest().1).fold(0.0, f64::max), lines))
    }

    /// Counts what standing trains take in with the voltage that is lost.
    pub(super) fn with_standing(
        &mut self,
        zone: usize,
        given: &[Option<u8>],
        answer: &mut ZoneAnswer,
    ) -> Result<(), Failed> {
        let missing = self.standing_train_drop(zone, given, answer)?;
        let (segment, [from, to]) = self.zones[zone];
        for (slot, level) in Level::ALL.into_iter().enumerate() {
            let Some(worst) = &mut answer.worst[slot] else { continue };
            self.grid.set(&self.asked[worst.lost.2], level)?;
            let pieces = self.grid.resistances().profile(segment).pieces;
            worst.lost.0 = 0.0;
            for (index, piece) in pieces.iter().enumerate() {
                if piece.from < from - SAME_PLACE || piece.to > to + SAME_PLACE {
                    continue;
                }
                let Some(ohms) = piece.loop_ohms else { continue };
                let (s, lost) = ohms.drop_of(self.demand.amps, missing[slot].get(index)).greatest();
                if let Some(at) = piece.at_fraction(s).filter(|_| lost > worst.lost.0) {
                    (worst.lost.0, worst.lost.1) = (lost, at);
                }
            }
        }
        Ok(())
    }
}
