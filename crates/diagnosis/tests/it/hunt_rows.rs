//! Rows of the table of `docs/diagnosis.md`: hunts played against layouts drawn by the oracle.

use crate::by_hand::by_hand;
use crate::player::{Bench, Play, Played, bad_joint, element_of, fault_by_prior, play};
use circuit::Circuit;
use diagnosis::{Hunt, Kit, Options, Running};
use oracle::drawn::{Draw, Layout, Meter, Planted, ladder};

fn circuit_of(text: &str) -> Circuit {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}", reading.findings);
    Circuit::from_plan(&reading.plan, &reading.names)
}

pub fn demo(name: &str) -> Circuit {
    oracle::demos().unwrap().into_iter().find(|d| d.name == name).unwrap().circuit
}

/// Plays hunts on ladders of 40 places with a bad joint.
pub fn ladders(every: usize, pull: Option<f64>, faults: usize, decimal: bool, hunts: usize) -> Vec<Played> {
    let meant = circuit_of(&ladder(40, every));
    (0..hunts)
        .map(|number| {
            let mut draw = Draw(1_000 * every as u64 + number as u64);
            let years = draw.between(0.0, 15.0);
            let mut planted: Vec<Planted> = Vec::new();
            while planted.len() < faults {
                let next = bad_joint(&meant, draw.log_between(0.5, 30.0), &mut draw);
                if !planted.iter().any(|p| matches!((p, next), (Planted::More(a, _), Planted::More(b, _)) if *a == b)) {
                    planted.push(next);
                }
            }
            let layout = Layout::drawn(&meant, years, &mut draw);
            let meter = Meter::drawn(&mut draw);
            let decimal = decimal.then(|| draw.one_of(3));
            let how =
                Play { kit: Kit::Bench, pulling: pull.is_some(), years: None, decimal, pull: pull.unwrap_or(2.5) };
            let bench = Bench { layout, meter, draw, meant: &meant };
            play(&meant, &planted, &how, bench, false)
        })
        .collect()
}

/// Hunts on a plan, faults drawn by prior, some with none; `felt`: only such as make a train stop or slow down. With what halving by
/// hand makes of the same layouts: how many it gets right, and its readings.
pub fn plans(meant: &Circuit, kit: Kit, felt: bool, hunts: usize) -> (Vec<Played>, Vec<(bool, usize)>) {
    let probe = Hunt::new(meant, Options::default());
    let (mut played, mut hands) = (Vec::new(), Vec::new());
    let mut number = 0;
    while played.len() < hunts {
        number += 1;
        let mut draw = Draw(77_000 + number);
        let years = draw.between(0.0, 15.0);
        let none = !felt && draw.unit() < 0.25;
        let planted: Vec<Planted> = if none { Vec::new() } else { vec![fault_by_prior(&probe, years, &mut draw)] };
        let layout = Layout::drawn(meant, years, &mut draw);
        let meter = Meter::drawn(&mut draw);
        let bench = Bench { layout, meter, draw, meant };
        if felt {
            let mut trial = bench.layout.clone();
            planted.iter().for_each(|p| trial.plant(*p));
            let usual = probe.usual(true);
            let trial = Bench { layout: trial, meter: bench.meter.clone(), draw: bench.draw.clone(), meant };
            if (0..meant.tracks).all(|t| {
                let sound = bench.goes(&probe, t, &usual.setting);
                trial.goes(&probe, t, &usual.setting) == sound || sound == Running::Dead
            }) {
                continue;
            }
        }
        let how = Play { kit, pulling: true, years: None, decimal: None, pull: 2.5 };
        let mut hand =
            Bench { layout: bench.layout.clone(), meter: bench.meter.clone(), draw: bench.draw.clone(), meant };
        planted.iter().for_each(|p| hand.layout.plant(*p));
        let (named, readings) = by_hand(&probe, &mut hand, if kit == Kit::Volts { Kit::Ohmmeter } else { kit });
        hands.push((named == planted.first().map(|p| element_of(*p)), readings));
        played.push(play(meant, &planted, &how, bench, felt));
    }
    (played, hands)
}

/// Pulling a wire costs as much as anywhere.
pub const PULL: Option<f64> = Some(2.5);
/// Feeders come off by a plug.
pub const PLUGS: Option<f64> = Some(0.02);
