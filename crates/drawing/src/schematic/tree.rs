//! Contact trees: contacts that hand a conductor on to each other, from what feeds them to the rails.
//!
//! They are drawn one below the other, each joined to the next by a line that leads down: of the contacts that a contact hands on to,
//! the one behind which most of the tree lies (a heavy path; Sleator and Tarjan, 1983). Whatever else joins two of them ends at words at
//! both of its ends, with one number.

use super::draft::{Draft, PlacedContact};
use super::nets::{ContactId, Nets};
use super::sheet::{SchematicOwner, SchematicSheet};
use circuit::{NodeId, Spot};
use plan::Kind;
use std::collections::{BTreeMap, BTreeSet};

/// Contacts that hand on to each other, by their places in the list of contacts.
pub(crate) struct ContactTree {
    /// Chains, each contact with the wire that leads on to the next.
    chains: Vec<Vec<(usize, Option<StraightLink>)>>,
}

/// A wire that leads from a throw to the common of the next contact.
#[derive(Clone, Copy)]
struct StraightLink {
    wire: usize,
    /// Which throw.
    throw: usize,
}

/// The trees of a plan: contacts joined to one another by wires, two and more.
pub(crate) fn trees(nets: &Nets<'_>) -> Vec<ContactTree> {
    let mut of_node: BTreeMap<NodeId, usize> = BTreeMap::new();
    for (at, contact) in nets.contacts.iter().enumerate() {
        of_node.insert(contact.common, at);
        of_node.extend(contact.throws.iter().map(|throw| (throw.node, at)));
    }
    let mut group: Vec<usize> = (0..nets.contacts.len()).collect();
    for wire in &nets.wires {
        let [Some(&one), Some(&other)] = wire.nodes.map(|node| of_node.get(&node)) else { continue };
        let (from, to) = (group[one].max(group[other]), group[one].min(group[other]));
        group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    group.iter().enumerate().for_each(|(at, g)| groups.entry(*g).or_default().push(at));
    groups.into_values().filter(|group| group.len() > 1).map(|group| ContactTree::new(nets, &group)).collect()
}

/// What a contact hands on to: a wire, the throw it leaves from, the contact at whose common it ends.
fn children(nets: &Nets<'_>, at: usize) -> Vec<(StraightLink, usize)> {
    let mut found = Vec::new();
    for (throw, t) in nets.contacts[at].throws.iter().enumerate() {
        for &(wire, end) in nets.wires_at(t.node) {
            let far = nets.wires[wire].nodes[1 - end];
            let next = nets.contacts.iter().position(|c| c.common == far);
            found.extend(next.filter(|next| *next != at).map(|next| (StraightLink { wire, throw }, next)));
        }
    }
    found
}

impl ContactTree {
    fn new(nets: &Nets<'_>, group: &[usize]) -> ContactTree {
        let below: BTreeMap<usize, Vec<(StraightLink, usize)>> =
            group.iter().map(|&at| (at, children(nets, at))).collect();
        let fed: BTreeSet<usize> = below.values().flatten().map(|child| child.1).collect();
        let mut tree = ContactTree { chains: Vec::new() };
        let mut placed: BTreeSet<usize> = BTreeSet::new();
        // What is fed from outside first; of what only feeds itself, in the order of the plan.
        let roots = group.iter().filter(|at| !fed.contains(at)).chain(group);
        let mut starts: Vec<usize> = roots.rev().copied().collect();
        while let Some(start) = starts.pop() {
            let mut chain = Vec::new();
            let mut at = start;
            while placed.insert(at) {
                let mut next: Vec<&(StraightLink, usize)> =
                    below[&at].iter().filter(|child| !placed.contains(&child.1)).collect();
                next.sort_by_key(|child| std::cmp::Reverse(weight(&below, child.1)));
                let Some(&&(link, heavy)) = next.first() else {
                    chain.push((at, None));
                    break;
                };
                starts.extend(next.iter().skip(1).rev().map(|child| child.1));
                chain.push((at, Some(link)));
                at = heavy;
            }
            if !chain.is_empty() {
                tree.chains.push(chain);
            }
        }
        tree
    }

    /// The contacts of the tree, by their places in the list of contacts.
    pub(crate) fn contacts(&self) -> impl Iterator<Item = usize> + '_ {
        self.chains.iter().flatten().map(|contact| contact.0)
    }

    /// Whether it holds a contact.
    pub(crate) fn holds(&self, nets: &Nets<'_>, contact: ContactId) -> bool {
        self.contacts().any(|at| nets.contacts[at].id == contact)
    }

    /// The tracks whose rails it feeds, in the order of the plan.
    fn tracks(&self, nets: &Nets<'_>) -> BTreeSet<usize> {
        let nodes = self.contacts().flat_map(|at| {
            let contact = &nets.contacts[at];
            contact.throws.iter().map(|t| t.node).chain([contact.common])
        });
        let wires = nodes.flat_map(|node| nets.wires_at(node)).map(|&(wire, end)| nets.wires[wire].nodes[1 - end]);
        let track = |node: NodeId| match nets.circuit.nodes[node].spot {
            Spot::Rail { track, .. } => Some(track),
            _ => None,
        };
        wires.filter_map(track).collect()
    }

    fn title(&self, nets: &Nets<'_>, count: usize) -> String {
        let name = |track: &usize| nets.places.name(Kind::Track, *track);
        let tracks = self.tracks(nets);
        match (tracks.first(), tracks.last(), tracks.len()) {
            (Some(first), Some(last), 3..) => {
                format!("Contact tree {count}: {} to {}, {} tracks", name(first), name(last), tracks.len())
            }
            (Some(_), Some(_), _) => {
                let names: Vec<&str> = tracks.iter().map(name).collect();
                format!("Contact tree {count}: {}", names.join(", "))
            }
            _ => format!("Contact tree {count}"),
        }
    }

    /// The tree in parts: the first no higher than `first` where it can be, the others no higher than `whole`.
    pub(crate) fn drawn(
        &self,
        nets: &Nets<'_>,
        index: usize,
        (em, width): (f64, f64),
        [first, whole]: [f64; 2],
    ) -> Vec<SchematicSheet> {
        let title = self.title(nets, index + 1);
        let of = SchematicOwner::Tree(index);
        let mut draft = Draft::new(nets, of, &title, (em, width));
        let mut done: Vec<SchematicSheet> = Vec::new();
        let mut drawn = 0;
        for chain in &self.chains {
            let mut above: Option<(StraightLink, PlacedContact, NodeId)> = None;
            for (count, &(at, link)) in chain.iter().enumerate() {
                let contact = &nets.contacts[at];
                let room = if done.is_empty() { first } else { whole };
                let height = draft.contact_height(contact) + draft.pitch();
                // A contact and the line to the next stand on one part, or the line ends at words on both.
                if above.is_none() && drawn > 0 && draft.y + height > room {
                    let next = Draft::new(nets, of, &format!("{title}, continued"), (em, width));
                    done.push(std::mem::replace(&mut draft, next).done());
                }
                let room = if done.is_empty() { first } else { whole };
                let next = chain.get(count + 1).map(|next| &nets.contacts[next.0]);
                let fits = next.is_some_and(|next| {
                    draft.y + draft.contact_height(contact) + draft.contact_height(next) + 0.9 * draft.pitch() <= room
                });
                let link = link.filter(|_| fits);
                let mut but: Vec<usize> = link.iter().map(|link| link.wire).collect();
                but.extend(above.as_ref().map(|above| above.0.wire));
                // The throw that leads on is the last, so that its line crosses none.
                let mut order: Vec<usize> = (0..contact.throws.len()).collect();
                if let Some(link) = link {
                    order.retain(|&throw| throw != link.throw);
                    order.push(link.throw);
                }
                let placed = draft.contact(contact, &order, &but);
                if let Some((link, from, node)) = above.take() {
                    draft.straight(link, &from, (node, contact.common), placed.common);
                }
                if let Some(link) = link {
                    draft.y += draft.pitch();
                    let node = contact.throws[link.throw].node;
                    above = Some((link, placed, node));
                    draft.link_row = draft.y;
                }
                drawn += 1;
            }
        }
        done.push(draft.done());
        done
    }
}

/// How many contacts are behind one, itself included; what closes a circle counts once.
fn weight(below: &BTreeMap<usize, Vec<(StraightLink, usize)>>, of: usize) -> usize {
    let mut seen = BTreeSet::new();
    let mut todo = vec![of];
    while let Some(at) = todo.pop() {
        if seen.insert(at) {
            todo.extend(below.get(&at).into_iter().flatten().map(|child| child.1));
        }
    }
    seen.len()
}

impl Draft<'_, '_> {
    /// The line from a throw down to the common of the next contact.
    fn straight(&mut self, link: StraightLink, from: &PlacedContact, nodes: (NodeId, NodeId), to: [f64; 2]) {
        let em = self.em;
        let start = from.throws[link.throw];
        let (right, left) = (start[0] + 0.45 * em, to[0] - 0.6 * em);
        let row = self.link_row;
        let wire = &self.nets.wires[link.wire];
        let (number, label) = (wire.number, wire.label.clone());
        let mut edges = wire.edges.clone();
        if wire.nodes[0] != nodes.0 {
            edges.reverse();
        }
        // Where other wires leave the same pin or come to it, the line joins theirs.
        let others = |node: NodeId| self.nets.wires_at(node).len() > 1;
        let (joins, ends) = (others(nodes.0), others(nodes.1));
        let mut points = vec![start, [right, start[1]], [right, row], [left, row], [left, to[1]], to];
        if ends {
            points.pop();
            self.dot(nodes.1, [left, to[1]]);
        }
        if joins {
            points.remove(0);
            self.dot(nodes.0, [right, start[1]]);
        }
        self.line(Some(number), &edges, &points);
        let wide = super::draft::measured(&label, em, false);
        self.words([right - 0.2 * em - wide, row - 0.32 * em], &label, false, Some(number));
    }
}
