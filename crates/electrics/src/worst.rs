//! The worst of all settings, exactly and without trying all of them: branch and bound.
//!
//! By Rayleigh's law more closed edges never raise a resistance. So with some controls set and all others in no position
//! at all (everything that depends on them open) the loop resistance of a place is a bound: no setting with these positions
//! is worse, as long as the place is fed. A full setting that reaches the bound ends the question. Where none does, some
//! control that is not set yet carries current to the worst place; each of its positions is asked in turn. Mostly the first
//! full setting reaches the bound, since a contact elsewhere joins nothing that matters here.
//!
//! Which settings count for a zone is not known here: [`Settings`] says it.

mod branching;
mod met;
mod standing;

pub use standing::Missing;

use crate::following_grid::{FollowingGrid, GridShape, Moved};
pub use crate::settings::{Setting, Settings};
use crate::{Demand, Failed, Grid, Level, Worst};
use circuit::{Circuit, SegmentId};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A stretch of a segment that no gap cuts: the segment, and from where to where, metres from its start.
pub type Zone = (SegmentId, [f64; 2]);

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
    shape: Rc<GridShape>,
    /// What zones meet in the setting that was looked at last: of the full ones, and of all others.
    followed: [Option<Followed<'c>>; 2],
    /// Of small circuits what was met in any setting, by the setting and the zone.
    remembered: BTreeMap<(usize, usize), Rc<MetAtLevels>>,
    /// Whether what breakers notice is worked out.
    with_sensed: bool,
    /// The same of the setting that was asked first, for good: mostly that with everything open, which bounds all others.
    first: Vec<Option<Rc<MetAtLevels>>>,
    /// Every setting that was asked, full or not, by its index.
    asked: Vec<Setting>,
    known: BTreeMap<Vec<u8>, usize>,
    /// Of those, the full ones, as positions.
    full: Vec<(Vec<u8>, usize)>,
    /// Positions that were given, by their index.
    given: Vec<Given>,
    given_known: BTreeMap<Vec<u8>, usize>,
    /// How many settings may still be asked beyond the first two of each question.
    left: usize,
}

/// Positions that are given.
struct Given {
    setting: Setting,
    /// The full settings asked so far in which they hold, and how many full ones were looked through.
    fitting: Vec<usize>,
    looked_through: usize,
    /// The setting in which they hold and everything else is open, once it was asked.
    open: Option<usize>,
}

/// A grid and what the zones meet in its setting, as far as that was asked for.
struct Followed<'c> {
    grid: FollowingGrid<'c>,
    /// The setting, by its index.
    at: usize,
    met: Vec<Option<Rc<MetAtLevels>>>,
}

/// Of circuits of no more zones than this what was met is remembered, so many times in all.
const FEW_ZONES: usize = 100;
const MOST_REMEMBERED: usize = 200_000;
/// Columns of networks that a search may work out, and how many times those of the whole network besides.
const MOST_COLUMNS: usize = 60_000_000;
const MOST_WHOLE: usize = 200;

/// Of many settings that were asked before only so many of the first and of the last are looked at again for one that fits a question:
/// to go through all of them for each would take longer than to ask one more.
const FIRST_FULL: usize = 16;
const LAST_FULL: usize = 48;

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
        let shape = Rc::new(GridShape::of(&grid));
        let (asked, known, full, given, given_known) = Default::default();
        let followed = [None, None];
        let left = most;
        Ok(WorstSearch {
            circuit,
            settings,
            zones,
            demand,
            grid,
            shape,
            followed,
            first: vec![None; zones.len()],
            remembered: BTreeMap::new(),
            with_sensed: true,
            asked,
            known,
            full,
            given,
            given_known,
            left,
        })
    }

    /// A setting that was asked, by its index.
    pub fn setting(&self, index: usize) -> &Setting {
        &self.asked[index]
    }

    /// All settings that were asked.
    pub fn into_settings(self) -> Vec<Setting> {
        self.asked
    }

    /// How many settings may still be asked beyond the first two of each question.
    pub fn left(&self) -> usize {
        self.left
    }

    /// The setting with some positions set and everything else open, by its index; none where nothing may be asked any more.
    pub fn bound(&mut self, given: &[Option<u8>]) -> Option<usize> {
        self.ask(given)
    }

    /// The positions that hold in every setting that counts for a zone and in which some positions are given.
    pub fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Setting> {
        self.settings.implied(zone, given)
    }

    /// What a zone meets in a setting that was asked, by its index.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn met(&mut self, zone: usize, setting: usize) -> Result<Rc<MetAtLevels>, Failed> {
        if let Some(known) = self.first[zone].as_ref().filter(|_| setting == 0) {
            return Ok(known.clone());
        }
        if let Some(known) = self.remembered.get(&(setting, zone)) {
            return Ok(known.clone());
        }
        let found = self.met_now(zone, setting)?;
        // Settings far apart are asked by turns there: each is worked out for all at once.
        if self.zones.len() <= FEW_ZONES && self.remembered.len() < MOST_REMEMBERED {
            for other in 0..self.zones.len() {
                let met = self.met_now(other, setting)?;
                self.remembered.insert((setting, other), met);
            }
        }
        Ok(found)
    }

    /// From here on what breakers notice is not worked out: where volts and the currents of direct voltages alone are asked for.
    pub fn without_sensed(&mut self) {
        self.with_sensed = false;
    }

    /// What a zone meets in a setting, to which the grid is brought.
    fn met_now(&mut self, zone: usize, setting: usize) -> Result<Rc<MetAtLevels>, Failed> {
        let which = usize::from(self.full.binary_search_by_key(&setting, |f| f.1).is_err());
        let zones = self.zones;
        let Followed { grid, at, met } = match &mut self.followed[which] {
            Some(followed) => followed,
            none => {
                let grid =
                    FollowingGrid::new(self.circuit, self.shape.clone(), self.shape.levels(), &self.asked[setting]);
                none.insert(Followed { grid, at: setting, met: vec![None; zones.len()] })
            }
        };
        if std::mem::replace(at, setting) != setting {
            match grid.set(&self.asked[setting])? {
                Moved::Everything => met.fill(None),
                Moved::Segments(moved) => moved.into_iter().for_each(|segment| {
                    let first = zones.partition_point(|z| z.0 < segment);
                    let own = zones[first..].iter().take_while(|z| z.0 == segment).count();
                    met[first..first + own].fill(None);
                }),
            }
        }
        if let Some(known) = &met[zone] {
            return Ok(known.clone());
        }
        let segment = zones[zone].0;
        let mut found = [None; 3];
        for (slot, level) in Level::ALL.into_iter().enumerate() {
            let straight = grid.profile(segment, self.shape.level(level, false))?;
            let bent = match self.shape.bend(level).filter(|_| self.with_sensed) {
                Some(seconds) => Some((grid.profile(segment, self.shape.level(level, true))?, seconds)),
                None => None,
            };
            let of = (self.circuit, &self.demand, self.with_sensed);
            found[slot] = met::met_in(of, zones[zone].1, level, &straight, bent.as_ref());
        }
        let found = Rc::new(found);
        met[zone] = Some(found.clone());
        if setting == 0 {
            self.first[zone] = Some(found.clone());
        }
        Ok(found)
    }

    /// The worst of a zone over all its settings in which some positions are given.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn worst(&mut self, zone: usize, given: &[Option<u8>]) -> Result<ZoneAnswer, Failed> {
        let given = self.given(given);
        self.worst_given(zone, given)
    }

    /// Positions that are given to several questions, by an index.
    pub fn given(&mut self, given: &[Option<u8>]) -> usize {
        let next = self.given.len();
        let index = *self.given_known.entry(packed(given)).or_insert(next);
        if index == next {
            self.given.push(Given { setting: given.to_vec(), fitting: Vec::new(), looked_through: 0, open: None });
        }
        index
    }

    /// The same for positions by their index.
    ///
    /// # Errors
    /// [`Failed::Resistance`].
    pub fn worst_given(&mut self, zone: usize, given: usize) -> Result<ZoneAnswer, Failed> {
        let mut answer = ZoneAnswer { worst: [None; 3], exact: true };
        let asked = &mut self.given[given];
        let unseen = asked.looked_through.max(self.full.len().saturating_sub(LAST_FULL));
        let first = asked.looked_through..unseen.min(FIRST_FULL.max(asked.looked_through));
        for (setting, index) in self.full[first].iter().chain(&self.full[unseen..]) {
            if asked.setting.iter().zip(setting).all(|(given, is)| given.is_none_or(|g| g == *is)) {
                asked.fitting.push(*index);
            }
        }
        asked.looked_through = self.full.len();
        // With everything open that is not given no setting is worse; mostly that is known already.
        if asked.open.is_none() {
            asked.open = self.known.get(&packed(&asked.setting)).copied();
        }
        let outer = asked.open;
        let bounds = match outer {
            Some(outer) => self.met(zone, outer)?.iter().all(Option::is_some),
            None => false,
        };
        // What contacts feed has no bound there; where the positions that it depends on stand as they must, it has one.
        if !bounds && self.by_implied(zone, given, &mut answer)? {
            return self.with_standing_trains(zone, given, answer);
        }
        let mut open = true;
        let fitting = self.given[given].fitting.len();
        let last = fitting.saturating_sub(LAST_FULL);
        for fitting in (0..last.min(FIRST_FULL)).chain(last..fitting) {
            let index = self.given[given].fitting[fitting];
            if self.settings.holds(zone, self.full_positions(index)) {
                self.meet(&mut answer, zone, index)?;
                open = match outer.filter(|_| bounds) {
                    Some(outer) => self.worse_than(outer, zone, &answer)?.is_some(),
                    None => true,
                };
                if !open {
                    break;
                }
            }
        }
        match outer {
            Some(outer) if !open || self.worse_than(outer, zone, &answer)?.is_none() => {
                self.bounded(&mut answer, zone, outer)?;
            }
            _ => {
                let given = self.given[given].setting.clone();
                self.branch(zone, (&given, 0), outer, &mut answer)?;
            }
        }
        self.with_standing_trains(zone, given, answer)
    }

    fn with_standing_trains(
        &mut self,
        zone: usize,
        given: usize,
        mut answer: ZoneAnswer,
    ) -> Result<ZoneAnswer, Failed> {
        if !self.demand.standing.is_empty() {
            let given = self.given[given].setting.clone();
            self.with_standing(zone, &given, &mut answer)?;
        }
        Ok(answer)
    }

    /// The positions of a full setting, by its index.
    fn full_positions(&self, index: usize) -> &[u8] {
        self.full.binary_search_by_key(&index, |f| f.1).map_or(&[], |at| &self.full[at].0)
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

    /// A setting by its index; none where no more may be asked.
    fn ask(&mut self, setting: &[Option<u8>]) -> Option<usize> {
        self.ask_beyond(setting, 0)
    }

    /// The same behind so many positions that were chosen.
    fn ask_beyond(&mut self, setting: &[Option<u8>], chosen: usize) -> Option<usize> {
        let key = packed(setting);
        if let Some(&known) = self.known.get(&key) {
            return Some(known);
        }
        if chosen > 0 {
            self.left = self.left.checked_sub(1)?;
        } else {
            let done: usize = self.followed.iter().flatten().map(|followed| followed.grid.steps()).sum();
            if done > MOST_COLUMNS + MOST_WHOLE * self.circuit.nodes.len() {
                return None;
            }
        }
        let index = self.asked.len();
        self.asked.push(setting.to_vec());
        self.known.insert(key, index);
        if let Some(full) = setting.iter().copied().collect::<Option<Vec<u8>>>() {
            self.full.push((full, index));
        }
        Some(index)
    }
}

/// A setting by a byte for each control.
fn packed(setting: &[Option<u8>]) -> Vec<u8> {
    setting.iter().map(|position| position.map_or(u8::MAX, |p| p)).collect()
}

/// Places nearer than this are one, in metres.
const SAME_PLACE: f64 = 1e-9;
