//! Edits that make a storage track dead when it should be.

use crate::context::Context;
use crate::fixes::gaps::ends_at_work;
use crate::fixes::wires::wire_moves;
use crate::fixes::{Change, first_good, outer};
use crate::gap_place::{from_end, gap_item, gapped_near, place};
use analysis::words;
use circuit::{EdgeId, EdgeKind};
use finding::{Edit, Proposal};
use handbook::quantity::Quantity;
use plan::tables::{ContactTable, Feeder, RailSide, Track};
use plan::value::List;
use plan::{At, EndOf, Kind, TrackEnd, edit};
use proof::{Proof, StorageFault};

/// Makes a storage track dead when it should be: by wiring a contact in its feed behind another one; else one rail cut off
/// at each end that joins trackwork, and all its feeders moved from the bus to a free contact of the motor at one of its ends.
pub(crate) fn storage(facts: &Context<'_>, fault: &StorageFault) -> Option<Proposal> {
    let gone = |proof: &Proof| !proof.storage.iter().any(|f| f.track == fault.track);
    let path: Vec<EdgeId> = fault.paths.iter().flat_map(|p| p.edges.iter().copied()).collect();
    let chained = first_good(facts, "storage-live-unlined", behind_another(facts, &path), gone);
    chained
        .or_else(|| first_good(facts, "storage-live-unlined", wire_moves(facts, &path), gone))
        .or_else(|| first_good(facts, "storage-live-unlined", switched(facts, fault), gone))
}

/// Contacts along a path that are fed straight from a bus, fed from a free terminal of another contact on the same
/// conductor instead.
fn behind_another(facts: &Context<'_>, path: &[EdgeId]) -> Vec<Change> {
    let on_path = |span: &std::ops::Range<usize>| {
        path.iter().any(|&e| {
            let edge = &facts.circuit.edges[e];
            edge.kind == EdgeKind::Contact && edge.span == *span
        })
    };
    let mut changes = Vec::new();
    let owners = facts.plan.motor.iter().map(|m| (&m.name, &m.contact));
    let owners: Vec<_> = owners.chain(facts.plan.relay.iter().map(|r| (&r.name, &r.contact))).collect();
    for (name, list) in &owners {
        for (number, contact) in list.iter().enumerate().filter(|(_, c)| on_path(&c.span)) {
            let [common] = contact.value.common.0.as_slice() else { continue };
            for (other, theirs) in &owners {
                for (n, free) in theirs.iter().enumerate().filter(|(_, c)| c.span != contact.span) {
                    let same = free.value.common.references().any(|t| t.value == common.value.to.value);
                    if !same {
                        continue;
                    }
                    let positions: Vec<_> = outer(&free.value).into_iter().collect();
                    let uses = |keys: [&str; 2]| positions.iter().any(|(k, t)| keys.contains(k) && !t.0.is_empty());
                    for pair in [["through", "diverging"], ["left", "right"]].into_iter().filter(|p| uses(*p)) {
                        for (key, _) in positions.iter().filter(|(k, t)| pair.contains(k) && t.0.is_empty()) {
                            let terminal = format!("{}.{}.{key}", other.value, n + 1);
                            let says = format!(
                                "feed the contact {}.{} from {}'s free `{key}` terminal instead of `{}`",
                                name.value,
                                number + 1,
                                other.value,
                                common.value.to.value
                            );
                            changes.push((says, vec![edit::replace(common.span.clone(), &edit::quoted(&terminal))]));
                        }
                    }
                }
            }
        }
    }
    changes
}

/// A storage track's rail cut off, and its feeders on a contact.
fn switched(facts: &Context<'_>, fault: &StorageFault) -> Vec<Change> {
    let track = &facts.plan.track[fault.track];
    let ends = ends_at_work(facts, fault.track);
    let mut changes = Vec::new();
    for side in [RailSide::Right, RailSide::Left] {
        let mut cuts: Vec<String> = Vec::new();
        let mut places: Vec<f64> = Vec::new();
        for &end in &ends {
            if !gapped_near(facts, fault.track, end, side) {
                let at = place(facts, fault.track, end, side);
                cuts.push(gap_item(facts.plan.units(), at, side));
                places.push(from_end(track, end, at));
            }
        }
        let mut edits = Vec::new();
        if !cuts.is_empty() {
            edits.extend(edit::add_to_list(facts.text, &track.gaps, &track.place, "gaps", &cuts.join(", ")));
        }
        let rail = side.word();
        let gap = match places.as_slice() {
            [] => String::new(),
            _ => {
                let at: Vec<String> = places.iter().map(|&p| facts.plan.units().metres(p)).collect();
                format!("cut a gap in the {rail} rail {} from the turnout", words::list(&at))
            }
        };
        // Where the contact is there already, the gap alone will do.
        if !edits.is_empty() {
            changes.push((gap.clone(), edits.clone()));
        }
        let Some(feeders_at) = unfeed(facts, track, side, &mut edits) else { continue };
        let at: Vec<String> = feeders_at.iter().map(|&x| facts.plan.units().metres(x)).collect();
        let feeders = match feeders_at.len() {
            0 => "feed it at its middle",
            1 => "move its feeder",
            _ => "move its feeders",
        };
        let and = if gap.is_empty() { String::new() } else { format!("{gap}, and ") };
        for (contact, name, key) in free_contacts(facts, fault.track, &ends) {
            let places = if feeders_at.is_empty() { vec![track.length.value.si() / 2.0] } else { feeders_at.clone() };
            let wires: Vec<String> = places
                .iter()
                .map(|&x| edit::quoted(&format!("{}.{} @ {}", track.name.value, rail, facts.plan.units().written(x))))
                .collect();
            let value = match wires.as_slice() {
                [one] => one.clone(),
                _ => format!("[{}]", wires.join(", ")),
            };
            let mut all = edits.clone();
            all.push(edit::add_key(&contact.place, key, &value));
            let places = if at.is_empty() { String::new() } else { format!(" at {}", words::list(&at)) };
            changes.push((format!("{and}{feeders}{places} from the bus to {name}'s free `{key}` terminal"), all));
        }
    }
    changes
}

/// Takes the feeders of one rail off; gives their places, where a contact will feed it.
fn unfeed(facts: &Context<'_>, track: &Track, side: RailSide, edits: &mut Vec<Edit>) -> Option<Vec<f64>> {
    let other = side.other().word();
    let mut places = Vec::new();
    for feeder in track.feeders.iter() {
        let at = facts.text.get(feeder.value.at.span.clone())?;
        match &feeder.value.rail {
            None => edits.push(edit::replace(feeder.span.clone(), &format!("{{ at = {at}, rail = \"{other}\" }}"))),
            Some(rail) if rail.value == side => {
                edits.push(edit::replace(with_comma(facts.text, &track.feeders, feeder), ""));
            }
            Some(_) => continue,
        }
        places.push(feeder.value.at.value.si());
    }
    Some(places)
}
/// The bytes of a list's item and of the comma that goes with it.
fn with_comma(text: &str, list: &List<Feeder>, item: &At<Feeder>) -> std::ops::Range<usize> {
    if list.is_bare() {
        // No brackets would be left behind: an edit that makes no sense is not offered.
        return item.span.clone();
    }
    let at = list.items.iter().position(|i| i.span == item.span).unwrap_or(0);
    match (list.items.get(at + 1), at.checked_sub(1).and_then(|b| list.items.get(b))) {
        (Some(next), _) => item.span.start..next.span.start,
        (None, Some(before)) => before.span.end..item.span.end,
        (None, None) => {
            // The last one: a trailing comma must go too.
            let rest = text.get(item.span.end..).unwrap_or_default();
            let comma = rest.trim_start().starts_with(',');
            let end = if comma { item.span.end + rest.find(',').map_or(0, |i| i + 1) } else { item.span.end };
            item.span.start..end
        }
    }
}

/// Contacts of what throws the trackwork at a track's ends, with the key of the position that lines the
/// track, where nothing is wired to it yet.
fn free_contacts<'f>(
    facts: &'f Context<'_>,
    track: usize,
    ends: &[TrackEnd],
) -> Vec<(&'f ContactTable, String, &'static str)> {
    let plan = facts.plan;
    let mut free = Vec::new();
    for &end in ends {
        let text = if end == TrackEnd::From { &plan.track[track].from } else { &plan.track[track].to };
        let Ok(EndOf::Work(Kind::Turnout, turnout, port)) = facts.names.end(plan, &text.value) else { continue };
        let name = &plan.turnout[turnout].name.value;
        for (index, motor) in plan.motor.iter().enumerate() {
            if !motor.moves.0.iter().any(|m| &m.value == name) {
                continue;
            }
            let root = |relay| plan::driven::leader(plan, facts.names, (Kind::Relay, relay));
            let relays = plan.relay.iter().enumerate().filter(|(r, _)| root(*r) == Some((Kind::Motor, index)));
            let own = motor.contact.iter().map(|c| (&motor.name.value, c));
            let contacts = own.chain(relays.flat_map(|(_, r)| r.contact.iter().map(|c| (&r.name.value, c))));
            for (owner, contact) in contacts {
                let c = &contact.value;
                let slots =
                    [("through", &c.through), ("diverging", &c.diverging), ("left", &c.left), ("right", &c.right)];
                for (key, wired) in slots {
                    if key == port && wired.0.is_empty() {
                        free.push((c, owner.clone(), key));
                    }
                }
            }
        }
    }
    free
}
