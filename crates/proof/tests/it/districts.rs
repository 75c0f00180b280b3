//! Which breaker feeds what, and one wire behind several storage faults.

use crate::common::{demo, positions, proved, reached, settings};
use circuit::{Literal, NodeId};
use plan::Kind;
use plan::tables::RailSide;
use proof::{Landing, Proof};

fn past(proof: &Proof, made: &crate::common::Made) -> Vec<(Landing, String, String)> {
    let name = |b: usize| made.reading.plan.supply[made.circuit.breakers[b].supply].name.value.clone();
    proof.past_breakers.iter().map(|p| (p.landing, name(p.meant), name(p.from))).collect()
}

#[test]
fn a_frog_on_the_neighbours_bus_is_fed_past_its_breaker() {
    let right = demo("two-districts");
    let (made, proof) = proved(&right);
    assert!(past(&proof, &made).is_empty());
    let wrong = right.replace(
        "common = \"TD.frog\", through = \"down bus.A\", diverging = \"down bus.B\"",
        "common = \"TD.frog\", through = \"up bus.A\", diverging = \"up bus.B\"",
    );
    assert_ne!(right, wrong);
    let (made, proof) = proved(&wrong);
    let frog = made.circuit.frogs.iter().position(|f| made.reading.plan.turnout[f.1].name.value == "TD").unwrap();
    assert_eq!(past(&proof, &made), [(Landing::Frog(frog), "down breaker".to_owned(), "up breaker".to_owned())]);
    // The path starts at the breaker and ends at the frog, over wires only.
    let witness = &proof.past_breakers[0].witness;
    assert_eq!(witness.nodes.last(), Some(&made.circuit.frogs[frog].2));
    assert!(witness.edges.iter().all(|&e| made.circuit.edges[e].kind != circuit::EdgeKind::Rail));
}

#[test]
fn a_feeder_on_the_neighbours_bus_is_fed_past_its_breaker() {
    let wrong = demo("two-districts").replace(
        "feeders = [\"1 ft 6 in\", \"4 ft 6 in\", \"7 ft\"]",
        "feeders = [{ at = \"1 ft 6 in\", rail = \"right\", to = \"up bus.B @ 18 ft\" }, \"4 ft 6 in\", \"7 ft\"]",
    );
    let (made, proof) = proved(&wrong);
    let track = made.reading.names.get("down east").unwrap().1;
    assert_eq!(
        past(&proof, &made),
        [(Landing::Rail(track, RailSide::Right), "down breaker".to_owned(), "up breaker".to_owned())]
    );
    // It joins the districts too, for good.
    assert_eq!(proof.joined.len(), 1);
}

#[test]
fn a_short_at_a_turnout_trips_the_breaker_of_its_own_district() {
    let (made, proof) = proved(&demo("two-districts"));
    for (turnout, breaker) in [("TU", "up breaker"), ("TD", "down breaker")] {
        let index = made.reading.names.get(turnout).unwrap().1;
        let tripped = &proof.tripped_at[&(Kind::Turnout, index)];
        let names: Vec<&str> = tripped
            .iter()
            .map(|&b| made.reading.plan.supply[made.circuit.breakers[b].supply].name.value.as_str())
            .collect();
        assert_eq!(names, [breaker]);
    }
}

#[test]
fn one_wire_past_a_tree_of_contacts_is_one_cause() {
    let right = demo("seven-tracks");
    let (_, proof) = proved(&right);
    assert!(proof.storage.is_empty() && proof.storage_causes.is_empty());
    let wrong = right.replace(
        "{ diverging = \"road 4.right @ 0.3 m\", through",
        "{ common = \"yard bus.B\", diverging = \"road 4.right @ 0.3 m\", through",
    );
    let (made, proof) = proved(&wrong);
    let circuit = &made.circuit;
    let [cause] = proof.storage_causes.as_slice() else { panic!("{:?}", proof.storage_causes) };
    assert_eq!(circuit.edges[cause.edge].name, "wire from M4.2.common to yard bus.B");
    let tracks: Vec<&str> =
        cause.faults.iter().map(|&f| circuit.segments[proof.storage[f].track].name.as_str()).collect();
    assert_eq!(tracks, ["road 4", "road 5", "road 6", "road 7"]);
    // By walking: with that wire off, each road is live exactly when the ladder is set to it; with it on, not.
    for off in [true, false] {
        let closed = |setting: &[u8], e: usize| {
            let set: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
            !(off && e == cause.edge.index()) && circuit.edges[e].is_closed(&set)
        };
        let mut faults = 0;
        for setting in settings(&positions(circuit)) {
            let on = circuit.sources[0].node.map(|pole| reached(circuit, &[pole], |e| closed(&setting, e)));
            for road in 1..=7usize {
                let track = made.reading.names.get(&format!("road {road}")).unwrap().1;
                let node = |side: RailSide| {
                    circuit.at(track, side, if side == RailSide::Right { 0.3 } else { 0.0 }).unwrap().index()
                };
                let live = RailSide::ALL.into_iter().all(|side| on[side][node(side)]);
                // T1 to T6 in turn: through to the next one, diverging to the road.
                let turnout = |t: usize| {
                    let index = made.reading.names.get(&format!("T{t}")).unwrap().1;
                    Literal { control: made.turnout(index), position: u8::from(t == road) }
                };
                let lined = (1..=road.min(6)).map(turnout).all(|l| setting[l.control] == l.position);
                faults += usize::from(live != lined);
            }
        }
        assert_eq!(faults == 0, off, "{faults} wrong with the wire {}", if off { "off" } else { "on" });
    }
}

#[test]
fn what_hangs_together_lies_on_one_island() {
    let (made, _) = proved(&demo("two-districts"));
    let islands = proof::islands(&made.circuit);
    let everything: Vec<NodeId> = NodeId::all(made.circuit.nodes.len()).collect();
    for &start in everything.iter().step_by(7) {
        let walked = reached(&made.circuit, &[start], |_| true);
        for &other in &everything {
            assert_eq!(walked[other], islands[start] == islands[other]);
        }
    }
}
