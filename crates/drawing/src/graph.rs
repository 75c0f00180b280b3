//! The plan as members (trackwork, and joins of two tracks) and strands (tracks between them), each with the way it
//! faces on the drawing.
//!
//! Every member stands one way or turned by half, so that each of its ports faces west or east; a track leads from a port
//! that faces east to one that faces west. Where that cannot be had all round a closed way, the longest track of it is
//! cut in two stubs, which the drawing joins again by a curve: a balloon, or a line back round the outside.

use handbook::quantity::Quantity as _;
use plan::tables::Hand;
use plan::{Kind, Names, Plan, TrackEnd};
use std::collections::BTreeMap;

pub(crate) mod members;
mod turned;

/// What a member is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// A simple turnout or a wye turnout; `apex`: its legs lead off to opposite sides, as at the head of a triangle.
    Turnout { hand: Hand, apex: bool },
    /// A crossing or a slip.
    Diamond,
    /// A three-way turnout.
    ThreeWay,
    /// A turntable or sector plate.
    Turntable,
    /// Where two tracks meet.
    Join,
}

/// An end of a member.
#[derive(Clone, Debug)]
pub(crate) struct MemberPort {
    /// Its word in the plan; empty at a join.
    pub word: String,
    /// Where it faces while the member is not turned: 1 east, −1 west.
    pub face: i8,
    /// Its height among the ports that face as it does, 0 the highest, while the member is not turned.
    pub rank: usize,
    /// What it costs to leave the level of the member.
    pub weight: i64,
    /// The track that joins it.
    pub joins: Option<(usize, TrackEnd)>,
}

/// A piece of trackwork, or a join of two tracks.
#[derive(Clone, Debug)]
pub(crate) struct Member {
    /// What of the plan it is; a join is called by its first track.
    pub of: (Kind, usize),
    pub form: Form,
    pub ports: Vec<MemberPort>,
    /// Its length in metres.
    pub metres: f64,
    /// 1, or −1 where it is turned by half.
    pub turn: i8,
}

impl Member {
    /// Where a port faces on the drawing.
    pub(crate) fn face(&self, port: usize) -> i8 {
        self.turn * self.ports[port].face
    }

    /// Its ports that face a side, the highest first.
    pub(crate) fn facing(&self, side: i8) -> Vec<usize> {
        let mut list: Vec<usize> = (0..self.ports.len()).filter(|&p| self.face(p) == side).collect();
        list.sort_by_key(|&p| i64::from(self.turn) * self.ports[p].rank as i64);
        list
    }
}

/// What of a track a strand is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum StrandPart {
    Whole,
    /// The stub at one end of a track that was cut.
    Stub(TrackEnd),
}

/// A track, or a stub of one, from west to east.
#[derive(Clone, Debug)]
pub(crate) struct Strand {
    pub track: usize,
    pub part: StrandPart,
    /// Member and port at its west end; none where it ends.
    pub west: Option<(usize, usize)>,
    /// Member and port at its east end.
    pub east: Option<(usize, usize)>,
    pub metres: f64,
    /// The end of the track that lies west.
    pub west_end: TrackEnd,
}

/// How a track that was cut leads back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LeadBack {
    /// Both its ends face the same way.
    Turns,
    /// It comes round to where it started.
    Round,
}

/// All of a plan.
#[derive(Clone, Debug, Default)]
pub(crate) struct Graph {
    pub members: Vec<Member>,
    pub strands: Vec<Strand>,
    /// The tracks that were cut.
    pub back: BTreeMap<usize, LeadBack>,
}

/// What each end of each track joins: member and port; and whether the track goes on beyond.
pub(crate) type Ends = Vec<[Option<(usize, usize)>; 2]>;

impl Graph {
    pub(crate) fn from_plan(plan: &Plan, names: &Names) -> Graph {
        let (mut members, ends) = members::members(plan, names);
        let lengths: Vec<f64> = plan.track.iter().map(|t| t.length.value.si()).collect();
        turned::ease_leads(plan, &mut members, &ends, &lengths);
        let mut turning = turned::stand(&mut members, &ends, &lengths);
        turned::raise_triangles(plan, &mut members, &ends, &lengths, &mut turning);
        let mut back: BTreeMap<usize, LeadBack> = turning.iter().map(|&t| (t, LeadBack::Turns)).collect();
        let mut graph = Graph { members, strands: Vec::new(), back: BTreeMap::new() };
        for track in graph.closing(&ends, &lengths, &back) {
            back.insert(track, LeadBack::Round);
        }
        graph.back = back;
        for track in 0..ends.len() {
            graph.strand(track, ends[track], lengths[track]);
        }
        graph
    }

    fn strand(&mut self, track: usize, ends: [Option<(usize, usize)>; 2], metres: f64) {
        let face = |end: Option<(usize, usize)>| end.map(|(m, p)| self.members[m].face(p));
        if self.back.contains_key(&track) {
            for (slot, end) in [TrackEnd::From, TrackEnd::To].into_iter().enumerate() {
                let at = ends[slot];
                let east = face(at) == Some(1);
                let west_end = if east { end } else { end.other() };
                let (west, east) = if east { (at, None) } else { (None, at) };
                self.strands.push(Strand {
                    track,
                    part: StrandPart::Stub(end),
                    west,
                    east,
                    metres: metres / 2.0,
                    west_end,
                });
            }
            return;
        }
        // It starts in the west where its start faces east, or else its end faces west.
        let eastward = face(ends[0]).map_or_else(|| face(ends[1]) != Some(1), |f| f == 1);
        let (west, east) = if eastward { (ends[0], ends[1]) } else { (ends[1], ends[0]) };
        let west_end = if eastward { TrackEnd::From } else { TrackEnd::To };
        self.strands.push(Strand { track, part: StrandPart::Whole, west, east, metres, west_end });
    }

    /// Tracks to cut so that no way eastwards comes back to where it started: the longest of each closed way.
    fn closing(&self, ends: &Ends, lengths: &[f64], cut: &BTreeMap<usize, LeadBack>) -> Vec<usize> {
        let arc = |t: usize| {
            let [Some(a), Some(b)] = ends[t] else { return None };
            if cut.contains_key(&t) {
                return None;
            }
            Some(if self.members[a.0].face(a.1) == 1 { (a.0, b.0) } else { (b.0, a.0) })
        };
        let component = knots(self.members.len(), &(0..ends.len()).filter_map(arc).collect::<Vec<_>>());
        let mut inside: Vec<usize> =
            (0..ends.len()).filter(|&t| arc(t).is_some_and(|(a, b)| component[a] == component[b])).collect();
        inside.sort_by(|&a, &b| lengths[a].total_cmp(&lengths[b]).then(b.cmp(&a)));
        let mut onward: Vec<Vec<usize>> = vec![Vec::new(); self.members.len()];
        let mut closing = Vec::new();
        for track in inside {
            let Some((from, to)) = arc(track) else { continue };
            if leads(&onward, to, from) {
                closing.push(track);
            } else {
                onward[from].push(to);
            }
        }
        closing
    }
}

fn leads(onward: &[Vec<usize>], from: usize, to: usize) -> bool {
    let mut seen = vec![false; onward.len()];
    let mut queue = vec![from];
    seen[from] = true;
    while let Some(at) = queue.pop() {
        if at == to {
            return true;
        }
        for &next in &onward[at] {
            if !std::mem::replace(&mut seen[next], true) {
                queue.push(next);
            }
        }
    }
    false
}

/// Numbers the knots of a directed graph: members of one that lie on a closed way together have the same number.
fn knots(count: usize, arcs: &[(usize, usize)]) -> Vec<usize> {
    let mut lists = [vec![Vec::new(); count], vec![Vec::new(); count]];
    for &(a, b) in arcs {
        lists[0][a].push(b);
        lists[1][b].push(a);
    }
    let mut order = Vec::with_capacity(count);
    let mut seen = vec![false; count];
    for start in 0..count {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        let mut stack = vec![(start, 0)];
        while let Some(top) = stack.last_mut() {
            match lists[0][top.0].get(top.1) {
                Some(&next) => {
                    top.1 += 1;
                    if !std::mem::replace(&mut seen[next], true) {
                        stack.push((next, 0));
                    }
                }
                None => {
                    order.push(top.0);
                    stack.pop();
                }
            }
        }
    }
    let mut knot = vec![usize::MAX; count];
    for (number, &start) in order.iter().rev().enumerate() {
        let mut queue = vec![start];
        while let Some(at) = queue.pop() {
            if knot[at] == usize::MAX {
                knot[at] = number;
                queue.extend(&lists[1][at]);
            }
        }
    }
    knot
}
