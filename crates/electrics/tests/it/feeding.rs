//! How many feeders a track needs, what a wheel meets across a gap, how far a train runs on: against arrangements tried one by one, sums
//! by hand and closed forms.

use crate::common::ByHand;
use electrics::feeder_count::{LoneTrack, LoneValues};
use electrics::run_on::RunOn;
use electrics::square_short::SquareShort;
use electrics::{Level, across};

#[track_caller]
fn near(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within * expected.abs(), "{value} is not {expected}");
}

fn by_ohms(ohms: f64, _: f64) -> f64 {
    ohms
}

/// One feeder at a place of a track: `R + 2r·x` to its farther end, least in the middle. Two alike on a stiff bus: a quarter in from
/// either end, where by hand the ends have `R_f ∥ (R_f + r·L/2) + r·L/4`.
#[test]
fn one_and_two_feeders_by_hand() {
    let ohms = LoneValues { rail: 0.16, supply: 0.1, bus: 0.0, feeder: 0.03 };
    let track = LoneTrack { length: 4.0, from_far_end: false, ohms, henries: LoneValues::default() };
    near(track.worst(&[1.0], &by_ohms), 0.1 + 0.03 + 3.0 * 0.16, 1e-12);
    let one = track.best(1, &by_ohms);
    near(one.at[0], 2.0, 1e-3);
    near(one.worst, 0.13 + 0.32, 1e-3);
    // Symmetrical feeders: each other's paths lie side by side.
    let beside = |own: f64, other: f64| own * other / (own + other);
    let at = [1.0, 3.0];
    let end = 0.1 + beside(0.03, 0.03 + 0.32) + 0.16;
    // In the middle between them both ways are alike.
    let middle = 0.1 + 0.5 * (0.03 + 0.16);
    near(track.worst(&at, &by_ohms), end.max(middle), 1e-7);
    // Moved outwards until ends and middle are alike, no worse than that.
    assert!(track.best(2, &by_ohms).worst <= track.worst(&at, &by_ohms) + 1e-7);
    assert_eq!(track.fewest(0.46, 8, &by_ohms).map(|f| f.at.len()), Some(1));
    assert_eq!(track.fewest(0.44, 8, &by_ohms).map(|f| f.at.len()), Some(2));
    assert_eq!(track.fewest(0.12, 8, &by_ohms), None);
}

/// Henries by hand: of one feeder all in a row; of two alike on a stiff bus each has half the current of the middle, and of an end the
/// nearer one has what the other's path leaves it.
#[test]
fn the_inductance_of_a_feeding_by_hand() {
    let ohms = LoneValues { rail: 0.16, supply: 0.1, bus: 0.0, feeder: 0.03 };
    let henries = LoneValues { rail: 1e-6, supply: 3e-6, bus: 0.0, feeder: 0.5e-6 };
    let track = LoneTrack { length: 4.0, from_far_end: false, ohms, henries };
    let by_henries = |_: f64, henries: f64| henries;
    near(track.worst(&[1.0], &by_henries), 3e-6 + 0.5e-6 + 3e-6, 1e-12);
    let middle = 3e-6 + 0.5 * (0.5e-6 + 1e-6);
    let far = 0.03 / (0.03 + 0.03 + 0.32);
    let end: f64 = 3e-6 + (1.0 - far) * (1.0 - far) * 0.5e-6 + far * far * (0.5e-6 + 2e-6) + 1e-6;
    near(track.worst(&[1.0, 3.0], &by_henries), end.max(middle), 1e-6);
    // A square wave's current in a short grows with neither: more feeders are asked for than by a direct voltage, not fewer.
    let wanted = |inductive: bool| {
        let henries = if inductive { henries } else { LoneValues::default() };
        let short = |ohms: f64, henries: f64| SquareShort { volts: 15.0, ohms, henries, half_bit: 58e-6 }.sensed().rms;
        let cost = |ohms: f64, henries: f64| 27.0 / short(ohms, henries);
        LoneTrack { henries, ..track }.fewest(1.0, 8, &cost).map(|found| found.at.len())
    };
    assert!(wanted(true) > wanted(false), "{:?}, {:?}", wanted(true), wanted(false));
}

/// Against every arrangement on a grid of a fortieth of the track, for one, two and three feeders, over tracks of any kind.
#[test]
fn no_other_arrangement_is_better() {
    let mut seed = 7_u64;
    let mut share = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    for case in 0..24 {
        let length = 1.0 + 9.0 * share();
        let ohms = LoneValues {
            rail: 0.08 + 0.4 * share(),
            supply: 0.05 + 0.3 * share(),
            bus: if case % 3 == 0 { 0.0 } else { 0.01 + 0.08 * share() },
            feeder: 0.005 + 0.15 * share(),
        };
        let track = LoneTrack { length, from_far_end: case % 2 == 1, ohms, henries: LoneValues::default() };
        let grid: Vec<f64> = (0..=40).map(|k| track.length * f64::from(k) / 40.0).collect();
        for feeders in 1..=3 {
            let mut least = f64::INFINITY;
            let mut chosen = vec![0; feeders];
            loop {
                let at: Vec<f64> = chosen.iter().map(|&k| grid[k]).collect();
                least = least.min(track.worst(&at, &by_ohms));
                let Some(last) = (0..feeders).rev().find(|&k| chosen[k] < 40) else { break };
                let next = chosen[last] + 1;
                chosen[last..].fill(next);
            }
            let found = track.best(feeders, &by_ohms);
            near(track.worst(&found.at, &by_ohms), found.worst, 1e-12);
            assert!(found.at.windows(2).all(|w| w[0] <= w[1] + 1e-9), "{:?}", found.at);
            assert!(found.worst <= least * 1.0005, "{track:?}, {feeders}: {found:?}, on the grid {least}");
        }
        // What is passed over unsearched could not have been enough.
        let enough = |n: usize| track.fewest(track.best(n, &by_ohms).worst, 8, &by_ohms).map(|f| f.at.len());
        assert!((1..=4).all(|n| enough(n).is_some_and(|found| found <= n)), "{track:?}");
        // More feeders are no worse, and the fewest is the fewest.
        let worst: Vec<f64> = (1..=4).map(|n| track.best(n, &by_ohms).worst).collect();
        assert!(worst.windows(2).all(|w| w[1] <= w[0] * (1.0 + 1e-6)), "{worst:?}");
        let limit = 0.5 * (worst[1] + worst[2]);
        if worst[2] < limit && limit < worst[1] {
            assert_eq!(track.fewest(limit, 8, &by_ohms).map(|f| f.at.len()), Some(3));
        }
    }
}

/// The definition of capacitance: 4700 µF from 13.6 V to 4 V at 0.3 A last `4700e-6·9.6/0.3` = 150.4 ms; at 0.25 m/s 37.6 mm.
#[test]
fn a_reservoir_by_hand() {
    let run = RunOn { farads: 4700e-6, full_volts: 13.6, least_volts: 4.0, amps: 0.3, speed: 0.25 };
    near(run.seconds(), 0.1504, 1e-12);
    near(run.metres(), 0.0376, 1e-12);
    assert_eq!(RunOn { full_volts: 3.0, ..run }.metres(), 0.0);
    // Energy: what the capacitor gives, `½C(U₁² − U₂²)`, is the mean of the voltage times the current for so long.
    let given = 0.5 * run.farads * (13.6 * 13.6 - 4.0 * 4.0);
    near(given, 0.5 * (13.6 + 4.0) * run.amps * run.seconds(), 1e-12);
}

/// Across a gap: from the source through one branch to the gap's one side, from its other side through another branch back.
#[test]
fn a_wheel_over_a_gap_by_hand() {
    let mut hand = ByHand::default();
    let source = hand.source(15.0, 0.1);
    let inside = hand.0.edges[0].henries.typical * 1e6;
    let [one, other] = hand.nodes();
    let mut wire = |a, b, ohms: f64, henries: f64| {
        let edge = hand.edge(a, b, ohms);
        hand.0.edges[edge].henries = handbook::Spread::exactly(henries);
    };
    wire(source[0], one, 0.2, 3e-6);
    wire(source[0], one, 0.6, 1e-6);
    wire(source[1], other, 0.05, 2e-6);
    let found = across(&hand.0, &[], Level::Typical, [one, other]).unwrap().unwrap();
    near(found.ohms, 0.1 + 0.15 + 0.05, 1e-9);
    // Three quarters of the current go one way: (3/4)²·3 µH + (1/4)²·1 µH, and 2 µH back; beside them what the source's own edge has.
    near(found.henries, (0.5625 * 3.0 + 0.0625 + 2.0 + inside) * 1e-6, 1e-3);
    assert_eq!(across(&hand.0, &[], Level::Typical, [one, one]).unwrap(), None);
}
