//! Interlocking against every setting, one by one: two routes that are told to go together can be set and be live together in some
//! setting, two that exclude each other in none.

use crate::common::{HEAD, Made, made};
use circuit::{Circuit, NodeId, PoleId, RailOwner, Way};
use proof::{Exclusion, Unusable, interlocking};
use std::collections::BTreeSet;

/// What joins what for good, found by walking.
fn conductors(circuit: &Circuit) -> Vec<usize> {
    let mut of: Vec<usize> = (0..circuit.nodes.len()).collect();
    loop {
        let mut changed = false;
        for edge in circuit.edges.iter().filter(|e| e.guard.is_empty() && !e.removed) {
            let (a, b) = (edge.a.index(), edge.b.index());
            let least = of[a].min(of[b]);
            changed |= of[a] != least || of[b] != least;
            (of[a], of[b]) = (least, least);
        }
        if !changed {
            return of;
        }
    }
}

/// For each pole the conductors that are joined to it over no other pole.
fn reached(circuit: &Circuit, of: &[usize], setting: &[Option<u8>]) -> Vec<(PoleId, BTreeSet<usize>)> {
    let poles: Vec<(PoleId, usize)> = (0..circuit.sources.len())
        .flat_map(PoleId::both)
        .map(|pole| (pole, of[circuit.sources[pole.source].node[pole.pole].index()]))
        .collect();
    let is_pole: BTreeSet<usize> = poles.iter().map(|p| p.1).collect();
    let closed: Vec<[usize; 2]> = circuit
        .edges
        .iter()
        .filter(|e| !e.removed && Circuit::holds(&e.guard, setting))
        .map(|e| [of[e.a.index()], of[e.b.index()]])
        .filter(|[a, b]| a != b)
        .collect();
    let walk = |start: usize| {
        let mut seen = BTreeSet::from([start]);
        let mut waiting = vec![start];
        while let Some(at) = waiting.pop() {
            if at != start && is_pole.contains(&at) {
                continue;
            }
            for [a, b] in &closed {
                for (here, there) in [(a, b), (b, a)] {
                    if *here == at && seen.insert(*there) {
                        waiting.push(*there);
                    }
                }
            }
        }
        seen
    };
    poles.iter().map(|&(pole, start)| (pole, walk(start))).collect()
}

/// One legal setting without a short: for each route, whether it is set, and which of its stretches have power.
type Seen = Vec<Option<Vec<bool>>>;

/// The pairs of rail nodes along a route, one pair for each place between two stops.
fn stretches(circuit: &Circuit, way: &Way) -> Vec<[NodeId; 2]> {
    let mut found = Vec::new();
    for &(segment, _) in &way.steps {
        let rails = &circuit.segments[segment].rails;
        let mut places: Vec<f64> = rails.iter().flat_map(|r| r.stops.iter().map(|s| s.x)).collect();
        places.sort_by(f64::total_cmp);
        for pair in places.windows(2).filter(|p| p[1] - p[0] > 1e-9) {
            let middle = (pair[0] + pair[1]) / 2.0;
            let node = |rail: usize| {
                let before = rails[rail].stops.iter().rev().find(|s| s.x <= middle);
                let behind = rails[rail].stops.iter().any(|s| s.x >= middle);
                before.filter(|_| behind).map(|s| s.after)
            };
            if let (Some(left), Some(right)) = (node(0), node(1)) {
                found.push([left, right]);
            }
        }
    }
    found
}

fn every_setting(circuit: &Circuit, ways: &[&Way]) -> Vec<Seen> {
    let of = conductors(circuit);
    let all: Vec<Vec<[NodeId; 2]>> = ways.iter().map(|way| stretches(circuit, way)).collect();
    let counts: Vec<u8> = circuit.controls.iter().map(|c| u8::try_from(c.positions.len()).unwrap()).collect();
    let mut setting: Vec<Option<u8>> = vec![Some(0); counts.len()];
    let mut seen = Vec::new();
    loop {
        if circuit.is_legal(&setting) {
            let reached = reached(circuit, &of, &setting);
            let on = |pole: PoleId, node: NodeId| {
                reached.iter().any(|(p, nodes)| *p == pole && nodes.contains(&of[node.index()]))
            };
            let shorted = (0..circuit.sources.len()).any(|source| {
                let [a, b] = PoleId::both(source);
                on(a, circuit.sources[source].node[b.pole])
            });
            if !shorted {
                let power = |nodes: &[NodeId; 2]| {
                    (0..circuit.sources.len())
                        .flat_map(PoleId::both)
                        .any(|p| on(p, nodes[0]) && on(p.other(), nodes[1]))
                };
                let holds = |way: &Way| way.setting.iter().all(|(&c, &p)| setting[c.index()] == Some(p));
                seen.push(
                    ways.iter().zip(&all).map(|(way, s)| holds(way).then(|| s.iter().map(power).collect())).collect(),
                );
            }
        }
        let Some(at) = (0..counts.len()).find(|&c| setting[c].unwrap() + 1 < counts[c]) else { return seen };
        setting[at] = setting[at].map(|p| p + 1);
        setting[..at].fill(Some(0));
    }
}

/// Whether two routes run over the same track or trackwork.
fn meet(circuit: &Circuit, one: &Way, other: &Way) -> bool {
    let thing = |segment: usize| match &circuit.segments[segment].owner {
        RailOwner::Track(track) => (plan::Kind::Track, *track),
        RailOwner::Work { kind, index, .. } => (*kind, *index),
    };
    one.steps.iter().any(|a| other.steps.iter().any(|b| thing(a.0) == thing(b.0)))
}

/// Holds the table of a plan against every setting; gives how many pairs go together and how many do not.
fn held(made: &Made, most: usize) -> [usize; 2] {
    let circuit = &made.circuit;
    let ways = circuit::ways::ways(circuit, most);
    let list: Vec<&Way> = ways.list.iter().take(most).collect();
    let table = interlocking(circuit, &list).unwrap();
    let seen = every_setting(circuit, &list);
    // What of each route can have power at all while it is set.
    let can: Vec<Option<Vec<bool>>> = (0..list.len())
        .map(|r| {
            let mut own = seen.iter().filter_map(|s| s[r].as_ref());
            let first = own.next()?.clone();
            Some(own.fold(first, |all, s| all.iter().zip(s).map(|(a, b)| *a || *b).collect()))
        })
        .collect();
    let whole = |s: &Seen, r: usize| {
        let (Some(now), Some(can)) = (&s[r], &can[r]) else { return false };
        now.iter().zip(can).all(|(now, can)| *now || !can)
    };
    for r in 0..list.len() {
        let usable = can[r].as_ref().is_some_and(|c| c.contains(&true)) && seen.iter().any(|s| whole(s, r));
        assert_eq!(table.unusable[r].is_none(), usable, "{}: {:?}", list[r].name, table.unusable[r]);
    }
    let mut counted = [0; 2];
    for i in 0..list.len() {
        for j in 0..list.len() {
            if i == j || table.unusable[i].is_some() || table.unusable[j].is_some() {
                assert!(table.between(i, j).is_none());
                continue;
            }
            let why = table.between(i, j).unwrap();
            assert_eq!(table.between(j, i), Some(why), "it is the same from either side");
            let together = seen.iter().any(|s| whole(s, i) && whole(s, j));
            let clear = !meet(circuit, list[i], list[j]);
            let words = format!("{} and {}: {why:?}", list[i].name, list[j].name);
            assert_eq!(why.is_empty(), clear && together, "{words}");
            let over = why.iter().any(|w| matches!(w, Exclusion::Track(_) | Exclusion::Trackwork(..)));
            assert_eq!(over, !clear, "{words}");
            let set = seen.iter().any(|s| s[i].is_some() && s[j].is_some());
            let barred =
                |w: &Exclusion| matches!(w, Exclusion::Position(..) | Exclusion::NeverTogether | Exclusion::Short);
            assert_eq!(why.iter().any(barred), !set, "{words}");
            counted[usize::from(!why.is_empty())] += 1;
        }
    }
    counted
}

/// Two lines side by side, each with a siding, and what differs between the tests.
fn two_lines(rest: &str) -> Made {
    let line = |name: &str| {
        format!(
            r#"
[[turnout]]
name = "{name}T"
hand = "left"
wiring = "insulated-bonded"
[[track]]
name = "{name} line"
from = "beyond"
to = "{name}T.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]
[[track]]
name = "{name} on"
from = "{name}T.through"
to = "beyond"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]
"#
        )
    };
    made(&format!("{HEAD}{}{}{rest}", line("up, a"), line("down")))
}

const SIDINGS: &str = r#"
[[track]]
name = "up siding"
from = "up, aT.diverging"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
gaps = [{ at = "0.1 m", rail = "left" }]
feeders = [{ at = "0.5 m", rail = "right" }]
[[track]]
name = "down siding"
from = "downT.diverging"
to = "buffer"
length = "1 m"
left = "bus.A"
right = "bus.B"
gaps = [{ at = "0.1 m", rail = "left" }]
feeders = [{ at = "0.5 m", rail = "right" }]
"#;

/// One change-over contact hands the power to one siding or the other: their routes exclude each other, though no rail is shared
/// and no position differs.
#[test]
fn a_change_over_that_starves_the_other_excludes_it() {
    let made = two_lines(&format!(
        r#"{SIDINGS}
[[toggle]]
name = "which siding"
contact = [{{ common = "bus.A", off = "up siding.left @ 0.3 m", on = "down siding.left @ 0.3 m" }}]
"#
    ));
    let [together, apart] = held(&made, 30);
    assert!(together > 0 && apart > 0, "{together} {apart}");
    let ways = circuit::ways::ways(&made.circuit, 30);
    let list: Vec<&Way> = ways.list.iter().collect();
    let table = interlocking(&made.circuit, &list).unwrap();
    let to = |name: &str| list.iter().position(|w| w.name.contains(name)).unwrap();
    assert_eq!(table.between(to("up siding"), to("down siding")).unwrap(), [Exclusion::NotBothLive]);
    assert_eq!(table.between(to("up siding"), to("down on")).unwrap(), []);
}

/// The contact is that of a turnout: the other line's route takes the power of the siding.
#[test]
fn a_contact_of_the_other_routes_turnout_starves_it() {
    let made = two_lines(&format!(
        r#"{SIDINGS}
[[motor]]
name = "M"
moves = "downT"
kind = "hand"
contact = [{{ common = "bus.A", through = "up siding.left @ 0.3 m", diverging = "down siding.left @ 0.3 m" }}]
"#
    ));
    let [together, apart] = held(&made, 30);
    assert!(together > 0 && apart > 0, "{together} {apart}");
    let ways = circuit::ways::ways(&made.circuit, 30);
    let list: Vec<&Way> = ways.list.iter().collect();
    let table = interlocking(&made.circuit, &list).unwrap();
    let to = |name: &str| list.iter().position(|w| w.name.contains(name)).unwrap();
    let [up, down] = [to("up siding"), to("down siding")];
    let why = table.between(up, down).unwrap();
    assert!(matches!(why, [Exclusion::Starved(..)]), "{why:?}");
}

/// What the plan promises never to set excludes routes that need it; one that shorts by itself is no route at all.
#[test]
fn promises_and_shorts_are_heeded() {
    let promise = two_lines("[[never]]\ntogether = [\"up, aT through\", \"downT through\"]\n");
    let [together, apart] = held(&promise, 30);
    assert!(together > 0 && apart > 0, "{together} {apart}");
    let ways = circuit::ways::ways(&promise.circuit, 30);
    let list: Vec<&Way> = ways.list.iter().collect();
    let table = interlocking(&promise.circuit, &list).unwrap();
    let to = |name: &str| list.iter().position(|w| w.name.contains(name)).unwrap();
    assert_eq!(table.between(to("up, a on"), to("down on")).unwrap(), [Exclusion::NeverTogether]);
    let shorted = two_lines(
        r#"
[[motor]]
name = "M"
moves = "downT"
kind = "hand"
contact = [{ common = "bus.A", through = "bus.B" }]
"#,
    );
    held(&shorted, 30);
    let ways = circuit::ways::ways(&shorted.circuit, 30);
    let list: Vec<&Way> = ways.list.iter().collect();
    let table = interlocking(&shorted.circuit, &list).unwrap();
    let down = list.iter().position(|w| w.name.contains("down on")).unwrap();
    assert_eq!(table.unusable[down], Some(Unusable::Shorted));
}

/// Every demo plan of few enough settings.
#[test]
fn demo_plans_agree_with_every_setting() {
    let (mut plans, mut all) = (0, [0, 0]);
    for demo in oracle::demos().unwrap() {
        let settings: f64 = demo.circuit.controls.iter().map(|c| c.positions.len() as f64).product();
        if settings > 2048.0 {
            continue;
        }
        plans += 1;
        let made = Made { text: demo.text, reading: demo.reading, circuit: demo.circuit };
        let [together, apart] = held(&made, 16);
        all = [all[0] + together, all[1] + apart];
    }
    assert!(plans >= 5 && all[0] > 0 && all[1] > 100, "{plans} {all:?}");
}
