//! Which tracks of a ladder of four turnouts are live, in all of its 16 settings.
//!
//! The counts are [calc]: they follow from the wiring alone and can be checked with a pencil and two colours.

use circuit::{Circuit, NodeId, PoleId};
use oracle::ladders::{LadderShape, plan};
use plan::Pole;
use plan::tables::RailSide;
use proof::{Conditions, Conductors};
use std::collections::BTreeMap;
use std::fmt::Write;

/// For each setting of the four turnouts, how many of the five roads are live; and how many settings there are of
/// each such count.
fn live_roads(text: &str) -> BTreeMap<usize, usize> {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:#?}\n{text}", reading.findings);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    assert_eq!(circuit.controls.len(), 4);
    let conditions = Conditions::from_circuit(&circuit).expect("a small plan");
    assert_eq!(conditions.shorted_settings(0), Ok(0.0));
    let conductor = Conductors::from_circuit(&circuit, &[]).of;
    let poles = circuit.sources[0].node.map(|n| conductor[n]);
    let roads: Vec<usize> = (0..circuit.tracks).filter(|&t| circuit.segments[t].name.starts_with("road")).collect();
    assert_eq!(roads.len(), 5);
    let mut counts = BTreeMap::new();
    for bits in 0..16u8 {
        let setting: Vec<u8> = (0..4).map(|turnout| bits >> turnout & 1).collect();
        let on = |node: NodeId, pole: Pole| {
            conductor[node] == poles[pole] || conditions.live(node, PoleId { source: 0, pole }, &setting)
        };
        let live = roads.iter().filter(|&&road| {
            let end =
                |side: RailSide| circuit.segments[road].rails[side].stops.last().map_or(NodeId::new(0), |s| s.before);
            let (left, right) = (end(RailSide::Left), end(RailSide::Right));
            Pole::ALL.into_iter().any(|pole| on(left, pole) && on(right, pole.other()))
        });
        *counts.entry(live.count()).or_insert(0) += 1;
    }
    counts
}

/// A left-hand ladder that goes on by the through legs, fed by a lead; `step` and `road` are added to the tables of such tracks.
fn ladder(wiring: &str, contacts: bool, step: &str, road: &str) -> String {
    let mut text = String::from(
        "[layout]\nname = \"ladder\"\nscale = \"OO\"\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n[[bus]]\n\
         name = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"5 m\"\n[[track]]\nname = \"lead\"\n\
         from = \"beyond\"\nto = \"T1.points\"\nlength = \"1 m\"\nleft = \"bus.A\"\nright = \"bus.B\"\n\
         feeders = [\"0.5 m\"]\n",
    );
    let mut track = |name: String, from: String, to: String, more: &str| {
        let _ = write!(
            text,
            "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"1 m\"\nleft = \"bus.A\"\n\
             right = \"bus.B\"\n{more}\n"
        );
    };
    for k in 1..=4 {
        track(format!("road {k}"), format!("T{k}.diverging"), "buffer".to_owned(), road);
        let through = format!("T{k}.through");
        if k == 4 {
            track("road 5".to_owned(), through, "buffer".to_owned(), road);
        } else {
            track(format!("step {k}"), through, format!("T{}.points", k + 1), step);
        }
    }
    for k in 1..=4 {
        let _ = write!(text, "[[turnout]]\nname = \"T{k}\"\nhand = \"left\"\nwiring = \"{wiring}\"\n");
        if contacts {
            let _ = write!(
                text,
                "[[motor]]\nname = \"M{k}\"\nmoves = \"T{k}\"\ncontact = [{{ common = \"T{k}.frog\", \
                 through = \"bus.A\", diverging = \"bus.B\" }}]\n"
            );
        }
    }
    text
}

/// The track tree copied with change-over contacts. [calc]
#[test]
fn a_tree_of_contacts_leaves_exactly_one_track_live() {
    assert_eq!(live_roads(&plan(LadderShape::LadderWithTree, 4)), BTreeMap::from([(1, 16)]));
}

/// Roads fed from their frogs without a gap, the steps between gapped and fed on. [calc] Of roads 1 to 3 each is live
/// while its own turnout diverges, and of roads 4 and 5 always one: binomially 1 + 0 … 1 + 3, twice each.
#[test]
fn feeding_tracks_from_their_frogs_leaves_one_to_four_live() {
    let step = "feeders = [\"0.5 m\"]\ngaps = [{ at = \"40 mm\", rail = \"left\" }]";
    let text = ladder("live-bonded", true, step, "");
    assert_eq!(live_roads(&text), BTreeMap::from([(1, 2), (2, 6), (3, 6), (4, 2)]));
}

/// Turnouts whose blades lead the power, with one feed at the points and no gap. [calc]
#[test]
fn turnouts_that_lead_the_power_leave_exactly_one_track_live() {
    assert_eq!(live_roads(&ladder("live-routed", false, "", "")), BTreeMap::from([(1, 16)]));
}
