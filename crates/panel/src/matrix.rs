//! The diode matrix with the fewest diodes that is right.
//!
//! Coils that the same buttons ask for lie on one node. A node is live when one of its buttons is pressed; a diode may lead from
//! one node to another exactly if all buttons of the first are buttons of the second. So what a node needs is a cover of its
//! buttons by buttons that are wired straight on it, buttons' own nodes, and other nodes whose buttons are all among its own:
//! each of these but the first costs one diode, and no node's choice hinders another's. The least cover of each node is therefore
//! the least matrix: a set cover, found by branch and bound.
//!
//! A button is wired straight on a node where that node's buttons are among those of every node the button must reach: it then
//! reaches the others from there. It can lie on one node only, since it has one contact.
//!
//! Junctions that are no button's and no coil's can save more diodes still, at a diode's drop each; to find the fewest then is as
//! hard as ensemble computation (Garey and Johnson, "Computers and Intractability", PO9), and it is not tried.

use crate::sneak::{FiringNetwork, Link, MINUS, PLUS};
use std::collections::BTreeMap;

/// The most buttons that one matrix may have.
pub const MOST_BUTTONS: usize = 128;
/// Steps that the search for one node's least cover may take.
const MOST_STEPS: usize = 200_000;

/// Buttons, as bits.
type Buttons = u128;

/// A point of the matrix: what is wired straight on it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MatrixNode {
    /// Buttons whose second terminal is on it.
    pub buttons: Vec<usize>,
    /// Coils that are on it.
    pub coils: Vec<usize>,
}

/// A diode matrix.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DiodeMatrix {
    /// Its nodes.
    pub nodes: Vec<MatrixNode>,
    /// Its diodes: from a node to the one that it makes live.
    pub diodes: Vec<(usize, usize)>,
    /// Whether fewer diodes are known to be impossible without junctions of their own.
    pub least: bool,
}

/// A matrix would have more buttons than it may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a diode matrix has {0} buttons, and may have {MOST_BUTTONS}")]
pub struct TooManyButtons(pub usize);

/// The matrix with the fewest diodes for coils of which each is to be fired by some buttons; of a coil that none fires there is no
/// node. `chained` allows a coil's current to pass several diodes one after another.
///
/// # Errors
/// When there are more buttons than a matrix may have.
pub fn fewest(wanted: &[Vec<usize>], buttons: usize, chained: bool) -> Result<DiodeMatrix, TooManyButtons> {
    if buttons > MOST_BUTTONS {
        return Err(TooManyButtons(buttons));
    }
    let mut classes: BTreeMap<(u32, Buttons), Vec<usize>> = BTreeMap::new();
    for (coil, asked) in wanted.iter().enumerate() {
        let set = asked.iter().fold(0, |set: Buttons, &b| set | 1 << b);
        if set != 0 {
            classes.entry((set.count_ones(), set)).or_default().push(coil);
        }
    }
    let mut matrix = DiodeMatrix { least: true, ..DiodeMatrix::default() };
    let sets: Vec<Buttons> = classes.keys().map(|k| k.1).collect();
    matrix.nodes.extend(classes.into_values().map(|coils| MatrixNode { buttons: Vec::new(), coils }));
    // The node of each button: one whose buttons are among those of all nodes that it must reach, else its own.
    let inmost = |button: usize| {
        let bit = 1 << button;
        let mut with = sets.iter().enumerate().filter(|(_, s)| **s & bit != 0);
        // Classes come by size, so that only the first can lie in all others.
        let first = with.next()?;
        let others: Vec<Buttons> = with.map(|(_, s)| *s).collect();
        let alone = others.is_empty();
        others.iter().all(|other| first.1 & !other == 0).then_some((first.0, alone))
    };
    let homes: Vec<Option<(usize, bool)>> = (0..buttons).map(inmost).collect();
    // Where only one diode may lie in a row, a node feeds others only if no diode feeds it.
    let is_plain =
        |node: usize| (0..buttons).all(|b| sets[node] >> b & 1 == 0 || homes[b].is_some_and(|h| h.0 == node));
    let mut own: BTreeMap<usize, usize> = BTreeMap::new();
    for (button, home) in homes.iter().enumerate() {
        if !sets.iter().any(|s| s >> button & 1 == 1) {
            continue;
        }
        match *home {
            Some((node, alone)) if chained || alone || is_plain(node) => matrix.nodes[node].buttons.push(button),
            _ => {
                own.insert(button, matrix.nodes.len());
                matrix.nodes.push(MatrixNode { buttons: vec![button], coils: Vec::new() });
            }
        }
    }
    for (node, &set) in sets.iter().enumerate() {
        let straight = matrix.nodes[node].buttons.iter().fold(0, |s: Buttons, &b| s | 1 << b);
        let mut sources: Vec<(Buttons, usize)> = own.iter().map(|(&b, &n)| (1 << b, n)).collect();
        let fed = |other: usize| chained || is_plain(other);
        sources
            .extend(sets.iter().copied().zip(0..).filter(|&(s, other)| s & !set == 0 && other != node && fed(other)));
        sources.retain(|&(s, _)| s & set & !straight != 0 && s & !set == 0);
        let (cover, least) = least_cover(set & !straight, &sources);
        matrix.least &= least;
        matrix.diodes.extend(cover.into_iter().map(|from| (from, node)));
    }
    Ok(matrix)
}

/// The fewest sources that together hold all buttons of a set, and whether fewer are impossible.
fn least_cover(set: Buttons, sources: &[(Buttons, usize)]) -> (Vec<usize>, bool) {
    // What another source holds as well is never needed.
    let mut kept: Vec<(Buttons, usize)> = Vec::new();
    let mut sorted = sources.to_vec();
    sorted.sort_by_key(|&(s, node)| (std::cmp::Reverse((s & set).count_ones()), node));
    for (s, node) in sorted {
        if !kept.iter().any(|(k, _)| (s & set) & !k == 0) {
            kept.push((s & set, node));
        }
    }
    let mut search = CoverSearch { sources: &kept, best: None, steps: 0 };
    search.cover(set, &mut Vec::new());
    let least = search.steps <= MOST_STEPS;
    (search.best.unwrap_or_default(), least)
}

struct CoverSearch<'s> {
    sources: &'s [(Buttons, usize)],
    best: Option<Vec<usize>>,
    steps: usize,
}

impl CoverSearch<'_> {
    /// Branches on the button that the fewest sources hold; the bound is what the largest source would need.
    fn cover(&mut self, left: Buttons, taken: &mut Vec<usize>) {
        if left == 0 {
            if self.best.as_ref().is_none_or(|best| taken.len() < best.len()) {
                self.best = Some(taken.clone());
            }
            return;
        }
        self.steps += 1;
        let largest = self.sources.iter().map(|s| (s.0 & left).count_ones()).max().unwrap_or(0);
        if largest == 0 || (self.steps > MOST_STEPS && self.best.is_some()) {
            return;
        }
        let bound = taken.len() + left.count_ones().div_ceil(largest) as usize;
        if self.best.as_ref().is_some_and(|best| bound >= best.len()) {
            return;
        }
        let holders = |b: &usize| self.sources.iter().filter(|s| s.0 >> b & 1 == 1).count();
        let Some(button) = (0..MOST_BUTTONS).filter(|b| left >> b & 1 == 1).min_by_key(holders) else { return };
        let mut choices: Vec<(Buttons, usize)> =
            self.sources.iter().copied().filter(|s| s.0 >> button & 1 == 1).collect();
        choices.sort_by_key(|s| std::cmp::Reverse((s.0 & left).count_ones()));
        for (s, node) in choices {
            taken.push(node);
            self.cover(left & !s, taken);
            taken.pop();
        }
    }
}

impl DiodeMatrix {
    /// The most diodes that the current of each coil passes, one after another.
    pub fn in_row(&self) -> Vec<usize> {
        let mut depth = vec![0; self.nodes.len()];
        // A diode leads from fewer buttons to more, so that there is no circle.
        for _ in 0..self.nodes.len() {
            for &(from, to) in &self.diodes {
                depth[to] = depth[to].max(depth[from] + 1);
            }
        }
        let coils = self.nodes.iter().flat_map(|n| &n.coils).max().map_or(0, |c| c + 1);
        let mut in_row = vec![0; coils];
        for (node, depth) in self.nodes.iter().zip(depth) {
            node.coils.iter().for_each(|&coil| in_row[coil] = depth);
        }
        in_row
    }

    /// The matrix between the poles of its supply. Where the common wires of the coils lie on the positive pole, buttons lead to
    /// the negative one and each diode points the other way.
    pub fn network(&self, buttons: usize, coils: usize, common_on_plus: bool) -> FiringNetwork {
        let mut network = FiringNetwork::new(buttons, coils);
        let points: Vec<usize> = self.nodes.iter().map(|_| network.point()).collect();
        let (hand, back) = if common_on_plus { (MINUS, PLUS) } else { (PLUS, MINUS) };
        for (node, &point) in self.nodes.iter().zip(&points) {
            network.links.extend(node.buttons.iter().map(|&b| (hand, point, Link::Button(b))));
            network.links.extend(node.coils.iter().map(|&c| (point, back, Link::Coil(c))));
        }
        for &(from, to) in &self.diodes {
            let [from, to] = [points[from], points[to]];
            network.links.push(if common_on_plus { (to, from, Link::Diode) } else { (from, to, Link::Diode) });
        }
        network
    }
}
