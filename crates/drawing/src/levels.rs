//! The level of each member and strand, the layer assignment of layered (Sugiyama) drawing: whole numbers, upwards, so that what lies side by side keeps apart in its order and
//! tracks climb as little as can be. Straight legs of turnouts count more than diverging ones: so main lines lie level, and
//! a lead from which road after road leaves becomes a straight diagonal.

use crate::graph::{Form, Graph, StrandPart};
use crate::order::{LengthExtent, Order};
use crate::simplex;
use std::collections::{BTreeMap, BTreeSet};

/// What a pair of items needs, the first above the second.
enum LevelNeed {
    /// So many levels between them.
    Apart(i64),
    /// Nothing; what lies below is seen past the upper one.
    Free,
}

/// The level of each item, and how many levels each piece of the layout has.
pub(crate) struct Levels {
    pub of: Vec<i64>,
}

impl Levels {
    pub(crate) fn from_order(graph: &Graph, order: &Order) -> Levels {
        let pieces = order.piece.iter().max().map_or(0, |p| p + 1);
        let mut items: Vec<Vec<usize>> = vec![Vec::new(); pieces];
        for &item in &order.list {
            items[order.piece[item]].push(item);
        }
        let mut of = vec![0; order.list.len()];
        let stubs = stubs(graph);
        let ports = Ports::from_graph(graph);
        for list in items {
            let index: BTreeMap<usize, usize> = list.iter().enumerate().map(|(i, &item)| (item, i)).collect();
            let keep: Vec<(usize, usize, i64)> = keep(graph, &ports, order, &list)
                .into_iter()
                .map(|(low, high, apart)| (index[&low], index[&high], apart))
                .collect();
            let mut near = Vec::new();
            for &item in list.iter().filter(|&&i| i >= graph.members.len()) {
                let strand = &graph.strands[item - graph.members.len()];
                for (member, port) in [strand.west, strand.east].into_iter().flatten() {
                    near.push((index[&item], index[&member], graph.members[member].ports[port].weight));
                }
            }
            for &(a, b) in stubs.iter().filter(|s| index.contains_key(&s.0)) {
                near.push((index[&a], index[&b], 1));
            }
            for (level, &item) in simplex::solve(list.len(), &keep, &near).into_iter().zip(&list) {
                of[item] = level;
            }
        }
        Levels { of }
    }
}

/// The two stubs of each track that was cut, as items.
fn stubs(graph: &Graph) -> Vec<(usize, usize)> {
    let mut of: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, strand) in graph.strands.iter().enumerate() {
        if matches!(strand.part, StrandPart::Stub(_)) {
            of.entry(strand.track).or_default().push(graph.members.len() + index);
        }
    }
    of.into_values().filter_map(|s| Some((*s.first()?, *s.get(1)?))).collect()
}

/// How many tracks each member has on either side.
struct Ports(Vec<[usize; 2]>);

impl Ports {
    fn from_graph(graph: &Graph) -> Ports {
        let joined = |m: &crate::graph::Member, side: i8| {
            m.facing(side).into_iter().filter(|&p| m.ports[p].joins.is_some()).count()
        };
        Ports(graph.members.iter().map(|m| [joined(m, -1), joined(m, 1)]).collect())
    }
}

/// Whether a strand is so short that it lies between its members as a mere slope.
pub(crate) fn is_link(graph: &Graph, strand: usize) -> bool {
    let s = &graph.strands[strand];
    let (Some((west, _)), Some((east, _)), StrandPart::Whole) = (s.west, s.east, s.part) else { return false };
    s.metres <= 1.2 * graph.members[west].metres.max(graph.members[east].metres)
}

fn pair(graph: &Graph, ports: &Ports, upper: usize, lower: usize) -> LevelNeed {
    let members = graph.members.len();
    let strand = |item: usize| item.checked_sub(members).map(|s| (s, &graph.strands[s]));
    match (strand(upper), strand(lower)) {
        (None, None) => LevelNeed::Apart(1),
        (Some((a, one)), Some((b, other))) => {
            if one.track == other.track {
                return LevelNeed::Apart(2);
            }
            let ends = |s: &crate::graph::Strand| [s.west.map(|w| w.0), s.east.map(|e| e.0)];
            let share = ends(one).into_iter().flatten().any(|m| ends(other).contains(&Some(m)));
            let link = is_link(graph, a) || is_link(graph, b);
            if share && link { LevelNeed::Free } else { LevelNeed::Apart(1) }
        }
        (Some((_, strand)), None) | (None, Some((_, strand))) => {
            let member = if upper < members { upper } else { lower };
            let own = [(strand.west, 1), (strand.east, 0)];
            let Some(side) = own.into_iter().find(|(end, _)| end.is_some_and(|e| e.0 == member)) else {
                return LevelNeed::Apart(1);
            };
            let head = matches!(graph.members[member].form, Form::Turnout { apex: true, .. });
            let port = side.0.map_or(0, |e| e.1);
            if head && graph.members[member].ports[port].word == "points" {
                // It stands upright, and bends.
                LevelNeed::Apart(2)
            } else if ports.0[member][side.1] > 1 {
                LevelNeed::Apart(0)
            } else {
                LevelNeed::Free
            }
        }
    }
}

/// Pairs that see each other, low and high, and how far they keep apart.
fn keep(graph: &Graph, ports: &Ports, order: &Order, list: &[usize]) -> Vec<(usize, usize, i64)> {
    let mut sky = Sky::default();
    let mut kept: BTreeSet<(usize, usize, i64)> = BTreeSet::new();
    for &item in list.iter().rev() {
        let LengthExtent { from, to } = order.extents[item];
        sky.put(grains(from) + 1, grains(to) - 1, item, |lower| match pair(graph, ports, item, lower) {
            LevelNeed::Apart(apart) => {
                kept.insert((lower, item, apart));
                // What touches it is no cover: what lies below shows beside it.
                apart > 0
            }
            LevelNeed::Free => false,
        });
    }
    kept.into_iter().collect()
}

/// Metres in whole tenths of a millimetre.
fn grains(metres: f64) -> i64 {
    (metres * 1e4).round() as i64
}

/// What shows from above: the items that are seen from each place on to the next.
#[derive(Default)]
struct Sky {
    from: BTreeMap<i64, Vec<usize>>,
}

impl Sky {
    /// Puts an item over what shows between two places; `covers` is asked once for each item there whether it is hidden.
    fn put(&mut self, from: i64, to: i64, item: usize, mut covers: impl FnMut(usize) -> bool) {
        if from >= to {
            return;
        }
        for edge in [from, to] {
            let before = self.from.range(..=edge).next_back().map(|(_, list)| list.clone()).unwrap_or_default();
            self.from.entry(edge).or_insert(before);
        }
        let mut asked: BTreeMap<usize, bool> = BTreeMap::new();
        for (_, list) in self.from.range_mut(from..to) {
            list.retain(|&lower| !*asked.entry(lower).or_insert_with(|| covers(lower)));
            list.push(item);
        }
        // Neighbours that show the same are one.
        let inner: Vec<i64> = self.from.range(from + 1..to).map(|(&at, _)| at).collect();
        for at in inner {
            let before = self.from.range(..at).next_back().map(|(_, list)| list.clone());
            if before.as_ref() == self.from.get(&at) {
                self.from.remove(&at);
            }
        }
    }
}
