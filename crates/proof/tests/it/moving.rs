//! What happens while something moves, or a train runs through it: against walking every mixture of old, open and new.

use crate::common::{DEMOS, HEAD, Made, demo, made, positions, proved, reached, settings};
use circuit::{Circuit, ControlId, EdgeKind};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// Controls that can short while they move, by trying everything: each blade pair and contact of the one that moves
/// old, new or open, all others in any position.
fn by_walking(circuit: &Circuit) -> BTreeSet<ControlId> {
    let mut found = BTreeSet::new();
    for control in ControlId::all(circuit.controls.len()) {
        // What depends on one throwbar or one spring, by its name.
        let mut parts: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (i, e) in circuit.edges.iter().enumerate() {
            if e.guard.iter().any(|l| l.control == control) {
                let part = match e.kind {
                    EdgeKind::Blade => e.name.split(' ').next().unwrap().to_owned(),
                    _ => e.name.split(',').next().unwrap().to_owned(),
                };
                parts.entry(part).or_default().push(i);
            }
        }
        let parts: Vec<Vec<usize>> = parts.into_values().collect();
        let mut counts = positions(circuit);
        counts[control] = 1;
        for setting in settings(&counts) {
            // 0 and 1 are the positions, 2 is open.
            for states in settings(&vec![3; parts.len()]) {
                let closed = |e: usize| {
                    circuit.edges[e].guard.iter().all(|l| {
                        if l.control != control {
                            return setting[l.control] == l.position;
                        }
                        let part = parts.iter().position(|p| p.contains(&e)).unwrap();
                        states[part] == l.position
                    })
                };
                let [a, b] = circuit.sources[0].node;
                if reached(circuit, &[a], closed)[b] {
                    found.insert(control);
                }
            }
        }
    }
    found
}

/// A lead and two roads behind one turnout, gapped behind the frog, with these contacts.
fn turnout(wiring: &str, gapped: bool, contacts: &str) -> String {
    let mut text = HEAD.to_owned();
    let gap = |side: &str| {
        if gapped { format!("gaps = [{{ at = \"80 mm\", rail = \"{side}\" }}]\n") } else { String::new() }
    };
    let _ = write!(
        text,
        "[[track]]\nname = \"lead\"\nfrom = \"beyond\"\nto = \"T1.points\"\nlength = \"1 m\"\nleft = \"bus.A\"\nright = \
         \"bus.B\"\nfeeders = [\"0.5 m\"]\n[[turnout]]\nname = \"T1\"\nhand = \"left\"\nwiring = \"{wiring}\"\n[[track]]\n\
         name = \"road 1\"\nfrom = \"T1.through\"\nto = \"buffer\"\nlength = \"1 m\"\nleft = \"bus.A\"\nright = \
         \"bus.B\"\nfeeders = [\"0.5 m\"]\n{}[[track]]\nname = \"road 2\"\nfrom = \"T1.diverging\"\nto = \"buffer\"\n\
         length = \"1 m\"\nleft = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.5 m\"]\n{}[[motor]]\nname = \"M1\"\n\
         moves = \"T1\"\ncontact = [{contacts}]\n",
        gap("left"),
        gap("right"),
    );
    text
}

const FROG: &str = "{ common = \"T1.frog\", through = \"bus.A\", diverging = \"bus.B\" }";

fn mid_throw_controls(text: &str) -> (Made, BTreeSet<ControlId>) {
    let (made, proof) = proved(text);
    assert!(proof.shorts.is_empty(), "{:?}\n{text}", proof.shorts);
    let told = proof.mid_throws.as_ref().unwrap();
    for short in &told.shown {
        // The path is closed in the mixture that is reported, and in nothing else of the control that moves.
        let nodes = &short.witness.nodes;
        let ends = short.poles.map(|pole| pole.node(&made.circuit));
        assert_eq!([nodes[0], *nodes.last().unwrap()], ends);
        for &edge in &short.witness.edges {
            for literal in &made.circuit.edges[edge].guard {
                if literal.control == short.control {
                    assert!(short.parts.contains(&(edge, literal.position)), "{short:?}");
                } else {
                    assert!(short.witness.setting.contains(literal), "{short:?}");
                }
            }
        }
        let positions: BTreeSet<u8> = short.parts.iter().map(|p| p.1).collect();
        assert!(positions.len() > 1, "a mixture has more than one position: {short:?}");
    }
    let controls = told.shown.iter().map(|m| m.control).chain(told.others.iter().copied()).collect();
    (made, controls)
}

#[test]
fn shorts_while_moving_are_those_that_walking_finds() {
    let twice = format!("{FROG}, {FROG}");
    let crossover = demo("two-districts").replace("wiring = \"live-bonded\"", "wiring = \"live-assisted\"");
    let cases: Vec<(String, bool)> = vec![
        // Bonded: the frog alone depends on the contact.
        (turnout("live-bonded", true, FROG), false),
        // Assisted: contact and blades feed one and the same group.
        (turnout("live-assisted", true, FROG), true),
        // Routed, fed by its blades alone.
        (turnout("live-routed", true, ""), false),
        // Two contacts side by side: the one that lags shorts.
        (turnout("live-bonded", true, &twice), true),
        (turnout("insulated-routed", false, ""), false),
        (turnout("metal-tip", false, FROG), false),
        (turnout("metal-tip", false, &twice), true),
        (crossover, true),
        (demo("balloon"), false),
        (demo("wye"), false),
        (demo("thistle-dock-mended"), false),
        (demo("two-districts"), false),
    ];
    for (text, shorts) in cases {
        let (made, told) = mid_throw_controls(&text);
        assert_eq!(told, by_walking(&made.circuit), "{text}");
        assert_eq!(!told.is_empty(), shorts, "{text}");
    }
}

#[test]
fn of_many_that_short_while_moving_the_first_are_shown_and_all_are_named() {
    let one = turnout("live-assisted", true, FROG);
    let own = one.find("[[track]]").unwrap();
    let mut text = one[..own].to_owned();
    for number in 1..=15 {
        let names = [("T1", "T"), ("M1", "M"), ("lead", "lead "), ("road 1", "road 1 "), ("road 2", "road 2 ")];
        let part = names.iter().fold(one[own..].to_owned(), |t, (old, new)| t.replace(old, &format!("{new}{number}")));
        text.push_str(&part);
    }
    let (made, told) = mid_throw_controls(&text);
    assert_eq!(told, ControlId::all(made.circuit.controls.len()).collect());
    let (_, proof) = proved(&text);
    let told = proof.mid_throws.unwrap();
    assert_eq!((told.shown.len(), told.others.len()), (12, 3));
}

#[test]
fn a_mixture_needs_a_position_of_another_control_where_the_path_leads_over_it() {
    // The second contact is in the way of the frog's feed only while the toggle is on.
    let text = turnout(
        "live-bonded",
        true,
        &format!("{FROG}, {{ common = \"boost.1.on\", through = \"bus.A\", diverging = \"bus.B\" }}"),
    ) + "[[toggle]]\nname = \"boost\"\ncontact = [{ common = \"T1.frog\" }]\n";
    let (made, told) = mid_throw_controls(&text);
    assert_eq!(told, by_walking(&made.circuit));
    let (_, proof) = proved(&text);
    let [short] = proof.mid_throws.as_ref().unwrap().shown.as_slice() else { panic!("{:?}", proof.mid_throws) };
    let (toggle, _) = ControlId::each(&made.circuit.controls).find(|c| c.1.name == "boost").unwrap();
    assert_eq!(short.witness.setting.iter().map(|l| (l.control, l.position)).collect::<Vec<_>>(), [(toggle, 1)]);
}

#[test]
fn lasting_shorts_come_first() {
    let reversed = "{ common = \"T1.frog\", through = \"bus.B\", diverging = \"bus.A\" }";
    let (_, proof) = proved(&turnout("live-assisted", true, reversed));
    assert!(!proof.shorts.is_empty() && proof.mid_throws.is_none());
}

/// The states of trackwork.md: running through a turnout set against the train is harmless with the insulated types, a short
/// with the live ones. A metal tip that a contact feeds has the wrong phase then, as a live frog has; one
/// that nothing feeds is harmless.
#[test]
fn running_through_shorts_with_the_live_types() {
    let routes = |text: &str| -> Vec<String> {
        let (made, proof) = proved(text);
        proof.run_throughs.iter().map(|r| made.circuit.segments[r.segment].name.clone()).collect()
    };
    let both = ["T1 through", "T1 diverging"];
    let none: [&str; 0] = [];
    assert_eq!(routes(&turnout("insulated-routed", false, "")), none);
    assert_eq!(routes(&turnout("insulated-bonded", false, "")), none);
    assert_eq!(routes(&turnout("metal-tip", false, "")), none);
    assert_eq!(routes(&turnout("live-unfed", true, "")), none);
    assert_eq!(routes(&turnout("metal-tip", false, FROG)), both);
    assert_eq!(routes(&turnout("live-routed", true, "")), both);
    assert_eq!(routes(&turnout("live-assisted", true, FROG)), both);
    assert_eq!(routes(&turnout("live-bonded", true, FROG)), both);
}

#[test]
fn the_ends_of_a_crossover_that_move_together_are_run_through_on_the_straight_only() {
    let (made, proof) = proved(&demo("two-districts"));
    let names: Vec<&str> = proof.run_throughs.iter().map(|r| made.circuit.segments[r.segment].name.as_str()).collect();
    // Nobody is between the turnouts while both are set straight.
    assert_eq!(names, ["TU through", "TD through"]);
}

#[test]
fn every_run_through_of_the_demo_plans_joins_two_poles() {
    for name in DEMOS {
        let (made, proof) = proved(&demo(name));
        let circuit = &made.circuit;
        for run in &proof.run_throughs {
            let segment = &circuit.segments[run.segment];
            let mut setting: Vec<u8> = vec![0; circuit.controls.len()];
            run.setting.iter().for_each(|l| setting[l.control] = l.position);
            let set: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
            assert!(!Circuit::holds(&segment.guard, &set), "{name}: {} is not set against the train", segment.name);
            // On the rail that is reported, some break between here and the next gap outwards has a pole on each side.
            let tracks = segment.ends.iter().flat_map(|e| e.next.iter().map(|n| n.0));
            let lines = tracks.chain([run.segment]).flat_map(|s| circuit.segments[s].rails.iter());
            let closed = |e: usize| circuit.edges[e].is_closed(&set);
            let on = circuit.sources[0].node.map(|pole| reached(circuit, &[pole], closed));
            let apart = lines.flat_map(|l| &l.stops).any(|s| {
                let (before, after) = (s.before.index(), s.after.index());
                (on[0][before] && on[1][after]) || (on[1][before] && on[0][after])
            });
            assert!(apart, "{name}: {}", segment.name);
        }
        assert!(!proof.run_throughs.is_empty(), "{name} has live frogs");
    }
    let circuit = made(&demo("wye")).circuit;
    assert_eq!(circuit.controls.len(), 3);
}
