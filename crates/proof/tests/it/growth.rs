//! How the work of a proof grows with the plan: counted, not timed.

use crate::common::long;
use circuit::Circuit;
use oracle::ladders::LadderShape;
use oracle::museum::{self, Faults};
use proof::{Counts, MOST_TOLD, Proof, prove};

fn counts(shape: LadderShape, turnouts: usize) -> Counts {
    let (circuit, storage) = long(shape, turnouts);
    let proof = prove(&circuit, storage.as_ref()).expect("the conditions stay small");
    let faults = (proof.shorts.len(), proof.wrong_phases.len(), proof.bridges.len(), proof.dead.len());
    assert_eq!((faults, proof.storage.len()), ((0, 0, 0, 0), 0), "{shape:?} {turnouts}");
    assert!(proof.counts.controls >= turnouts && proof.counts.steps > turnouts, "{:?}", proof.counts);
    proof.counts
}

fn factor(small: usize, large: usize) -> f64 {
    large as f64 / small as f64
}

/// Four times the turnouts, four times the work; something is left for what a plan has only once.
const LINEAR: f64 = 4.6;

#[test]
fn work_grows_with_the_plan() {
    for shape in [LadderShape::Ladder, LadderShape::Yards, LadderShape::DoubleEnded] {
        for turnouts in [50, 200, 500] {
            let (small, large) = (counts(shape, turnouts), counts(shape, 4 * turnouts));
            let nodes = factor(small.decision_nodes, large.decision_nodes);
            let steps = factor(small.steps, large.steps);
            assert!(nodes < LINEAR, "{shape:?} {turnouts}: {nodes} times the decision nodes: {small:?} {large:?}");
            assert!(steps < LINEAR, "{shape:?} {turnouts}: {steps} times the steps: {small:?} {large:?}");
            assert_eq!(small.largest_condition, large.largest_condition, "{shape:?} {turnouts}");
        }
    }
}

/// The road at the end of a tree of contacts is live under a condition that names every turnout: what is to be
/// written down grows with the square, and nothing else may.
#[test]
fn a_tree_of_contacts_grows_with_the_square_and_no_faster() {
    let (small, large) = (counts(LadderShape::LadderWithTree, 50), counts(LadderShape::LadderWithTree, 200));
    let nodes = factor(small.decision_nodes, large.decision_nodes);
    assert!((8.0..16.5).contains(&nodes), "{nodes} times the decision nodes: {small:?} {large:?}");
    let steps = factor(small.steps, large.steps);
    assert!(steps < LINEAR, "{steps} times the steps: {small:?} {large:?}");
}

fn museum(places: usize, faults: Faults) -> Proof {
    let reading = plan::read(&museum::plan(places, faults));
    assert!(reading.understood(), "{:?}", reading.findings.first());
    prove(&Circuit::from_plan(&reading.plan, &reading.names), None).expect("the conditions stay small")
}

/// Every place brings a booster and three breakers of its own: a conductor must not be asked about all of them.
#[test]
fn many_boosters_are_no_more_work_than_their_rails() {
    let [small, large] = [5, 20].map(|places| museum(places, Faults::None).counts);
    for (small, large) in [(small.decision_nodes, large.decision_nodes), (small.steps, large.steps)] {
        assert!(factor(small, large) < LINEAR, "{small} to {large}");
    }
    assert_eq!(small.largest_condition, large.largest_condition);
}

/// So many faults that not all are reported: no more of a kind than the limit, and the proof says of which kinds.
#[test]
fn many_faults_are_told_up_to_a_limit() {
    let few = crossed_tracks(10);
    assert!(few.bridges.len() == 18 && few.cut_short.is_empty(), "{:?}", few.cut_short);
    let many = crossed_tracks(2 * MOST_TOLD);
    assert!(many.bridges.len() == MOST_TOLD && many.shorts.is_empty());
    assert!(many.cut_short.contains(&"gaps whose sides disagree"), "{:?}", many.cut_short);
    assert!(many.bridges.iter().all(|b| !b.witness.nodes.is_empty() && !b.other_path.nodes.is_empty()));
}

/// So many tracks one behind another, with gaps between them, of which every other one is on the other poles.
fn crossed_tracks(count: usize) -> Proof {
    let mut text = "[layout]\nname = \"line\"\nscale = \"HO\"\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
                    trips = { at = \"4 A\" }\n[[bus]]\nname = \"b\"\nsupply = \"booster\"\nwire = \"2.5 mm²\"\nlength = \"9 m\"\n"
        .to_owned();
    for track in 0..count {
        let [left, right] = if track % 2 == 0 { ["A", "B"] } else { ["B", "A"] };
        let from = if track == 0 { "buffer".to_owned() } else { format!("t{}.to", track - 1) };
        let to = if track + 1 == count { "buffer".to_owned() } else { format!("t{}.from", track + 1) };
        let gaps = if track == 0 { "" } else { "gaps = [\"0 m\"]\n" };
        text += &format!(
            "[[track]]\nname = \"t{track}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"1 m\"\nleft = \"b.{left}\"\n\
             right = \"b.{right}\"\n{gaps}feeders = [\"0.5 m\"]\n"
        );
    }
    let reading = plan::read(&text);
    assert!(reading.understood(), "{:?}", reading.findings.first());
    prove(&Circuit::from_plan(&reading.plan, &reading.names), None).expect("the conditions stay small")
}

/// A plan that is shorted in every setting gets no other verdict than the short and what its words say: feeders on the wrong
/// conductor.
#[test]
fn beside_a_lasting_short_only_crossed_feeders_are_told() {
    let proof = museum(1, Faults::FeedersCrossed(50));
    assert!(proof.shorts.iter().any(proof::Short::always) && proof.bridges.is_empty() && proof.storage.is_empty());
    assert_eq!(proof.wrong_phases.len(), 8, "200 feeders, every 50th with its two wires exchanged");
}

/// On a long plan a fault is shown by one way: it is reported at the same gaps as on a short one, and its setting is true by
/// the exact conditions, whatever all turnouts it does not name do.
#[test]
fn one_way_shows_what_the_exact_condition_would() {
    let wires = "through = \"b.A\", diverging = \"b.B\"";
    let crossed = |shape, turnouts: usize, which: usize| {
        let text = oracle::ladders::plan(shape, turnouts);
        let at = text.match_indices(wires).nth(which).expect("so many motors").0;
        let text = format!("{}through = \"b.B\", diverging = \"b.A\"{}", &text[..at], &text[at + wires.len()..]);
        let reading = plan::read(&text);
        assert!(reading.understood(), "{:?}", reading.findings.first());
        Circuit::from_plan(&reading.plan, &reading.names)
    };
    for shape in [LadderShape::Ladder, LadderShape::Yards] {
        let short = prove(&crossed(shape, 27, 13), None).expect("it stays small");
        assert!(!short.bridges.is_empty());
        // Segments have two ends each: well beyond the 2,000 from which a plan is long.
        let circuit = crossed(shape, 400, 200);
        assert!(circuit.segments.len() > 1500);
        let proof = prove(&circuit, None).expect("it stays small");
        assert_eq!((proof.bridges.len(), proof.dead.len()), (short.bridges.len(), short.dead.len()), "{shape:?}");
        let conditions = proof::Conditions::from_circuit(&circuit).expect("it stays small");
        for bridge in &proof.bridges {
            let gap = &circuit.gaps[bridge.gap];
            for rest in [0, 1] {
                let mut setting = vec![rest; circuit.controls.len()];
                bridge.witness.setting.iter().for_each(|l| setting[l.control] = l.position);
                assert!(conditions.is_route_set(gap.segment, &setting), "{shape:?}: no train is lined there");
                let sides = [(gap.before, bridge.poles[0]), (gap.after, bridge.poles[1])];
                for (node, pole) in sides {
                    let live = node == pole.node(&circuit) || conditions.live(node, pole, &setting);
                    assert!(live, "{shape:?}: {} is not on that pole", circuit.nodes[node].name);
                }
            }
        }
    }
}
