//! Trains behind detectors, from the papers alone: the tables are read as text, made into a circuit and energised in a general
//! circuit simulator (ngspice), as `drivers` does with motors.

use crate::drivers::{Layout, energised_under, layout, printed};
use crate::enumeration::require;
use crate::simulator::ignored;
use circuit::EdgeKind;
use libtest_mimic::{Failed, Trial};

pub fn trials() -> Vec<Trial> {
    let trial = Trial::test("detectors::what_a_detector_keeps_is_missing_under_a_train", detectors);
    vec![trial.with_ignored_flag(ignored())]
}

/// A line with a detector of diodes in either pole of one track, one of a resistance in another, and one that only a wire passes.
const DETECTORS: &str = "layout = { name = \"seen, or not\", scale = \"OO\", joint = \"sliding\" }\n\
    supply = [{ name = \"booster\", voltage = \"16 V\", source = \"0.1 Ω\", trips = { at = \"4 A\" } }]\n\
    bus = [{ name = \"main\", supply = \"booster\", wire = \"2.5 mm²\", length = \"6 m\" }]\n\
    detector = [\n\
    { name = \"D, left\", from = \"main.A @ 1 m\", tracks = [\"a\"], drop = \"1.4 V\" },\n\
    { name = \"D, right\", from = \"main.B @ 2 m\", tracks = [\"a\"] },\n\
    { name = \"sense\", from = \"main.A @ 3 m\", tracks = [\"b\"], resistance = \"0.5 Ω\" },\n\
    { name = \"coil\", from = \"main.B @ 4 m\", tracks = [\"c\"], resistance = \"0 Ω\" },\n]\n\
    track = [\n\
    { name = \"a\", from = \"buffer\", to = \"b.from\", length = \"1 m\", left = \"D, left\", right = \"D, right\", feeders = [\"0.5 m\"], gaps = [\"1 m\"] },\n\
    { name = \"b\", from = \"a.to\", to = \"c.from\", length = \"1 m\", left = \"sense\", right = \"main.B\", feeders = [\"0.5 m\"], gaps = [\"1 m\"] },\n\
    { name = \"c\", from = \"b.to\", to = \"buffer\", length = \"1 m\", left = \"main.A\", right = \"coil\", feeders = [\"0.5 m\"] },\n]\n";

/// The plan of a portable line, with a detector in the feed of one of its tracks.
const BOARDS: &str = include_str!("../../../crates/schedule/tests/it/common/boards.toml");

/// Trains of 1 A on tracks behind detectors, from the papers alone: what a detector keeps is missing under the train, and nothing
/// more than the program says; what only a wire passes keeps nothing.
fn detectors() -> Result<(), Failed> {
    let mut behind = 0;
    for (name, text) in [("detectors", DETECTORS), ("boards", BOARDS)] {
        let demo = oracle::demo(name, text.to_owned())?;
        let facts = analysis::Analysis::of(&demo.text, &demo.reading.plan, &demo.reading.names);
        let with = layout(&printed(text)?)?;
        let mut without = layout(&printed(text)?)?;
        without.back.edges.iter_mut().for_each(|edge| edge.keeps = 0.0);
        for (segment, track) in demo.reading.plan.track.iter().enumerate() {
            let place = |rail: &str| {
                let start = format!("{}.{rail} @ ", track.name.value);
                // Where its feeder is: what lies before a gap hangs on a contact.
                let ends = with.back.edges.iter().filter(|e| e.kind == EdgeKind::Feeder).flat_map(|edge| &edge.ends);
                ends.filter(|end| end.starts_with(&start)).min().cloned().ok_or(format!("no {start}"))
            };
            let train = [place("left")?, place("right")?];
            let under = |layout: &Layout| -> Result<f64, Failed> {
                let states = layout.motors.iter().map(|m| (m.name.as_str(), &m.states[0])).collect();
                let volts = energised_under(layout, &states, Some(train.each_ref().map(String::as_str)))?;
                Ok((volts[&train[0]] - volts[&train[1]]).abs())
            };
            let (less, said) = (under(&without)? - under(&with)?, facts.circuit.detector_drop[segment]);
            require((less - said).abs() < 1e-3, || {
                format!("{name}, {}: {less:.4} V stay behind, {said} V are said", track.name.value)
            })?;
            behind += usize::from(said > 0.0);
        }
    }
    require(behind >= 2, || format!("only {behind} tracks are behind detectors"))?;
    println!("{behind} tracks behind detectors");
    Ok(())
}
