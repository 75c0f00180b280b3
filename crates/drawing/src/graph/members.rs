//! The trackwork of a plan, its joins, and how their ports face.

use super::{Ends, Form, Member, MemberPort};
use circuit::WorkLengths;
use handbook::quantity::Quantity as _;
use plan::tables::Hand;
use plan::{EndOf, Kind, Names, Plan, TrackEnd};
use std::collections::BTreeMap;

/// All trackwork of a plan and all joins of tracks, and what joins them.
pub(crate) fn members(plan: &Plan, names: &Names) -> (Vec<Member>, Ends) {
    let mut members: Vec<Member> = plan::names::each_name(plan)
        .filter_map(|(kind, index, _)| {
            let form = match kind {
                Kind::Turnout => Form::Turnout { hand: plan.turnout[index].hand.value, apex: false },
                Kind::Crossing | Kind::Slip => Form::Diamond,
                Kind::ThreeWay => Form::ThreeWay,
                Kind::Turntable => Form::Turntable,
                _ => return None,
            };
            let lengths = WorkLengths::from_plan(plan, kind, index);
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
                Ok(EndOf::Work(kind, index, word)) => {
                    let Some(&member) = number.get(&(kind, index)) else { continue };
                    let Some(port) = members[member].ports.iter().position(|p| p.word == word) else { continue };
                    members[member].ports[port].joins = Some((track, end));
                    ends[track][slot] = Some((member, port));
                }
                Ok(EndOf::Track(other, other_end)) if ends[track][slot].is_none() => {
                    let port =
                        |face, joins| MemberPort { word: String::new(), face, rank: 0, weight: 20, joins: Some(joins) };
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
pub(crate) fn port(form: Form, word: String) -> MemberPort {
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
    MemberPort { word, face, rank, weight, joins: None }
}

/// Whether a leg is the left one of a turnout, seen from its points.
pub(crate) fn is_left_leg(hand: Hand, word: &str) -> bool {
    match hand {
        Hand::Left => word == "diverging",
        Hand::Right => word == "through",
        Hand::Wye => word == "left",
    }
}
