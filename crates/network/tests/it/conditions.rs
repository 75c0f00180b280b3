//! Conditions against every setting tried in turn.

use crate::common::{Union, ladder};
use network::{Condition, Diagrams, Pattern, TooLarge, Variable, reach};
use proptest::prelude::*;

/// When an edge is closed: all these switches stand as said. Empty: always.
type Guard = Vec<(usize, bool)>;

#[derive(Debug, Clone)]
struct Switched {
    n: usize,
    switches: usize,
    edges: Vec<(u32, u32)>,
    guards: Vec<Guard>,
    poles: Vec<u32>,
}

fn any_switched() -> impl Strategy<Value = Switched> {
    (2usize..=12, 1usize..=10).prop_flat_map(|(n, switches)| {
        let node = 0..n as u32;
        let guard = prop::collection::vec((0..switches, any::<bool>()), 0..3);
        (
            prop::collection::vec(((node.clone(), node), guard), 0..3 * n),
            1..=n.min(4),
            Just((0..n as u32).collect::<Vec<_>>()).prop_shuffle(),
        )
            .prop_map(move |(edges, poles, nodes)| {
                let (edges, guards) = edges.into_iter().unzip();
                let poles = nodes[..poles].to_vec();
                Switched { n, switches, edges, guards, poles }
            })
    })
}

fn guard_conditions(guards: &[Guard], diagrams: &Diagrams) -> Vec<Condition> {
    let literals = |guard: &Guard| guard.iter().map(|&(s, stands)| (Variable::new(s), stands)).collect::<Vec<_>>();
    guards.iter().map(|guard| diagrams.all_of(&mut literals(guard))).collect()
}

/// One setting: closed edges; the parts they make of the nodes that are not poles; what touches what.
struct Setting<'a> {
    network: &'a Switched,
    closed: Vec<(usize, usize)>,
    parts: Union,
}

impl<'a> Setting<'a> {
    fn new(network: &'a Switched, stands: &[bool]) -> Setting<'a> {
        let closed: Vec<(usize, usize)> = network
            .edges
            .iter()
            .zip(&network.guards)
            .filter(|(_, guard)| guard.iter().all(|&(s, value)| stands[s] == value))
            .map(|(&(u, v), _)| (u as usize, v as usize))
            .collect();
        let mut parts = Union::new(network.n);
        let pole = |node: usize| network.poles.contains(&(node as u32));
        for &(u, v) in &closed {
            if !pole(u) && !pole(v) {
                parts.join(u, v);
            }
        }
        Setting { network, closed, parts }
    }

    fn is_pole(&self, node: usize) -> bool {
        self.network.poles.contains(&(node as u32))
    }

    /// Parts a pole touches straight.
    fn touched(&self, pole: usize) -> Vec<usize> {
        let other_ends = self.closed.iter().flat_map(|&(u, v)| [(u, v), (v, u)]);
        other_ends.filter(|&(u, v)| u == pole && !self.is_pole(v)).map(|(_, v)| self.parts.find(v)).collect()
    }

    fn live(&self, node: usize, pole: usize) -> bool {
        if self.is_pole(node) {
            return node == pole;
        }
        self.touched(pole).contains(&self.parts.find(node))
    }

    fn meet(&self, i: usize, j: usize) -> bool {
        let straight = self.closed.iter().any(|&edge| edge == (i, j) || edge == (j, i));
        let parts = self.touched(j);
        i == j || straight || self.touched(i).iter().any(|part| parts.contains(part))
    }
}

fn check_every_setting(network: &Switched) {
    let diagrams = Diagrams::new(network.switches, 1 << 16);
    let guards = guard_conditions(&network.guards, &diagrams);
    let pattern = Pattern::new(network.n, &network.edges, &network.poles);
    let found = reach(&pattern, &guards, &diagrams).expect("small");
    for number in 0..1u32 << network.switches {
        let stands: Vec<bool> = (0..network.switches).map(|s| number >> s & 1 == 1).collect();
        let setting = Setting::new(network, &stands);
        let holds = |condition| diagrams.value(condition, |v| stands[v.index()]);
        for &pole in &network.poles {
            for node in 0..network.n {
                assert_eq!(
                    holds(found.live(node as u32, pole)),
                    setting.live(node, pole as usize),
                    "node {node}, pole {pole}, {stands:?}"
                );
            }
            for &other in &network.poles {
                assert_eq!(
                    holds(found.between_poles(pole, other)),
                    setting.meet(pole as usize, other as usize),
                    "poles {pole} and {other}, {stands:?}"
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn conditions_hold_in_exactly_the_settings_where_parts_touch(network in any_switched()) {
        check_every_setting(&network);
    }
}

/// A yard ladder: each turnout hands the lead on or out, the frog is fed from one stock rail or the other.
#[test]
fn a_yard_of_nine_turnouts() {
    let turnouts = 9;
    let (mut edges, mut guards) = (Vec::new(), Vec::new());
    // Poles 0 and 1; frog of turnout t is node 2 + t; storage rail of turnout t is node 2 + turnouts + t.
    for t in 0..turnouts {
        let (frog, rail) = (2 + t as u32, 2 + (turnouts + t) as u32);
        edges.extend([(0, frog), (1, frog), (frog, rail)]);
        guards.extend([vec![(t, true)], vec![(t, false)], vec![]]);
        if t > 0 {
            // A rail shared with the neighbour, joined only when both are set alike.
            edges.push((rail, rail - 1));
            guards.push(vec![(t, true), (t - 1, true)]);
        }
    }
    check_every_setting(&Switched { n: 2 + 2 * turnouts, switches: turnouts, edges, guards, poles: vec![0, 1] });
}

/// Every edge of a ladder behind a switch of its own, along the track: conditions stay small, and the elimination
/// reports how small.
#[test]
fn conditions_stay_small_along_the_track_and_the_limit_bites() {
    let largest = |sections: usize, limit: usize| {
        let (n, edges) = ladder(sections);
        let diagrams = Diagrams::new(edges.len(), limit);
        let guards: Vec<Condition> =
            (0..edges.len()).map(|switch| diagrams.literal(Variable::new(switch), true)).collect();
        // One pole, at the far end of one rail.
        let pattern = Pattern::new(n, &edges, &[0]);
        reach(&pattern, &guards, &diagrams).map(|reach| {
            assert_eq!(reach.poles(), [0]);
            reach.largest()
        })
    };
    let small = largest(6, 1 << 20).expect("within the limit");
    assert!(small > 3, "{small}");
    assert_eq!(largest(6, small), Ok(small));
    match largest(6, small / 2) {
        Err(TooLarge { node, limit }) => {
            assert!(node < 24);
            assert_eq!(limit, small / 2);
        }
        Ok(size) => panic!("{size} found under a limit of {}", small / 2),
    }
}

#[test]
fn a_guard_already_beyond_the_limit_is_refused() {
    let diagrams = Diagrams::new(8, 1 << 16);
    let exactly_one = |a, b| diagrams.or(diagrams.and_not(a, b)?, diagrams.and_not(b, a)?);
    let parity = (0..8).try_fold(Condition::NEVER, |sum, v| exactly_one(sum, diagrams.literal(Variable::new(v), true)));
    let parity = parity.expect("small");
    let pattern = Pattern::new(2, &[(0, 1)], &[0, 1]);
    let size = diagrams.size(parity);
    let error = reach(&pattern, &[parity], &diagrams.with_limit(size - 1)).expect_err("too large");
    assert_eq!(error.limit, size - 1);
    assert!(error.to_string().contains("decision nodes"));
    let fits = reach(&pattern, &[parity], &diagrams.with_limit(size)).expect("fits");
    assert_eq!(fits.between_poles(1, 0), parity);
}
