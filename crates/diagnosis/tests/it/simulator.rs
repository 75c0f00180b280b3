//! Some of the closed forms against a general circuit simulator (ngspice, a Debian package): an ampere through the probes of the changed
//! network, and the volts between them.

use crate::player::planted_of;
use diagnosis::{Conditions, Fault, Hunt, Kit, Measurement, Options};
use oracle::drawn::Layout;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::process::Command;

/// Volts between two nodes for an ampere through them, as the simulator has them.
fn simulated(layout: &Layout, setting: &[Option<u8>], pair: [circuit::NodeId; 2]) -> f64 {
    let mut deck = "probes\n".to_owned();
    let name = |node: circuit::NodeId| if node == pair[1] { "0".to_owned() } else { format!("n{}", node.index()) };
    let cold = |edge: &circuit::Edge| edge.is_closed(setting) && edge.kind != circuit::EdgeKind::Source;
    for (index, edge) in layout.circuit.edges.iter().enumerate().filter(|(_, edge)| cold(edge)) {
        let _ = writeln!(deck, "r{index} {} {} {:e}", name(edge.a), name(edge.b), edge.ohms.typical);
    }
    // What floats needs a way to the reference.
    for node in circuit::NodeId::all(layout.circuit.nodes.len()).filter(|node| *node != pair[1]) {
        let _ = writeln!(deck, "rl{} {} 0 1e9", node.index(), name(node));
    }
    let _ = writeln!(
        deck,
        "i1 0 {} 1\n.control\nset numdgt=12\nop\nprint v({})\nquit 0\n.endc\n.end",
        name(pair[0]),
        name(pair[0])
    );
    let folder = std::env::temp_dir().join(format!("gapwright-hunt-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("deck.cir");
    std::fs::write(&path, deck).unwrap();
    let output = Command::new("ngspice").arg("-b").arg(&path).output().unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let line = text.lines().find(|line| line.starts_with("v(")).unwrap_or_else(|| panic!("{text}"));
    line.split('=').nth(1).unwrap().trim().parse().unwrap()
}

#[test]
#[ignore = "wants ngspice"]
fn faults_in_a_circuit_simulator() {
    let demo = oracle::demos().unwrap().into_iter().find(|d| d.name == "seven-tracks").unwrap();
    let mut hunt = Hunt::new(&demo.circuit, Options { years: Some(8.0), ..Options::default() });
    let parts = hunt.parts[1].clone();
    let setting = demo.circuit.complete(&[]);
    let pole = demo.circuit.breakers[0].node[0];
    let end = demo.circuit.segments[1].rails[0].stops.last().unwrap().before;
    let conditions = Conditions { powered: false, setting: setting.clone(), pulled: BTreeSet::new() };
    let measurement = Measurement { kit: Kit::Bench, conditions, force: [pole, end], sense: [pole, end] };
    let mut compared = 0;
    let suspects = hunt.wiring.suspects.clone();
    for fault in
        suspects.iter().step_by(7).map(|s| s.faults[s.faults.len() / 2].0).chain(
            suspects.iter().filter(|s| !matches!(s.faults[0].0, Fault::Open(_))).step_by(9).map(|s| s.faults[0].0),
        )
    {
        let mut layout = Layout::with_ohms(&demo.circuit, |edge| parts[edge].mean);
        layout.plant(planted_of(fault));
        let theirs = simulated(&layout, &setting, [pole, end]);
        let ours = hunt.foreseen(&measurement, 1, &[fault]).unwrap();
        if theirs < 1e5 {
            assert!((ours - theirs).abs() < 1e-4 * theirs + 1e-6, "{fault:?}: ours {ours}, theirs {theirs}");
            compared += 1;
        }
    }
    assert!(compared > 25, "{compared}");
}
