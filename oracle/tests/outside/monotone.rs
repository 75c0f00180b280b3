//! Verdicts go the way physics goes: more inductance never raises what a breaker notices nor what a decoder sees, more resistance
//! never raises volts nor the current that a direct voltage drives (Rayleigh's monotonicity law), longer wire and hotter air never
//! help. Over the demo plans and over plans grown at random.
//!
//! What a breaker notices may rise with a resistance: where a bus lies beside rails, more resistance in the one sends current the other
//! way, where there may be less inductance. The currents are taken as a direct voltage shares them; in truth they share themselves out
//! by inductance too. How much that comes to is told and held to two per cent.

use crate::enumeration::require;
use crate::reading::{grown, ignored};
use analysis::Analysis;
use circuit::{Circuit, EdgeKind};
use libtest_mimic::{Failed, Trial};
use oracle::rewrite::Rewrite;

/// Grown plans that are tried.
const GROWN: usize = 10;
/// Rounding of two solves.
const CLOSE: f64 = 1e-9;
/// Inductance comes from a slope that is known to a part in ten thousand.
const SLOPE: f64 = 3e-4;
/// By how much what is noticed rises at most where a resistance or a wire's length does.
const SHARED: f64 = 0.02;

pub fn trials() -> Vec<Trial> {
    vec![
        Trial::test("monotone::demo_plans", || demo_plans().and_then(|plans| laws(&plans))),
        Trial::test("monotone::grown_plans", || grown_plans().and_then(|plans| laws(&plans)))
            .with_ignored_flag(ignored()),
    ]
}

fn demo_plans() -> Result<Vec<(String, String)>, Failed> {
    Ok(oracle::demos()?.into_iter().map(|demo| (demo.name, demo.text)).collect())
}

fn grown_plans() -> Result<Vec<(String, String)>, Failed> {
    let folder = tempfile::tempdir()?;
    let plans = grown("none", GROWN, folder.path())?;
    plans.iter().map(|plan| Ok((plan.file.clone(), std::fs::read_to_string(&plan.file)?))).collect()
}

/// What is judged of a track: volts and amperes of a direct voltage, then what is noticed, the margin and what a decoder sees; each aged,
/// usual and new.
struct Judged {
    name: String,
    direct: [f64; 6],
    noticed: Vec<f64>,
}

fn judged(text: &str, change: impl FnOnce(&mut Circuit)) -> Result<Vec<Judged>, Failed> {
    let reading = plan::read(text);
    require(reading.understood(), || format!("{:#?}\n{text}", reading.findings))?;
    let mut circuit = Circuit::from_plan(&reading.plan, &reading.names);
    change(&mut circuit);
    let facts = Analysis::of_circuit((text, &reading.plan, &reading.names), circuit);
    let lines = facts.figures().into_iter().flat_map(|figures| &figures.tracks);
    let line = |line: &analysis::figures::TrackLine| {
        let (v, a, n) = (line.volts, line.fault_amps, line.noticed.amps());
        let mut noticed = vec![n.low, n.typical, n.high];
        noticed.extend(line.margin.iter().flat_map(|m| [m.low, m.typical, m.high]));
        noticed.extend(line.decoder.iter().flat_map(|d| [d.0.low, d.0.typical, d.0.high]));
        Judged { name: line.name.clone(), direct: [v.low, v.typical, v.high, a.low, a.typical, a.high], noticed }
    };
    Ok(lines.map(line).collect())
}

/// The most that any value rises by, as a part of it.
fn rise<'j>(
    before: &'j [Judged],
    after: &'j [Judged],
    of: impl Fn(&'j Judged) -> &'j [f64],
) -> Result<(f64, String), Failed> {
    let mut most = (0.0_f64, String::new());
    for (one, other) in before.iter().zip(after) {
        require(one.name == other.name && of(one).len() == of(other).len(), || format!("{} is no more", one.name))?;
        for (was, is) in of(one).iter().zip(of(other)) {
            let rise = (is - was) / was.abs().max(1e-3);
            if rise > most.0 {
                most = (rise, format!("{}: {was} became {is}", one.name));
            }
        }
    }
    Ok(most)
}

/// So many pseudo-random shares of one (a linear congruence, Knuth's MMIX).
fn shares(mut seed: u64) -> impl FnMut() -> f64 {
    move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    }
}

type Change = Box<dyn FnOnce(&mut Circuit)>;

/// Changes of inductance, and changes of resistance.
fn changes(seed: u64) -> [Vec<(&'static str, Change)>; 2] {
    let more_henries = |kind: EdgeKind| -> Change {
        Box::new(move |circuit: &mut Circuit| {
            for edge in circuit.edges.iter_mut().filter(|e| e.kind == kind) {
                edge.henries = edge.henries.times(1.6);
            }
        })
    };
    let more_ohms = |kind: EdgeKind| -> Change {
        Box::new(move |circuit: &mut Circuit| {
            for edge in circuit.edges.iter_mut().filter(|e| e.kind == kind) {
                edge.ohms = edge.ohms.times(1.4);
            }
        })
    };
    let here_and_there = |henries: bool| -> Change {
        Box::new(move |circuit: &mut Circuit| {
            let mut share = shares(seed);
            for edge in &mut circuit.edges {
                let more = if share() < 0.3 { 1.0 + share() } else { 1.0 };
                let value = if henries { &mut edge.henries } else { &mut edge.ohms };
                *value = value.times(more);
            }
        })
    };
    let inductive = [("buses", EdgeKind::BusWire), ("feeders", EdgeKind::Feeder), ("rails", EdgeKind::Rail)];
    let resistive = [
        ("buses", EdgeKind::BusWire),
        ("feeders", EdgeKind::Feeder),
        ("rails", EdgeKind::Rail),
        ("contacts", EdgeKind::Contact),
        ("taps", EdgeKind::Tap),
        ("supplies", EdgeKind::Source),
    ];
    let mut henries: Vec<(&'static str, Change)> = inductive.map(|(name, kind)| (name, more_henries(kind))).into();
    henries.push(("here and there", here_and_there(true)));
    let mut ohms: Vec<(&'static str, Change)> = resistive.map(|(name, kind)| (name, more_ohms(kind))).into();
    ohms.push(("here and there", here_and_there(false)));
    [henries, ohms]
}

fn laws(plans: &[(String, String)]) -> Result<(), Failed> {
    let (mut tried, mut most_shared) = (0, (0.0, String::new()));
    let mut wrong = Vec::new();
    let mut hold = |what: String, (rise, place): (f64, String), room: f64| {
        if rise > room {
            wrong.push(format!("{what}: {place}"));
        }
    };
    for (seed, (name, text)) in plans.iter().enumerate() {
        let before = judged(text, |_| {})?;
        let [henries, ohms] = changes(seed as u64 + 1);
        for (what, change) in henries {
            let after = judged(text, change)?;
            hold(format!("{name}, inductance of {what}"), rise(&before, &after, |j| &j.noticed)?, SLOPE);
            hold(format!("{name}, inductance of {what}, volts"), rise(&before, &after, |j| &j.direct)?, CLOSE);
            tried += 1;
        }
        let mut longer = Rewrite::from_text(text);
        longer.lengthen_wires(1.5);
        let mut more: Vec<(&str, Vec<Judged>)> = vec![("longer wires", judged(&longer.text(), |_| {})?)];
        if let Some(hotter) = hotter(text) {
            more.push(("hotter air", judged(&hotter, |_| {})?));
        }
        for (what, change) in ohms {
            more.push((what, judged(text, change)?));
        }
        for (what, after) in more {
            hold(format!("{name}, resistance of {what}"), rise(&before, &after, |j| &j.direct)?, CLOSE);
            let shared = rise(&before, &after, |j| &j.noticed)?;
            if shared.0 > most_shared.0 {
                most_shared = (shared.0, format!("{name}, resistance of {what}: {}", shared.1));
            }
            tried += 1;
        }
    }
    println!(
        "{} plans, {tried} changes; noticed rises by {:.4} at most: {}",
        plans.len(),
        most_shared.0,
        most_shared.1
    );
    require(tried >= 12 * plans.len() - plans.len() && !plans.is_empty(), || format!("only {tried} changes"))?;
    require(wrong.is_empty(), || wrong.join("\n"))?;
    require(most_shared.0 <= SHARED, || most_shared.1.clone())
}

/// The same plan with the hottest air of its room 12 K hotter, and 40 °C where it does not say.
fn hotter(text: &str) -> Option<String> {
    let mut plan: toml::Table = toml::from_str(text).ok()?;
    let room = plan.entry("room").or_insert(toml::Value::Table(toml::Table::new())).as_table_mut()?;
    let air = room.get("hottest").and_then(|air| air.get("temperature")).and_then(toml::Value::as_str);
    let celsius = match air {
        Some(air) => handbook::quantity::parse::<handbook::quantity::Celsius>(air).ok()?.0 + 12.0,
        None => 40.0,
    };
    let mut hottest = toml::Table::new();
    hottest.insert("temperature".to_owned(), toml::Value::String(format!("{celsius} °C")));
    hottest.insert("humidity".to_owned(), toml::Value::String("40 %".to_owned()));
    room.insert("hottest".to_owned(), toml::Value::Table(hottest));
    toml::to_string(&plan).ok()
}
