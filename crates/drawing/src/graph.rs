//! The plan as members (trackwork, and joins of two tracks) and strands (tracks between them), each with the way it
//! faces on the drawing.
//!
//! Every member stands one way or turned by half, so that each of its ports faces west or east; a track leads from a port
//! that faces east to one that faces west. Where that cannot be had all round a closed way, the longest track of it is
//! cut in two stubs, which the drawing joins again by a curve: a balloon, or a line back round the outside.

use circuit::Lengths;
use handbook::quantity::Quantity as _;
use plan::tables::Hand;
use plan::{End, Kind, Names, Plan, TrackEnd};
use std::collections::BTreeMap;

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
pub(crate) struct Port {
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
    pub ports: Vec<Port>,
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
pub(crate) enum Part {
    Whole,
    /// The stub at one end of a track that was cut.
    Stub(TrackEnd),
}

/// A track, or a stub of one, from west to east.
#[derive(Clone, Debug)]
pub(crate) struct Strand {
    pub track: usize,
    pub part: Part,
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
pub(crate) enum Back {
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
    pub back: BTreeMap<usize, Back>,
}

/// What each end of each track joins: member and port; and whether the track goes on beyond.
pub(crate) type Ends = Vec<[Option<(usize, usize)>; 2]>;

impl Graph {
    pub(crate) fn of(plan: &Plan, names: &Names) -> Graph {
        let (mut members, ends) = members(plan, names);
        let lengths: Vec<f64> = plan.track.iter().map(|t| t.length.value.si()).collect();
        ease_leads(plan, &mut members, &ends, &lengths);
        let mut turning = stand(&mut members, &ends, &lengths);
        raise_triangles(plan, &mut members, &ends, &lengths, &mut turning);
        let mut back: BTreeMap<usize, Back> = turning.iter().map(|&t| (t, Back::Turns)).collect();
        let mut graph = Graph { members, strands: Vec::new(), back: BTreeMap::new() };
        for track in graph.closing(&ends, &lengths, &back) {
            back.insert(track, Back::Round);
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
                self.strands.push(Strand { track, part: Part::Stub(end), west, east, metres: metres / 2.0, west_end });
            }
            return;
        }
        // It starts in the west where its start faces east, or else its end faces west.
        let eastward = face(ends[0]).map_or_else(|| face(ends[1]) != Some(1), |f| f == 1);
        let (west, east) = if eastward { (ends[0], ends[1]) } else { (ends[1], ends[0]) };
        let west_end = if eastward { TrackEnd::From } else { TrackEnd::To };
        self.strands.push(Strand { track, part: Part::Whole, west, east, metres, west_end });
    }

    /// Tracks to cut so that no way eastwards comes back to where it started: the longest of each closed way.
    fn closing(&self, ends: &Ends, lengths: &[f64], cut: &BTreeMap<usize, Back>) -> Vec<usize> {
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

/// All trackwork of a plan and all joins of tracks, and what joins them.
fn members(plan: &Plan, names: &Names) -> (Vec<Member>, Ends) {
    let mut members: Vec<Member> = plan::names::each_name(plan)
        .filter_map(|(kind, index, _)| {
            let form = match kind {
                Kind::Turnout => Form::Turnout { hand: plan.turnout[index].hand.value, apex: false },
                Kind::Crossing | Kind::Slip => Form::Diamond,
                Kind::ThreeWay => Form::ThreeWay,
                Kind::Turntable => Form::Turntable,
                _ => return None,
            };
            let lengths = Lengths::of(plan, kind, index);
            let metres = match form {
                Form::Turntable => plan.turntable[index].length.value.si(),
                Form::Diamond => 2.0 * (lengths.span + lengths.tail),
                _ => lengths.lead + lengths.tail,
            };
            let mut member = Member { of: (kind, index), form, ports: Vec::new(), metres, turn: 1 };
            let words = plan::names::ports(plan, kind, index);
            member.ports = words.into_iter().map(|word| port(form, word)).collect();
            Some(member)
        })
        .collect();
    let number: BTreeMap<(Kind, usize), usize> = members.iter().enumerate().map(|(i, m)| (m.of, i)).collect();
    let mut ends: Ends = vec![[None, None]; plan.track.len()];
    for (track, t) in plan.track.iter().enumerate() {
        for (slot, (end, text)) in [(TrackEnd::From, &t.from), (TrackEnd::To, &t.to)].into_iter().enumerate() {
            match names.end(plan, &text.value) {
                Ok(End::Work(kind, index, word)) => {
                    let Some(&member) = number.get(&(kind, index)) else { continue };
                    let Some(port) = members[member].ports.iter().position(|p| p.word == word) else { continue };
                    members[member].ports[port].joins = Some((track, end));
                    ends[track][slot] = Some((member, port));
                }
                Ok(End::Track(other, other_end)) if ends[track][slot].is_none() => {
                    let port =
                        |face, joins| Port { word: String::new(), face, rank: 0, weight: 20, joins: Some(joins) };
                    let ports = vec![port(-1, (track, end)), port(1, (other, other_end))];
                    ends[track][slot] = Some((members.len(), 0));
                    ends[other][usize::from(other_end == TrackEnd::To)] = Some((members.len(), 1));
                    members.push(Member { of: (Kind::Track, track), form: Form::Join, ports, metres: 0.0, turn: 1 });
                }
                _ => {}
            }
        }
    }
    (members, ends)
}

/// A port as it faces while its member is not turned: points to the west.
fn port(form: Form, word: String) -> Port {
    let (face, rank, weight) = match (form, word.as_str()) {
        (Form::Turnout { apex: true, .. }, "points") => (1, 0, 4),
        (Form::Turnout { hand, apex: true }, _) => {
            // Seen from the points, which look down here, the left leg lies east.
            if is_left_leg(hand, &word) { (1, 1, 6) } else { (-1, 0, 6) }
        }
        (Form::Turnout { .. } | Form::ThreeWay, "points") => (-1, 0, 8),
        (Form::Turnout { hand: Hand::Wye, .. }, _) => (1, usize::from(word == "right"), 6),
        (Form::Turnout { hand, .. }, "through") => (1, usize::from(hand == Hand::Left), 8),
        (Form::Turnout { hand, .. }, _) => (1, usize::from(hand == Hand::Right), 5),
        (Form::ThreeWay, "left") => (1, 0, 5),
        (Form::ThreeWay, "middle") => (1, 1, 8),
        (Form::ThreeWay, _) => (1, 2, 5),
        (Form::Diamond, "west 1") => (-1, 0, 6),
        (Form::Diamond, "west 2") => (-1, 1, 6),
        (Form::Diamond, "east 2") => (1, 0, 6),
        (Form::Diamond, _) => (1, 1, 6),
        (Form::Turntable, _) => {
            let stall: usize = word.strip_prefix("stall ").and_then(|n| n.parse().ok()).unwrap_or(1);
            if stall == 1 { (-1, 0, 8) } else { (1, stall, 4) }
        }
        (Form::Join, _) => (1, 0, 20),
    };
    Port { word, face, rank, weight, joins: None }
}

/// Whether a leg is the left one of a turnout, seen from its points.
pub(crate) fn is_left_leg(hand: Hand, word: &str) -> bool {
    match hand {
        Hand::Left => word == "diverging",
        Hand::Right => word == "through",
        Hand::Wye => word == "left",
    }
}

/// Lets the leads of ladders climb: from the through leg of a turnout to the points of the next, again and again, until one
/// ends at a buffer or behind the frog of a turnout. A line that leads beyond is a main line, and lies level.
fn ease_leads(plan: &Plan, members: &mut [Member], ends: &Ends, lengths: &[f64]) {
    let beyond = |(track, end): (usize, TrackEnd)| {
        let t = &plan.track[track];
        (if end == TrackEnd::From { &t.to } else { &t.from }).value.trim() == "beyond"
    };
    let far = |(track, end): (usize, TrackEnd)| ends[track][usize::from(end == TrackEnd::From)];
    let onward: Vec<Option<usize>> = members
        .iter()
        .map(|m| {
            let through = m.ports.iter().find(|p| p.word == "through")?.joins?;
            let (next, port) = far(through)?;
            let step = members[next].ports[port].word == "points" && lengths[through.0] <= 6.0 * m.metres;
            let like = members[next].form == m.form;
            (step && like).then_some(next)
        })
        .collect();
    // Whether the lead that goes on from a turnout ends where a road does.
    let mut ladder = vec![false; members.len()];
    for start in 0..members.len() {
        if onward[start].is_none() || ladder[start] {
            continue;
        }
        let (mut at, mut chain) = (start, vec![start]);
        while let Some(next) = onward[at].filter(|n| !chain.contains(n)) {
            at = next;
            chain.push(at);
        }
        let last = members[at].ports.iter().find(|p| p.word == "through").and_then(|p| p.joins);
        let ends_as_road = last.is_some_and(|joins| match far(joins) {
            Some((member, port)) => !["points", ""].contains(&members[member].ports[port].word.as_str()),
            None => !beyond(joins),
        });
        if ends_as_road {
            chain.iter().filter(|&&m| onward[m].is_some()).for_each(|&m| ladder[m] = true);
        }
    }
    for member in 0..members.len() {
        let Some(next) = onward[member].filter(|_| ladder[member]) else { continue };
        let word = |members: &mut [Member], member: usize, word: &str| {
            members[member].ports.iter_mut().filter(|p| p.word == word).for_each(|p| p.weight = 4);
        };
        word(members, member, "through");
        word(members, next, "points");
    }
}

/// Turns members so that as many tracks as can lead from a port that faces east to one that faces west, the short ones
/// first; gives the others.
fn stand(members: &mut [Member], ends: &Ends, lengths: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..ends.len()).collect();
    order.sort_by(|&a, &b| lengths[a].total_cmp(&lengths[b]).then(b.cmp(&a)));
    // Each member's neighbour on the way to the head of its group, and whether it is turned against that.
    let mut above: Vec<(usize, i8)> = (0..members.len()).map(|m| (m, 1)).collect();
    let find = |above: &mut Vec<(usize, i8)>, member: usize| {
        let (mut at, mut turn) = (member, 1);
        while above[at].0 != at {
            turn *= above[at].1;
            at = above[at].0;
        }
        let (mut step, mut left) = (member, turn);
        while above[step].0 != step {
            let (next, sign) = above[step];
            above[step] = (at, left);
            left *= sign;
            step = next;
        }
        (at, turn)
    };
    let mut turning = Vec::new();
    for &track in &order {
        let [Some((a, p)), Some((b, q))] = ends[track] else { continue };
        let wanted = -members[a].ports[p].face * members[b].ports[q].face;
        let ((head_a, turn_a), (head_b, turn_b)) = (find(&mut above, a), find(&mut above, b));
        if head_a != head_b {
            above[head_b.max(head_a)] = (head_a.min(head_b), turn_a * turn_b * wanted);
        } else if turn_a * turn_b != wanted {
            turning.push(track);
        }
    }
    // The first track of each group runs from west to east.
    let mut sense: BTreeMap<usize, i8> = BTreeMap::new();
    for [from, to] in ends {
        let Some((member, port)) = from.or(*to) else { continue };
        let (head, turn) = find(&mut above, member);
        let leaves = members[member].ports[port].face * turn * if from.is_some() { 1 } else { -1 };
        sense.entry(head).or_insert(leaves);
    }
    for member in 0..members.len() {
        let (head, turn) = find(&mut above, member);
        members[member].turn = turn * sense.get(&head).copied().unwrap_or(1);
    }
    turning.sort_unstable();
    turning
}

/// Makes turnouts the heads of triangles where that lets a track lie straight that would have to turn.
fn raise_triangles(plan: &Plan, members: &mut Vec<Member>, ends: &Ends, lengths: &[f64], turning: &mut Vec<usize>) {
    for track in turning.clone() {
        let [Some(a), Some(b)] = ends[track] else { continue };
        if a.0 == b.0 || !turning.contains(&track) {
            continue;
        }
        let mut heads: Vec<(u8, usize)> = [a, b]
            .into_iter()
            .filter_map(|(member, port)| {
                let Form::Turnout { hand, apex: false } = members[member].form else { return None };
                let tail = members[member].ports.iter().find(|p| p.word == "points")?.joins;
                let dead_end = tail.is_none_or(|(t, end)| ends[t][usize::from(end == TrackEnd::From)].is_none());
                let leg = members[member].ports[port].word != "points";
                match (leg, hand == Hand::Wye, dead_end) {
                    (true, true, true) => Some((0, member)),
                    (true, false, true) => Some((1, member)),
                    (true, true, false) => Some((2, member)),
                    _ => None,
                }
            })
            .collect();
        heads.sort_unstable();
        for (_, head) in heads {
            let mut tried = members.clone();
            let (kind, index) = tried[head].of;
            debug_assert_eq!(kind, Kind::Turnout);
            let form = Form::Turnout { hand: plan.turnout[index].hand.value, apex: true };
            tried[head].form = form;
            for p in &mut tried[head].ports {
                let joins = p.joins;
                *p = Port { joins, ..port(form, std::mem::take(&mut p.word)) };
            }
            let left = stand(&mut tried, ends, lengths);
            if left.len() < turning.len() {
                (*members, *turning) = (tried, left);
                break;
            }
        }
    }
}
