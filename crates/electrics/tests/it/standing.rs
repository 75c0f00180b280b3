//! What standing trains take from a place, against operating points.

use crate::common::{Listed, circuit, yard, zones};
use circuit::ways;
use electrics::worst::WorstSearch;
use electrics::{Demand, Grid, Level, Load, StandingTrain, setting_of};
use handbook::Spread;

/// With trains standing on other tracks the worst place is still found exactly: currents drawn there and at the standing
/// trains' places leave that voltage in an operating point, and less at no other place.
#[test]
fn standing_trains_take_what_an_operating_point_says() {
    let circuit = circuit(&yard(5), &[]);
    let list = ways::ways(&circuit, 100).list;
    let standing: Vec<StandingTrain> =
        (0..circuit.tracks).map(|segment| StandingTrain { segment, amps: 0.2 + 0.1 * segment as f64 }).collect();
    let demand = Demand {
        amps: 1.2,
        standing: &standing,
        bridge_ohms: Spread::exactly(0.2),
        half_bit: Spread::new(55e-6, 58e-6, 61e-6),
    };
    let zones: Vec<_> = zones(&circuit).into_iter().filter(|z| z.0 < circuit.tracks).collect();
    let mut lower = 0;
    for way in &list {
        let positions: Vec<u8> = setting_of(&circuit, way).iter().map(|p| p.unwrap_or(0)).collect();
        let settings = Listed::new(&circuit, &zones, vec![positions]);
        let mut search = WorstSearch::new(&circuit, &settings, &zones, demand, 10).unwrap();
        let mut worst: Option<(f64, electrics::Worst, usize)> = None;
        let mut alone = 0.0f64;
        for zone in 0..zones.len() {
            let Some(found) = search.worst(zone, &vec![None; circuit.controls.len()]).unwrap().worst[1] else {
                continue;
            };
            alone = alone.max(1.2 * found.ohms.0.loop_ohms);
            if worst.is_none_or(|w| found.lost.0 > w.0) {
                worst = Some(found.lost);
            }
        }
        let (lost, at, setting) = worst.unwrap();
        lower += usize::from(lost > alone + 1e-6);
        let (amount, grid) = (15.0 - lost, Grid::new(&circuit, search.setting(setting), Level::Typical).unwrap());
        let resistances = grid.resistances();
        let elsewhere = standing.iter().filter(|s| s.segment != at.place.segment);
        let places: Vec<(electrics::TrainPlace, f64)> =
            elsewhere.filter_map(|s| Some((resistances.profile(s.segment).worst()?.place, s.amps))).collect();
        let missing = |x: &electrics::TrainPlace| {
            let shared = |(y, amps): &(electrics::TrainPlace, f64)| amps * mutual(&grid, x, y);
            15.0 - places.iter().map(shared).sum::<f64>() - 1.2 * resistances.loop_ohms(x).unwrap()
        };
        let due = missing(&at.place);
        assert!((due - amount).abs() < 1e-9, "{} for {due}", amount);
        let length = circuit.segments[at.place.segment].length;
        for step in 0..=200 {
            for place in electrics::places(&circuit, at.place.segment, length * f64::from(step) / 200.0) {
                if resistances.loop_ohms(&place).is_some() {
                    assert!(missing(&place) >= amount - 1e-12, "less at {}", place.x);
                }
            }
        }
    }
    assert!(lower >= 3, "standing trains changed {lower} routes only");
}

/// Volts missing at one place for one ampere at another, by two operating points. A load part of the way along an edge acts
/// at its ends by the lever.
fn mutual(grid: &Grid<'_>, x: &electrics::TrainPlace, y: &electrics::TrainPlace) -> f64 {
    let circuit = grid.circuit();
    let carried = |place: &electrics::TrainPlace| {
        let ends = [0, 1].map(|side| {
            let edge = &circuit.edges[place.rail[side]];
            let t = place.fraction[side];
            [(edge.a, 1.0 - t), (edge.b, t)]
        });
        let [left, right] = ends;
        left.into_iter().flat_map(move |(l, s)| right.map(move |(r, t)| Load { left: l, right: r, amps: s * t }))
    };
    let volts = |loads: Vec<Load>| {
        let point = grid.operating_point(&loads).unwrap();
        let across = |side: usize| {
            let edge = &circuit.edges[x.rail[side]];
            let t = x.fraction[side];
            (1.0 - t) * point.volts[edge.a].unwrap() + t * point.volts[edge.b].unwrap()
        };
        (across(0) - across(1)).abs()
    };
    volts(Vec::new()) - volts(carried(y).filter(|l| l.amps > 0.0).collect())
}
