//! A whole route as a plan says it, from supply to wheels: its resistance and inductance worked out here by hand from published
//! formulas, put into a deck of the circuit simulator, and held against what the program says a breaker notices of a short at its end.

use crate::enumeration::require;
use crate::simulator::ignored;
use crate::transients::measure;
use analysis::Analysis;
use electrics::square_short::Sensed;
use libtest_mimic::{Failed, Trial};
use std::f64::consts::PI;

pub fn trials() -> Vec<Trial> {
    vec![
        Trial::test("whole_route::what_a_breaker_notices", noticed).with_ignored_flag(ignored()),
        Trial::test("whole_route::copper_in_a_hot_room", copper),
    ]
}

/// A bus of 2.5 mm², feeders of 0.5 mm² at one end of a track of code 100 rail.
fn plan(bus: f64, apart: f64, feeder: f64, track: f64, room: &str) -> String {
    format!(
        "[layout]\nname = \"t\"\nscale = \"OO\"\njoint = \"soldered\"\nrail = \"code 100 nickel silver\"\n{room}\
         [[supply]]\nname = \"s\"\nvoltage = \"15 V\"\nsource = \"0.1 Ω\"\ntrips = {{ at = \"5 A\" }}\n\
         [[bus]]\nname = \"b\"\nsupply = \"s\"\nwire = \"2.5 mm²\"\nlength = \"{bus} m\"\npair = {{ spacing = \"{apart} mm\" }}\n\
         [[track]]\nname = \"t\"\nfrom = \"buffer\"\nto = \"buffer\"\nlength = \"{track} m\"\nleft = \"b.A\"\nright = \"b.B\"\n\
         feeder_wire = \"0.5 mm²\"\nfeeder_length = \"{feeder} m\"\nfeeders = [\"0 m\"]\n"
    )
}

/// Two round wires side by side, `µ0/π·arccosh(D/2a)`, henries per metre (any textbook of electrical engineering).
fn pair(apart_mm: f64, diameter_mm: f64) -> f64 {
    4e-7 * (apart_mm / diameter_mm).acosh()
}

/// Diameter of a round of so many mm².
fn round(area: f64) -> f64 {
    (4.0 * area / PI).sqrt()
}

fn of_track<T>(text: &str, ask: impl FnOnce(&analysis::figures::TrackLine) -> T) -> Result<T, Failed> {
    let reading = plan::read(text);
    require(reading.understood(), || format!("{:#?}", reading.findings))?;
    let facts = Analysis::of(text, &reading.plan, &reading.names);
    let figures = facts.figures().ok_or("no figures")?;
    Ok(ask(&figures.tracks[0]))
}

/// Mean, root mean square and peak in half a per cent; with the feeders' inductance left out of the deck they would be off by more.
fn noticed() -> Result<(), Failed> {
    let mut told_apart = 0;
    for (bus, apart, feeder, track) in
        [(4.0, 25.0, 1.5, 2.0), (12.0, 10.0, 0.4, 1.0), (2.0, 100.0, 3.0, 0.5), (8.0, 300.0, 2.0, 4.0)]
    {
        let ours = of_track(&plan(bus, apart, feeder, track, ""), |line| line.noticed.sensed.typical)?;
        // IEC 60228 class 5: 7.98 and 39 mΩ/m; rail 80 mΩ/m, joint of bus and supply 1, tap 3 mΩ, a wheel's short 0.2 Ω (the
        // program's own defaults, docs/definitions.md).
        let ohms = 0.1 + 2.0 * (0.001 + bus * 7.98e-3 + 0.003 + feeder * 39e-3 + track * 80e-3) + 0.2;
        let feeders = feeder * pair(25.0, round(0.5));
        let henries = bus * pair(apart, round(2.5)) + feeders + track * pair(17.5, round(2.22));
        let run = |henries: f64| -> Result<Sensed, Failed> {
            let parts = format!(
                "v1 in 0 pulse(-15 15 0 1e-8 1e-8 {:e} 116e-6)\nr1 in a {ohms}\nl1 a 0 {henries:e} ic=0\nbm m 0 v=abs(i(v1))\n",
                58e-6 - 1e-8
            );
            let of = |what: &str, of: &str| format!("{what} {of} from={:e} to={:e}", 60.0 * 116e-6, 62.0 * 116e-6);
            let wanted = [of("avg", "v(m)"), of("rms", "i(v1)"), of("max", "v(m)")];
            let found = measure(&parts, 62.0 * 116e-6, 0.1e-6, &wanted)?;
            Ok(Sensed { mean: found[0], rms: found[1], peak: found[2] })
        };
        let off = |theirs: Sensed| {
            ours.all().into_iter().zip(theirs.all()).map(|(a, b)| (a / b - 1.0).abs()).fold(0.0, f64::max)
        };
        let (with, without) = (off(run(henries)?), off(run(henries - feeders)?));
        println!(
            "bus {bus} m, {apart} mm apart, feeders {feeder} m, track {track} m: {with:.5} off; without feeders {without:.3}"
        );
        require(with <= 0.005, || format!("{ours:?}, {with} off"))?;
        told_apart += usize::from(without > 0.02);
    }
    require(told_apart >= 3, || "the feeders hardly count".to_owned())
}

/// `R = R20·(1 + 0.00393·(t − 20 °C))` for what is copper (wire tables as NBS Handbook 100), in the worst case only.
fn copper() -> Result<(), Failed> {
    let room = |air: &str| format!("[room]\nhottest = {{ temperature = \"{air}\", humidity = \"40 %\" }}\n");
    for (air, times) in [("40 °C", 1.0786), ("104 °F", 1.0786), ("20 °C", 1.0), ("8 °C", 1.0)] {
        let volts = of_track(&plan(6.0, 25.0, 1.5, 2.0, &room(air)), |line| line.volts)?;
        let at = |copper: f64, [bus, feeder, rail]: [f64; 3]| {
            15.0 - 0.45 * (0.1 + 2.0 * (0.001 + copper * (6.0 * bus + 1.5 * feeder) + 0.003 + 2.0 * rail))
        };
        // Rail 57 / 80 / 146 mΩ/m; IEC 60228 class 1-2 and 5.
        let due =
            [at(times, [7.98e-3, 39e-3, 0.146]), at(1.0, [7.98e-3, 39e-3, 0.080]), at(1.0, [7.41e-3, 36e-3, 0.057])];
        for (ours, due) in [volts.low, volts.typical, volts.high].into_iter().zip(due) {
            require((ours - due).abs() <= 1e-9, || format!("{air}: {ours} V, by hand {due}"))?;
        }
    }
    Ok(())
}
