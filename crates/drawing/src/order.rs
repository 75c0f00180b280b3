//! What lies above what: one list of all members and strands, from the top of the drawing to its bottom, that holds
//! wherever two of them lie side by side.
//!
//! A sweep from west to east replaces the strands that come into a member by those that leave it, each at its place by the
//! hand of the member. Strands that have ended stay in the list: nothing that is side by side with them is beyond them.
//! A line that comes in from elsewhere is swept by itself first, and put beside the member where it joins.

use crate::graph::{Form, Graph, StrandPart};

/// Where a member or strand lies along the layout, in metres from its west end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LengthExtent {
    pub from: f64,
    pub to: f64,
}

/// The order of things. Items are the members, then the strands, by their numbers.
pub(crate) struct Order {
    /// Items from the top to the bottom, those of one piece of the layout together.
    pub list: Vec<usize>,
    /// The extent of each item.
    pub extents: Vec<LengthExtent>,
    /// The piece of the layout that each item is of, counted in the order of the plan.
    pub piece: Vec<usize>,
    /// Members, each behind all that lie west of it.
    pub eastward: Vec<usize>,
    /// Whether a member has no fixed place from the west, so that it is set by what lies east of it.
    pub floats: Vec<bool>,
}

impl Order {
    pub(crate) fn from_graph(graph: &Graph) -> Order {
        let eastward = eastward(graph);
        let (at, floats) = places(graph, &eastward);
        let piece = pieces(graph);
        let extents = extents(graph, &at, &piece);
        let list = sweep(graph, &eastward, &extents, &piece);
        Order { list, extents, piece, eastward, floats }
    }
}

/// Members, each behind all that lie west of it; among equals by their numbers.
fn eastward(graph: &Graph) -> Vec<usize> {
    let mut waits = vec![0_usize; graph.members.len()];
    let mut onward: Vec<Vec<usize>> = vec![Vec::new(); graph.members.len()];
    for strand in &graph.strands {
        if let (Some((west, _)), Some((east, _))) = (strand.west, strand.east) {
            waits[east] += 1;
            onward[west].push(east);
        }
    }
    let mut ready: std::collections::BTreeSet<usize> = (0..waits.len()).filter(|&m| waits[m] == 0).collect();
    let mut order = Vec::with_capacity(waits.len());
    while let Some(member) = ready.pop_first() {
        order.push(member);
        for &next in &onward[member] {
            waits[next] -= 1;
            if waits[next] == 0 {
                ready.insert(next);
            }
        }
    }
    order
}

/// Where the middle of each member lies, by the lengths of the plan: as far west as it can be, and what has nothing west of
/// it that fixes it as far east as it can be.
fn places(graph: &Graph, eastward: &[usize]) -> (Vec<f64>, Vec<bool>) {
    let count = graph.members.len();
    let mut links: [Vec<Vec<(usize, f64)>>; 2] = [vec![Vec::new(); count], vec![Vec::new(); count]];
    for strand in &graph.strands {
        if let (Some((west, _)), Some((east, _))) = (strand.west, strand.east) {
            let metres = strand.metres + (graph.members[west].metres + graph.members[east].metres) / 2.0;
            links[0][east].push((west, metres));
            links[1][west].push((east, metres));
        }
    }
    let mut at = vec![0.0_f64; count];
    let mut floats = vec![true; count];
    for &member in eastward {
        for &(west, metres) in &links[0][member] {
            at[member] = at[member].max(at[west] + metres);
        }
        floats[member] = links[0][member].iter().all(|&(west, _)| floats[west]);
    }
    for &member in eastward.iter().rev().filter(|&&m| floats[m]) {
        let east = links[1][member].iter().map(|&(east, metres)| at[east] - metres);
        if let Some(least) = east.min_by(f64::total_cmp) {
            at[member] = at[member].max(least);
        }
    }
    (at, floats)
}

/// The piece of the layout that each item is of.
fn pieces(graph: &Graph) -> Vec<usize> {
    let members = graph.members.len();
    let count = members + graph.strands.len();
    let mut head: Vec<usize> = (0..count).collect();
    fn find(head: &mut [usize], mut at: usize) -> usize {
        while head[at] != at {
            head[at] = head[head[at]];
            at = head[at];
        }
        at
    }
    let mut first_stub = std::collections::BTreeMap::new();
    for (index, strand) in graph.strands.iter().enumerate() {
        let me = members + index;
        let other = matches!(strand.part, StrandPart::Stub(_)).then(|| *first_stub.entry(strand.track).or_insert(me));
        for next in [strand.west.map(|w| w.0), strand.east.map(|e| e.0), other].into_iter().flatten() {
            let (a, b) = (find(&mut head, me), find(&mut head, next));
            head[a.max(b)] = a.min(b);
        }
    }
    let mut number = std::collections::BTreeMap::new();
    // Counted by the first track, so that the drawing begins with what the plan begins with.
    for (index, _) in graph.strands.iter().enumerate() {
        let next = number.len();
        number.entry(find(&mut head, members + index)).or_insert(next);
    }
    (0..count)
        .map(|item| {
            let next = number.len();
            *number.entry(find(&mut head, item)).or_insert(next)
        })
        .collect()
}

fn extents(graph: &Graph, at: &[f64], piece: &[usize]) -> Vec<LengthExtent> {
    let count = graph.members.len();
    let mut extents: Vec<LengthExtent> = Vec::with_capacity(count + graph.strands.len());
    for (member, m) in graph.members.iter().enumerate() {
        let half = m.metres / 2.0;
        extents.push(LengthExtent { from: at[member] - half, to: at[member] + half });
    }
    let local = |track: usize| {
        let mut ends = graph.strands.iter().filter(|s| s.track == track).map(|s| s.west.or(s.east).map(|e| e.0));
        ends.next() == ends.next()
    };
    let mut cut_local = std::collections::BTreeMap::new();
    for &track in graph.back.keys() {
        cut_local.insert(track, local(track));
    }
    for strand in &graph.strands {
        let (west, east) = (strand.west.map(|w| at[w.0]), strand.east.map(|e| at[e.0]));
        // Where a rail ends, what lies beyond its buffer keeps some distance.
        let reach = match strand.part {
            StrandPart::Whole => 1.15 * strand.metres + 0.1,
            StrandPart::Stub(_) if cut_local[&strand.track] => strand.metres,
            StrandPart::Stub(_) => 1e6,
        };
        extents.push(match (west, east) {
            (Some(from), Some(to)) => LengthExtent { from, to },
            (Some(from), None) => LengthExtent { from, to: from + reach },
            (None, Some(to)) => LengthExtent { from: to - reach, to },
            (None, None) => LengthExtent { from: 0.0, to: strand.metres },
        });
    }
    debug_assert_eq!(extents.len(), piece.len());
    extents
}

/// Lists that are spliced into one another: each item with what is above and below it.
struct SplicedLists {
    above: Vec<usize>,
    below: Vec<usize>,
    /// Which list an item is in, by way of others.
    head: Vec<usize>,
    top: Vec<usize>,
    bottom: Vec<usize>,
}

const NONE: usize = usize::MAX;

impl SplicedLists {
    fn new(count: usize) -> SplicedLists {
        let own: Vec<usize> = (0..count).collect();
        SplicedLists {
            above: vec![NONE; count],
            below: vec![NONE; count],
            head: own.clone(),
            top: own.clone(),
            bottom: own,
        }
    }

    fn list(&mut self, mut item: usize) -> usize {
        while self.head[item] != item {
            self.head[item] = self.head[self.head[item]];
            item = self.head[item];
        }
        item
    }

    /// Puts the whole list of `what` right above or right below `by`.
    fn put(&mut self, what: usize, by: usize, above: bool) {
        let (mine, other) = (self.list(what), self.list(by));
        if mine == other {
            return;
        }
        let (top, bottom) = (self.top[mine], self.bottom[mine]);
        let (before, after) = if above { (self.above[by], by) } else { (by, self.below[by]) };
        self.above[top] = before;
        self.below[bottom] = after;
        if before == NONE {
            self.top[other] = top
        } else {
            self.below[before] = top
        }
        if after == NONE {
            self.bottom[other] = bottom
        } else {
            self.above[after] = bottom
        }
        self.head[mine] = other;
    }
}

fn sweep(graph: &Graph, eastward: &[usize], extents: &[LengthExtent], piece: &[usize]) -> Vec<usize> {
    let members = graph.members.len();
    let mut lists = SplicedLists::new(piece.len());
    // The strand at each port.
    let mut at_port: Vec<Vec<usize>> = graph.members.iter().map(|m| vec![NONE; m.ports.len()]).collect();
    for (index, strand) in graph.strands.iter().enumerate() {
        for (member, port) in [strand.west, strand.east].into_iter().flatten() {
            at_port[member][port] = members + index;
        }
    }
    let mut order = eastward.to_vec();
    order.sort_by(|&a, &b| extents[a].from.total_cmp(&extents[b].from));
    for &member in &order {
        let m = &graph.members[member];
        let strands = |side: i8| -> Vec<(usize, i64)> {
            let ports = m.facing(side).into_iter().filter(|&p| at_port[member][p] != NONE);
            ports.map(|p| (at_port[member][p], m.ports[p].weight)).collect()
        };
        let (west, east) = (strands(-1), strands(1));
        // The member takes the place of what leads straight into it, the first of its list being what was swept.
        let main = (0..west.len()).max_by_key(|&i| (west[i].1, std::cmp::Reverse(i)));
        if let Some(main) = main {
            let above = main > 0 && main + 1 == west.len();
            lists.put(member, west[main].0, above);
            for &(strand, _) in west[main + 1..].iter().rev() {
                lists.put(strand, member, false);
            }
            let by = if above { member } else { west[main].0 };
            for &(strand, _) in &west[..main] {
                lists.put(strand, by, true);
            }
        }
        let half = match m.form {
            Form::Turnout { apex: true, .. } => usize::from(m.turn == 1),
            _ => east.len() / 2,
        };
        for &(strand, _) in &east[..half] {
            lists.put(strand, member, true);
        }
        for &(strand, _) in east[half..].iter().rev() {
            lists.put(strand, member, false);
        }
    }
    let mut tops: Vec<(usize, usize)> = Vec::new();
    for (item, &piece) in piece.iter().enumerate() {
        if lists.list(item) == item {
            tops.push((piece, lists.top[item]));
        }
    }
    tops.sort_unstable();
    let mut list = Vec::with_capacity(piece.len());
    for (_, mut item) in tops {
        while item != NONE {
            list.push(item);
            item = lists.below[item];
        }
    }
    list
}
