//! Hunts played on layouts drawn by the oracle: a fault planted, every answer read off an independent network with a meter that errs.

use circuit::{Circuit, EdgeId, EdgeKind};
use diagnosis::{
    Conditions, Element, Fault, Hunt, Kit, Measurement, Observation, Options, Pairs, Running, Symptom, Value,
};
use oracle::drawn::{Draw, Layout, Meter, Planted};
use std::collections::BTreeSet;

/// Above this a player answers.
pub const SURE: f64 = 0.95;
/// Readings after which a player gives up.
pub const MOST_READINGS: usize = 60;

/// How a hunt went.
#[derive(Clone, Debug)]
pub struct Played {
    pub readings: usize,
    pub minutes: f64,
    /// Where the truth stands among the ranked, from 0; none where it does not stand there.
    pub place: Option<usize>,
    /// Probability of the first.
    pub claimed: f64,
}

/// What a player may do.
#[derive(Clone, Debug)]
pub struct Play {
    pub kit: Kit,
    pub pulling: bool,
    pub years: Option<f64>,
    /// The reading that is told ten times too great, if any.
    pub decimal: Option<usize>,
    /// Minutes to pull a wire.
    pub pull: f64,
}

pub struct Bench<'c> {
    pub layout: Layout,
    pub meter: Meter,
    pub draw: Draw,
    pub meant: &'c Circuit,
}

impl Bench<'_> {
    pub fn value(&mut self, m: &Measurement) -> Value {
        let pulled: BTreeSet<usize> = m.conditions.pulled.iter().map(|e| e.index()).collect();
        let ohms = self.layout.transfer((m.force, m.sense), &m.conditions.setting, &pulled, m.kit.powered());
        let read = match m.kit {
            Kit::Buzzer => return Value::Sounds(ohms.is_some_and(|ohms| ohms < self.draw.between(35.0, 70.0))),
            Kit::Ohmmeter => self.meter.ohmmeter(ohms, &mut self.draw),
            Kit::Bench => self.meter.bench(ohms, &mut self.draw),
            Kit::Volts => self.meter.load(ohms, &mut self.draw),
        };
        read.map_or(Value::Open, Value::Ohms)
    }

    /// How trains go on a track in the usual setting.
    pub fn goes(&self, hunt: &Hunt, track: usize, setting: &[Option<u8>]) -> Running {
        let places = diagnosis::candidates::track_places(hunt, track);
        let worst = places.iter().map(|pair| self.layout.ohms(*pair, setting, &BTreeSet::new(), true));
        let worst = worst.map(|ohms| ohms.unwrap_or(f64::INFINITY)).fold(0.0, f64::max);
        if worst > 20.0 {
            Running::Dead
        } else if worst > 3.0 {
            Running::Weak
        } else {
            Running::Well
        }
    }
}

pub fn element_of(planted: Planted) -> Element {
    let edge = EdgeId::new;
    match planted {
        Planted::Open(e) | Planted::More(e, _) => Element::Edge(edge(e)),
        Planted::Bridged(a, b) => Element::Gap(a, b),
        Planted::Exchanged(one, other) => Element::Pair(edge(one), edge(other)),
        Planted::Moved(e, _) => Element::Conductor(edge(e)),
    }
}

/// A fault of the engine as the oracle plants it.
pub fn planted_of(fault: Fault) -> Planted {
    match fault {
        Fault::Open(edge) => Planted::Open(edge.index()),
        Fault::More(edge, step) => Planted::More(edge.index(), diagnosis::TOO_MUCH[usize::from(step)]),
        Fault::Bridged(a, b) => Planted::Bridged(a, b),
        Fault::Exchanged(one, other) => Planted::Exchanged(one.index(), other.index()),
        Fault::OtherConductor { tap, at } => Planted::Moved(tap.index(), at),
    }
}

/// A fault drawn by how often things of each kind are at fault.
pub fn fault_by_prior(hunt: &Hunt, years: f64, draw: &mut Draw) -> Planted {
    let rates: Vec<f64> = hunt.wiring.suspects.iter().map(|s| s.rate.after(years)).collect();
    let mut at = draw.unit() * rates.iter().sum::<f64>();
    let mut chosen = 0;
    for (index, rate) in rates.iter().enumerate() {
        chosen = index;
        at -= rate;
        if at < 0.0 {
            break;
        }
    }
    let suspect = &hunt.wiring.suspects[chosen];
    match suspect.faults[0].0 {
        Fault::Open(edge) if draw.unit() < suspect.rate.open => Planted::Open(edge.index()),
        Fault::Open(edge) | Fault::More(edge, _) => Planted::More(edge.index(), draw.log_between(0.2, 30.0)),
        Fault::Bridged(a, b) => Planted::Bridged(a, b),
        Fault::Exchanged(one, other) => Planted::Exchanged(one.index(), other.index()),
        Fault::OtherConductor { tap, at } => Planted::Moved(tap.index(), at),
    }
}

/// A sliding joint with some ohms too much.
pub fn bad_joint(circuit: &Circuit, ohms: f64, draw: &mut Draw) -> Planted {
    let joints: Vec<usize> =
        (0..circuit.edges.len()).filter(|e| circuit.edges[EdgeId::new(*e)].kind == EdgeKind::SlidingJoint).collect();
    Planted::More(joints[draw.one_of(joints.len())], ohms)
}

/// Plays a hunt to its end. `symptoms`: what somebody saw before.
pub fn play(meant: &Circuit, planted: &[Planted], play: &Play, mut bench: Bench<'_>, symptoms: bool) -> Played {
    let options = Options { kit: play.kit, pulling: play.pulling, years: play.years, ..Options::default() };
    let options = Options { minutes: diagnosis::Minutes { pull: play.pull, ..options.minutes }, ..options };
    let mut hunt = Hunt::new(meant, options);
    for p in planted {
        bench.layout.plant(*p);
    }
    let mut truth: Vec<Element> = planted.iter().map(|p| element_of(*p)).collect();
    truth.sort_unstable();
    if symptoms {
        let usual = hunt.usual(true);
        for track in 0..meant.tracks {
            let how = bench.goes(&hunt, track, &usual.setting);
            let places = diagnosis::candidates::track_places(&hunt, track);
            let seen = Observation::Seen {
                conditions: Conditions { ..usual.clone() },
                symptom: Symptom::Runs { places, how },
                warm: false,
            };
            hunt.observe(seen).unwrap();
        }
    }
    let pairs = Pairs::new(&hunt);
    let (mut readings, mut minutes) = (0, 0.0);
    let mut ranking = hunt.rank();
    while readings < MOST_READINGS && ranking.first().is_some_and(|f| f.probability < SURE) {
        let Some(advice) = hunt.next(&pairs, &ranking).unwrap().into_iter().next() else { break };
        let mut value = bench.value(&advice.measurement);
        if play.decimal == Some(readings)
            && let Value::Ohms(ohms) = value
        {
            value = Value::Ohms(10.0 * ohms);
        }
        hunt.observe(Observation::Read { measurement: advice.measurement, value }).unwrap();
        readings += 1;
        minutes += advice.minutes;
        ranking = hunt.rank();
    }
    let place = ranking.ranked.iter().position(|r| r.elements == truth);
    Played { readings, minutes, place, claimed: ranking.first().map_or(0.0, |f| f.probability) }
}

/// A row of the table.
pub struct Row {
    pub hunts: usize,
    pub first: f64,
    pub three: f64,
    pub five: f64,
    pub median: usize,
    pub ninetieth: usize,
    pub minutes: [f64; 2],
    pub sure_and_wrong: f64,
    pub sure: usize,
}

pub fn row(played: &[Played]) -> Row {
    let share = |count: usize| 100.0 * count as f64 / played.len() as f64;
    let within = |most: usize| share(played.iter().filter(|p| p.place.is_some_and(|place| place < most)).count());
    let mut readings: Vec<usize> = played.iter().map(|p| p.readings).collect();
    readings.sort_unstable();
    let mut minutes: Vec<f64> = played.iter().map(|p| p.minutes).collect();
    minutes.sort_by(f64::total_cmp);
    let at = |part: usize| (part * played.len() / 100).min(played.len() - 1);
    let sure: Vec<&Played> = played.iter().filter(|p| p.claimed >= 0.9).collect();
    let wrong = sure.iter().filter(|p| p.place != Some(0)).count();
    Row {
        hunts: played.len(),
        first: within(1),
        three: within(3),
        five: within(5),
        median: readings[at(50)],
        ninetieth: readings[at(90)],
        minutes: [minutes[at(50)], minutes[at(90)]],
        sure_and_wrong: 100.0 * wrong as f64 / sure.len().max(1) as f64,
        sure: sure.len(),
    }
}

impl std::fmt::Display for Row {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} | {:.1} % | {:.1} % | {:.1} % | {} ({}) | {:.0} ({:.0}) | {:.1} % of {}",
            self.hunts,
            self.first,
            self.three,
            self.five,
            self.median,
            self.ninetieth,
            self.minutes[0],
            self.minutes[1],
            self.sure_and_wrong,
            self.sure
        )
    }
}
