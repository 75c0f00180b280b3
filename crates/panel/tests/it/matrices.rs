//! Diode matrices against every set of buttons, one by one, and against every smaller matrix.

use panel::matrix::{DiodeMatrix, fewest};
use panel::sneak::{FiringNetwork, Link, MINUS, PLUS, SneakFault};
use std::collections::BTreeSet;

/// Numbers that are the same at every run (the Lehmer generator of Park and Miller, "Random number generators: good ones are hard to
/// find", Communications of the ACM 31, 1988).
struct Draw(u64);

impl Draw {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        (self.0 % most as u64) as usize
    }
}

/// Which coils fire while some buttons are pressed, found apart from the engine: points at rest are given a potential by walking
/// from each pole over what conducts, one link at a time.
fn fired(network: &FiringNetwork, pressed: &BTreeSet<usize>) -> Vec<bool> {
    let mut above = vec![false; network.points];
    let mut below = vec![false; network.points];
    (above[PLUS], below[MINUS]) = (true, true);
    for _ in 0..network.points {
        for &(a, b, link) in &network.links {
            let conducts = match link {
                Link::Button(button) => pressed.contains(&button),
                _ => true,
            };
            if !conducts {
                continue;
            }
            let mut lead = |from: usize, to: usize| {
                if from != MINUS {
                    above[to] |= above[from];
                }
                if to != PLUS {
                    below[from] |= below[to];
                }
            };
            lead(a, b);
            if link != Link::Diode {
                lead(b, a);
            }
        }
    }
    let mut fired = vec![false; network.coils];
    for &(a, b, link) in &network.links {
        if let Link::Coil(coil) = link {
            // All coils here have one end on a pole.
            let near = if a < 2 { b } else { a };
            fired[coil] |= if a == PLUS || b == PLUS { below[near] } else { above[near] };
        }
    }
    fired
}

/// Every set of buttons.
fn sets(buttons: usize) -> impl Iterator<Item = BTreeSet<usize>> {
    (0..1usize << buttons).map(move |bits| (0..buttons).filter(|b| bits >> b & 1 == 1).collect())
}

/// Whether each coil fires exactly when it should, in every set of buttons.
fn is_right(network: &FiringNetwork, wanted: &[Vec<usize>]) -> bool {
    sets(network.buttons).all(|pressed| {
        let fired = fired(network, &pressed);
        wanted.iter().zip(fired).all(|(asked, fires)| fires == asked.iter().any(|b| pressed.contains(b)))
    })
}

fn relation(draw: &mut Draw, buttons: usize, coils: usize) -> Vec<Vec<usize>> {
    let dense = 1 + draw.below(3);
    (0..coils).map(|_| (0..buttons).filter(|_| draw.below(4) < dense).collect()).collect()
}

/// Spoils a network: a diode left out, turned round, or bridged by a wire.
fn spoil(draw: &mut Draw, network: &mut FiringNetwork) -> bool {
    let diodes: Vec<usize> = (0..network.links.len()).filter(|&l| network.links[l].2 == Link::Diode).collect();
    if diodes.is_empty() {
        return false;
    }
    let at = diodes[draw.below(diodes.len())];
    let (from, to, _) = network.links[at];
    match draw.below(3) {
        0 => {
            network.links.remove(at);
        }
        1 => network.links[at] = (to, from, Link::Diode),
        _ => network.links[at].2 = Link::Wire,
    }
    true
}

/// A thousand matrices, sound and spoiled, with the common wires on either pole: the proof finds a fault exactly where some set of
/// buttons shows one, and what it names is one.
#[test]
fn the_proof_agrees_with_every_set_of_buttons() {
    let mut draw = Draw(20_011);
    let (mut sound, mut faulty, mut sneaks, mut missing) = (0, 0, 0, 0);
    for case in 0..1000 {
        let (buttons, coils) = (2 + draw.below(6), 2 + draw.below(7));
        let wanted = relation(&mut draw, buttons, coils);
        let matrix = fewest(&wanted, buttons, case % 2 == 0).unwrap();
        let mut network = matrix.network(buttons, coils, case % 4 < 2);
        assert!(is_right(&network, &wanted), "case {case}: {wanted:?} {matrix:?}");
        assert_eq!(network.faults(&wanted).unwrap(), [], "case {case}");
        // Half of them as they are, half spoiled once or twice.
        if case % 2 == 1 || case % 3 == 0 {
            for _ in 0..=draw.below(2) {
                spoil(&mut draw, &mut network);
            }
        }
        let faults = network.faults(&wanted).unwrap();
        assert_eq!(faults.is_empty(), is_right(&network, &wanted), "case {case}: {wanted:?} {network:?} {faults:?}");
        if faults.is_empty() {
            sound += 1
        } else {
            faulty += 1
        }
        for fault in faults {
            match fault {
                SneakFault::Sneak { coil, pressed, path } => {
                    sneaks += 1;
                    let set: BTreeSet<usize> = pressed.iter().copied().collect();
                    assert!(fired(&network, &set)[coil], "case {case}");
                    assert!(!wanted[coil].iter().any(|b| set.contains(b)), "case {case}");
                    for button in &pressed {
                        let less: BTreeSet<usize> = set.iter().copied().filter(|b| b != button).collect();
                        assert!(!fired(&network, &less)[coil], "case {case}: {button} can be left out");
                    }
                    assert_eq!((path[0], path[path.len() - 1]), (PLUS, MINUS), "case {case}: {path:?}");
                    for pair in path.windows(2) {
                        let leads = network.links.iter().any(|&(a, b, link)| {
                            let closed = !matches!(link, Link::Button(b) if !set.contains(&b));
                            closed
                                && ((a, b) == (pair[0], pair[1])
                                    || (link != Link::Diode && (b, a) == (pair[0], pair[1])))
                        });
                        assert!(leads, "case {case}: {path:?}");
                    }
                }
                SneakFault::Missing { coil, button } => {
                    missing += 1;
                    assert!(wanted[coil].contains(&button), "case {case}");
                    assert!(!fired(&network, &BTreeSet::from([button]))[coil], "case {case}");
                }
                SneakFault::Short { .. } => panic!("case {case}: no pole meets the other"),
            }
        }
    }
    assert!(sound > 300 && faulty > 300 && sneaks > 100 && missing > 100, "{sound} {faulty} {sneaks} {missing}");
}

/// Each coil's condition itself, not the verdict alone, is that of every set of buttons.
#[test]
fn conditions_are_those_of_every_set_of_buttons() {
    let mut draw = Draw(7);
    for case in 0..200 {
        let (buttons, coils) = (2 + draw.below(6), 2 + draw.below(7));
        let wanted = relation(&mut draw, buttons, coils);
        let mut network = fewest(&wanted, buttons, true).unwrap().network(buttons, coils, case % 2 == 0);
        spoil(&mut draw, &mut network);
        let diagrams = network::Diagrams::new(buttons, 1 << 16);
        let fires = network.fires(&diagrams).unwrap();
        for pressed in sets(buttons) {
            let found: Vec<bool> = fires.iter().map(|&f| diagrams.value(f, |v| pressed.contains(&v.index()))).collect();
            assert_eq!(found, fired(&network, &pressed), "case {case}, {pressed:?}");
        }
    }
}

/// A common wire that has come off its pole: two coils in a row fire only where no diode bars the way back.
#[test]
fn a_loose_common_wire_fires_nothing_behind_diodes() {
    // Two motors' coils 0 and 1 share a common point that is on no pole; buttons 0 and 1 reach one coil each.
    let mut loose = FiringNetwork::new(2, 2);
    let [common, one, other] = [loose.point(), loose.point(), loose.point()];
    loose.links = vec![(PLUS, one, Link::Button(0)), (PLUS, other, Link::Button(1))];
    loose.links.extend([(one, common, Link::Coil(0)), (other, common, Link::Coil(1))]);
    assert_eq!(loose.faults(&[vec![], vec![]]).unwrap(), []);
    // With one coil's node on the other pole over a button, both fire in a row.
    loose.buttons = 3;
    loose.links.push((other, MINUS, Link::Button(2)));
    let faults = loose.faults(&[vec![], vec![]]).unwrap();
    let pressed: Vec<Vec<usize>> = faults
        .iter()
        .map(|fault| match fault {
            SneakFault::Sneak { pressed, .. } | SneakFault::Short { pressed } => pressed.clone(),
            SneakFault::Missing { .. } => Vec::new(),
        })
        .collect();
    assert_eq!(pressed, [vec![1, 2], vec![0, 2], vec![0, 2]]);
}

/// The diodes of a ladder: each road's button throws all turnouts before its own through, its own diverging.
fn ladder(roads: usize) -> Vec<Vec<usize>> {
    // Coil 2t sets turnout t through, coil 2t + 1 diverging; the last road lies behind the last turnout's through leg.
    let turnouts = roads - 1;
    (0..turnouts).flat_map(|t| [(t + 1..roads).collect(), vec![t]]).collect()
}

/// By hand: of a ladder to n roads every road but the first asks for the turnouts before it, which is n(n - 1)/2 calls. The last
/// turnout's through coil is the last button's own, and its diverging coil the last but one's; each diverging coil is one
/// button's. What is left costs a diode a call: n(n - 1)/2 - 1. In a chain each turnout's node feeds the one before: one diode from
/// there, and one from the button that is new.
#[test]
fn a_ladder_takes_the_diodes_that_a_count_by_hand_gives() {
    for roads in 3..12 {
        let wanted = ladder(roads);
        let coils = wanted.len();
        let single = fewest(&wanted, roads, false).unwrap();
        assert_eq!(single.diodes.len(), roads * (roads - 1) / 2 - 1, "{roads} roads");
        assert_eq!(single.in_row().iter().max(), Some(&1));
        let chained = fewest(&wanted, roads, true).unwrap();
        assert_eq!(chained.diodes.len(), 2 * (roads - 2), "{roads} roads");
        for matrix in [single, chained] {
            assert!(matrix.least);
            for common_on_plus in [false, true] {
                assert_eq!(matrix.network(roads, coils, common_on_plus).faults(&wanted).unwrap(), []);
            }
        }
    }
}

/// Whether any matrix with so many diodes, whatever wired to whatever, does what is wanted: every way to wire buttons and coils
/// straight on nodes, and every choice of diodes between these.
fn can_be_done(wanted: &[Vec<usize>], buttons: usize, diodes: usize, chained: bool) -> bool {
    let coils = wanted.len();
    // A node for each coil; a button lies on one of them or on its own.
    let nodes = coils + buttons;
    let mut homes = vec![0; buttons];
    loop {
        // Coils that are joined by a wire: each on the node of one before it, or its own.
        let mut joined = vec![0; coils];
        loop {
            let matrix = |pairs: &[(usize, usize)]| {
                let mut network = FiringNetwork::new(buttons, coils);
                let points: Vec<usize> = (0..nodes).map(|_| network.point()).collect();
                for (b, &home) in homes.iter().enumerate() {
                    let on = if home == coils { coils + b } else { home };
                    network.links.push((PLUS, points[on], Link::Button(b)));
                }
                for (c, &with) in joined.iter().enumerate() {
                    network.links.push((points[with], MINUS, Link::Coil(c)));
                }
                network.links.extend(pairs.iter().map(|&(a, b)| (points[a], points[b], Link::Diode)));
                network
            };
            let allowed: Vec<(usize, usize)> =
                (0..nodes).flat_map(|a| (0..nodes).map(move |b| (a, b))).filter(|(a, b)| a != b).collect();
            let mut chosen: Vec<usize> = (0..diodes).collect();
            loop {
                let pairs: Vec<(usize, usize)> = chosen.iter().map(|&i| allowed[i]).collect();
                let chain = pairs.iter().any(|a| pairs.iter().any(|b| a.1 == b.0));
                if (chained || !chain) && is_right(&matrix(&pairs), wanted) {
                    return true;
                }
                // The next choice.
                let Some(at) = (0..diodes).rev().find(|&i| chosen[i] + diodes - i < allowed.len()) else { break };
                chosen[at] += 1;
                for i in at + 1..diodes {
                    chosen[i] = chosen[i - 1] + 1;
                }
            }
            let Some(at) = (0..coils).rev().find(|&c| joined[c] < c) else { break };
            joined[at] += 1;
            joined[at + 1..].fill(0);
        }
        let Some(at) = (0..buttons).rev().find(|&b| homes[b] < coils) else { return false };
        homes[at] += 1;
        homes[at + 1..].fill(0);
    }
}

/// No matrix without junctions of its own has fewer diodes: all of them are tried, for every relation between two buttons and two
/// coils and some between three.
#[test]
fn no_matrix_has_fewer_diodes() {
    let mut draw = Draw(3);
    let mut relations: Vec<(usize, Vec<Vec<usize>>)> = (0..16)
        .map(|bits| (2, (0..2).map(|c| (0..2).filter(|b| bits >> (2 * c + b) & 1 == 1).collect()).collect()))
        .collect();
    relations.extend((0..12).map(|_| (3, (0..3).map(|_| (0..3).filter(|_| draw.below(3) > 0).collect()).collect())));
    let mut tried = 0;
    for (buttons, wanted) in relations {
        for chained in [false, true] {
            let matrix: DiodeMatrix = fewest(&wanted, buttons, chained).unwrap();
            let count = matrix.diodes.len();
            // What four diodes or more could be replaced by takes too long to try.
            if count == 0 || count > 3 {
                continue;
            }
            tried += 1;
            assert!(!can_be_done(&wanted, buttons, count - 1, chained), "{wanted:?} {matrix:?}");
        }
    }
    assert!(tried > 12, "{tried}");
}
