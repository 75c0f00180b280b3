//! What a hypothesis would read, by closed forms, against a solve of the changed network by the oracle's assembled node equations.

use crate::player::planted_of;
use circuit::{EdgeId, NodeId};
use diagnosis::foreseen::{Reading, changes_of, mean_ohms, sensitivities};
use diagnosis::{Conditions, Fault, Hunt, Kit, Measurement, Options, Value};
use oracle::drawn::{Draw, Layout};
use std::collections::BTreeSet;

/// Beyond this nothing conducts.
const OPEN: f64 = 1.2e5;

/// Two changes at once lose more digits: what is open leaks 1 µS, beside some kilosiemens.
fn compare(tolerance: f64, ours: f64, theirs: Option<f64>, what: impl Fn() -> String) {
    match theirs.filter(|ohms| *ohms < OPEN) {
        Some(ohms) => assert!((ours - ohms).abs() <= tolerance * ohms + 2e-7, "{}: ours {ours}, theirs {ohms}", what()),
        None => assert!(ours > OPEN, "{}: ours {ours}, theirs open", what()),
    }
}

/// Every single fault of every demo plan, in a setting and between places drawn at random, with wires pulled or not, cold and under
/// power; and pairs of them.
#[test]
fn every_fault_of_every_demo_plan() {
    let mut compared = 0;
    for demo in oracle::demos().unwrap() {
        let mut hunt = Hunt::new(&demo.circuit, Options { years: Some(5.0), ..Options::default() });
        let parts = hunt.parts[1].clone();
        let settings: Vec<Vec<u8>> = oracle::settings(&demo.circuit).take(64).collect();
        let mut draw = Draw(9);
        let suspects = hunt.wiring.suspects.clone();
        let wires: Vec<EdgeId> =
            EdgeId::all(demo.circuit.edges.len()).filter(|edge| hunt.can_be_pulled(*edge)).collect();
        for (turn, suspect) in suspects.iter().enumerate() {
            let setting: Vec<Option<u8>> = settings[draw.one_of(settings.len())].iter().map(|p| Some(*p)).collect();
            let pulled: BTreeSet<EdgeId> = (0..turn % 3).map(|_| wires[draw.one_of(wires.len())]).collect();
            // One end of the suspect itself, or anything.
            let near = match suspect.faults[0].0 {
                Fault::Open(edge) | Fault::More(edge, _) | Fault::OtherConductor { tap: edge, .. } => {
                    demo.circuit.edges[edge].a
                }
                Fault::Bridged(a, _) => a,
                Fault::Exchanged(one, _) => demo.circuit.edges[one].b,
            };
            let any = NodeId::new(draw.one_of(demo.circuit.nodes.len()));
            if near == any {
                continue;
            }
            let powered = turn % 4 == 3;
            let conditions = Conditions { powered, setting: setting.clone(), pulled: pulled.clone() };
            let kit = if powered { Kit::Volts } else { Kit::Bench };
            let measurement = Measurement { kit, conditions, force: [near, any], sense: [near, any] };
            let response = hunt.response(&measurement, 1).unwrap();
            let second = suspects[draw.one_of(suspects.len())].faults[0].0;
            for faults in [
                vec![],
                vec![suspect.faults[0].0],
                vec![suspect.faults[suspect.faults.len() / 2].0],
                vec![suspect.faults[0].0, second],
            ] {
                // Of a wire that is off nothing can be wrong, and two faults of one thing are one.
                let of = |f: &Fault| match *f {
                    Fault::Open(e) | Fault::More(e, _) => vec![e],
                    Fault::Exchanged(a, b) => vec![a, b],
                    Fault::OtherConductor { tap, .. } => vec![tap],
                    Fault::Bridged(..) => vec![],
                };
                let touched: Vec<EdgeId> = faults.iter().flat_map(of).collect();
                let once: BTreeSet<EdgeId> = touched.iter().copied().collect();
                if once.len() < touched.len() || touched.iter().any(|e| pulled.contains(e)) {
                    continue;
                }
                let mut layout = Layout::with_ohms(&demo.circuit, |edge| parts[edge].mean);
                faults.iter().for_each(|f| layout.plant(planted_of(*f)));
                let off: BTreeSet<usize> = pulled.iter().map(|e| e.index()).collect();
                let theirs = layout.ohms([near, any], &setting, &off, powered);
                let ours = mean_ohms(&response, &hunt.wiring, &faults);
                compare(if faults.len() > 1 { 2e-4 } else { 2e-5 }, ours, theirs, || {
                    format!("{} {faults:?} {measurement:?}", demo.name)
                });
                compared += 1;
            }
        }
    }
    println!("{compared} readings compared");
    assert!(compared > 1500, "{compared}");
}

/// `∂R/∂r` under a fault, against the difference that a small change of each part makes in the oracle's network.
#[test]
fn sensitivities_under_a_fault() {
    let demo = oracle::demos().unwrap().into_iter().find(|d| d.name == "thistle-dock-mended").unwrap();
    let mut hunt = Hunt::new(&demo.circuit, Options { years: Some(5.0), ..Options::default() });
    let parts = hunt.parts[1].clone();
    let setting = demo.circuit.complete(&[]);
    let pole = demo.circuit.breakers[0].node[0];
    let end = demo.circuit.segments[1].rails[0].stops.last().unwrap().before;
    let conditions = Conditions { powered: false, setting: setting.clone(), pulled: BTreeSet::new() };
    let measurement = Measurement { kit: Kit::Bench, conditions, force: [pole, end], sense: [pole, end] };
    let response = hunt.response(&measurement, 1).unwrap();
    let reading = Reading { measurement, value: Value::Open, response };
    let mut compared = 0;
    for suspect in hunt.wiring.suspects.iter().filter(|s| matches!(s.faults[0].0, Fault::Open(_))) {
        let fault = suspect.faults[6].0;
        let changes = changes_of(&reading.response.state, &hunt.wiring, &[fault]);
        let changed = reading.response.with(&changes);
        let ours = sensitivities(&hunt.wiring, &reading, &changes, &changed);
        for edge in (0..demo.circuit.edges.len()).filter(|edge| ours[*edge] > 1e-3).take(6) {
            let read = |more: f64| {
                let mut layout =
                    Layout::with_ohms(&demo.circuit, |e| parts[e].mean * if e == edge { 1.0 + more } else { 1.0 });
                layout.plant(planted_of(fault));
                layout.ohms([pole, end], &setting, &BTreeSet::new(), false).unwrap()
            };
            let step = 1e-4;
            let theirs = (read(step) - read(-step)) / (2.0 * step * parts[edge].mean);
            assert!(
                (ours[edge] - theirs).abs() < 1e-3 * theirs.abs() + 1e-5,
                "{fault:?} {edge}: {} {theirs}",
                ours[edge]
            );
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared}");
}
