//! Whose tests to repeat after a change: those of what was worked on, and those whose reading is another one now.
//!
//! A piece of the network is compared with what it was by what it joins, when, and with what resistance. What a meter
//! reads at a track depends on more than its own wires; where the expected reading moved the track is reported too.

use crate::items::{ItemKey, point};
use crate::pair::PlanPair;
use crate::things::{ThingId, Things};
use circuit::{Circuit, Edge, EdgeKind, RailOwner};
use plan::Kind;
use std::collections::{BTreeMap, BTreeSet};

/// What to test again, by the names of the new plan, each list in its order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Retest {
    /// Tracks.
    pub tracks: Vec<String>,
    /// Turnouts and other trackwork.
    pub trackwork: Vec<String>,
    /// Motors, relays, toggles and reversers, for their contacts.
    pub contacts: Vec<String>,
    /// Buses.
    pub buses: Vec<String>,
    /// Ways over any of those tracks and turnouts.
    pub ways: Vec<String>,
}

impl Retest {
    /// Whether there is nothing to test again.
    pub fn is_empty(&self) -> bool {
        let lists = [&self.tracks, &self.trackwork, &self.contacts, &self.buses, &self.ways];
        lists.iter().all(|list| list.is_empty())
    }

    /// Each list with its word.
    pub fn lists(&self) -> [(&'static str, &[String]); 5] {
        [
            ("track", &self.tracks),
            ("trackwork", &self.trackwork),
            ("contacts of", &self.contacts),
            ("bus", &self.buses),
            ("route", &self.ways),
        ]
    }
}

/// How much a reading must move to be another one: no meter of a builder shows less.
const MOVED: f64 = 1e-4;

/// What an edge is compared by: its kind, its ends, when it is closed, and its resistance in nanoohms.
type Piece = (EdgeKind, Vec<(Option<ThingId>, String, Option<i64>)>, Vec<(Option<ThingId>, String, u8)>, i64);

pub(crate) fn retest(pair: &PlanPair<'_>) -> Retest {
    let old = pieces(&pair.old.facts.circuit, &pair.old_things, |t| t.renumbered(&pair.to));
    let new = pieces(&pair.new.facts.circuit, &pair.new_things, |t| t);
    let mut touched: BTreeSet<usize> = BTreeSet::new();
    for (one, other) in [(&old, &new), (&new, &old)] {
        for (piece, _) in one.iter().filter(|(piece, count)| other.get(*piece) != Some(*count)) {
            // That a bus is cut into other pieces is identified by what taps it, and where a wire taps it is reported for its rail;
            // what a bus depends on is its own.
            let between = matches!(piece.0, EdgeKind::BusWire | EdgeKind::Tap) && piece.1[0].0 != piece.1[1].0;
            touched.extend(piece.1.iter().filter_map(|end| end.0?.listed()).filter(|t| between || !is_bus(pair, *t)));
        }
    }
    gaps_touched(pair, &mut touched);
    readings_moved(pair, &mut touched);
    // A bus is worked on where its own conductor is another one.
    let mut before: BTreeMap<usize, &str> = BTreeMap::new();
    for (thing, to) in pair.old_things.list.iter().zip(&pair.to) {
        before.extend(to.map(|to| (to, thing.own.as_str())));
    }
    let buses = pair.new_things.list.iter().enumerate().filter(|(_, thing)| thing.kind == Kind::Bus);
    touched.extend(buses.filter(|(n, thing)| before.get(n) != Some(&thing.own.as_str())).map(|(n, _)| n));
    retest_of(pair, &touched)
}

fn is_bus(pair: &PlanPair<'_>, thing: usize) -> bool {
    pair.new_things.list.get(thing).is_some_and(|t| matches!(t.kind, Kind::Bus | Kind::Supply))
}

/// The pieces of a circuit, and how many of each there are.
fn pieces(circuit: &Circuit, things: &Things, number: impl Fn(ThingId) -> ThingId) -> BTreeMap<Piece, usize> {
    let mut pieces = BTreeMap::new();
    let numbered = |thing| number(ThingId::Listed(thing));
    let control: Vec<_> = circuit.controls.iter().map(|c| things.spanned(&c.span).map(numbered)).collect();
    for edge in &circuit.edges {
        *pieces.entry(piece(circuit, things, &number, &control, edge)).or_insert(0) += 1;
    }
    pieces
}

fn piece(
    circuit: &Circuit,
    things: &Things,
    number: &impl Fn(ThingId) -> ThingId,
    control: &[Option<ThingId>],
    edge: &Edge,
) -> Piece {
    let mut ends: Vec<_> = [edge.a, edge.b]
        .into_iter()
        .map(|node| {
            let p = point(circuit, node);
            (p.thing.and_then(|t| things.at(t)).map(ThingId::Listed).map(number), p.part, p.place)
        })
        .collect();
    ends.sort();
    let when = edge.guard.iter().map(|l| {
        let c = &circuit.controls[l.control];
        // Of a motor that moves several, or a turnout with two motors, the position's word tells them apart.
        (control[l.control], c.positions[usize::from(l.position)].clone(), l.position)
    });
    (edge.kind, ends, when.collect(), (edge.ohms.typical * 1e9).round() as i64)
}

fn gaps_touched(pair: &PlanPair<'_>, touched: &mut BTreeSet<usize>) {
    use crate::items::items;
    let key = |is_old: bool| {
        let job = if is_old { pair.old } else { pair.new };
        let all = items(&job.facts.circuit, Some(job.facts.plan));
        let gaps = all.into_iter().filter(|item| item.what == "gap");
        let keys =
            gaps.map(|item| if is_old { pair.old_key(&item) } else { ItemKey::from_item(&item, &pair.new_things) });
        keys.map(|mut key| {
            key.ends.sort();
            key
        })
        .collect::<BTreeSet<ItemKey>>()
    };
    let (old, new) = (key(true), key(false));
    for key in old.symmetric_difference(&new) {
        touched.extend(key.ends.iter().filter_map(|end| end.thing?.listed()));
    }
}

/// Tracks whose worst voltage or fault current is another one, or that are fed now and were not, or the reverse.
fn readings_moved(pair: &PlanPair<'_>, touched: &mut BTreeSet<usize>) {
    let readings = |job: &crate::Job<'_>, things: &Things, number: &dyn Fn(usize) -> Option<usize>| {
        let lines = job.facts.figures().into_iter().flat_map(|f| &f.tracks);
        let found = lines.filter_map(|line| {
            let thing = number(things.at((Kind::Track, line.track))?)?;
            Some((thing, [line.volts.typical, line.fault_amps.typical]))
        });
        found.collect::<BTreeMap<usize, [f64; 2]>>()
    };
    let old = readings(pair.old, &pair.old_things, &|t| pair.to[t]);
    let new = readings(pair.new, &pair.new_things, &Some);
    // Another train is another question, not another layout.
    let asked =
        |job: &crate::Job<'_>| job.facts.figures().map(|f| (f.load_case.train_amps, f.load_case.standing.len()));
    let same_question = asked(pair.old) == asked(pair.new);
    let moved = |a: &[f64; 2], b: &[f64; 2]| {
        let differs = |i: usize| (a[i] - b[i]).abs() > MOVED * a[i].abs().max(b[i].abs());
        differs(1) || (same_question && differs(0))
    };
    let all: BTreeSet<usize> = old.keys().chain(new.keys()).copied().collect();
    for thing in all {
        match (old.get(&thing), new.get(&thing)) {
            (Some(a), Some(b)) if !moved(a, b) => {}
            _ => {
                touched.insert(thing);
            }
        }
    }
}

/// The names of what was touched, and the ways over it.
fn retest_of(pair: &PlanPair<'_>, touched: &BTreeSet<usize>) -> Retest {
    let mut retest = Retest::default();
    for thing in touched.iter().filter_map(|&t| pair.new_things.list.get(t)) {
        let list = match thing.kind {
            Kind::Track => &mut retest.tracks,
            Kind::Turnout | Kind::Crossing | Kind::Slip | Kind::ThreeWay | Kind::Turntable => &mut retest.trackwork,
            Kind::Motor | Kind::Relay | Kind::Toggle | Kind::Reverser | Kind::Detector => &mut retest.contacts,
            Kind::Bus => &mut retest.buses,
            _ => continue,
        };
        list.push(thing.name.clone());
    }
    let facts = &pair.new.facts;
    let over = |segment: usize| {
        let key = match &facts.circuit.segments[segment].owner {
            RailOwner::Track(track) => (Kind::Track, *track),
            RailOwner::Work { kind, index, .. } => (*kind, *index),
        };
        pair.new_things.at(key).is_some_and(|thing| touched.contains(&thing))
    };
    let ways = facts.ways().list.iter().filter(|way| way.steps.iter().any(|&(segment, _)| over(segment)));
    retest.ways = ways.map(|way| way.name.clone()).collect();
    retest
}
