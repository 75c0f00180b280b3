//! The numbers of zones, over all settings in which the plan promises them power.

use circuit::{Circuit, SegmentId};
use electrics::worst::{Met, MetAtLevels, Setting, Settings, WorstSearch, Zone, ZoneAnswer};
use electrics::{Demand, Extreme, Failed, LeastMet, LeastShort, Level};
use handbook::Spread;
use proof::Promises;
use std::ops::Range;
use std::rc::Rc;

/// Settings times edges that are asked.
pub const MOST_WORK: usize = 600_000;

/// Bounds are compared with this much room for rounding.
const ROOM: f64 = 1.0 + 1e-9;

/// The settings in which power is promised, as a search over them wants it.
pub struct Promised<'p>(pub &'p Promises);

impl Settings for Promised<'_> {
    fn holds(&self, zone: usize, setting: &[u8]) -> bool {
        self.0.holds(zone, setting)
    }

    fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Setting> {
        self.0.implied(zone, given)
    }

    fn complete(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<u8>> {
        self.0.complete(zone, given)
    }
}

/// What each zone meets with everything open that need not be closed.
pub(crate) type Bounds = Vec<Rc<MetAtLevels>>;

/// The zones of a circuit, those of a segment together.
pub struct Zones {
    /// Tracks and stretches of them, each with when it is powered.
    pub list: Vec<Zone>,
    of: Vec<Range<usize>>,
}

impl Zones {
    /// The stretches of which a plan promises power.
    pub fn new(circuit: &Circuit, promises: &Promises) -> Zones {
        let list: Vec<Zone> = promises.zones().iter().map(|z| (z.segment, [z.from, z.to])).collect();
        let start = |segment: SegmentId| list.partition_point(|z| z.0 < segment);
        let of = (0..circuit.segments.len()).map(|s| start(s)..start(s + 1)).collect();
        Zones { list, of }
    }

    /// Those of a segment.
    pub fn range(&self, segment: SegmentId) -> Range<usize> {
        self.of[segment].clone()
    }
}

/// How many settings of a circuit may be asked.
pub fn most_settings(circuit: &Circuit) -> usize {
    (MOST_WORK / circuit.edges.len().max(1)).max(4)
}

/// The worst of some zones so far, at each level.
#[derive(Clone, Copy, Default)]
pub struct Worse {
    volts: [Option<Extreme>; 3],
    fault_amps: [Option<Extreme>; 3],
    /// Of each kind, at each level.
    sensed: [[Option<LeastShort>; 3]; 3],
}

impl Worse {
    /// Takes in what a zone gives over all settings.
    pub fn meet(&mut self, circuit: &Circuit, demand: &Demand<'_>, answer: &ZoneAnswer) {
        for (level, worst) in answer.worst.iter().enumerate() {
            let Some(worst) = worst else { continue };
            self.short(circuit, demand, level, worst.ohms);
            self.train(circuit, level, worst.lost);
            self.notice(level, worst.sensed);
        }
    }

    /// Takes in what a zone meets in one setting; trains that stand elsewhere take as much as if all they draw went the whole
    /// way to it.
    pub fn meet_in(&mut self, circuit: &Circuit, demand: &Demand<'_>, met: &[Option<Met>; 3], setting: usize) {
        for (level, met) in met.iter().enumerate() {
            let Some(met) = met else { continue };
            self.short(circuit, demand, level, (met.ohms, setting));
            let elsewhere = demand.standing.iter().filter(|train| train.segment != met.ohms.place.segment);
            let standing = elsewhere.map(|train| train.amps).sum::<f64>() * met.ohms.loop_ohms;
            self.train(circuit, level, (met.lost.0 + standing, met.lost.1, setting));
            self.notice(level, met.sensed.map(|least| (least, setting)));
        }
    }

    /// Whether what a zone meets at most may be worse than the worst so far: of what a train gets and a short draws, no less is met in
    /// any setting than with everything open that need not be closed, where it is fed then. As bad is worse here.
    pub fn may_worsen(&self, circuit: &Circuit, demand: &Demand<'_>, open: &[Option<Met>; 3]) -> bool {
        let worse = |least: f64, known: Option<Extreme>| known.is_none_or(|known| least <= known.amount * ROOM);
        (0..3).any(|level| {
            let Some(met) = &open[level] else { return true };
            let volts = |at: &electrics::Worst| circuit.sources[at.source].volts;
            let short = volts(&met.ohms) / (met.ohms.loop_ohms + Level::ALL[level].pick(demand.bridge_ohms));
            worse(short, self.fault_amps[level]) || worse(volts(&met.lost.1) - met.lost.0, self.volts[level])
        })
    }

    fn short(
        &mut self,
        circuit: &Circuit,
        demand: &Demand<'_>,
        level: usize,
        (at, setting): (electrics::Worst, usize),
    ) {
        let volts = circuit.volts_on(at.source, at.place.segment);
        let amount = volts / (at.loop_ohms + Level::ALL[level].pick(demand.bridge_ohms));
        keep(&mut self.fault_amps[level], Extreme { amount, at, setting });
    }

    fn train(&mut self, circuit: &Circuit, level: usize, (lost, at, setting): (f64, electrics::Worst, usize)) {
        let amount = circuit.volts_on(at.source, at.place.segment) - lost;
        keep(&mut self.volts[level], Extreme { amount, at, setting });
    }

    fn notice(&mut self, level: usize, sensed: [(LeastMet, usize); 3]) {
        for (kept, (least, setting)) in self.sensed.iter_mut().zip(sensed) {
            let kept = &mut kept[level];
            if kept.is_none_or(|old| least.amps < old.found.amount) {
                let found = Extreme { amount: least.amps, at: least.at, setting };
                *kept = Some(LeastShort { found, henries: least.henries });
            }
        }
    }

    /// The bands, aged to new; none where nothing was met.
    pub fn extremes(&self) -> Option<electrics::Extremes> {
        let [mean, rms, peak] = &self.sensed;
        Some(electrics::Extremes {
            volts: band(&self.volts)?,
            fault_amps: band(&self.fault_amps)?,
            sensed: [band(mean)?, band(rms)?, band(peak)?],
        })
    }
}

/// From least resistance first to aged first.
fn band<T: Copy>(of: &[Option<T>; 3]) -> Option<Spread<T>> {
    Some(Spread::new(of[2]?, of[1]?, of[0]?))
}

/// Keeps the less of two, and the first of two alike.
fn keep(kept: &mut Option<Extreme>, new: Extreme) {
    if kept.is_none_or(|old| new.amount < old.amount) {
        *kept = Some(new);
    }
}

/// A search over the settings of a plan.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn search<'c>(
    circuit: &'c Circuit,
    promised: &'c Promised<'c>,
    zones: &'c Zones,
    demand: Demand<'c>,
) -> Result<WorstSearch<'c, Promised<'c>>, Failed> {
    WorstSearch::new(circuit, promised, &zones.list, demand, most_settings(circuit))
}

/// What a route sets, and nothing else.
pub fn given(circuit: &Circuit, way: &circuit::Way) -> Setting {
    let mut given = vec![None; circuit.controls.len()];
    way.setting.iter().for_each(|(&control, &position)| given[control] = Some(position));
    given
}
