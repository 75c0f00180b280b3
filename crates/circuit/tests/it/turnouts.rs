//! The state tables of trackwork, as literal tests: which rails are one conductor in which position.
//!
//! Source of the tables: derived from first principles (which blade touches which stock rail, what lies
//! at the frog); they can be checked by hand with a pencil and two colours. Common practice, no source.

use circuit::{Circuit, NodeId, RailLine, RailOwner};

/// A turnout with a track at each end. `flipped` turns the tracks round, which must change nothing
/// but the names of their rails.
fn plan(wiring: &str, hand: &str, flipped: bool) -> String {
    let legs = if hand == "wye" { ["left", "right"] } else { ["through", "diverging"] };
    let track = |name: &str, end: &str, ends_there: bool| {
        let (from, to) = if ends_there { ("beyond", end) } else { (end, "beyond") };
        format!("[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"1 m\"\n")
    };
    format!(
        "[layout]\nname = \"t\"\nscale = \"OO\"\n[[turnout]]\nname = \"T1\"\nhand = \"{hand}\"\nwiring = \"{wiring}\"\n{}{}{}",
        track("lead", "T1.points", !flipped),
        track("through", &format!("T1.{}", legs[0]), flipped),
        track("diverging", &format!("T1.{}", legs[1]), flipped),
    )
}

fn circuit_of(text: &str) -> Circuit {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}\n{text}", reading.findings);
    Circuit::from_plan(&reading.plan, &reading.names)
}

/// Which nodes are joined in a position: the smallest node each can reach.
fn joined(circuit: &Circuit, position: u8) -> Vec<NodeId> {
    let mut of: Vec<NodeId> = NodeId::all(circuit.nodes.len()).collect();
    let mut changed = true;
    while changed {
        changed = false;
        for edge in circuit.edges.iter().filter(|e| e.is_closed(&[Some(position)])) {
            let (a, b) = (of[edge.a], of[edge.b]);
            if a != b {
                of[edge.a] = a.min(b);
                of[edge.b] = a.min(b);
                changed = true;
            }
        }
    }
    of
}

/// The rails of the turnout in one position, as groups of names: `SL SR` the stock rails at the
/// points, `TL TR DL DR` the rails of the through and of the diverging track, left and right seen from
/// the points, `BL BR` the closure rails before the frog, `F` the frog.
fn groups(text: &str, flipped: bool, position: u8) -> Vec<String> {
    let circuit = circuit_of(text);
    let of = joined(&circuit, position);
    let middle = |track: usize, side: usize| circuit.segments[track].rails[side].stops[0].after;
    let right = usize::from(!flipped);
    let left = usize::from(flipped);
    let mut named = vec![
        ("SL", middle(0, left)),
        ("SR", middle(0, right)),
        ("TL", middle(1, left)),
        ("TR", middle(1, right)),
        ("DL", middle(2, left)),
        ("DR", middle(2, right)),
    ];
    // The closure rails: where each route's cut rail meets the frog.
    for segment in circuit.segments.iter().filter(|s| matches!(s.owner, RailOwner::Work { .. })) {
        for (side, name) in [(0, "BL"), (1, "BR")] {
            let line: &RailLine = &segment.rails[side];
            if line.stops.len() > 2 {
                named.push((name, line.stops[1].before));
            }
        }
    }
    named.extend(circuit.frogs.iter().map(|f| ("F", f.2)));
    let mut seen: Vec<NodeId> = Vec::new();
    let mut groups: Vec<Vec<&str>> = Vec::new();
    for (name, node) in named {
        let root = of[node];
        match seen.iter().position(|&r| r == root) {
            Some(i) => groups[i].push(name),
            None => {
                seen.push(root);
                groups.push(vec![name]);
            }
        }
    }
    for group in &mut groups {
        group.sort_unstable();
    }
    let mut groups: Vec<String> = groups.into_iter().map(|g| g.join(" ")).collect();
    groups.sort_unstable();
    groups
}

fn check(wiring: &str, hand: &str, through: &[&str], diverging: &[&str]) {
    for flipped in [false, true] {
        let text = plan(wiring, hand, flipped);
        assert_eq!(groups(&text, flipped, 0), through, "{wiring} {hand} through, flipped: {flipped}");
        assert_eq!(groups(&text, flipped, 1), diverging, "{wiring} {hand} diverging, flipped: {flipped}");
    }
}

// Right hand: SL runs on into the through track's left rail, SR into the diverging track's right rail.
// BL and DL belong to the diverging route, BR and TR to the through route.

#[test]
fn insulated_routed() {
    check("insulated-routed", "right", &["BL DL", "BR DR SR TR", "SL TL"], &["BL DL SL TL", "BR TR", "DR SR"]);
}

#[test]
fn insulated_bonded() {
    let always: &[&str] = &["BL DL SL TL", "BR DR SR TR"];
    check("insulated-bonded", "right", always, always);
}

#[test]
fn metal_tip() {
    let always: &[&str] = &["BL DL SL TL", "BR DR SR TR", "F"];
    check("metal-tip", "right", always, always);
}

#[test]
fn live_routed() {
    check("live-routed", "right", &["BL BR DL DR F SR TR", "SL TL"], &["BL BR DL F SL TL TR", "DR SR"]);
}

#[test]
fn live_assisted_without_its_contact_is_live_routed() {
    check("live-assisted", "right", &["BL BR DL DR F SR TR", "SL TL"], &["BL BR DL F SL TL TR", "DR SR"]);
}

#[test]
fn live_bonded() {
    let always: &[&str] = &["BL SL TL", "BR DR SR", "DL F TR"];
    check("live-bonded", "right", always, always);
}

#[test]
fn live_unfed() {
    let always: &[&str] = &["BL SL TL", "BR DR SR", "DL F TR"];
    check("live-unfed", "right", always, always);
}

// Left hand is the mirror image: left and right exchanged throughout.

#[test]
fn left_hand_is_the_mirror_of_right_hand() {
    let mirror = |group: &str| {
        let mut names: Vec<String> = group
            .split(' ')
            .map(|name| match (name.strip_suffix('L'), name.strip_suffix('R')) {
                (Some(stem), _) => format!("{stem}R"),
                (_, Some(stem)) => format!("{stem}L"),
                _ => name.to_owned(),
            })
            .collect();
        names.sort_unstable();
        names.join(" ")
    };
    for wiring in plan::tables::Wiring::WORDS {
        for position in [0, 1] {
            let right = groups(&plan(wiring, "right", false), false, position);
            let mut mirrored: Vec<String> = right.iter().map(|g| mirror(g)).collect();
            mirrored.sort_unstable();
            assert_eq!(groups(&plan(wiring, "left", false), false, position), mirrored, "{wiring} {position}");
        }
    }
}

#[test]
fn a_wye_turnout_is_a_right_hand_one_whose_through_track_is_left() {
    for wiring in plan::tables::Wiring::WORDS {
        for position in [0, 1] {
            let right = groups(&plan(wiring, "right", false), false, position);
            assert_eq!(groups(&plan(wiring, "wye", false), false, position), right, "{wiring} {position}");
        }
    }
}

#[test]
fn every_line_is_whole_and_starts_and_ends_where_its_segment_does() {
    for wiring in plan::tables::Wiring::WORDS {
        for hand in plan::tables::Hand::WORDS {
            let circuit = circuit_of(&plan(wiring, hand, false));
            assert_eq!(circuit.segments.len(), 5);
            for segment in &circuit.segments {
                for line in &segment.rails {
                    assert_eq!(line.pieces.len() + 1, line.stops.len());
                    assert_eq!(line.stops.first().map(|s| s.x), Some(0.0));
                    let end = line.stops.last().map_or(0.0, |s| s.x);
                    assert!((end - segment.length).abs() < 1e-12, "{wiring} {hand}: {end} {}", segment.length);
                    assert!(line.stops.windows(2).all(|s| s[0].x < s[1].x));
                }
            }
        }
    }
}

/// Gaps that are built in: around the frog of a metal tip four, before that of a live-bonded one two (the two
/// behind it are the builder's, in the tracks).
#[test]
fn built_in_gaps() {
    let count = |wiring: &str| circuit_of(&plan(wiring, "right", false)).gaps.len();
    let counts: Vec<(&str, usize)> = plan::tables::Wiring::WORDS.iter().map(|w| (*w, count(w))).collect();
    assert_eq!(
        counts,
        [
            ("insulated-routed", 0),
            ("insulated-bonded", 0),
            ("metal-tip", 4),
            ("live-routed", 0),
            ("live-assisted", 0),
            ("live-bonded", 2),
            ("live-unfed", 2),
        ]
    );
}
