//! The formulas in time against published values, textbook cases and plain integration.

use electrics::commutation::{Rectified, SquareLoop, rectified_band};
use electrics::inrush::{AtOnce, Fleet};
use electrics::overshoot::{RingingLoop, Start, energy_joules, peak_band};
use electrics::partial_short::{HeatBound, burnt_watts, hottest, hottest_band};
use electrics::rc_filter::{Filter, Use, detection, effect, response, volts_at};
use handbook::Spread;
use handbook::limits::ONE_HALF_BIT;
use handbook::scales::scale;

#[track_caller]
fn check_near(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} is not {expected}");
}

/// ±15 V, 116 µs, 0.2 Ω and an inductance in µH.
fn bench(microhenries: f64) -> SquareLoop {
    SquareLoop { volts: 15.0, ohms: 0.2, henries: microhenries * 1e-6, hertz: 1.0 / 116e-6 }
}

#[test]
fn commutation_loss() {
    // [calc] formula 13.68 / 12.39 / 10.78 V, half a unit of the last figure; a circuit simulator's mean (diodes near
    // ideal) 13.63 / 12.38 / 10.75 V, tolerance 0.6 %
    for (microhenries, formula, simulated) in [(2.0, 13.68, 13.63), (10.0, 12.39, 12.38), (20.0, 10.78, 10.75)] {
        let volts = bench(microhenries).rectified(5.0).volts();
        assert!((volts - formula).abs() <= 0.005, "{volts} is not {formula}");
        check_near(volts, simulated, 0.006);
        // The comparison is no matter of course: without the overlap it is 14 V.
        assert!((14.0 - simulated).abs() > 0.02 * simulated);
    }
    // [std] NMRA S-9.1: half-bits of a one 55 to 61 µs; 116 µs is the usual period
    assert_eq!(ONE_HALF_BIT.value.map(|s| s.0), Spread::new(55e-6, 58e-6, 61e-6));

    // No resistance: 2·L·I/V; nearly none: no digit is lost on the way there.
    for ohms in [0.0, 1e-300, 1e-12, 1e-9] {
        let Rectified::Steady { overlap_seconds, .. } = (SquareLoop { ohms, ..bench(10.0) }).rectified(5.0) else {
            panic!("no current at {ohms}")
        };
        check_near(overlap_seconds, 2.0 * 10e-6 * 5.0 / 15.0, 1e-12);
    }
    let Rectified::Steady { overlap_seconds, .. } = bench(10.0).rectified(30.0) else { panic!("no current") };
    check_near(overlap_seconds, 10e-6 / 0.2 * (21.0_f64 / 9.0).ln(), 1e-14);
    assert_eq!(bench(0.0).rectified(5.0), Rectified::Steady { volts: 14.0, overlap_seconds: 0.0 });
    check_near(bench(20.0).rectified(0.0).volts(), 15.0, 0.0);
}

#[test]
fn currents_that_do_not_swing_round() {
    let square = bench(20.0);
    let limit = square.limit_amps();
    check_near(limit, 75.0 * (0.2 * 116e-6 / (4.0 * 20e-6_f64)).tanh(), 1e-14);
    let Rectified::Steady { volts, overlap_seconds } = square.rectified(limit * (1.0 - 1e-9)) else {
        panic!("{limit} should just do")
    };
    check_near(overlap_seconds, 58e-6, 1e-8);
    assert!(volts > 0.0 && volts < 1e-6);
    for amps in [limit * (1.0 + 1e-9), 74.0] {
        let Rectified::NeverSwingsRound { limit_amps, overlap_seconds } = square.rectified(amps) else {
            panic!("{amps} should not do")
        };
        assert!(limit_amps == limit && overlap_seconds >= 58e-6);
        assert_eq!(square.rectified(amps).volts(), 0.0);
    }
    for amps in [75.0, 100.0] {
        assert_eq!(square.rectified(amps), Rectified::NothingLeft { limit_amps: limit });
    }
    // Without resistance V/(4·f·L), without inductance V/R, without either endless.
    check_near(SquareLoop { ohms: 0.0, ..square }.limit_amps(), 15.0 * 116e-6 / 80e-6, 1e-14);
    check_near(bench(0.0).limit_amps(), 75.0, 1e-14);
    assert_eq!(SquareLoop { ohms: 0.0, ..bench(0.0) }.limit_amps(), f64::INFINITY);

    let hertz = ONE_HALF_BIT.value.map(|half| 0.5 / half.0);
    let hertz = Spread::new(hertz.high, hertz.typical, hertz.low);
    let band = rectified_band(15.0, Spread::new(0.1, 0.2, 0.5), Spread::new(2e-6, 10e-6, 20e-6), hertz, 5.0);
    let [low, typical, high] = [band.low, band.typical, band.high].map(|found| found.volts());
    check_near(typical, bench(10.0).rectified(5.0).volts(), 1e-14);
    check_near(low, SquareLoop { ohms: 0.5, hertz: 1.0 / 110e-6, ..square }.rectified(5.0).volts(), 1e-14);
    assert!(low < typical && typical < high && high < 14.5);
}

/// A bus of 10 m at 1.4 µH/m and 0.1 Ω, with so many farads at its end.
fn bus(volts: f64, farads: f64) -> RingingLoop {
    RingingLoop { volts, ohms: 0.1, henries: 14e-6, farads }
}

#[test]
fn a_step_overshoots_as_the_textbook_has_it() {
    // Standard second-order step response, exp(−πζ/√(1−ζ²)): 52.7 % at ζ 0.2, 16.3 % at 0.5, 4.6 % at 0.7, as textbooks
    // of control engineering tabulate it; half a unit of the last figure.
    for (ratio, per_cent) in [(0.2, 52.7), (0.5, 16.3), (0.7, 4.6)] {
        let ringing = RingingLoop { volts: 1.0, ohms: 2.0 * ratio, henries: 1.0, farads: 1.0 };
        check_near(ringing.damping_ratio(), ratio, 1e-15);
        let peak = ringing.peak(Start { amps: 0.0, volts: 0.0 });
        assert!((100.0 * (peak.volts - 1.0) - per_cent).abs() <= 0.05, "{peak:?}");
        let speed = (1.0 - ratio * ratio).sqrt();
        check_near(peak.seconds, std::f64::consts::PI / speed, 1e-14);
        check_near(ringing.ringing_hertz().unwrap(), speed / (2.0 * std::f64::consts::PI), 1e-14);
    }
    // Undamped: a reversal rings to 3·V; a fault lets its energy into the capacitance, ½·L·I² = ½·C·v².
    let undamped = RingingLoop { ohms: 0.0, ..bus(15.0, 1e-9) };
    check_near(undamped.peak(Start::of_reversal(15.0)).volts, 45.0, 1e-14);
    let opened = RingingLoop { volts: 0.0, ..undamped };
    let peak = opened.peak(Start::of_fault(8.0));
    check_near(0.5 * 1e-9 * peak.volts * peak.volts, energy_joules(14e-6, 8.0), 1e-14);
    // A decoder's reservoir of 100 µF takes 8 A at less than 27 V; cable alone does not (NMRA S-9.1: HO 27 V).
    let withstand = scale("HO").unwrap().decoder_withstand.value.0;
    let across = |farads: f64| RingingLoop { volts: 0.0, ..bus(15.0, farads) }.peak(Start::of_fault(8.0)).volts;
    assert!(across(100e-6) < withstand && across(1e-9) > withstand);
}

/// Plain fourth-order Runge and Kutta over the circuit's own equations: the greatest voltage and when.
fn integrated(ringing: &RingingLoop, filter: Option<Filter>, start: Start, span: f64, steps: usize) -> (f64, f64) {
    let slope = |[i, v, s]: [f64; 3]| {
        let through = filter.map_or(0.0, |f| (v - s) / f.ohms);
        [
            (ringing.volts - ringing.ohms * i - v) / ringing.henries,
            (i - through) / ringing.farads,
            filter.map_or(0.0, |f| through / f.farads),
        ]
    };
    let step = span / steps as f64;
    let moved = |x: [f64; 3], k: [f64; 3], by: f64| std::array::from_fn(|n| x[n] + by * k[n]);
    let mut x = [start.amps, start.volts, start.volts];
    let mut best = (x[1], 0.0);
    for n in 1..=steps {
        let k1 = slope(x);
        let k2 = slope(moved(x, k1, 0.5 * step));
        let k3 = slope(moved(x, k2, 0.5 * step));
        let k4 = slope(moved(x, k3, step));
        x = std::array::from_fn(|j| x[j] + step / 6.0 * (k1[j] + 2.0 * k2[j] + 2.0 * k3[j] + k4[j]));
        if x[1] > best.0 {
            best = (x[1], n as f64 * step);
        }
    }
    best
}

#[test]
fn peaks_agree_with_integration() {
    let starts = [Start::of_fault(8.0), Start::of_reversal(15.0), Start { amps: 3.0, volts: 20.0 }];
    let mut compared = 0;
    for volts in [-15.0, 0.0, 15.0] {
        // The last three are overdamped, nearly critical (a part in 10¹²) and critical.
        for (ohms, henries, farads) in
            [(0.1, 14e-6, 10e-9), (5.0, 14e-6, 1e-6), (30.0, 14e-6, 1e-6), (2.0 + 2e-12, 1e-6, 1e-6), (2.0, 1e-6, 1e-6)]
        {
            let ringing = RingingLoop { volts, ohms, henries, farads };
            let root = (henries * farads).sqrt();
            for start in starts {
                for filter in [
                    None,
                    Some(Filter { ohms: 100.0, farads: 100e-9 }),
                    Some(Filter { ohms: 2.0, farads: 4.0 * farads }),
                    Some(Filter { ohms: 1000.0, farads: 0.01 * farads }),
                ] {
                    let found = response(&ringing, filter, start);
                    let (expected, at) = integrated(&ringing, filter, start, 60.0 * root, 60_000);
                    if found.peak.seconds.is_finite() && found.peak.seconds < 60.0 * root {
                        // Steps of a thousandth of √(LC) miss a top by less than a part in 10⁶ of the swing.
                        assert!(
                            (found.peak.volts - expected).abs() < 5e-6 * 60.0,
                            "{ringing:?} {start:?} {filter:?} {found:?} {expected}"
                        );
                        assert!((found.peak.seconds - at).abs() < 0.02 * root, "{found:?} {at}");
                        check_near(volts_at(&ringing, filter, start, found.peak.seconds), found.peak.volts, 1e-9);
                        compared += 1;
                    } else {
                        assert!(expected <= found.peak.volts + 1e-9, "{ringing:?} {start:?} {filter:?} {expected}");
                    }
                }
            }
        }
    }
    assert!(compared > 80, "{compared}");
}

#[test]
fn filters_damp_but_do_not_clamp() {
    // 5 m of cable at 50 pF/m and some decoders' suppression, 1 nF in all.
    let ringing = bus(15.0, 1e-9);
    let withstand = 27.0; // [std] NMRA S-9.1, HO
    let usual = Filter { ohms: 100.0, farads: 100e-9 };
    let reversal = effect(&ringing, usual, Start::of_reversal(15.0), withstand);
    check_near(reversal.without.peak.volts, 45.0, 0.01);
    assert_eq!(reversal.good_for, Use::Needed);
    assert!(reversal.with.damping_ratio.unwrap() > 0.3 && reversal.without.damping_ratio.unwrap() < 0.001);
    // √(L/C)/(2·R_s) of the damping ratio, as long as the filter's capacitor is much the larger.
    check_near(
        response(&ringing, Some(Filter { ohms: 300.0, farads: 1e-5 }), Start::of_reversal(15.0)).damping_ratio.unwrap(),
        ringing.surge_ohms() / 600.0,
        0.01,
    );
    let fault = effect(&ringing, usual, Start::of_fault(8.0), withstand);
    assert_eq!(fault.good_for, Use::NotEnough);
    // Linear: twice the current, twice as far above what no current makes, with the supply's volts at none.
    let opened = RingingLoop { volts: 0.0, ..ringing };
    let over = |amps: f64| response(&opened, Some(usual), Start::of_fault(amps)).peak.volts;
    check_near(over(16.0), 2.0 * over(8.0), 1e-9);
    // 100 µF at the end of the line need no filter, and 10 MΩ are none.
    assert_eq!(effect(&bus(15.0, 100e-6), usual, Start::of_fault(8.0), 60.0).good_for, Use::NotNeeded);
    let idle = effect(&ringing, Filter { ohms: 1e7, farads: 100e-9 }, Start::of_reversal(15.0), withstand);
    check_near(idle.with.peak.volts, idle.without.peak.volts, 1e-4);

    // What stood above the supply and only falls was never higher; overdamped, the supply's voltage is but approached.
    let falls = response(&ringing, Some(usual), Start { amps: 0.0, volts: 20.0 }).peak;
    assert_eq!((falls.volts, falls.seconds), (20.0, 0.0));
    let slow = RingingLoop { ohms: 30.0, ..bus(15.0, 1e-6) }.peak(Start { amps: 3.0, volts: -5.0 });
    assert_eq!((slow.volts, slow.seconds), (15.0, f64::INFINITY));

    let opened = RingingLoop { volts: 0.0, ..bus(15.0, 1e-6) };
    let amps = Spread::new(4.0, 8.0, 16.0);
    let band = peak_band(opened, Spread::new(0.1, 0.5, 2.0), Start::of_fault(0.0), amps);
    assert!(band.low.volts < band.typical.volts && band.typical.volts < band.high.volts);
    assert_eq!(band.high, RingingLoop { ohms: 0.1, ..opened }.peak(Start::of_fault(16.0)));
}

#[test]
fn heat_of_a_filter() {
    let hertz = 1.0 / 116e-6;
    // Much faster than the signal: C·(2V)² each half period; much slower: as if the capacitor were a wire.
    let quick = Filter { ohms: 1.0, farads: 100e-9 }.heat(15.0, hertz);
    check_near(quick.watts, 2.0 * hertz * 0.5 * 100e-9 * 30.0 * 30.0, 1e-12);
    check_near(quick.pulse_amps, 30.0, 1e-12);
    let slow = Filter { ohms: 100.0, farads: 1.0 }.heat(15.0, hertz);
    check_near(slow.watts, 2.25, 1e-9);
    check_near(slow.pulse_amps, 0.15, 1e-6);
    // The usual 100 Ω and 100 nF at 15 V: more than half a watt.
    let usual = Filter { ohms: 100.0, farads: 100e-9 }.heat(15.0, hertz);
    check_near(usual.watts, 4.0 * hertz * 1e-7 * 225.0 * (116e-6_f64 / 4e-5).tanh(), 1e-14);
    assert!(usual.watts > 0.5 && usual.watts < 1.0);
}

#[test]
fn detection_delay() {
    // Hardly any capacitance: L/R·ln(1/(1 − I_trip·R/V)).
    let ringing = bus(15.0, 1e-12);
    let filter = Filter { ohms: 100.0, farads: 100e-9 };
    let found = detection(&ringing, filter, 0.2, 5.0);
    let plain = 14e-6 / 0.3 * (1.0 / (1.0 - 5.0 * 0.3 / 15.0_f64)).ln();
    check_near(found.without.unwrap(), plain, 1e-4);
    let added = found.with.unwrap() - found.without.unwrap();
    assert!(added > 0.0 && added < 100e-9, "{added}");
    // A dead short: the filter does nothing, and a short of next to nothing hardly more.
    let dead = detection(&ringing, filter, 0.0, 5.0);
    check_near(dead.with.unwrap(), 14e-6 / 0.1 * (1.0 / (1.0 - 0.5 / 15.0_f64)).ln(), 1e-13);
    assert_eq!((dead.without, detection(&ringing, filter, 0.0, 150.0).with), (dead.with, None));
    check_near(detection(&bus(15.0, 1e-9), filter, 1e-4, 5.0).with.unwrap(), dead.with.unwrap(), 1e-4);
    // A filter of little resistance and much capacitance, across a fault of some resistance, does delay.
    let heavy = detection(&ringing, Filter { ohms: 0.5, farads: 10e-6 }, 1.0, 5.0);
    assert!(heavy.with.unwrap() > 1.5 * heavy.without.unwrap(), "{heavy:?}");
    // 15 V over 3.1 Ω stay below 5 A.
    assert_eq!(detection(&ringing, filter, 3.0, 5.0).without, None);
    assert_eq!(detection(&ringing, filter, 3.0, 5.0).with, None);
}

fn fleet(decoders: u32) -> Fleet {
    Fleet {
        decoders,
        farads: 1000e-6,
        inrush_ohms: 2.0,
        bridge_volts: 1.4,
        volts: 15.0,
        loop_ohms: 0.3,
        steady_amps: 0.5,
    }
}

#[test]
fn inrush_by_hand() {
    let four = fleet(4);
    let filling = 15.0 - 1.4 - 0.15;
    check_near(four.amps_at(0.0), 0.5 + filling / (0.3 + 0.5), 1e-14);
    check_near(four.time_constant(), 3.2e-3, 1e-14);
    let above = four.seconds_above(5.0);
    check_near(four.amps_at(above), 5.0, 1e-13);
    check_near(above, 3.2e-3 * (filling / 0.8 / 4.5_f64).ln(), 1e-13);
    assert!(four.switch_on(5.0, above * 0.999).trips && !four.switch_on(5.0, above * 1.001).trips);
    // What flows is what fills: τ·I₀ = n·C·V'.
    check_near(four.time_constant() * (four.amps_at(0.0) - 0.5), 4.0 * 1000e-6 * filling, 1e-13);

    let AtOnce::UpTo(most) = four.at_once(5.0, 10e-3) else { panic!("some number trips") };
    assert!(most > 0 && !fleet(most).switch_on(5.0, 10e-3).trips && fleet(most + 1).switch_on(5.0, 10e-3).trips);
    // 13.45 V over 3 Ω stay below 4.5 A, however many.
    let weak = Fleet { loop_ohms: 3.0, ..four };
    assert_eq!(weak.at_once(5.0, 0.0), AtOnce::AnyNumber);
    assert!(!Fleet { decoders: 1_000_000, ..weak }.switch_on(5.0, 0.0).trips);
    // Trains that trip it without any help; no resistance at all; none to fill.
    assert_eq!(Fleet { steady_amps: 6.0, ..four }.at_once(5.0, 10e-3), AtOnce::UpTo(0));
    assert_eq!(fleet(0).amps_at(0.0), 0.5);
    let bare = Fleet { loop_ohms: 0.0, inrush_ohms: 0.0, ..four }.switch_on(5.0, 10e-3);
    assert!(bare.first_amps == f64::INFINITY && bare.above_seconds == 0.0 && !bare.trips);
}

#[test]
fn inrush_over_a_band_of_resistance() {
    for steady_amps in [0.0, 0.5, 2.0] {
        let fleet = Fleet { steady_amps, ..fleet(8) };
        for (low, high) in [(0.01, 0.1), (0.05, 3.0), (0.8, 2.9), (0.0, 20.0)] {
            let band = fleet.seconds_above_band(Spread::new(low, 0.5 * (low + high), high), 5.0);
            let tried = (0..=20_000).map(|k| low + (high - low) * f64::from(k) / 20_000.0);
            let tried: Vec<f64> = tried.map(|ohms| Fleet { loop_ohms: ohms, ..fleet }.seconds_above(5.0)).collect();
            let (least, most) = tried.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), &t| (a.min(t), b.max(t)));
            check_near(band.high, most, 1e-6);
            check_near(band.low, least, 1e-12);
            assert!(tried.iter().all(|&t| t <= band.high) && band.low <= band.typical);
        }
    }
    // Without steady current the longest is at n·R + r = n·V'/(e·I_trip).
    let none = Fleet { steady_amps: 0.0, bridge_volts: 0.0, ..fleet(8) };
    let worst = (8.0 * 15.0 / (5.0 * std::f64::consts::E) - 2.0) / 8.0;
    let band = none.seconds_above_band(Spread::new(0.0, 0.3, 3.0), 5.0);
    check_near(band.high, Fleet { loop_ohms: worst, ..none }.seconds_above(5.0), 1e-12);
}

#[test]
fn partial_shorts() {
    // Common practice, no source: at 5 A and 14 V a loop above 2.8 Ω never trips and can put 60–80 W into one spot.
    let never = hottest(14.0, 2.8, Some(5.0));
    assert_eq!((never.bound, never.fault_ohms), (HeatBound::Loop, 2.8));
    check_near(never.watts, 17.5, 1e-14);
    let spot = hottest(14.0, 0.1, Some(5.0));
    assert_eq!(spot.bound, HeatBound::Breaker);
    check_near(spot.watts, 5.0 * 13.5, 1e-14);
    assert!((60.0..80.0).contains(&spot.watts));
    // No fault that leaves the breaker closed burns more, and the one said to burns as much.
    for loop_ohms in [0.05, 0.3, 1.39, 1.41, 2.0, 4.0] {
        for trip in [None, Some(2.0), Some(5.0)] {
            let found = hottest(14.0, loop_ohms, trip);
            check_near(burnt_watts(14.0, loop_ohms, found.fault_ohms), found.watts, 1e-13);
            let mut most = 0.0_f64;
            for k in 0..200_000 {
                let fault = f64::from(k) * 1e-4;
                if trip.is_none_or(|trip| 14.0 / (loop_ohms + fault) < trip) {
                    most = most.max(burnt_watts(14.0, loop_ohms, fault));
                }
            }
            assert!(most <= found.watts * (1.0 + 1e-14) && most > 0.999 * found.watts, "{found:?} {most}");
        }
    }
    assert_eq!(hottest(14.0, 0.0, None).watts, f64::INFINITY);
    assert_eq!(burnt_watts(14.0, 0.0, 0.0), 0.0);
    let band = hottest_band(14.0, Spread::new(0.1, 1.0, 3.0), Some(5.0));
    assert_eq!((band.low.bound, band.high), (HeatBound::Loop, spot));
    assert!(band.low.watts < band.typical.watts && band.typical.watts < band.high.watts);
}
