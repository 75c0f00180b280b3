//! Runs that close on themselves.

use super::{RigidLink, RunCoordinate, RunId, RunSearch};
use circuit::NodeId;
use std::collections::BTreeMap;

impl RunSearch<'_> {
    /// Stands a run that closes on itself: what lies on a ring is held from both sides and still everywhere, and what
    /// branches off grows from where it does.
    pub(super) fn hold_ring(&self, run: RunId, at: &mut [Option<RunCoordinate>]) {
        let of_run = |link: &&RigidLink| at[link.nodes[0]].is_some_and(|s| s.run == run);
        let links: Vec<RigidLink> = self.links.iter().filter(of_run).copied().collect();
        let mut beside: BTreeMap<NodeId, Vec<usize>> = BTreeMap::new();
        for (id, link) in links.iter().enumerate() {
            link.nodes.iter().for_each(|&node| beside.entry(node).or_default().push(id));
        }
        // Ends are taken off, last first, until rings are left, and what lies between two of them.
        let mut open: BTreeMap<NodeId, usize> = beside.iter().map(|(&node, of)| (node, of.len())).collect();
        let mut ends: Vec<NodeId> = open.iter().filter(|(_, n)| **n < 2).map(|(node, _)| *node).collect();
        let mut off = Vec::new();
        let mut cut = vec![false; links.len()];
        while let Some(node) = ends.pop() {
            for &id in beside[&node].iter().filter(|&&id| !std::mem::replace(&mut cut[id], true)).collect::<Vec<_>>() {
                let other = links[id].nodes[usize::from(links[id].nodes[0] == node)];
                off.push((id, node, other));
                let left = open.entry(other).or_default();
                *left = left.saturating_sub(1);
                if *left == 1 {
                    ends.push(other);
                }
            }
        }
        for node in beside.keys() {
            if let Some(standing) = &mut at[*node] {
                standing.coordinate = 0.0;
            }
        }
        for (id, node, inner) in off.into_iter().rev() {
            let Some(from) = at[inner] else { continue };
            let ahead = if links[id].nodes[0] == inner { links[id].metres } else { -links[id].metres };
            if let Some(standing) = &mut at[node] {
                standing.coordinate = from.coordinate + if from.turned { -ahead } else { ahead };
            }
        }
    }
}
