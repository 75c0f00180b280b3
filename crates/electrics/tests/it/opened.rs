//! One edge opened by closed forms, against the same circuit calculated anew without it.

use crate::common::{circuit, thistle_dock, yard};
use circuit::ways::ways;
use circuit::{EdgeId, EdgeKind};
use electrics::{AskedTrack, Demand, Grid, Level, TrackFailure, failures, places, setting_of};
use handbook::Spread;
use std::collections::BTreeMap;

#[test]
fn opened_edges_agree_with_a_circuit_that_has_none() {
    let mut compared = 0;
    for text in [thistle_dock(), yard(4)] {
        let circuit = circuit(&text, &[]);
        for way in ways(&circuit, 20).list {
            let setting = setting_of(&circuit, &way);
            let grid = Grid::new(&circuit, &setting, Level::Typical).unwrap();
            let resistances = grid.resistances();
            for (id, edge) in EdgeId::each(&circuit.edges) {
                if matches!(edge.kind, EdgeKind::Rail | EdgeKind::Source) {
                    continue;
                }
                let Some(opened) = resistances.opened(EdgeId::new(id.index())) else { continue };
                // A tenth of a teraohm is as good as open, and keeps everything on the island.
                let mut without = circuit.clone();
                without.edges[id].ohms = Spread::new(1e11, 1e11, 1e11);
                let anew = Grid::new(&without, &setting, Level::Typical).unwrap();
                let anew = anew.resistances();
                for &(segment, _) in &way.steps {
                    let (told, known) = (opened.profile(segment).worst(), anew.profile(segment).worst());
                    let (Some(told), Some(known)) = (told, known) else {
                        assert_eq!(told.is_some(), known.is_some());
                        continue;
                    };
                    let error = (told.loop_ohms - known.loop_ohms).abs() / known.loop_ohms;
                    assert!(
                        error < 1e-9,
                        "{} open, {}: {told:?}, {known:?}",
                        edge.name,
                        circuit.segments[segment].name
                    );
                    let before = resistances.profile(segment).worst().unwrap().loop_ohms;
                    assert!(told.loop_ohms >= before * (1.0 - 1e-12), "Rayleigh: {before} fell to {}", told.loop_ohms);
                    compared += usize::from(told.loop_ohms > before * (1.0 + 1e-9));
                }
            }
        }
    }
    assert!(compared > 200, "only {compared} openings changed anything");
}

#[test]
fn the_worst_failure_of_a_track_is_the_worst_of_all_tried_by_hand() {
    let circuit = circuit(&yard(3), &[]);
    let list = ways(&circuit, 20).list;
    let demand = Demand {
        amps: 0.5,
        standing: &[],
        bridge_ohms: Spread::new(0.2, 0.2, 0.2),
        half_bit: Spread::new(55e-6, 58e-6, 61e-6),
    };
    let on_ways = list.iter().flat_map(|w| w.steps.iter().map(|s| (s.0, setting_of(&circuit, w))).collect::<Vec<_>>());
    let settings: BTreeMap<usize, Vec<Option<u8>>> = on_ways.filter(|t| t.0 < circuit.tracks).collect();
    let asked = |below: f64| {
        let asked =
            |(&track, setting): (&usize, &Vec<_>)| AskedTrack { track, setting: setting.clone(), below, senses: None };
        settings.iter().map(asked).collect::<Vec<_>>()
    };
    let found = failures(&circuit, &asked(f64::INFINITY), &demand).unwrap();
    assert!(found.len() >= 3);
    // Of which those are told that fall below what is asked for, with the same numbers.
    let amounts: Vec<f64> = found.iter().map(|f| f.sensed[0].typical.1.found.amount).collect();
    for below in amounts.iter().map(|amount| amount * (1.0 + 1e-6)) {
        let told: Vec<_> = found.iter().copied().filter(|f| f.sensed[0].typical.1.found.amount < below).collect();
        let setting_apart = |list: &[TrackFailure]| {
            list.iter().map(|f| (f.track, f.fault_amps.map(|(edge, e)| (edge, e.amount, e.at)))).collect::<Vec<_>>()
        };
        assert_eq!(setting_apart(&failures(&circuit, &asked(below), &demand).unwrap()), setting_apart(&told));
    }
    for failure in &found {
        let mut least = f64::INFINITY;
        let setting = &settings[&failure.track];
        for (id, edge) in EdgeId::each(&circuit.edges) {
            if matches!(edge.kind, EdgeKind::Rail | EdgeKind::Source | EdgeKind::BusWire | EdgeKind::Wire) {
                continue;
            }
            let mut without = circuit.clone();
            without.edges[id].ohms = Spread::new(1e11, 1e11, 1e11);
            let anew = Grid::new(&without, setting, Level::Typical).unwrap();
            let worst = anew.resistances().profile(failure.track).worst();
            // What is cut off altogether is dead, and another matter.
            if let Some(worst) = worst.filter(|w| w.loop_ohms < 1e9) {
                least = least.min(circuit.sources[worst.source].volts / (worst.loop_ohms + 0.2));
            }
        }
        let told = failure.fault_amps.typical.1.amount;
        assert!((told - least).abs() < 1e-9 * least, "track {}: {told}, by hand {least}", failure.track);
        assert!(failure.fault_amps.low.1.amount < told && told < failure.fault_amps.high.1.amount);
    }
}

#[test]
fn the_edges_over_which_all_of_a_current_goes_are_those_that_carry_all_of_it() {
    let mut found = 0;
    for text in [thistle_dock(), yard(4)] {
        let circuit = circuit(&text, &[]);
        for way in ways(&circuit, 20).list {
            let grid = Grid::new(&circuit, &setting_of(&circuit, &way), Level::Typical).unwrap();
            for &(segment, _) in &way.steps {
                let length = circuit.segments[segment].length;
                for place in places(&circuit, segment, length / 3.0) {
                    let known = grid.carried(&place).map(|carried| {
                        let all =
                            carried.iter().filter(|(edge, amps)| *amps > 1.0 - 1e-9 && !place.rail.contains(edge));
                        all.map(|(edge, _)| *edge).collect::<Vec<_>>()
                    });
                    assert_eq!(grid.carry_all(&place), known, "{}", circuit.segments[segment].name);
                    found += known.map_or(0, |edges| edges.len());
                }
            }
        }
    }
    assert!(found > 100, "only {found} edges carried all");
}
