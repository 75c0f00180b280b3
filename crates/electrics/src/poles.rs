//! Which pole each node is joined to in a setting, and what a train between two nodes can count on.

use circuit::{Circuit, EdgeId, NodeId};
use network::set_root;
use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

/// What a train with its left wheels at one node and its right wheels at another has under it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Feed {
    /// The two rails are on opposite poles of this source (by its index in the circuit), and nothing else acts on them.
    Powered {
        /// Index of the source.
        source: usize,
    },
    /// One rail or both are joined to no pole.
    Dead,
    /// Both rails are on the same pole.
    SamePole,
    /// The poles of a source that feeds one of the rails meet: its breaker opens.
    Shorted,
    /// The rails are on different sources, or sources stand side by side: no one source's loop resistance tells what
    /// happens.
    SeveralSources,
}

/// What joins the sources of a part of the circuit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Sources {
    /// Nothing that closes a circuit through a source.
    Apart,
    /// Two ways from one place to another lead through sources.
    SideBySide,
    /// The poles of a source meet.
    Shorted,
}

/// The nodes of a circuit in one setting, sorted by what they are joined to.
///
/// A *piece* is what closed edges join, sources left out. A *part* is pieces joined by sources; pieces with no source
/// are islands and belong to no part.
#[derive(Clone)]
pub(crate) struct JoinedPieces {
    /// For each node its place in the list of pieces; none where it is its own number.
    place: Option<Arc<Vec<u32>>>,
    /// For each place its piece.
    piece: Vec<u32>,
    /// For each piece its part.
    part: Vec<Option<usize>>,
    /// For each piece its potential while no current flows, against B of the part's first source.
    idle_volts: Vec<f64>,
    sources: Vec<Sources>,
    /// For each source the pieces of `plus` and B.
    ends: Vec<[u32; 2]>,
    /// For each source, what its voltage exceeds the idle potentials by: not 0 only if it is shorted or stands beside
    /// another.
    pub(crate) excess_volts: Vec<f64>,
    /// For each source, how many sources of its part come before it.
    pub(crate) rank: Vec<usize>,
}

impl JoinedPieces {
    pub(crate) fn from_circuit(circuit: &Circuit, closed: impl Fn(EdgeId) -> bool) -> JoinedPieces {
        let (piece, count) = pieces(circuit, closed);
        JoinedPieces::new(circuit, None, piece, count)
    }

    /// The same from what is joined for good.
    pub(crate) fn from_solid(circuit: &Circuit, solid: &SolidPieces, closed: impl Fn(EdgeId) -> bool) -> JoinedPieces {
        let ends = solid.switched.iter().filter(|s| closed(s.0)).map(|s| s.1);
        let (piece, count) = pieces_of(solid.count, ends);
        JoinedPieces::new(circuit, Some(solid.of.clone()), piece, count)
    }

    fn new(circuit: &Circuit, place: Option<Arc<Vec<u32>>>, piece: Vec<u32>, count: usize) -> JoinedPieces {
        let of = |node: NodeId| piece[place.as_ref().map_or(u32::from(node), |place| place[node]) as usize];
        let ends: Vec<[u32; 2]> = circuit.sources.iter().map(|s| [of(s.plus), of(s.node[1])]).collect();
        let mut at_piece: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (source, ends) in ends.iter().enumerate() {
            for end in ends {
                at_piece.entry(*end).or_default().push(source);
            }
        }
        let mut poles = JoinedPieces {
            place,
            piece,
            part: vec![None; count],
            idle_volts: vec![0.0; count],
            sources: Vec::new(),
            excess_volts: vec![0.0; ends.len()],
            rank: vec![0; ends.len()],
            ends,
        };
        for first in 0..poles.ends.len() {
            if poles.part[poles.ends[first][1] as usize].is_none() {
                poles.walk(circuit, first, &at_piece);
            }
        }
        let mut seen = vec![0; poles.sources.len()];
        for source in 0..poles.ends.len() {
            if let Some(part) = poles.part[poles.ends[source][1] as usize] {
                poles.rank[source] = seen[part];
                seen[part] += 1;
            }
        }
        poles
    }

    /// The part of one source: from its B over every source met to whatever that joins.
    fn walk(&mut self, circuit: &Circuit, first: usize, at_piece: &BTreeMap<u32, Vec<usize>>) {
        let part = self.sources.len();
        let mut found = Sources::Apart;
        let mut crossed: Vec<usize> = Vec::new();
        let start = self.ends[first][1];
        self.part[start as usize] = Some(part);
        let mut queue = VecDeque::from([start]);
        while let Some(piece) = queue.pop_front() {
            for &source in at_piece.get(&piece).into_iter().flatten() {
                if crossed.contains(&source) {
                    continue;
                }
                crossed.push(source);
                let [plus, b] = self.ends[source];
                let (other, rise) = if plus == piece {
                    (b, -circuit.sources[source].volts)
                } else {
                    (plus, circuit.sources[source].volts)
                };
                if self.part[other as usize].is_none() {
                    self.part[other as usize] = Some(part);
                    self.idle_volts[other as usize] = self.idle_volts[piece as usize] + rise;
                    queue.push_back(other);
                } else {
                    found = found.max(if plus == b { Sources::Shorted } else { Sources::SideBySide });
                    let between = self.idle_volts[plus as usize] - self.idle_volts[b as usize];
                    self.excess_volts[source] = circuit.sources[source].volts - between;
                }
            }
        }
        self.sources.push(found);
    }

    fn piece_of(&self, node: NodeId) -> u32 {
        let place = self.place.as_ref().map_or(u32::from(node), |place| place[node]);
        self.piece[place as usize]
    }

    /// Whether what joins the sources is the same as in another setting.
    pub(crate) fn same_sources(&self, other: &JoinedPieces) -> bool {
        let alike = |one: u32, two: u32, other_one: u32, other_two: u32| (one == two) == (other_one == other_two);
        let (own, theirs) = (self.ends.as_flattened(), other.ends.as_flattened());
        let pairs = || (0..own.len()).flat_map(|i| (0..i).map(move |k| (i, k)));
        (&self.sources, &self.rank) == (&other.sources, &other.rank)
            && pairs().all(|(i, k)| alike(own[i], own[k], theirs[i], theirs[k]))
    }

    /// The first end of a source that each place of the list is joined to; none where it is joined to none.
    pub(crate) fn first_ends(&self) -> impl Iterator<Item = Option<u32>> {
        let mut first = vec![None; self.part.len()];
        for (end, piece) in (0..).zip(self.ends.as_flattened()) {
            first[*piece as usize].get_or_insert(end);
        }
        self.piece.iter().map(move |&piece| first[piece as usize])
    }

    /// The part a node is in; none where it is joined to no pole.
    pub(crate) fn part_of(&self, node: NodeId) -> Option<usize> {
        self.part[self.piece_of(node) as usize]
    }

    /// The potential of a node while no current flows.
    pub(crate) fn idle_volts(&self, node: NodeId) -> f64 {
        self.idle_volts[self.piece_of(node) as usize]
    }

    /// How often the network must be eliminated so that each source is ground once.
    pub(crate) fn rounds(&self) -> usize {
        self.rank.iter().map(|rank| rank + 1).max().unwrap_or(1)
    }

    pub(crate) fn feed(&self, left: NodeId, right: NodeId) -> Feed {
        let (l, r) = (self.piece_of(left), self.piece_of(right));
        let (Some(left_part), Some(right_part)) = (self.part[l as usize], self.part[r as usize]) else {
            return Feed::Dead;
        };
        let found = self.sources[left_part].max(self.sources[right_part]);
        if found == Sources::Shorted {
            Feed::Shorted
        } else if l == r {
            Feed::SamePole
        } else if left_part != right_part || found == Sources::SideBySide {
            Feed::SeveralSources
        } else {
            // Sources apart: at most one of them joins these two pieces, and nothing else does.
            match self.ends.iter().position(|ends| *ends == [l, r] || *ends == [r, l]) {
                Some(source) => Feed::Powered { source },
                None => Feed::SeveralSources,
            }
        }
    }
}

/// What is joined in every setting: one place in a list for each.
pub(crate) struct SolidPieces {
    /// For each node its place.
    pub(crate) of: Arc<Vec<u32>>,
    pub(crate) count: usize,
    /// Edges that positions close, and the places they join.
    switched: Vec<(EdgeId, [u32; 2])>,
}

impl SolidPieces {
    pub(crate) fn from_circuit(circuit: &Circuit) -> SolidPieces {
        let (of, count) = pieces(circuit, |edge| circuit.edges[edge].is_always_closed());
        let switched = EdgeId::each(&circuit.edges).filter(|(_, e)| !e.removed && !e.guard.is_empty());
        let switched = switched.map(|(id, e)| (id, [of[e.a], of[e.b]])).filter(|(_, [a, b])| a != b).collect();
        SolidPieces { of: Arc::new(of), count, switched }
    }
}

/// Pieces of the network, in which an ideal source is no more than a joint, that are joined in every setting.
pub(crate) struct NetworkPieces {
    count: usize,
    /// Edges that positions close, and the pieces they join.
    switched: Vec<(EdgeId, [u32; 2])>,
    /// Those that have both ends on one piece.
    pub(crate) within: Vec<EdgeId>,
}

impl NetworkPieces {
    pub(crate) fn from_circuit(circuit: &Circuit) -> NetworkPieces {
        let always = circuit.edges.iter().filter(|edge| edge.is_always_closed());
        let joined = always.map(|edge| [u32::from(edge.a), u32::from(edge.b)]);
        let sources = circuit.sources.iter().map(|s| [u32::from(s.plus), u32::from(s.node[1])]);
        let (of, count) = pieces_of(circuit.nodes.len(), joined.chain(sources));
        let all = EdgeId::each(&circuit.edges).filter(|(_, e)| !e.removed && !e.guard.is_empty());
        let (within, switched): (Vec<_>, Vec<_>) =
            all.map(|(id, e)| (id, [of[e.a.index()], of[e.b.index()]])).partition(|(_, [a, b])| a == b);
        NetworkPieces { count, switched, within: within.into_iter().map(|w| w.0).collect() }
    }

    /// Whether what is closed joins no two pieces in two ways.
    pub(crate) fn is_forest(&self, closed: impl Fn(EdgeId) -> bool) -> bool {
        let mut parent: Vec<u32> = (0..self.count as u32).collect();
        self.switched.iter().filter(|s| closed(s.0)).all(|&(_, [a, b])| {
            let (a, b) = (set_root(&mut parent, a), set_root(&mut parent, b));
            parent[a.max(b) as usize] = a.min(b);
            a != b
        })
    }
}

/// For each node the piece it belongs to, and how many there are.
pub(crate) fn pieces(circuit: &Circuit, closed: impl Fn(EdgeId) -> bool) -> (Vec<u32>, usize) {
    let edges = EdgeId::each(&circuit.edges).filter(|(id, _)| closed(*id));
    pieces_of(circuit.nodes.len(), edges.map(|(_, edge)| [u32::from(edge.a), u32::from(edge.b)]))
}

/// The same for so many nodes that pairs join.
fn pieces_of(nodes: usize, joined: impl Iterator<Item = [u32; 2]>) -> (Vec<u32>, usize) {
    let mut parent: Vec<u32> = (0..nodes as u32).collect();
    for [a, b] in joined {
        let (a, b) = (set_root(&mut parent, a), set_root(&mut parent, b));
        parent[a.max(b) as usize] = a.min(b);
    }
    // A root is the least node of its piece, so its number is there before it is needed.
    let mut number = vec![0; parent.len()];
    let mut count = 0;
    for node in 0..parent.len() as u32 {
        let root = set_root(&mut parent, node);
        number[node as usize] = if root == node {
            count += 1;
            count - 1
        } else {
            number[root as usize]
        };
    }
    (number, count as usize)
}
