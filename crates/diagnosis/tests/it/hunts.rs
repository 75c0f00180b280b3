//! The table of `docs/diagnosis.md`: hunts played against layouts drawn by the oracle. A few of each row every day; with
//! `GAPWRIGHT_HUNTS=500` and `-- --ignored hunts --nocapture` the whole table.

use crate::by_hand::by_hand;
use crate::player::{Bench, Play, Played, bad_joint, element_of, fault_by_prior, play, row};
use circuit::Circuit;
use diagnosis::{Hunt, Kit, Options, Running};
use oracle::drawn::{Draw, Layout, Meter, Planted, ladder};

fn count(otherwise: usize) -> usize {
    std::env::var("GAPWRIGHT_HUNTS").ok().and_then(|n| n.parse().ok()).unwrap_or(otherwise)
}

/// Whether a row of the table is asked for: all of them, or those with the words of `GAPWRIGHT_ROW` in their name.
fn is_asked(name: &str) -> bool {
    std::env::var("GAPWRIGHT_ROW").map_or(true, |words| name.contains(&words))
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
            play(&meant, &planted, &how, bench, false)
        })
        .collect()
}

/// Hunts on a plan, faults drawn by prior, some with none; `felt`: only such as make a train stop or slow down. With what halving by
/// hand makes of the same layouts: how many it gets right, and its readings.
fn plans(meant: &Circuit, kit: Kit, felt: bool, hunts: usize) -> (Vec<Played>, Vec<(bool, usize)>) {
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
const PULL: Option<f64> = Some(2.5);
/// Feeders come off by a plug.
const PLUGS: Option<f64> = Some(0.02);

#[test]
fn one_feeder() {
    let row = row(&ladders(100, PULL, 1, false, count(4)));
    assert!(row.first >= 99.0 && row.ninetieth <= 10, "{row}");
}

#[test]
fn a_feeder_at_every_place() {
    let row = row(&ladders(1, PLUGS, 1, false, count(2)));
    assert!(row.first >= 90.0 && row.ninetieth <= 10, "{row}");
}

#[test]
fn what_stops_a_train_on_a_demo_plan() {
    let (played, _) = plans(&demo("thistle-dock-mended"), Kit::Bench, true, count(4));
    let row = row(&played);
    assert!(row.first >= 75.0 && row.ninetieth <= 10, "{row}");
}

#[test]
fn a_decimal_point_misleads_nobody() {
    let row = row(&ladders(100, PULL, 1, true, count(3)));
    assert!(row.first >= 95.0, "{row}");
}

#[test]
#[ignore = "hours, with 500 hunts a row"]
fn table_of_ladders() {
    let n = count(5);
    println!(
        "case | hunts | right first | first three | first five | readings, median (90 %) | minutes | wrong of claims"
    );
    for (name, every, pull, faults, decimal) in [
        ("one feeder", 100, PULL, 1, false),
        ("feeder every 4th place", 4, PULL, 1, false),
        ("feeder at every place, plugs", 1, PLUGS, 1, false),
        ("feeder at every place, 2.5 minutes to pull one", 1, PULL, 1, false),
        ("feeder at every place, no pulling", 1, None, 1, false),
        ("one feeder, two faults", 100, PULL, 2, false),
        ("one feeder, a decimal point", 100, PULL, 1, true),
    ] {
        if is_asked(name) {
            println!("{name} | {}", row(&ladders(every, pull, faults, decimal, n)));
        }
    }
}

#[test]
#[ignore = "hours, with 500 hunts a row"]
fn table_of_plans() {
    let n = count(5);
    println!(
        "plan, start, kit | hunts | right first | first three | first five | readings, median (90 %) | minutes | wrong of claims | by hand"
    );
    for name in ["thistle-dock-mended", "seven-tracks", "two-ladders", "balloon", "wye", "two-districts"] {
        let meant = demo(name);
        for kit in [Kit::Bench, Kit::Ohmmeter, Kit::Volts] {
            for felt in [true, false] {
                let start = if felt { "something does not run" } else { "all, a quarter of them sound" };
                if !is_asked(&format!("{name}, {start}, {kit:?}")) {
                    continue;
                }
                let (played, mut hands) = plans(&meant, kit, felt, n);
                hands.sort_by_key(|h| h.1);
                let right = hands.iter().filter(|h| h.0).count();
                println!(
                    "{name}, {start}, {kit:?} | {} | {:.0} %, {} ({})",
                    row(&played),
                    100.0 * right as f64 / n as f64,
                    hands[n / 2].1,
                    hands[(9 * n / 10).min(n - 1)].1
                );
            }
        }
    }
}
