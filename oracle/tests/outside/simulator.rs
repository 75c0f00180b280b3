//! Every node voltage against a general circuit simulator (ngspice, a Debian package), run on the
//! exported netlist.

use crate::enumeration::require;
use electrics::{Level, Load, operating_point};
use libtest_mimic::{Failed, Trial};
use oracle::{Demo, demos, settings};
use plan::tables::RailSide;

use std::process::Command;

/// Relative agreement asked of every node voltage.
const TOLERANCE: f64 = 1e-6;
/// Settings per plan: all where there are no more, else this many spread over all.
const MOST_SETTINGS: usize = 6;

pub fn trials() -> Vec<Trial> {
    let ignored = ignored();
    vec![
        Trial::test("simulator::node_voltages_of_every_demo_plan", node_voltages).with_ignored_flag(ignored),
        Trial::test("simulator::a_wrong_netlist_is_noticed", wrong_netlist).with_ignored_flag(ignored),
    ]
}

/// Without the tool a check is shown as ignored, not as passed; where all checks are asked for, it fails.
pub fn ignored() -> bool {
    let there = Command::new("ngspice").arg("--version").output().is_ok_and(|o| o.status.success());
    !there && std::env::var_os("GAPWRIGHT_ALL_CHECKS").is_none()
}

fn node_voltages() -> Result<(), Failed> {
    let mut compared = 0;
    for demo in &demos()? {
        let all: Vec<Vec<u8>> = settings(&demo.circuit).collect();
        let step = all.len().div_ceil(MOST_SETTINGS).max(1);
        for (i, setting) in all.iter().step_by(step).enumerate() {
            let positions: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
            let level = Level::ALL[i % 3];
            for loads in load_cases(demo, i) {
                compared += compare(demo, &positions, level, &loads)?;
            }
        }
    }
    println!("{compared} node voltages compared");
    require(compared > 2000, || format!("only {compared} node voltages were compared"))
}

/// No load; one train at the end of each track in turn; a train on every track at once.
fn load_cases(demo: &Demo, turn: usize) -> Vec<Vec<Load>> {
    let circuit = &demo.circuit;
    let at_end = |track: usize, amps: f64| {
        let node = |side: RailSide| circuit.segments[track].rails[side].stops.last().map(|s| s.before);
        Some(Load { left: node(RailSide::Left)?, right: node(RailSide::Right)?, amps })
    };
    let one = at_end(turn % circuit.tracks, 0.7).into_iter().collect();
    let all = (0..circuit.tracks).filter_map(|t| at_end(t, 0.1 + 0.05 * t as f64)).collect();
    vec![Vec::new(), one, all]
}

fn compare(demo: &Demo, positions: &[Option<u8>], level: Level, loads: &[Load]) -> Result<usize, Failed> {
    let circuit = &demo.circuit;
    let point = operating_point(circuit, positions, level, loads).map_err(|e| format!("{}: {e}", demo.name))?;
    let deck = electrics::netlist(circuit, positions, level, loads);
    let simulated = simulate(&deck)?;
    let mut compared = 0;
    for (node, ours) in point.volts.iter().enumerate() {
        let theirs = simulated.iter().find(|(n, _)| *n == node).map(|(_, v)| *v);
        let name = &circuit.nodes[node].name;
        match (ours, theirs) {
            (Some(ours), Some(theirs)) => {
                // Relative to the supply's volts: near the reference a voltage is as small as its rounding.
                let scale = theirs.abs().max(1e-3);
                require((ours - theirs).abs() <= TOLERANCE * scale, || {
                    format!("{} {positions:?} {level:?}: {name}: ours {ours}, the simulator's {theirs}", demo.name)
                })?;
                compared += 1;
            }
            // The reference itself has no line in the deck, and a node joined to nothing no voltage.
            (Some(ours), None) => require(*ours == 0.0, || format!("{}: {name} is not simulated", demo.name))?,
            (None, Some(_)) => require(false, || format!("{}: {name} has no voltage here", demo.name))?,
            (None, None) => {}
        }
    }
    Ok(compared)
}

/// Runs the deck; gives all that the simulator wrote.
pub fn run(deck: &str) -> Result<String, Failed> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let path = folder.path().join("deck.cir");
    std::fs::write(&path, deck).map_err(|e| e.to_string())?;
    let output = Command::new("ngspice").arg("-b").arg(&path).output().map_err(|e| e.to_string())?;
    let text = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    // The simulator ends with status 0 even where it could not solve or misread a line.
    for trouble in ["singular", "failed", "set to 1 mOhm", "Error", "aborted"] {
        require(!text.contains(trouble), || format!("the simulator says {trouble:?}:\n{text}"))?;
    }
    Ok(text)
}

/// Runs the deck; gives the voltage of each node `nK` as (K, volts).
pub fn simulate(deck: &str) -> Result<Vec<(usize, f64)>, Failed> {
    Ok(node_volts(&run(deck)?).collect())
}

/// The nodes `nK` whose volts the simulator wrote, as (K, volts).
pub fn node_volts(text: &str) -> impl Iterator<Item = (usize, f64)> {
    text.lines().filter_map(|line| {
        let (name, value) = line.split_once('=')?;
        let node = name.trim().strip_prefix("v(n")?.strip_suffix(')')?;
        Some((node.parse().ok()?, value.trim().parse().ok()?))
    })
}

/// The comparison can fail: a deck with one resistance changed must not agree.
fn wrong_netlist() -> Result<(), Failed> {
    let demos = demos()?;
    let demo = demos.iter().find(|d| d.name == "thistle-dock").ok_or("no thistle-dock")?;
    let positions = vec![Some(1); demo.circuit.controls.len()];
    let loads = load_cases(demo, 1).swap_remove(1);
    let point = operating_point(&demo.circuit, &positions, Level::Typical, &loads).map_err(|e| e.to_string())?;
    let mut other = demo.circuit.clone();
    let feeder = other.edges.iter_mut().find(|e| e.kind == circuit::EdgeKind::Feeder).ok_or("no feeder")?;
    feeder.ohms = feeder.ohms.map(|r| r * 1.1);
    let simulated = simulate(&electrics::netlist(&other, &positions, Level::Typical, &loads))?;
    let worst = simulated
        .iter()
        .filter_map(|(n, v)| point.volts[*n].map(|ours| (ours - v).abs() / v.abs().max(1e-3)))
        .fold(0.0, f64::max);
    require(worst > TOLERANCE, || format!("a feeder 10 % off moved voltages by only {worst:e}"))
}
