//! The worst of all settings, exactly and without trying all of them: branch and bound.
//!
//! By Rayleigh's law more closed edges never raise a resistance. So with some controls set and all others in no position
//! at all (everything that depends on them open) the loop resistance of a place is a bound: no setting with these positions
//! is worse, as long as the place is fed. A full setting that reaches the bound ends the question. Where none does, some
//! control that is not set yet carries current to the worst place; each of its positions is asked in turn. Mostly the first
//! full setting reaches the bound, since a contact elsewhere joins nothing that matters here.
//!
//! Which settings count for a zone is not known here: [`Settings`] says it.

mod met;
mod standing;

pub use standing::Missing;

use crate::loops::bend;
use crate::{Demand, Failed, Grid, Level, Profile, Worst};
use circuit::{Circuit, ControlId, SegmentId};
use std::collections::BTreeMap;

/// A stretch of a segment that no gap cuts: the segment, and from where to where, metres from its start.
pub type Zone = (SegmentId, [f64; 2]);

/// A position for each control, none for those in no position.
pub type Setting = Vec<Option<u8>>;

/// In which settings each zone is asked for its numbers.
pub trait Settings {
    /// Whether it is in a full setting.
    fn holds(&self, zone: usize, setting: &[u8]) -> bool;
    /// The positions that controls have in every such setting in which all of `given` hold; none where there is none.
    fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Setting>;
    /// One such full setting; none where there is none.
    fn complete(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<u8>>;
}

/// What is worst in a zone in one setting, at one level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Met {
    /// The place of the greatest loop resistance.
    pub ohms: Worst,
    /// The most voltage that a train takes, and where.
    pub lost: (f64, Worst),
    /// The least that breakers notice of a short: mean, root mean square, greatest.
    pub sensed: [LeastMet; 3],
}

/// The least of one kind of current that a short draws, where, and the inductance of the loop there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastMet {
    /// Amperes.
    pub amps: f64,
    /// The place.
    pub at: Worst,
    /// Henries.
    pub henries: f64,
}

/// The same at each level, least resistance first; none where the zone is not fed.
pub type MetAtLevels = [Option<Met>; 3];

/// What is worst in a zone at one level over all its settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstOfAll {
    /// The place of the greatest loop resistance, and the setting, by its index in the search.
    pub ohms: (Worst, usize),
    /// The most voltage that a train and what stands elsewhere take, where, and in which setting.
    pub lost: (f64, Worst, usize),
    /// The least that breakers notice of a short, and in which setting. Where the resistance of no setting is worse than with
    /// everything open that need not be closed, that is taken too: what is closed besides gives the current one more way.
    pub sensed: [(LeastMet, usize); 3],
}

/// The answer for a zone.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ZoneAnswer {
    /// At each level, least resistance first; none where it is fed in no setting that counts, or where nothing is known.
    pub worst: [Option<WorstOfAll>; 3],
    /// Whether that is the worst of all settings; if not, it is the worst of those that were asked.
    pub exact: bool,
}

/// A search over the settings of a circuit.
pub struct WorstSearch<'c, S> {
    circuit: &'c Circuit,
    settings: &'c S,
    zones: &'c [Zone],
    demand: Demand<'c>,
    grid: Grid<'c>,
    /// Every setting that was asked, full or not, by its index.
    asked: Vec<(Setting, Vec<MetAtLevels>)>,
    known: BTreeMap<Setting, usize>,
    /// Of those, the full ones, as positions.
    full: Vec<(Vec<u8>, usize)>,
    /// How many settings may still be asked.
    left: usize,
}

/// A setting that was asked, by its index, and what every zone meets in it.
type ZoneQuery<'s> = (usize, &'s [MetAtLevels]);

/// What is known of the zones once one level is worked out without inductance: the profiles of their segments.
type Profiles = BTreeMap<SegmentId, Profile>;

/// A bound that a setting comes as near to is reached.
const REACHED: f64 = 1e-12;
/// Less than this part of a current is what rounding leaves of none.
const CARRIES: f64 = 1e-9;

impl<'c, S: Settings> WorstSearch<'c, S> {
    /// A search that may ask at most so many settings.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn new(
        circuit: &'c Circuit,
        settings: &'c S,
        zones: &'c [Zone],
        demand: Demand<'c>,
        most: usize,
    ) -> Result<Self, Failed> {
        let grid = Grid::new(circuit, &[], Level::Typical)?;
        let (asked, known, full) = Default::default();
        Ok(WorstSearch { circuit, settings, zones, demand, grid, asked, known, full, left: most })
    }

    /// A setting that was asked, by its index.
    pub fn setting(&self, index: usize) -> &Setting {
        &self.asked[index].0
    }

    /// All settings that were asked.
    pub fn into_settings(self) -> Vec<Setting> {
        self.asked.into_iter().map(|a| a.0).collect()
    }

    /// How many settings may still be asked.
    pub fn left(&self) -> usize {
        self.left
    }

    /// What is met in every zone with some positions set and everything else open; none where nothing may be asked any more.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn bounds(&mut self, given: &[Option<u8>]) -> Result<Option<ZoneQuery<'_>>, Failed> {
        let index = self.ask(given)?;
        Ok(index.map(|index| (index, self.asked[index].1.as_slice())))
    }

    /// The worst of a zone over all its settings in which some positions are given.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn worst(&mut self, zone: usize, given: &[Option<u8>]) -> Result<ZoneAnswer, Failed> {
        let mut answer = ZoneAnswer { worst: [None; 3], exact: true };
        for at in 0..self.full.len() {
            let (setting, index) = &self.full[at];
            let fits = given.iter().zip(setting).all(|(given, is)| given.is_none_or(|g| g == *is));
            if fits && self.settings.holds(zone, setting) {
                let index = *index;
                self.meet(&mut answer, zone, index);
            }
        }
        // With everything open that is not given no setting is worse; mostly that is known already.
        let outer = self.known.get(given).copied();
        match outer.filter(|&outer| self.worse_than(outer, zone, &answer).is_none()) {
            Some(outer) => self.bounded(&mut answer, zone, outer),
            None => self.branch(zone, given, outer, &mut answer)?,
        }
        self.with_standing(zone, given, &mut answer)?;
        Ok(answer)
    }

    /// `outer` is a setting whose bound holds here too.
    fn branch(
        &mut self,
        zone: usize,
        given: &[Option<u8>],
        outer: Option<usize>,
        answer: &mut ZoneAnswer,
    ) -> Result<(), Failed> {
        let Some(set) = self.settings.implied(zone, given) else { return Ok(()) };
        let Some(full) = self.settings.complete(zone, &set) else { return Ok(()) };
        let whole: Setting = full.iter().map(|&p| Some(p)).collect();
        let Some(reached) = self.ask(&whole)? else {
            answer.exact = false;
            return Ok(());
        };
        self.meet(answer, zone, reached);
        if let Some(outer) = outer.filter(|&outer| self.worse_than(outer, zone, answer).is_none()) {
            self.bounded(answer, zone, outer);
            return Ok(());
        }
        let Some(bound) = self.ask(&set)? else {
            answer.exact = false;
            return Ok(());
        };
        let Some(level) = self.worse_than(bound, zone, answer) else {
            self.bounded(answer, zone, bound);
            return Ok(());
        };
        let Some(control) = self.carrier(reached, zone, level, &set)? else { return Ok(()) };
        let own = full[control];
        let others = (0..self.circuit.controls[control].positions.len() as u8).filter(|&p| p != own);
        for position in others.chain([own]) {
            let mut next = set.clone();
            next[control] = Some(position);
            self.branch(zone, &next, Some(bound), answer)?;
        }
        Ok(())
    }

    /// The first level at which a bound leaves room for worse than what is known; none where it does at none.
    fn worse_than(&self, bound: usize, zone: usize, answer: &ZoneAnswer) -> Option<usize> {
        (0..3).find(|&level| match (&self.asked[bound].1[zone][level], &answer.worst[level]) {
            (Some(bound), Some(known)) => {
                self.harm(level, &bound.ohms) > self.harm(level, &known.ohms.0) * (1.0 + REACHED)
            }
            _ => true,
        })
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
        let Some(met) = self.asked[setting].1[zone][level] else {
            // Several supplies feed it together there: nothing is known of it but in other settings.
            return Ok(ControlId::all(set.len()).find(|&c| unset(c)));
        };
        self.grid.set(&self.asked[setting].0, Level::ALL[level])?;
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
    fn meet(&self, answer: &mut ZoneAnswer, zone: usize, setting: usize) {
        for (level, (worst, met)) in answer.worst.iter_mut().zip(&self.asked[setting].1[zone]).enumerate() {
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
    }

    /// Takes in what a setting bounds of a short's current. Where the resistances are reached nothing that is open there carries
    /// any of it, and what is noticed is the same.
    fn bounded(&self, answer: &mut ZoneAnswer, zone: usize, bound: usize) {
        for (worst, met) in answer.worst.iter_mut().zip(&self.asked[bound].1[zone]) {
            let (Some(worst), Some(met)) = (worst, met) else { continue };
            keep_less(&mut worst.sensed, &met.sensed.map(|least| (least, bound)));
        }
    }

    /// What a short at a place draws the less, the greater this is: one over its amperes.
    fn harm(&self, level: usize, at: &Worst) -> f64 {
        (at.loop_ohms + Level::ALL[level].pick(self.demand.bridge_ohms))
            / self.circuit.volts_on(at.source, at.place.segment)
    }

    /// What a train has of its supply's voltage.
    fn left_over(&self, (lost, at): (f64, Worst)) -> f64 {
        self.circuit.volts_on(at.source, at.place.segment) - lost
    }

    /// Asks a setting, once; none where no more may be asked.
    fn ask(&mut self, setting: &[Option<u8>]) -> Result<Option<usize>, Failed> {
        if let Some(&known) = self.known.get(setting) {
            return Ok(Some(known));
        }
        let Some(left) = self.left.checked_sub(1) else { return Ok(None) };
        self.left = left;
        let mut met = vec![[None; 3]; self.zones.len()];
        for (slot, level) in Level::ALL.into_iter().enumerate() {
            self.grid.set(setting, level)?;
            let profiles = self.profiles();
            let bend = bend(self.circuit, level).filter(|_| self.circuit.sources.iter().any(|s| s.square_wave));
            let bent = match bend {
                Some(seconds) => {
                    self.grid.set_bent(setting, level, seconds)?;
                    Some((self.profiles(), seconds))
                }
                None => None,
            };
            for (met, zone) in met.iter_mut().zip(self.zones) {
                met[slot] = self.met_in(zone, level, &profiles, bent.as_ref());
            }
        }
        let index = self.asked.len();
        self.asked.push((setting.to_vec(), met));
        self.known.insert(setting.to_vec(), index);
        if let Some(full) = setting.iter().copied().collect::<Option<Vec<u8>>>() {
            self.full.push((full, index));
        }
        Ok(Some(index))
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

/// Places nearer than this are one, in metres.
const SAME_PLACE: f64 = 1e-9;
