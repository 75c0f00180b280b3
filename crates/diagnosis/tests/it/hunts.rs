//! The table of `docs/diagnosis.md`: hunts played against layouts drawn by the oracle. A few of each row every day; with
//! `GAPWRIGHT_HUNTS=500` and `-- --ignored hunts --nocapture` the whole table.

use crate::player::{Bench, Play, Played, bad_joint, fault_by_prior, play, row};
use circuit::Circuit;
use diagnosis::{Hunt, Kit, Options, Running};
use oracle::drawn::{Draw, Layout, Meter, Planted, ladder};

fn count(otherwise: usize) -> usize {
    std::env::var("GAPWRIGHT_HUNTS").ok().and_then(|n| n.parse().ok()).unwrap_or(otherwise)
}

fn pull() -> Option<f64> {
    Some(std::env::var("PULL").ok().and_then(|n| n.parse().ok()).unwrap_or(2.5))
}

fn circuit_of(text: &str) -> Circuit {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}", reading.findings);
    Circuit::from_plan(&reading.plan, &reading.names)
}

fn demo(name: &str) -> Circuit {
    oracle::demos().unwrap().into_iter().find(|d| d.name == name).unwrap().circuit
}

/// Plays hunts on ladders of 40 places with a bad joint.
fn ladders(every: usize, pull: Option<f64>, faults: usize, decimal: bool, hunts: usize) -> Vec<Played> {
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
            shown(play(&meant, &planted, &how, bench, false))
        })
        .collect()
}

fn shown(played: Played) -> Played {
    if std::env::var("SHOW_HUNT").is_ok() {
        println!("{played:?}");
    }
    played
}

/// Hunts on a demo plan, faults drawn by prior, some with none; `felt`: only such as make a train stop or slow down.
fn demos(name: &str, kit: Kit, felt: bool, hunts: usize) -> Vec<Played> {
    let meant = demo(name);
    let probe = Hunt::new(&meant, Options::default());
    let mut played = Vec::new();
    let mut number = 0;
    while played.len() < hunts {
        number += 1;
        let mut draw = Draw(77_000 + number);
        let years = draw.between(0.0, 15.0);
        let none = !felt && draw.unit() < 0.25;
        let planted: Vec<Planted> = if none { Vec::new() } else { vec![fault_by_prior(&probe, years, &mut draw)] };
        let layout = Layout::drawn(&meant, years, &mut draw);
        let meter = Meter::drawn(&mut draw);
        let bench = Bench { layout, meter, draw, meant: &meant };
        if felt {
            let mut trial = bench.layout.clone();
            planted.iter().for_each(|p| trial.plant(*p));
            let usual = probe.usual(true);
            let trial = Bench { layout: trial, meter: bench.meter.clone(), draw: bench.draw.clone(), meant: &meant };
            if (0..meant.tracks).all(|t| {
                let sound = bench.goes(&probe, t, &usual.setting);
                trial.goes(&probe, t, &usual.setting) == sound || sound == Running::Dead
            }) {
                continue;
            }
        }
        let how = Play { kit, pulling: true, years: None, decimal: None, pull: 2.5 };
        played.push(shown(play(&meant, &planted, &how, bench, felt)));
    }
    played
}

#[test]
fn one_feeder_a_few() {
    let row = row(&ladders(100, Some(2.5), 1, false, count(6)));
    println!("one feeder: {row}");
    assert!(row.three >= 80.0);
}

#[test]
#[ignore = "minutes"]
fn trial_rows() {
    let n = count(20);
    for (name, every) in [("one feeder", 100), ("feeder every 4th", 4), ("every place", 1)] {
        let start = std::time::Instant::now();
        println!("{name} | {} in {:?}", row(&ladders(every, pull(), 1, false, n)), start.elapsed());
    }
}

#[test]
#[ignore = "minutes"]
fn trial_demos() {
    let n = count(20);
    let kits = [Kit::Bench, Kit::Ohmmeter, Kit::Volts];
    for name in ["thistle-dock-mended", "seven-tracks"] {
        for kit in kits {
            println!("{name} all {kit:?} | {}", row(&demos(name, kit, false, n)));
            println!("{name} felt {kit:?} | {}", row(&demos(name, kit, true, n)));
        }
    }
}

#[test]
#[ignore = "one"]
fn trial_one() {
    let every: usize = std::env::var("EVERY").unwrap().parse().unwrap();
    println!("{}", row(&ladders(every, pull(), 1, false, count(1))));
}
