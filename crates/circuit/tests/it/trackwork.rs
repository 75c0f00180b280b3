//! The state tables of crossings, slips, three-way turnouts, turntables and reversers, as literal tests: which
//! conductors there are in which position.
//!
//! Source of the tables: derived from first principles (which rails cross where, which blade lies on which rail); they
//! can be checked by hand with a pencil and two colours. Common practice, no source.

use circuit::{Circuit, NodeId, RailOwner};

pub(crate) const HEAD: &str = "[layout]\nname = \"t\"\nscale = \"OO\"\n";

pub(crate) fn circuit_of(text: &str) -> Circuit {
    let reading = plan::read(text);
    assert!(reading.understood(), "{:?}\n{text}", reading.findings);
    Circuit::from_plan(&reading.plan, &reading.names)
}

/// Which nodes are joined in a setting: the smallest node each can reach.
fn joined(circuit: &Circuit, setting: &[Option<u8>]) -> Vec<NodeId> {
    let mut of: Vec<NodeId> = NodeId::all(circuit.nodes.len()).collect();
    let mut changed = true;
    while changed {
        changed = false;
        for edge in circuit.edges.iter().filter(|e| e.is_closed(setting)) {
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

/// Every conductor in a setting, as the names of the rails that are one. Rails of a track are its name with `L` or `R`;
/// nodes of trackwork are given with the letters they are to be called by.
pub(crate) fn groups(circuit: &Circuit, letters: &[(&str, &str)], setting: &[Option<u8>]) -> Vec<String> {
    let of = joined(circuit, setting);
    let mut named: Vec<(String, NodeId)> = Vec::new();
    for segment in &circuit.segments[..circuit.tracks] {
        for (side, letter) in ["L", "R"].into_iter().enumerate() {
            named.push((format!("{}{letter}", segment.name), segment.rails[side].stops[0].after));
        }
    }
    for (letter, name) in letters {
        let node = circuit.nodes.iter().position(|n| n.name == *name);
        let node = node.unwrap_or_else(|| panic!("no node {name} in {:#?}", circuit.nodes));
        named.push(((*letter).to_owned(), NodeId::new(node)));
    }
    let mut groups: Vec<(NodeId, Vec<String>)> = Vec::new();
    for (name, node) in named {
        let root = of[node];
        match groups.iter_mut().find(|g| g.0 == root) {
            Some(group) => group.1.push(name),
            None => groups.push((root, vec![name])),
        }
    }
    let mut words: Vec<String> = groups
        .into_iter()
        .map(|(_, mut names)| {
            names.sort_unstable();
            names.join(" ")
        })
        .collect();
    words.sort_unstable();
    words
}

/// The routes that are set in a setting.
pub(crate) fn routes(circuit: &Circuit, setting: &[Option<u8>]) -> Vec<String> {
    let work = circuit.segments.iter().filter(|s| matches!(s.owner, RailOwner::Work { .. }));
    work.filter(|s| Circuit::holds(&s.guard, setting)).map(|s| s.name.clone()).collect()
}

/// Tracks that lead away from trackwork, and into it.
pub(crate) fn tracks(away: &[(&str, &str)], into: &[(&str, &str)]) -> String {
    let track = |name: &str, from: &str, to: &str| {
        format!("[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"1 m\"\n")
    };
    let away = away.iter().map(|(name, end)| track(name, end, "beyond"));
    let into = into.iter().map(|(name, end)| track(name, "beyond", end));
    away.chain(into).collect()
}

fn both(one: u8, other: u8) -> Vec<Option<u8>> {
    vec![Some(one), Some(other)]
}

fn three_way(frogs: &str) -> Circuit {
    let tracks = tracks(&[("l", "W1.left"), ("m", "W1.middle"), ("r", "W1.right")], &[("p", "W1.points")]);
    circuit_of(&format!("{HEAD}[[three_way]]\nname = \"W1\"\nfrogs = \"{frogs}\"\n{tracks}"))
}

/// Seen from the points: `pL` and `pR` before them, `lL` and `lR` the left track's rails and so on; `CM` and `CN` the
/// middle track's closure rails, `CL` the left track's right one, `CR` the right track's left one, `XL` and `XR` the rails
/// between the centre frog and the next.
#[test]
fn three_way_live() {
    let circuit = three_way("live");
    let letters = [
        ("CM", "W1 middle track's left closure rail"),
        ("CN", "W1 middle track's right closure rail"),
        ("CL", "W1 left track's right closure rail"),
        ("CR", "W1 right track's left closure rail"),
        ("XL", "W1 rail between the centre and the left frog"),
        ("XR", "W1 rail between the centre and the right frog"),
        ("FL", "W1 left frog"),
        ("FR", "W1 right frog"),
        ("FC", "W1 centre frog"),
    ];
    for (left, right) in [(0, 0), (0, 1), (1, 0)] {
        assert_eq!(
            groups(&circuit, &letters, &both(left, right)),
            ["CL CN pR rR", "CM CR lL pL", "FC XL XR", "FL lR mL", "FR mR rL"]
        );
    }
    let frogs: Vec<&str> = circuit.frogs.iter().map(|f| f.3).collect();
    assert_eq!(frogs, ["left frog", "right frog", "centre frog"]);
    // Before each of the three frogs, on either rail that leads into it.
    assert_eq!(circuit.gaps.len(), 6);
}

#[test]
fn three_way_insulated() {
    let circuit = three_way("insulated");
    for (left, right) in [(0, 0), (0, 1), (1, 0)] {
        assert_eq!(groups(&circuit, &[], &both(left, right)), ["lL mL pL rL", "lR mR pR rR"]);
    }
    assert!(circuit.frogs.is_empty() && circuit.gaps.is_empty());
}

#[test]
fn three_way_routes() {
    let circuit = three_way("live");
    let names: Vec<&str> = circuit.controls.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["W1.left", "W1.right"]);
    assert_eq!(routes(&circuit, &both(0, 0)), ["W1 middle"]);
    assert_eq!(routes(&circuit, &both(1, 0)), ["W1 left"]);
    assert_eq!(routes(&circuit, &both(0, 1)), ["W1 right"]);
    assert!(routes(&circuit, &both(1, 1)).is_empty());
    assert!(!circuit.is_legal(&both(1, 1)));
    assert!([(0, 0), (0, 1), (1, 0)].iter().all(|&(l, r)| circuit.is_legal(&both(l, r))));
}

/// Which wheel, left or right, passes each frog on each route, from the lines a train runs over: the frog's phase
/// with A on the left. The table of the module's page.
#[test]
fn three_way_frogs_by_route() {
    let circuit = three_way("live");
    assert_eq!(phases(&circuit, "W1 left"), [("left frog", 'B'), ("centre frog", 'B')]);
    assert_eq!(phases(&circuit, "W1 middle"), [("left frog", 'A'), ("right frog", 'B')]);
    assert_eq!(phases(&circuit, "W1 right"), [("right frog", 'A'), ("centre frog", 'A')]);
}

/// For each frog on a route, the pole of the rail it is on, with A on the left as seen from the route's start.
fn phases(circuit: &Circuit, route: &str) -> Vec<(&'static str, char)> {
    let segment = circuit.segments.iter().find(|s| s.name == route).unwrap_or_else(|| panic!("no route {route}"));
    let on = |side: usize, node: NodeId| segment.rails[side].stops.iter().any(|s| s.before == node || s.after == node);
    let pole = |node: NodeId| (0..2).find(|&side| on(side, node)).map(|side| ['A', 'B'][side]);
    circuit.frogs.iter().filter_map(|f| Some((f.3, pole(f.2)?))).collect()
}

fn four_legs(name: &str) -> String {
    let end = |word: &str| format!("{name}.{word}");
    let (w1, w2, e1, e2) = (end("west 1"), end("west 2"), end("east 1"), end("east 2"));
    tracks(&[("e1", &e1), ("e2", &e2)], &[("w1", &w1), ("w2", &w2)])
}

fn crossing(frogs: &str, phases: &str) -> Circuit {
    circuit_of(&format!(
        "{HEAD}[[crossing]]\nname = \"X1\"\nfrogs = \"{frogs}\"\nphases = \"{phases}\"\nfollows = \"route\"\n\
         [[toggle]]\nname = \"route\"\n{}",
        four_legs("X1")
    ))
}

const ACUTE: [(&str, &str); 8] = [
    ("WF", "X1 west frog"),
    ("EF", "X1 east frog"),
    ("N", "X1 north crossing"),
    ("S", "X1 south crossing"),
    ("xL1", "X1 left rail of track 1 before the east frog"),
    ("xR1", "X1 right rail of track 1 behind the west frog"),
    ("xL2", "X1 left rail of track 2 behind the west frog"),
    ("xR2", "X1 right rail of track 2 before the east frog"),
];

// Rails are seen eastwards: `w1L` is the left rail of the track that comes in at west 1.

#[test]
fn crossing_live_same_phase() {
    let circuit = crossing("live", "same");
    for route in [0, 1] {
        assert_eq!(
            groups(&circuit, &ACUTE, &[Some(route)]),
            ["EF e1L e2R", "N e2L w1L xL1 xL2", "S e1R w2R xR1 xR2", "WF w1R w2L"]
        );
    }
    assert_eq!(circuit.gaps.len(), 4);
    assert_eq!(phases(&circuit, "X1 west 1 to east 1"), [("west frog", 'B'), ("east frog", 'A')]);
    assert_eq!(phases(&circuit, "X1 west 2 to east 2"), [("west frog", 'A'), ("east frog", 'B')]);
    assert_eq!(routes(&circuit, &[Some(0)]), ["X1 west 1 to east 1"]);
    assert_eq!(routes(&circuit, &[Some(1)]), ["X1 west 2 to east 2"]);
}

#[test]
fn crossing_live_opposite_phases() {
    let circuit = crossing("live", "opposite");
    for route in [0, 1] {
        assert_eq!(
            groups(&circuit, &ACUTE, &[Some(route)]),
            ["EF e1L e2R xL1 xR2", "N", "S", "WF w1R w2L xL2 xR1", "e1R", "e2L", "w1L", "w2R"]
        );
    }
    assert_eq!(circuit.gaps.len(), 8);
    // By the rail, not by the pole: with opposite phases the left rail of track 2 is B.
    assert_eq!(phases(&circuit, "X1 west 1 to east 1"), [("north frog", 'A'), ("south frog", 'B')]);
    assert_eq!(phases(&circuit, "X1 west 2 to east 2"), [("north frog", 'A'), ("south frog", 'B')]);
}

#[test]
fn crossing_insulated_needs_no_control_and_keeps_its_routes_apart() {
    let circuit = circuit_of(&format!("{HEAD}[[crossing]]\nname = \"X1\"\nfrogs = \"insulated\"\n{}", four_legs("X1")));
    assert!(circuit.controls.is_empty() && circuit.gaps.is_empty() && circuit.frogs.is_empty());
    assert_eq!(groups(&circuit, &[], &[]), ["e1L w1L", "e1R w1R", "e2L w2L", "e2R w2R"]);
    assert_eq!(routes(&circuit, &[]), ["X1 west 1 to east 1", "X1 west 2 to east 2"]);
}

fn slip(kind: &str, frogs: &str) -> Circuit {
    circuit_of(&format!("{HEAD}[[slip]]\nname = \"X1\"\nkind = \"{kind}\"\nfrogs = \"{frogs}\"\n{}", four_legs("X1")))
}

#[test]
fn slips_live() {
    for kind in ["single", "double"] {
        let circuit = slip(kind, "live");
        for (west, east) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
            assert_eq!(
                groups(&circuit, &ACUTE, &both(west, east)),
                ["EF e1L e2R", "N e2L w1L xL1 xL2", "S e1R w2R xR1 xR2", "WF w1R w2L"],
                "{kind}"
            );
            assert!(circuit.is_legal(&both(west, east)));
        }
    }
}

#[test]
fn slips_insulated() {
    for kind in ["single", "double"] {
        let circuit = slip(kind, "insulated");
        assert_eq!(groups(&circuit, &[], &both(0, 0)), ["e1L e2L w1L w2L", "e1R e2R w1R w2R"], "{kind}");
    }
}

#[test]
fn slips_routes() {
    let double = slip("double", "live");
    assert_eq!(double.controls.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(), ["X1.west", "X1.east"]);
    // The blades at one end pick the leg at the other.
    assert_eq!(routes(&double, &both(0, 0)), ["X1 west 1 to east 1"]);
    assert_eq!(routes(&double, &both(1, 1)), ["X1 west 2 to east 2"]);
    assert_eq!(routes(&double, &both(1, 0)), ["X1 west 1 to east 2"]);
    assert_eq!(routes(&double, &both(0, 1)), ["X1 west 2 to east 1"]);
    let single = slip("single", "live");
    assert_eq!(routes(&single, &both(1, 0)), ["X1 west 1 to east 2"]);
    assert!(routes(&single, &both(0, 1)).is_empty());
}

#[test]
fn slips_frogs_by_route() {
    let circuit = slip("double", "live");
    let due = |route: &str| phases(&circuit, route).iter().map(|p| p.1).collect::<String>();
    // West frog, east frog: each by the leg in use at its own end.
    assert_eq!(due("X1 west 1 to east 1"), "BA");
    assert_eq!(due("X1 west 2 to east 2"), "AB");
    assert_eq!(due("X1 west 1 to east 2"), "BB");
    assert_eq!(due("X1 west 2 to east 1"), "AA");
}

pub(crate) fn turntable(more: &str) -> Circuit {
    circuit_of(&format!(
        "{HEAD}[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"1 m\"\n\
         [[turntable]]\nname = \"TT\"\nlength = \"0.3 m\"\nstalls = 2\n{more}\n{}",
        tracks(&[("s1", "TT.stall 1"), ("s2", "TT.stall 2")], &[])
    ))
}

#[test]
fn reverser() {
    let circuit = circuit_of(&format!(
        "{HEAD}[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"1 m\"\n\
         [[toggle]]\nname = \"way\"\n\
         [[reverser]]\nname = \"R1\"\nkind = \"short-sensing\"\nfrom = \"bus @ 1 m\"\n\
         [[reverser]]\nname = \"R2\"\nkind = \"following\"\nfollows = \"way\"\nfrom = \"bus\"\n\
         [[track]]\nname = \"t\"\nfrom = \"beyond\"\nto = \"beyond\"\nlength = \"1 m\"\n\
         left = \"R1.A\"\nright = \"R1.B\"\nfeeders = [\"0.5 m\"]\n"
    ));
    let controls: Vec<_> = circuit.controls.iter().map(|c| (c.name.as_str(), c.settles)).collect();
    assert_eq!(controls, [("way", false), ("R1", true)]);
    let letters = [("A", "booster.A"), ("B", "booster.B"), ("R2A", "R2.A"), ("R2B", "R2.B")];
    assert_eq!(groups(&circuit, &letters, &both(0, 0)), ["A R2A tL", "B R2B tR"]);
    assert_eq!(groups(&circuit, &letters, &both(0, 1)), ["A R2A tR", "B R2B tL"]);
    assert_eq!(groups(&circuit, &letters, &both(1, 0)), ["A R2B tL", "B R2A tR"]);
    // Which pole its rails are meant to be on only the sense says.
    assert_eq!(circuit.intended_pole, [[None, None]]);
}

#[test]
fn every_line_is_whole_and_starts_and_ends_where_its_segment_does() {
    let all = [
        three_way("live"),
        three_way("insulated"),
        crossing("live", "same"),
        crossing("live", "opposite"),
        crossing("insulated", "same"),
        slip("single", "live"),
        slip("double", "live"),
        slip("double", "insulated"),
        turntable("left = \"bus.A\"\nright = \"bus.B\""),
        turntable("joint = \"gap\""),
    ];
    for circuit in all {
        for segment in &circuit.segments {
            for line in &segment.rails {
                assert_eq!(line.pieces.len() + 1, line.stops.len(), "{}", segment.name);
                assert_eq!(line.stops.first().map(|s| s.x), Some(0.0));
                let end = line.stops.last().map_or(0.0, |s| s.x);
                assert!((end - segment.length).abs() < 1e-12, "{}: {end} {}", segment.name, segment.length);
                assert!(line.stops.windows(2).all(|s| s[0].x < s[1].x), "{}", segment.name);
            }
        }
        // The first positions of all controls are a setting that there is.
        assert!(circuit.is_legal(&vec![Some(0); circuit.controls.len()]));
    }
}

/// Motors that move several things at once: one control with all their names.
#[test]
fn one_motor_may_move_both_ends_of_a_slip() {
    let circuit = circuit_of(&format!(
        "{HEAD}[[slip]]\nname = \"X1\"\nkind = \"double\"\nfrogs = \"live\"\n\
         [[motor]]\nname = \"M\"\nmoves = [\"X1.west\", \"X1.east\"]\n{}",
        four_legs("X1")
    ));
    assert_eq!(circuit.controls.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(), ["X1.west+X1.east"]);
    assert_eq!(routes(&circuit, &[Some(0)]), ["X1 west 1 to east 1"]);
    assert_eq!(routes(&circuit, &[Some(1)]), ["X1 west 2 to east 2"]);
    // The curves would need the two ends to stand differently.
    assert_eq!(circuit.segments.len(), 4 + 2);
}
