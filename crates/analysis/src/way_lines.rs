//! The numbers of routes: of each its worst places.

use crate::numbers::{self, Bounds, Promised, Worse, Zones};
use crate::track_line::amounts;
use circuit::Circuit;
use circuit::ways::Ways;
use electrics::worst::{Setting, WorstSearch, ZoneAnswer};
use electrics::{Demand, Extreme, Extremes, Failed};
use handbook::Spread;
use std::collections::BTreeMap;

/// The numbers of one way.
#[derive(Clone, Debug, PartialEq)]
pub struct WayLine {
    /// Index of the way.
    pub way: usize,
    /// Its name.
    pub name: String,
    /// The voltage of the supply that feeds the worst place.
    pub supply_volts: f64,
    /// The least voltage under a train.
    pub volts: Spread<f64>,
    /// Where: the segment's name and metres from its start.
    pub volts_at: (String, f64),
    /// The least current of a short.
    pub fault_amps: Spread<f64>,
    /// Where.
    pub fault_at: (String, f64),
}

/// What each zone meets with everything open that need not be closed where power is promised to it: no less is met in any such setting.
fn with_implied(
    circuit: &Circuit,
    zones: &Zones,
    search: &mut WorstSearch<'_, Promised<'_>>,
    open: &Bounds,
) -> Result<Bounds, Failed> {
    let nothing: Setting = vec![None; circuit.controls.len()];
    let mut bounds = open.clone();
    let unfed = (0..zones.list.len()).filter(|&zone| open[zone].iter().any(Option::is_none));
    let mut sets: Vec<(usize, usize, Setting)> = unfed
        .filter_map(|zone| search.implied(zone, &nothing).map(|set| (set.iter().flatten().count(), zone, set)))
        .collect();
    // From one to the next a setting changes little.
    sets.sort_by_key(|set| (set.0, set.1));
    for (_, zone, set) in sets {
        let Some(index) = search.bound(&set) else { continue };
        bounds[zone] = search.met(zone, index)?;
    }
    Ok(bounds)
}

/// The numbers of each route, and whether of all.
pub(crate) fn way_lines(
    circuit: &Circuit,
    ways: &Ways,
    (zones, demand): (&Zones, &Demand<'_>),
    search: &mut WorstSearch<'_, Promised<'_>>,
    bounds: &Bounds,
) -> Result<(Vec<WayLine>, bool), Failed> {
    search.without_sensed();
    let bounds = with_implied(circuit, zones, search, bounds)?;
    let mut lines = Vec::new();
    for (index, way) in ways.list.iter().enumerate() {
        let given = numbers::given(circuit, way);
        search.bound(&given);
        let given = search.given(&given);
        let own = || way.steps.iter().flat_map(|&(segment, _)| zones.range(segment));
        // Where no train stands elsewhere, only what can be the worst of the route is asked for: the weakest first.
        let weakest = |level: usize| {
            let ohms = |&zone: &usize| bounds[zone][level].map_or(f64::INFINITY, |met| met.ohms.loop_ohms);
            own().max_by(|a, b| ohms(a).total_cmp(&ohms(b)))
        };
        let first: Vec<usize> = (0..3).filter_map(weakest).collect();
        let mut answers: BTreeMap<usize, ZoneAnswer> = BTreeMap::new();
        let mut so_far = Worse::default();
        for zone in first.into_iter().chain(own()) {
            let asked = !demand.standing.is_empty() || so_far.may_worsen(circuit, demand, &bounds[zone]);
            if asked && !answers.contains_key(&zone) {
                let answer = search.worst_given(zone, given)?;
                if !answer.exact {
                    return Ok((lines, false));
                }
                so_far.meet(circuit, demand, &answer);
                answers.insert(zone, answer);
            }
        }
        // Of two alike the first along the route.
        let mut worse = Worse::default();
        own().filter_map(|zone| answers.get(&zone)).for_each(|answer| worse.meet(circuit, demand, answer));
        lines.extend(worse.extremes().map(|extremes| way_line(circuit, ways, index, &extremes)));
    }
    Ok((lines, ways.complete))
}

fn way_line(circuit: &Circuit, ways: &Ways, way: usize, extremes: &Extremes) -> WayLine {
    let place = |found: &Extreme| {
        let place = &found.at.place;
        (circuit.segments[place.segment].name.clone(), place.x)
    };
    WayLine {
        way,
        name: ways.list[way].name.clone(),
        supply_volts: circuit.sources[extremes.volts.typical.at.source].volts,
        volts: amounts(&extremes.volts).map(|volts| volts.max(0.0)),
        volts_at: place(&extremes.volts.typical),
        fault_amps: amounts(&extremes.fault_amps),
        fault_at: place(&extremes.fault_amps.typical),
    }
}
