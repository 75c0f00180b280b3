//! Formulas in time over a grid of resistance, inductance, half bit, edge and reservoir, each against a time-domain run of the circuit
//! simulator on a deck from first principles: a source, resistors, inductors, capacitors, diodes of some millivolts.

use crate::enumeration::{require, side};
use crate::simulator::ignored;
use crate::transients::{IDEAL, bridge, measure};
use electrics::commutation::{Rectified, SquareLoop};
use electrics::mixed_fleet::{MixedFleet, Reservoir};
use electrics::overshoot::RingingLoop;
use electrics::rc_filter::{Filter, detection};
use electrics::run_on::RunOn;
use electrics::square_short::{SquareShort, hottest};
use libtest_mimic::{Failed, Trial};

type Case = fn() -> Result<(), Failed>;

pub fn trials() -> Vec<Trial> {
    let cases: [(&str, Case); 6] = [
        ("commutation", commutation),
        ("commutation_with_slow_edges", slow_edges),
        ("what_a_partial_short_burns", partial_shorts),
        ("reservoirs_at_switch_on", reservoirs),
        ("when_a_filter_lets_a_breaker_trip", detections),
        ("how_long_a_train_runs_on", run_on),
    ];
    cases.map(|(name, case)| Trial::test(format!("time_grid::{name}"), case).with_ignored_flag(ignored())).into()
}

/// Mean of what a bridge gives a steady current, over ten periods after twenty.
fn mean_volts(square: &SquareLoop, amps: f64, edge: f64) -> Result<f64, Failed> {
    let SquareLoop { volts, ohms, henries, hertz } = *square;
    let period = 1.0 / hertz;
    let parts = format!(
        "v1 in 0 pulse({} {volts} 0 {edge:e} {edge:e} {:e} {period:e})\n\
         r1 in a {ohms}\nl1 a b {henries:e} ic=0\n{}i1 p m {amps}\nbd d 0 v=v(p,m)\n{IDEAL}",
        -volts,
        0.5 * period - edge,
        bridge("b", "b", "p", "m", "ideal")
    );
    let wanted = format!("avg v(d) from={:e} to={:e}", 20.0 * period, 30.0 * period);
    Ok(measure(&parts, 30.0 * period, 0.1e-6, &[wanted])?[0])
}

/// Two diodes of 2.3 mV, edges of a nanosecond and steps of 0.1 µs: a hundredth of a volt.
fn commutation() -> Result<(), Failed> {
    let (mut steady, mut never) = (0, 0);
    for ohms in side(&[0.1, 0.5, 1.5]) {
        for henries in side(&[1e-6, 6e-6, 25e-6]) {
            for half_bit in side(&[52e-6, 58e-6, 64e-6]) {
                for amps in [0.5, 4.0] {
                    let square = SquareLoop { volts: 15.0, ohms, henries, hertz: 0.5 / half_bit };
                    let (ours, theirs) = (square.rectified(amps), mean_volts(&square, amps, 1e-9)?);
                    println!("{square:?}, {amps} A: ours {ours:?}, the simulator's {theirs} V");
                    require((ours.volts() - theirs).abs() <= 0.01, || format!("{square:?}: {ours:?}, {theirs}"))?;
                    match ours {
                        Rectified::Steady { .. } => steady += 1,
                        _ => never += 1,
                    }
                }
            }
        }
    }
    println!("{steady} steady, {never} that never swing round");
    require(steady >= 3 * never && steady >= 10, || format!("only {steady} of the grid are steady"))
}

/// Edges of 1, 5 and 12.5 µs, the slowest that S-9.1 allows: the formula has ideal ones. Without inductance a decoder would lose half an
/// edge of each half bit; behind some it loses less, for the current turns round meanwhile. So what is worked out is never less than
/// there is by more than a hundredth of a volt, and more by no more than half an edge takes of a half bit and of the supply's voltage.
fn slow_edges() -> Result<(), Failed> {
    for (ohms, henries) in [(0.3, 2e-6), (0.5, 10e-6), (1.0, 25e-6)] {
        for edge in side(&[1e-6, 5e-6, 12.5e-6]) {
            for half_bit in [52e-6, 61e-6] {
                let square = SquareLoop { volts: 15.0, ohms, henries, hertz: 0.5 / half_bit };
                let (ours, theirs) = (square.rectified(2.0).volts(), mean_volts(&square, 2.0, edge)?);
                let lost = (ours - theirs) / ours;
                println!("{square:?}, edge {edge:e}: ours {ours}, the simulator's {theirs} V, {lost:.4} less");
                let room = 0.5 * edge / half_bit * square.volts / ours;
                require(lost >= -0.01 / ours && lost <= room + 0.002, || {
                    format!("edge {edge:e}: ours {ours}, the simulator's {theirs}, {lost} of it")
                })?;
            }
        }
    }
    Ok(())
}

/// The hottest short that leaves a breaker closed: what it burns is the mean of `i²·r` over periods, half a per cent; and no short of a
/// tenth more or less resistance that leaves it closed burns more.
fn partial_shorts() -> Result<(), Failed> {
    let watts = |square: &SquareShort, short: f64| -> Result<[f64; 2], Failed> {
        let SquareShort { volts, ohms, henries, half_bit } = *square;
        let period = 2.0 * half_bit;
        let parts = format!(
            "v1 in 0 pulse({} {volts} 0 1e-8 1e-8 {:e} {period:e})\nr1 in a {ohms}\nl1 a b {henries:e} ic=0\nrs b 0 {short}\n\
             bp w 0 v=v(b)*v(b)/{short}\n",
            -volts,
            half_bit - 1e-8
        );
        let (from, to) = (60.0 * period, 64.0 * period);
        let found = measure(
            &parts,
            to,
            period / 800.0,
            &[format!("avg v(w) from={from:e} to={to:e}"), format!("rms i(v1) from={from:e} to={to:e}")],
        )?;
        Ok([found[0], found[1]])
    };
    for (ohms, henries, half_bit) in [(0.3, 4e-6, 58e-6), (0.6, 12e-6, 52e-6), (0.2, 30e-6, 64e-6)] {
        for trip_amps in [3.0, 6.0] {
            let square = SquareShort { volts: 15.0, ohms, henries, half_bit };
            let (short, ours) = hottest(&square, Some(circuit::Senses::Rms), trip_amps);
            let [theirs, rms] = watts(&square, short)?;
            println!(
                "{square:?}, trips at {trip_amps} A: {short} Ω, ours {ours} W, the simulator's {theirs} W at {rms} A"
            );
            require((ours / theirs - 1.0).abs() <= 0.005, || format!("{square:?}: {ours} W, {theirs} W"))?;
            require(rms <= trip_amps * 1.005, || format!("{rms} A trip the breaker"))?;
            for other in [short * 0.9, short * 1.1] {
                let [watts, rms] = watts(&square, other)?;
                require(rms > trip_amps || watts <= ours * 1.005, || format!("{other} Ω burn {watts} W at {rms} A"))?;
            }
        }
    }
    Ok(())
}

/// Reservoirs from 100 µF to 4700 µF behind 1 to 22 Ω and one loop: for how long more flows than trips a breaker, a thousandth.
fn reservoirs() -> Result<(), Failed> {
    let mut trips = 0;
    for loop_ohms in [0.15, 0.5, 1.2] {
        for farads in [100e-6, 1000e-6, 4700e-6] {
            for ohms in [1.0, 5.0, 22.0] {
                let cells = [(farads, ohms), (220e-6, 2.0)];
                let fleet = MixedFleet {
                    reservoirs: cells.map(|(farads, ohms)| Reservoir { farads, ohms }).to_vec(),
                    filling_volts: 13.6,
                    loop_ohms,
                    steady_amps: 0.0,
                };
                let trip_amps = 0.3 * fleet.amps_at(0.0);
                let ours = fleet.switch_on(trip_amps, 1e-3).above_seconds;
                let each = cells.iter().enumerate();
                let parts: String = each
                    .map(|(k, (farads, ohms))| format!("r{k}x b c{k} {ohms}\nc{k}x c{k} 0 {farads:e} ic=0\n"))
                    .collect();
                let parts = format!("v1 in 0 13.6\nrl in b {loop_ohms}\n{parts}bm m 0 v=-i(v1)\n");
                let theirs = measure(&parts, 1.5 * ours, ours / 4000.0, &[format!("when v(m)={trip_amps} fall=1")])?[0];
                require((ours / theirs - 1.0).abs() <= 1e-3, || format!("{fleet:?}: {ours} s, {theirs} s"))?;
                trips += 1;
            }
        }
    }
    println!("{trips} fleets");
    Ok(())
}

/// When a short at the end of a loop with a filter trips 5 A, over inductances, filters and shorts: a part in two thousand.
fn detections() -> Result<(), Failed> {
    for henries in [4e-6, 14e-6, 40e-6] {
        for (ohms, farads) in [(100.0, 100e-9), (10.0, 1e-6)] {
            for fault_ohms in [0.05, 0.5] {
                let ringing = RingingLoop { volts: 15.0, ohms: 0.2, henries, farads: 1e-9 };
                let found = detection(&ringing, Filter { ohms, farads }, fault_ohms, 5.0);
                for (ours, filter) in [(found.without, false), (found.with, true)] {
                    let ours = ours.ok_or("ours never trips")?;
                    let fitted =
                        if filter { format!("rs b s {ohms}\ncs s 0 {farads:e} ic=15\n") } else { String::new() };
                    let parts = format!(
                        "v1 in 0 15\nr1 in a 0.2\nl1 a b {henries:e} ic=0\nc1 b 0 1e-9 ic=15\n{fitted}rf b 0 {fault_ohms}\n"
                    );
                    let theirs = measure(&parts, 2.0 * ours, ours / 8000.0, &["when i(l1)=5 rise=1".to_owned()])?[0];
                    println!("{henries:e} H, {ohms} Ω {farads:e} F ({filter}), {fault_ohms} Ω: {ours} s, {theirs} s");
                    require((ours / theirs - 1.0).abs() <= 5e-4, || format!("{ringing:?}: {ours} s, {theirs} s"))?;
                }
            }
        }
    }
    Ok(())
}

/// A reservoir behind a rectifier that feeds a steady current, once the track loses its power: when it is down to what a decoder needs, two
/// thousandths; the rectifier keeps its few millivolts and lets a microampere back.
fn run_on() -> Result<(), Failed> {
    for farads in [470e-6, 2200e-6, 10000e-6] {
        for amps in [0.1, 0.5] {
            for least_volts in [4.0, 8.0] {
                let run = RunOn { farads, full_volts: 13.6, least_volts, amps, speed: 0.2 };
                let ours = run.seconds();
                // A quarter of that under power, then nothing on the track.
                let (off, quick) = (0.25 * ours, 1e-3 * ours);
                let parts = format!(
                    "v1 in 0 pwl(0 13.6 {off:e} 13.6 {:e} 0)\nd1 in b ideal\nc1 b 0 {farads:e} ic=13.6\ni1 b 0 {amps}\n.model ideal d(is=1e-6 n=0.01)\n",
                    off + 1e-3 * quick
                );
                let wanted = [format!("when v(b)={least_volts} fall=1")];
                let theirs = measure(&parts, 1.5 * ours, quick, &wanted)?[0] - off;
                println!("{run:?}: ours {ours} s, the simulator's {theirs} s");
                require((ours / theirs - 1.0).abs() <= 2e-3, || format!("{run:?}: {ours} s, {theirs} s"))?;
            }
        }
    }
    Ok(())
}
