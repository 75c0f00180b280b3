//! The formulas in time against time-domain runs of the circuit simulator.
//!
//! Each tolerance is what the simulated circuit differs by from the formula's: diodes that drop a few millivolts, edges
//! that take time, and steps of finite length.

use crate::enumeration::require;
use crate::simulator::{ignored, run};
use electrics::commutation::{Rectified, SquareLoop};
use electrics::inrush::Fleet;
use electrics::overshoot::{RingingLoop, Start};
use electrics::rc_filter::{Filter, detection, response, volts_at};
use libtest_mimic::{Failed, Trial};

type Case = fn() -> Result<(), Failed>;

pub fn trials() -> Vec<Trial> {
    let cases: [(&str, Case); 6] = [
        ("commutation_loss", commutation_loss),
        ("overshoot", overshoot),
        ("filter_damping", filter_damping),
        ("filter_heat_and_detection", filter_heat_and_detection),
        ("inrush", inrush),
        ("a_wrong_part_is_noticed", wrong_parts),
    ];
    cases.map(|(name, case)| Trial::test(format!("transients::{name}"), case).with_ignored_flag(ignored())).into()
}

/// How far two values are apart, as a part of the second.
fn apart(ours: f64, theirs: f64) -> f64 {
    ((ours - theirs) / theirs).abs()
}

fn agree(what: &str, ours: f64, theirs: f64, tolerance: f64) -> Result<(), Failed> {
    println!("{what}: ours {ours}, the simulator's {theirs}, {:.1e} apart", apart(ours, theirs));
    require(apart(ours, theirs) <= tolerance, || format!("{what}: ours {ours}, the simulator's {theirs}"))
}

/// Runs parts for a time in steps no longer than this, seconds, from the given initial conditions; gives the results of
/// the `.meas` lines, in order.
pub(crate) fn measure(parts: &str, end: f64, step: f64, wanted: &[String]) -> Result<Vec<f64>, Failed> {
    let lines: Vec<String> =
        wanted.iter().enumerate().map(|(k, line)| format!(".meas tran found{k} {line}\n")).collect();
    let deck = format!(
        "transient\n{parts}.options reltol=1e-5 abstol=1e-6 vntol=1e-6\n\
         .tran {step:e} {end:e} 0 {step:e} uic\n{}.end\n",
        lines.concat()
    );
    let text = run(&deck)?;
    let result = |k: usize| {
        let name = format!("found{k}");
        let value = text.lines().find_map(|line| {
            let (found, value) = line.split_once('=')?;
            (found.trim() == name).then(|| value.split_whitespace().next()?.parse().ok())?
        });
        value.ok_or_else(|| Failed::from(format!("{:?} has no result:\n{deck}\n{text}", wanted[k])))
    };
    (0..wanted.len()).map(result).collect()
}

/// The usual period of a one.
const TRACK_HERTZ: f64 = 1.0 / 116e-6;

/// A diode of some millivolts at an ampere.
pub(crate) const IDEAL: &str = ".model ideal d(is=1e-3 n=0.01)\n";

pub(crate) fn bridge(name: &str, at: &str, plus: &str, minus: &str, model: &str) -> String {
    format!(
        "d{name}1 {at} {plus} {model}\nd{name}2 0 {plus} {model}\n\
         d{name}3 {minus} {at} {model}\nd{name}4 {minus} 0 {model}\n"
    )
}

/// A square wave whose edges take this many seconds.
fn square(volts: f64, hertz: f64, edge: f64) -> String {
    let period = 1.0 / hertz;
    format!("v1 in 0 pulse({} {volts} 0 {edge:e} {edge:e} {:e} {period:e})\n", -volts, 0.5 * period - edge)
}

/// Mean of what a bridge gives a steady current, over ten periods after twenty.
fn mean_volts(square_loop: &SquareLoop, amps: f64) -> Result<f64, Failed> {
    let SquareLoop { volts, ohms, henries, hertz } = *square_loop;
    let parts = format!(
        "{}r1 in a {ohms}\nl1 a b {henries:e} ic=0\n{}i1 p m {amps}\nbd d 0 v=v(p,m)\n{IDEAL}",
        square(volts, hertz, 1e-9),
        bridge("b", "b", "p", "m", "ideal")
    );
    let (from, to) = (20.0 / hertz, 30.0 / hertz);
    let wanted = format!("avg v(d) from={from:e} to={to:e}");
    Ok(measure(&parts, to, 0.1e-6, &[wanted])?[0])
}

/// In volts: two diodes of 2.3 mV, and as much for edges of a nanosecond and steps of 0.1 µs.
const COMMUTATION: f64 = 0.01;

fn track(microhenries: f64) -> SquareLoop {
    SquareLoop { volts: 15.0, ohms: 0.2, henries: microhenries * 1e-6, hertz: TRACK_HERTZ }
}

fn commutation_loss() -> Result<(), Failed> {
    for (microhenries, ohms, amps) in
        [(2.0, 0.2, 5.0), (10.0, 0.2, 5.0), (20.0, 0.2, 5.0), (5.0, 1.0, 3.0), (30.0, 0.05, 8.0)]
    {
        let square_loop = SquareLoop { ohms, ..track(microhenries) };
        let (ours, theirs) = (square_loop.rectified(amps).volts(), mean_volts(&square_loop, amps)?);
        println!("{square_loop:?}, {amps} A: ours {ours}, the simulator's {theirs} V");
        require((ours - theirs).abs() <= COMMUTATION, || format!("{square_loop:?}: ours {ours}, {theirs}"))?;
    }
    // A current that never swings round: nothing but the diodes' own millivolts is left.
    let ours = track(20.0).rectified(30.0);
    let theirs = mean_volts(&track(20.0), 30.0)?;
    println!("30 A through 20 µH: {ours:?}, the simulator's {theirs} V");
    require(matches!(ours, Rectified::NeverSwingsRound { .. }) && theirs.abs() <= COMMUTATION, || {
        format!("{ours:?}, {theirs}")
    })
}

/// The loop with its filter, as parts with initial conditions.
fn loop_parts(ringing: &RingingLoop, filter: Option<Filter>, start: Start) -> String {
    let RingingLoop { volts, ohms, henries, farads } = *ringing;
    let filter =
        filter.map_or(String::new(), |f| format!("rs b s {:e}\ncs s 0 {:e} ic={}\n", f.ohms, f.farads, start.volts));
    format!(
        "v1 in 0 {volts}\nr1 in a {ohms:e}\nl1 a b {henries:e} ic={}\nc1 b 0 {farads:e} ic={}\n{filter}",
        start.amps, start.volts
    )
}

/// Steps of a thousandth of √(LC): the trapezoidal rule lags by a part in 10⁷ a radian, a top that lies half a step
/// from a sample is missed by as little, and seven figures are printed.
const RINGING: f64 = 1e-5;

fn peak_of(ringing: &RingingLoop, filter: Option<Filter>, start: Start, units: f64) -> Result<f64, Failed> {
    let unit = (ringing.henries * ringing.farads).sqrt();
    let wanted = format!("max v(b) from=0 to={:e}", units * unit);
    Ok(measure(&loop_parts(ringing, filter, start), units * unit, 1e-3 * unit, &[wanted])?[0])
}

fn overshoot() -> Result<(), Failed> {
    for (volts, ohms, farads) in [(0.0, 0.1, 1e-9), (0.0, 0.1, 100e-6), (15.0, 0.5, 1e-6), (15.0, 5.0, 1e-6)] {
        for start in [Start::of_fault(8.0), Start::of_reversal(15.0)] {
            if volts == 0.0 && start.amps == 0.0 {
                continue; // an open breaker has no reversals
            }
            let ringing = RingingLoop { volts, ohms, henries: 14e-6, farads };
            let theirs = peak_of(&ringing, None, start, 8.0)?;
            agree(&format!("{ringing:?} {start:?}"), ringing.peak(start).volts, theirs, RINGING)?;
        }
    }
    Ok(())
}

fn filter_damping() -> Result<(), Failed> {
    for (farads, filter) in [
        (1e-9, Filter { ohms: 100.0, farads: 100e-9 }),
        (1e-9, Filter { ohms: 20.0, farads: 3e-9 }),
        (100e-9, Filter { ohms: 15.0, farads: 200e-9 }),
        (100e-9, Filter { ohms: 100.0, farads: 100e-9 }),
    ] {
        let ringing = RingingLoop { volts: 15.0, ohms: 0.1, henries: 14e-6, farads };
        let unit = (ringing.henries * farads).sqrt();
        for start in [Start::of_reversal(15.0), Start::of_fault(8.0)] {
            let ours = response(&ringing, Some(filter), start);
            let theirs = peak_of(&ringing, Some(filter), start, 20.0)?;
            agree(&format!("{farads:e} F, {filter:?}, {start:?}: peak"), ours.peak.volts, theirs, RINGING)?;
            // And the wave on its way, against the height of the swing.
            let times = [0.3, 1.0, 2.0, 4.0, 7.0, 12.0].map(|units| units * unit);
            let wanted = times.map(|time| format!("find v(b) at={time:e}"));
            let theirs = measure(&loop_parts(&ringing, Some(filter), start), 13.0 * unit, 1e-3 * unit, &wanted)?;
            for (time, theirs) in times.into_iter().zip(theirs) {
                let ours = volts_at(&ringing, Some(filter), start, time);
                let height = (ours - theirs).abs() / 30.0;
                require(height <= RINGING, || format!("{filter:?} at {time:e} s: ours {ours}, {theirs}"))?;
            }
        }
    }
    Ok(())
}

/// Mean power in the filter's resistor over twenty periods after ten.
fn burnt(filter: Filter) -> Result<f64, Failed> {
    let parts = format!(
        "{}rs in s {:e}\ncs s 0 {:e} ic=0\nbp w 0 v=v(in,s)*v(in,s)/{:e}\n",
        square(15.0, TRACK_HERTZ, 1e-9),
        filter.ohms,
        filter.farads,
        filter.ohms
    );
    let (from, to) = (10.0 / TRACK_HERTZ, 30.0 / TRACK_HERTZ);
    Ok(measure(&parts, to, 0.02e-6, &[format!("avg v(w) from={from:e} to={to:e}")])?[0])
}

/// When the supply's current reaches 5 A, after a short at the end of a loop at rest.
fn tripped(ringing: &RingingLoop, filter: Option<Filter>, fault_ohms: f64) -> Result<f64, Failed> {
    let start = Start { amps: 0.0, volts: ringing.volts };
    let parts = format!("{}rf b 0 {fault_ohms}\n", loop_parts(ringing, filter, start));
    Ok(measure(&parts, 60e-6, 1e-9, &["when i(l1)=5 rise=1".to_owned()])?[0])
}

/// Edges of a nanosecond beside time constants from 1.5 µs on burn less by a third of their ratio.
const HEAT: f64 = 5e-4;
/// Steps of 1 ns in times of microseconds, the crossing interpolated.
const DETECTION: f64 = 1e-4;

fn filter_heat_and_detection() -> Result<(), Failed> {
    for filter in [(100.0, 100e-9), (33.0, 47e-9), (100.0, 1e-6)].map(|(ohms, farads)| Filter { ohms, farads }) {
        agree(&format!("{filter:?} burns"), filter.heat(15.0, TRACK_HERTZ).watts, burnt(filter)?, HEAT)?;
    }
    let ringing = RingingLoop { volts: 15.0, ohms: 0.1, henries: 14e-6, farads: 1e-9 };
    for (filter, fault_ohms) in [
        (Filter { ohms: 100.0, farads: 100e-9 }, 0.2),
        (Filter { ohms: 0.5, farads: 10e-6 }, 1.0),
        (Filter { ohms: 10.0, farads: 1e-6 }, 2.0),
    ] {
        let ours = detection(&ringing, filter, fault_ohms, 5.0);
        for (ours, filter) in [(ours.without, None), (ours.with, Some(filter))] {
            let theirs = tripped(&ringing, filter, fault_ohms)?;
            let what = format!("{filter:?}, {fault_ohms} Ω trips");
            agree(&what, ours.ok_or_else(|| format!("{what}: ours never"))?, theirs, DETECTION)?;
        }
    }
    Ok(())
}

/// How long the supply's current is above this one, and what it is at a time, seconds, with bridges of this diode.
fn switched_on(fleet: &Fleet, amps: f64, time: f64, diode: &str) -> Result<[f64; 2], Failed> {
    // Without inductance the simulator finds no step small enough for a quicker edge.
    let mut parts = square(fleet.volts, TRACK_HERTZ, 20e-9);
    parts += &format!("r1 in a {}\nbi x 0 v=abs(i(v1))\n.model rectifier {diode}\n", fleet.loop_ohms);
    for k in 0..fleet.decoders {
        parts += &bridge(&format!("f{k}x"), "a", &format!("p{k}"), &format!("m{k}"), "rectifier");
        parts += &format!("rf{k} p{k} q{k} {}\ncf{k} q{k} m{k} {:e} ic=0\n", fleet.inrush_ohms, fleet.farads);
    }
    if fleet.steady_amps > 0.0 {
        parts += &bridge("steady", "a", "ps", "ms", "rectifier");
        parts += &format!("is ps ms {}\n", fleet.steady_amps);
    }
    let wanted = [format!("when v(x)={amps} fall=last"), format!("find v(x) at={time:e}")];
    let found = measure(&parts, 1.5 * fleet.seconds_above(amps), 1e-6, &wanted)?;
    Ok([found[0], found[1]])
}

fn compare_fleet(fleet: &Fleet, amps: f64, diode: &str, tolerance: f64) -> Result<(), Failed> {
    let ours = fleet.seconds_above(amps);
    // A quarter of that, away from a reversal: in the middle of a half period.
    let quarter = ((0.25 * ours * 2.0 * TRACK_HERTZ).floor() + 0.5) / (2.0 * TRACK_HERTZ);
    let [theirs, amps_then] = switched_on(fleet, amps, quarter, diode)?;
    agree(&format!("{fleet:?}: above {amps} A"), ours, theirs, tolerance)?;
    agree(&format!("{fleet:?}: amps"), fleet.amps_at(quarter), amps_then, tolerance)
}

/// Diodes of 4 mV each of 15 V, edges of 20 ns during which nothing flows, and steps of 1 µs in times of milliseconds.
const INRUSH: f64 = 3e-3;
const INRUSH_DIODE: &str = "d(is=1e-3 n=0.02 cjo=10p)";
/// Real diodes drop less as their current falls; the formula has one drop for all of it.
const INRUSH_REAL: f64 = 0.02;

/// So many decoders of 470 µF.
fn fleet(decoders: u32, loop_ohms: f64, steady_amps: f64) -> Fleet {
    Fleet { decoders, farads: 470e-6, inrush_ohms: 1.5, bridge_volts: 0.0, volts: 15.0, loop_ohms, steady_amps }
}

fn inrush() -> Result<(), Failed> {
    for fleet in [fleet(1, 0.3, 0.0), fleet(5, 0.3, 0.0), fleet(3, 0.8, 1.0)] {
        compare_fleet(&fleet, 4.0, INRUSH_DIODE, INRUSH)?;
    }
    // Two silicon diodes of some 0.55 V each at these currents.
    compare_fleet(&Fleet { bridge_volts: 1.1, ..fleet(4, 0.3, 0.5) }, 4.0, "d(is=1e-9 n=1 cjo=10p)", INRUSH_REAL)
}

/// The comparisons can fail: a part 5 % off must not agree.
fn wrong_parts() -> Result<(), Failed> {
    let noticed = |what: &str, ours: f64, theirs: f64, tolerance: f64| {
        require(apart(ours, theirs) > tolerance, || format!("{what} 5 % off went unnoticed: {ours}, {theirs}"))
    };
    let ours = track(10.0).rectified(5.0).volts();
    noticed("an inductance", ours, mean_volts(&track(10.5), 5.0)?, COMMUTATION / ours)?;
    let ringing = RingingLoop { volts: 15.0, ohms: 0.1, henries: 14e-6, farads: 1e-9 };
    let start = Start::of_fault(8.0);
    let heavier = RingingLoop { farads: 1.05e-9, ..ringing };
    noticed("a capacitance", ringing.peak(start).volts, peak_of(&heavier, None, start, 8.0)?, RINGING)?;
    let filter = Filter { ohms: 100.0, farads: 100e-9 };
    let ours = response(&ringing, Some(filter), start).peak.volts;
    let other = Filter { ohms: 105.0, ..filter };
    noticed("a filter's resistor", ours, peak_of(&ringing, Some(other), start, 20.0)?, RINGING)?;
    let other = Filter { farads: 105e-9, ..filter };
    noticed("a filter's capacitor", filter.heat(15.0, TRACK_HERTZ).watts, burnt(other)?, HEAT)?;
    let slower = RingingLoop { henries: 14.7e-6, ..ringing };
    let ours = detection(&ringing, filter, 0.2, 5.0).with.ok_or("ours never trips")?;
    noticed("a breaker's wire", ours, tripped(&slower, Some(filter), 0.2)?, DETECTION)?;
    let (fleet, larger) = (fleet(5, 0.3, 0.0), Fleet { farads: 1.05 * 470e-6, ..fleet(5, 0.3, 0.0) });
    noticed("a decoder", fleet.seconds_above(4.0), switched_on(&larger, 4.0, 1e-4, INRUSH_DIODE)?[0], INRUSH)
}
