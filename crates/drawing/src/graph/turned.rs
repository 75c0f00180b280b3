//! Which way each member stands.

use super::members::port;
use super::{Ends, Form, Member, MemberPort};
use plan::tables::Hand;
use plan::{Kind, Plan, TrackEnd};
use std::collections::BTreeMap;

/// Lets the leads of ladders climb: from the through leg of a turnout to the points of the next, again and again, until one
/// ends at a buffer or behind the frog of a turnout. A line that leads beyond is a main line, and lies level.
pub(crate) fn ease_leads(plan: &Plan, members: &mut [Member], ends: &Ends, lengths: &[f64]) {
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
pub(crate) fn stand(members: &mut [Member], ends: &Ends, lengths: &[f64]) -> Vec<usize> {
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
    for (member, m) in members.iter_mut().enumerate() {
        let (head, turn) = find(&mut above, member);
        m.turn = turn * sense.get(&head).copied().unwrap_or(1);
    }
    turning.sort_unstable();
    turning
}

/// Makes turnouts the heads of triangles where that lets a track lie straight that would have to turn.
pub(crate) fn raise_triangles(
    plan: &Plan,
    members: &mut Vec<Member>,
    ends: &Ends,
    lengths: &[f64],
    turning: &mut Vec<usize>,
) {
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
                *p = MemberPort { joins, ..port(form, std::mem::take(&mut p.word)) };
            }
            let left = stand(&mut tried, ends, lengths);
            if left.len() < turning.len() {
                (*members, *turning) = (tried, left);
                break;
            }
        }
    }
}
