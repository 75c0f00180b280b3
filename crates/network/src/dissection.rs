//! Nested dissection of long, narrow networks: an order whose elimination tree is shallow.
//!
//! Minimum degree makes the least fill and, along a line of meshes, a tree as deep as the line is long. Here a few nodes that part a
//! network in two come last, and so on in each half (George 1973), so that the way from any node to the root is a logarithm of the
//! network. The parting nodes are a level of a walk in breadth from a node at the far end of the part.

use crate::lists::Lists;

/// Parts of no more nodes than this are not parted again.
const SMALL: usize = 16;
/// Nodes with more neighbours than this come last of all: they are near everything, and no walk finds a level beside them.
const HUB: usize = 48;

/// An order of all nodes.
pub(crate) fn dissected(count: usize, neighbours: &Lists) -> Vec<u32> {
    let is_hub = |node: &u32| neighbours.get(*node as usize).len() > HUB;
    let (hubs, nodes): (Vec<u32>, Vec<u32>) = (0..count as u32).partition(is_hub);
    let mut dissection =
        Dissection { neighbours, part: vec![0; count], seen: vec![0; count], walks: 0, order: Vec::new() };
    hubs.iter().for_each(|&hub| dissection.part[hub as usize] = u32::MAX);
    dissection.order.reserve(count);
    let mut parts = 0;
    // A part that waits, or nodes that come once all before them are in the order.
    enum Task {
        Part(Vec<u32>),
        Last(Vec<u32>),
    }
    let mut tasks = vec![Task::Part(nodes)];
    while let Some(task) = tasks.pop() {
        let nodes = match task {
            Task::Last(nodes) => {
                dissection.order.extend(nodes);
                continue;
            }
            Task::Part(nodes) => nodes,
        };
        parts += 1;
        nodes.iter().for_each(|&node| dissection.part[node as usize] = parts);
        match dissection.split(&nodes, parts) {
            Some([one, other, between]) => tasks.extend([Task::Last(between), Task::Part(one), Task::Part(other)]),
            None => {
                let mut nodes = nodes;
                nodes.sort_by_key(|&node| dissection.degree(node, parts));
                dissection.order.extend(nodes);
            }
        }
    }
    dissection.order.extend(hubs);
    dissection.order
}

struct Dissection<'n> {
    neighbours: &'n Lists,
    /// The part each node is in.
    part: Vec<u32>,
    /// The walk that met each node last.
    seen: Vec<u32>,
    walks: u32,
    order: Vec<u32>,
}

impl Dissection<'_> {
    fn degree(&self, node: u32, part: u32) -> usize {
        self.neighbours.get(node as usize).iter().filter(|&&other| self.part[other as usize] == part).count()
    }

    /// The nodes of a part in the order of a walk in breadth, and where each level begins.
    fn walk(&mut self, from: u32, part: u32) -> (Vec<u32>, Vec<usize>) {
        self.walks += 1;
        let mut met = vec![from];
        let mut levels = vec![0];
        self.seen[from as usize] = self.walks;
        let mut at = 0;
        while at < met.len() {
            let end = met.len();
            for k in at..end {
                for &other in self.neighbours.get(met[k] as usize) {
                    if self.part[other as usize] == part && self.seen[other as usize] != self.walks {
                        self.seen[other as usize] = self.walks;
                        met.push(other);
                    }
                }
            }
            at = end;
            levels.push(at);
        }
        (met, levels)
    }

    /// Two halves with no edge between them, and what parts them; none where it is small, or has no such level.
    fn split(&mut self, nodes: &[u32], part: u32) -> Option<[Vec<u32>; 3]> {
        let first = *nodes.first().filter(|_| nodes.len() > SMALL)?;
        let (met, _) = self.walk(first, part);
        if met.len() < nodes.len() {
            let rest = nodes.iter().copied().filter(|&node| self.seen[node as usize] != self.walks).collect();
            return Some([met, rest, Vec::new()]);
        }
        let (met, levels) = self.walk(met[met.len() - 1], part);
        let (from, to) = (met.len() / 4, met.len() - met.len() / 4);
        let inner = (1..levels.len().saturating_sub(2)).filter(|&k| (from..to).contains(&levels[k]));
        let level = inner.min_by_key(|&k| levels[k + 1] - levels[k])?;
        let (before, between, behind) =
            (&met[..levels[level]], &met[levels[level]..levels[level + 1]], &met[levels[level + 1]..]);
        Some([before.to_vec(), behind.to_vec(), between.to_vec()])
    }
}
