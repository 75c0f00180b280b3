#![allow(clippy::unwrap_used)]

use super::walk::{Opening, nearest};
use super::*;
use circuit::EdgeId;
use electrics::places;

const PLANS: [&str; 6] = [
    include_str!("../../../../plans/thistle-dock/plan.toml"),
    include_str!("../../../../plans/seven-tracks/plan.toml"),
    include_str!("../../../../plans/two-ladders/plan.toml"),
    include_str!("../../../../plans/balloon/plan.toml"),
    include_str!("../../../../plans/wye/plan.toml"),
    include_str!("../../../../plans/two-districts/plan.toml"),
];

/// Traces a place of a plan.
fn trace(text: &str, place: &str, setting: &[String]) -> Result<Trace, TraceError> {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}", reading.findings);
    Analysis::of(text, &reading.plan, &reading.names).trace(place, setting)
}

/// Some settings of a circuit: all first, all second, and one turnout at a time.
fn some_settings(circuit: &Circuit) -> Vec<Vec<Option<u8>>> {
    let n = circuit.controls.len();
    let mut all = vec![vec![Some(0); n], vec![Some(1); n]];
    for i in 0..n {
        all.push((0..n).map(|j| Some(u8::from(i == j))).collect());
    }
    all
}

fn circuit_of(text: &str) -> Circuit {
    let reading = plan::read(text);
    assert!(reading.understood());
    Circuit::from_plan(&reading.plan, &reading.names)
}

fn ends(circuit: &Circuit, edge: EdgeId) -> [NodeId; 2] {
    let edge = &circuit.edges[edge];
    [edge.a, edge.b]
}

/// What is reported to stand between a place and a pole is all that does, and is the least: closed, it joins the two; and
/// where it is more than one thing, no single one would do (tried one by one).
#[test]
fn closing_what_stands_between_joins_and_nothing_less_does() {
    let (mut shown, mut several) = (0, 0);
    for text in PLANS {
        let circuit = circuit_of(text);
        for positions in some_settings(&circuit) {
            let setting = CircuitSetting::new(&circuit, &positions);
            let poles: Vec<_> = circuit.poles().collect();
            for node in NodeId::all(circuit.nodes.len()) {
                if poles.iter().any(|&p| setting.joined(p, node)) {
                    continue;
                }
                let own = setting.reached(node);
                for &pole in &poles {
                    let Some(steps) = nearest(&setting, node, pole) else { continue };
                    shown += 1;
                    let sides = |step: &Opening| match *step {
                        Opening::Edge(edge) => ends(&circuit, edge),
                        Opening::Gap(gap) => [circuit.gaps[gap].before, circuit.gaps[gap].after],
                    };
                    // From conductor to conductor, each step taking on where the one before left off.
                    let mut at = own.clone();
                    for step in &steps {
                        let [a, b] = sides(step);
                        let next = if at[a] { b } else { a };
                        assert!(at[a] != at[b], "{step:?} joins nothing new");
                        at = setting.reached(next);
                    }
                    let there = setting.start(pole);
                    assert!(at[there], "the steps do not lead to the pole");
                    let of_pole = setting.reached(there);
                    let joins = |[a, b]: [NodeId; 2]| own[a] && of_pole[b] || own[b] && of_pole[a];
                    let edge = EdgeId::all(circuit.edges.len()).any(|e| joins(ends(&circuit, e)));
                    let gap = circuit.gaps.iter().any(|g| joins([g.before, g.after]));
                    assert_eq!(steps.len() == 1, edge || gap, "{} to {pole:?}", circuit.nodes[node].name);
                    several += usize::from(steps.len() > 1);
                }
            }
        }
    }
    assert!(shown > 100 && several > 10, "{shown} told, {several} of several steps");
}

/// The path is a path, its pieces add up, and what lies beside it only lowers the resistance (Rayleigh's law).
#[test]
fn paths_add_up_and_what_lies_beside_only_helps() {
    let mut paths = 0;
    for text in PLANS {
        let reading = plan::read(text);
        for track in &reading.plan.track {
            let middle = track.length.value.si() / 2.0;
            let place = format!("{} @ {middle} m", track.name.value);
            for second in [false, true] {
                let circuit = circuit_of(text);
                let set = circuit.controls.iter().map(|c| format!("{}={}", c.name, c.positions[usize::from(second)]));
                let trace = trace(text, &place, &set.collect::<Vec<_>>()).unwrap();
                assert_eq!(trace.points.len(), 2);
                for path in trace.points.iter().flat_map(|p| &p.paths) {
                    paths += 1;
                    let sum: f64 = path.pieces.iter().map(|p| p.ohms.typical).sum();
                    assert!((sum - path.along.typical).abs() < 1e-12);
                    let beside = path.beside.unwrap();
                    assert!(beside.typical <= path.along.typical * (1.0 + 1e-9), "{place}: {path:?}");
                    assert!(beside.low <= beside.typical && beside.typical <= beside.high);
                    assert!(path.pieces.iter().all(|p| (1..=text.lines().count()).contains(&p.line)));
                }
            }
        }
    }
    assert!(paths > 40, "{paths}");
}

/// The loop at a place is that of the profiles, which are held against a circuit simulator elsewhere.
#[test]
fn the_loop_is_that_of_the_profile() {
    for text in PLANS {
        let reading = plan::read(text);
        let circuit = circuit_of(text);
        let positions = vec![Some(0); circuit.controls.len()];
        for (index, track) in reading.plan.track.iter().enumerate() {
            let x = 0.37 * track.length.value.si();
            let trace = trace(text, &format!("{} @ {x} m", track.name.value), &[]).unwrap();
            let between = trace.between.unwrap();
            let grid = Grid::new(&circuit, &positions, Level::Typical).unwrap();
            let place = places(&circuit, index, x)[0];
            let due = grid.resistances().loop_ohms(&place);
            assert_eq!(due.is_some(), between.why_not.is_none(), "{}", track.name.value);
            if let Some(due) = due {
                assert!((between.loop_ohms.typical - due).abs() < 1e-9 * due, "{} {due}", track.name.value);
                assert!((between.volts.typical - (between.supply_volts - between.train_amps * due)).abs() < 1e-9);
                assert!(
                    between.volts.low <= between.volts.typical && between.fault_amps.low <= between.fault_amps.high
                );
            }
        }
    }
}

#[test]
fn a_storage_track_hangs_on_its_contact() {
    let traced = |set: &[&str]| {
        let set: Vec<String> = set.iter().map(|s| (*s).to_owned()).collect();
        trace(PLANS[0], "dock 1.right @ 1 m", &set).unwrap().points.remove(0)
    };
    let live = traced(&["T1=diverging"]);
    assert_eq!(live.paths.len(), 1);
    assert_eq!(live.paths[0].pole, "booster.B");
    let contact = live.paths[0].pieces.iter().find(|p| p.name == "contact M1.2, diverging").unwrap();
    // A motor or relay contact is 50 (20–100) mΩ [practice/memory, very uncertain].
    assert_eq!(contact.ohms, Spread::new(0.02, 0.05, 0.1));
    let line = PLANS[0].lines().nth(contact.line - 1).unwrap();
    assert!(line.contains("diverging = \"dock 1.right @ 0.4 m\""), "{line}");
    let dead = traced(&[]);
    assert!(dead.paths.is_empty());
    assert_eq!(dead.conductor, ["dock 1.right from 90 mm to 2.4 m", "M1.2.diverging"]);
    let to_b = dead.missing.iter().find(|m| m.pole == "booster.B").unwrap();
    let words: Vec<&str> = to_b.open.as_ref().unwrap().iter().map(|o| o.words.as_str()).collect();
    assert_eq!(words, ["contact M1.2, diverging: closes when T1 is diverging"]);
}

/// With the frog's two wires exchanged and the gap behind the frog forgotten, both poles meet.
#[test]
fn a_short_is_told_with_both_paths() {
    let text = PLANS[0].replace("gaps    = [{ at = \"0.09 m\", rail = \"left\" }]\n", "");
    assert_ne!(text, PLANS[0]);
    let set = ["T1=diverging".to_owned()];
    let trace = trace(&text, "dock 2 @ 1 m", &set).unwrap();
    let poles: Vec<&str> = trace.points[0].paths.iter().map(|p| p.pole.as_str()).collect();
    assert_eq!(poles, ["booster.A", "booster.B"]);
    assert_eq!(trace.between.unwrap().why_not, Some("SHORT CIRCUIT: A touches B, and its breaker opens"));
    assert!(trace.points[0].paths.iter().all(|p| p.beside.is_none()));
}

#[test]
fn what_does_not_fit_the_plan_is_told_in_words() {
    let check = |place: &str, set: &str, due: &str| {
        let set: Vec<String> = if set.is_empty() { Vec::new() } else { vec![set.to_owned()] };
        let shown = trace(PLANS[0], place, &set).unwrap_err().to_string();
        assert!(shown.contains(due), "{shown}");
    };
    check("dok 1 @ 1 m", "", "did you mean `dock 1`?");
    check("dock 1", "", "add a place");
    check("dock 1 @ 3 m", "", "runs from 0 to 2.4 m");
    check("dock 1 @ 1", "", "unit");
    check("dock 1 @ 1 m", "T1", "is no setting");
    check("dock 1 @ 1 m", "T7=through", "did you mean `T1`?");
    check("dock 1 @ 1 m", "T1=divergin", "did you mean `diverging`?");
}
