//! Edits that fix a fault. Each is proved before it is proposed (see [`fix_proof`]). What can be undone, a wire, is tried
//! before what cannot, a cut; no feeder is taken off without another wire in its place.

use crate::fix_proof::fixes;
use crate::{Facts, words};
use circuit::{EdgeId, EdgeKind, NodeId};
use finding::{Edit, Proposal};
use handbook::quantity::Quantity;
use plan::edit;
use plan::tables::{ContactTable, Feeder, RailSide, Track};
use plan::value::{List, OneOrMany};
use plan::{At, End, Kind, Terminal, TrackEnd};
use proof::{Proof, Short, StorageFault};

/// Where a gap goes behind a frog where no other gap there shows the builder's habit, in metres: past
/// the check rails, well before the fouling point.
const GAP_BEHIND_FROG: f64 = 0.08;

/// A change and what it does, in words.
type Change = (String, Vec<Edit>);

/// The first of some changes after which a finding of this name goes and nothing comes or grows.
fn first_good(
    facts: &Facts<'_>,
    name: &str,
    changes: impl IntoIterator<Item = Change>,
    proved: impl Fn(&Proof) -> bool,
) -> Option<Proposal> {
    let good = |(_, edits): &Change| fixes(facts, edits, name, &proved).is_some();
    changes.into_iter().find(good).map(|(says, edits)| Proposal { says, edits })
}

/// Moves of one wire, of those along some path, that end a finding of this name.
pub(crate) fn wire_move(facts: &Facts<'_>, name: &str, path: &[EdgeId]) -> Option<Proposal> {
    first_good(facts, name, wire_moves(facts, path), |_| true)
}

/// Exchanges the two wires of the contact that feeds a frog.
pub(crate) fn exchange_frog_contact(facts: &Facts<'_>, frog: NodeId) -> Option<Proposal> {
    let feeds = |text: &At<String>| match facts.names.terminal(facts.plan, &text.value) {
        Ok(Terminal::Frog(kind, index, word)) => {
            facts.circuit.frogs.iter().any(|f| (f.0, f.1, f.2, f.3) == (kind, index, frog, word.as_str()))
        }
        _ => false,
    };
    let contacts = all_contacts(facts).filter(|(_, _, c)| c.common.0.iter().any(feeds));
    let changes: Vec<Change> = contacts.filter_map(|(owner, number, c)| exchanged(owner, number, c)).collect();
    first_good(facts, "frog-on-wrong-phase", changes, |_| true)
}

/// The line of a plan that says which position sets which route of a crossing, if the other way round than it is said now
/// would end its frogs' being on the wrong phase just as well: then nobody but the builder knows what is wrong.
pub(crate) fn other_routes(facts: &Facts<'_>, kind: Kind, index: usize) -> Option<String> {
    if kind != Kind::Crossing {
        return None;
    }
    let crossing = &facts.plan.crossing[index];
    let control = *facts.circuit.work_controls.get(&(kind, index))?.first()?;
    let mut leader = facts.names.get(&crossing.follows.as_ref()?.value)?;
    if let (Kind::Relay, relay) = leader {
        leader = facts.names.get(&facts.plan.relay[relay].follows.value)?;
    }
    let words: [&str; 2] = match leader.0 {
        Kind::Toggle => ["off", "on"],
        _ if facts.circuit.controls[control].positions.iter().any(|p| p == "left") => ["left", "right"],
        _ => ["through", "diverging"],
    };
    let exchanged = crossing.routes.as_ref().is_some_and(|r| r.value.exchanged());
    let [first, second] = if exchanged { [1, 2] } else { [2, 1] };
    let value = format!("{{ {} = {first}, {} = {second} }}", words[0], words[1]);
    let edit = match &crossing.routes {
        Some(said) => edit::replace(said.span.clone(), &value),
        None => edit::add_key(&crossing.place, "routes", &value),
    };
    fixes(facts, &[edit], "frog-on-wrong-phase", |_| true).map(|_| format!("routes = {value}"))
}

/// The contacts of motors, relays and toggles: whose, which, and what they are wired to.
fn all_contacts<'f>(facts: &'f Facts<'_>) -> impl Iterator<Item = (&'f str, usize, &'f ContactTable)> {
    let plan = facts.plan;
    let motors = plan.motor.iter().map(|m| (&m.name, &m.contact));
    let relays = plan.relay.iter().map(|r| (&r.name, &r.contact));
    let toggles = plan.toggle.iter().map(|t| (&t.name, &t.contact));
    let all = motors.chain(relays).chain(toggles);
    all.flat_map(|(name, list)| list.iter().enumerate().map(move |(n, c)| (name.value.as_str(), n + 1, &c.value)))
}

/// The outer terminals of a contact by their keys.
fn outer(contact: &ContactTable) -> [(&'static str, &OneOrMany<String>); 6] {
    [
        ("through", &contact.through),
        ("diverging", &contact.diverging),
        ("left", &contact.left),
        ("right", &contact.right),
        ("off", &contact.off),
        ("on", &contact.on),
    ]
}

/// The two outer wires of a contact exchanged; none where it has not just two.
fn exchanged(owner: &str, number: usize, contact: &ContactTable) -> Option<Change> {
    let wired: Vec<&At<String>> = outer(contact).iter().flat_map(|(_, targets)| &targets.0).collect();
    let [a, b] = wired.as_slice() else { return None };
    let edits = vec![edit::set(a, &edit::quoted(&b.value)), edit::set(b, &edit::quoted(&a.value))];
    Some((format!("exchange the two outer wires of contact {owner}.{number}"), edits))
}

/// Moves of one wire, or of a pair, along a path: the outer wires of a contact exchanged, a feeder brought to its rail's own
/// conductor, the two conductors of a track exchanged.
fn wire_moves(facts: &Facts<'_>, path: &[EdgeId]) -> Vec<Change> {
    let mut contacts = Vec::new();
    let mut feeders = Vec::new();
    let mut tracks = Vec::new();
    for &edge in path {
        let edge = &facts.circuit.edges[edge as usize];
        match edge.kind {
            EdgeKind::Contact => {
                let of_span = |list: &List<ContactTable>| list.iter().position(|c| c.span == edge.span);
                let found = facts.plan.motor.iter().map(|m| (&m.name, &m.contact));
                let found = found.chain(facts.plan.relay.iter().map(|r| (&r.name, &r.contact)));
                let mut found = found.chain(facts.plan.toggle.iter().map(|t| (&t.name, &t.contact)));
                contacts.extend(found.find_map(|(name, list)| {
                    let at = of_span(list)?;
                    exchanged(&name.value, at + 1, &list.items[at].value)
                }));
            }
            EdgeKind::Feeder => {
                for track in &facts.plan.track {
                    let Some(feeder) = track.feeders.iter().find(|f| f.span == edge.span) else { continue };
                    feeders.extend(to_own_conductor(track, feeder));
                    if let (Some(left), Some(right)) = (&track.left, &track.right) {
                        let edits =
                            vec![edit::set(left, &edit::quoted(&right.value)), edit::set(right, &edit::quoted(&left.value))];
                        tracks.push((format!("exchange the two conductors of `{}`", track.name.value), edits));
                    }
                }
            }
            _ => {}
        }
    }
    feeders.into_iter().chain(contacts).chain(tracks).collect()
}

/// A feeder that goes elsewhere, brought to the conductor its rail belongs to.
fn to_own_conductor(track: &Track, feeder: &At<Feeder>) -> Option<Change> {
    let f = &feeder.value;
    let side = f.rail.as_ref()?;
    let own = if side.value == RailSide::Left { track.left.as_ref()? } else { track.right.as_ref()? };
    let to = f.to.as_ref().filter(|to| to.value != own.value)?;
    let says = format!(
        "move the feeder of `{}`'s {} rail at {} from `{}` to `{}`",
        track.name.value,
        side.value.word(),
        words::metres(f.at.value.si()),
        to.value,
        own.value
    );
    Some((says, vec![edit::set(to, &edit::quoted(&own.value))]))
}

/// Ends a short: by moving a wire or else by cutting a gap behind a frog where one was forgotten, or two at the ends of one
/// track.
pub(crate) fn short(facts: &Facts<'_>, short: &Short) -> Option<Proposal> {
    let were = facts.proof.as_ref().map_or(0, |p| p.shorts.len());
    let fewer = |proof: &Proof| proof.shorts.len() < were;
    let moved = first_good(facts, "short-circuit", wire_moves(facts, &short.witness.edges), fewer);
    moved.or_else(|| first_good(facts, "short-circuit", gaps_for_short(facts, short), fewer))
}

fn gaps_for_short(facts: &Facts<'_>, short: &Short) -> Vec<Change> {
    let circuit = &facts.circuit;
    let (mut single, mut pairs) = (Vec::new(), Vec::new());
    for (index, track) in facts.plan.track.iter().enumerate() {
        let on_path = |side: usize| {
            circuit.segments[index].rails[side].pieces.iter().any(|piece| short.witness.edges.contains(piece))
        };
        let ends = ends_at_work(facts, index);
        if !on_path(0) && !on_path(1) {
            continue;
        }
        let cut = |end: TrackEnd, side: usize| {
            let at = place(facts, index, end, side);
            (at, gap_item(at, side))
        };
        let says = |cuts: &[(TrackEnd, usize, f64)]| {
            let each: Vec<String> = cuts
                .iter()
                .map(|&(end, side, at)| {
                    let out = words::metres(from_end(track, end, at));
                    format!("in the {} rail {out} from the turnout at its `{}` end", words::side(side), end.word())
                })
                .collect();
            format!("cut {} in `{}`: {}", if each.len() == 1 { "a gap" } else { "gaps" }, track.name.value, each.join(", and "))
        };
        let add = |items: &[String]| {
            edit::add_to_list(facts.text, &track.gaps, &track.place, "gaps", &items.join(", "))
        };
        for &end in &ends {
            for side in (0..2).filter(|&side| on_path(side) && !gapped_near(facts, index, end, side)) {
                let (at, item) = cut(end, side);
                single.push((says(&[(end, side, at)]), add(&[item])));
            }
        }
        if let [one, other] = ends.as_slice() {
            for side in 0..2 {
                let (near, far) = (cut(*one, side), cut(*other, 1 - side));
                pairs.push((says(&[(*one, side, near.0), (*other, 1 - side, far.0)]), add(&[near.1, far.1])));
            }
        }
    }
    single.into_iter().chain(pairs).collect()
}

/// Makes a storage track dead when it should be: by wiring a contact in its feed behind another one; else one rail cut off
/// at each end that joins trackwork, and all its feeders moved from the bus to a free contact of the motor at one of its ends.
pub(crate) fn storage(facts: &Facts<'_>, fault: &StorageFault) -> Option<Proposal> {
    let gone = |proof: &Proof| !proof.storage.iter().any(|f| f.track == fault.track);
    let path: Vec<EdgeId> = fault.paths.iter().flat_map(|p| p.edges.iter().copied()).collect();
    let chained = first_good(facts, "storage-live-unlined", behind_another(facts, &path), gone);
    chained
        .or_else(|| first_good(facts, "storage-live-unlined", wire_moves(facts, &path), gone))
        .or_else(|| first_good(facts, "storage-live-unlined", switched(facts, fault), gone))
}

/// Contacts along a path that are fed straight from a bus, fed from a free terminal of another contact on the same
/// conductor instead.
fn behind_another(facts: &Facts<'_>, path: &[EdgeId]) -> Vec<Change> {
    let on_path = |span: &std::ops::Range<usize>| {
        path.iter().any(|&e| {
            let edge = &facts.circuit.edges[e as usize];
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
                    let same = free.value.common.0.iter().any(|t| t.value == common.value);
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
                                common.value
                            );
                            changes.push((says, vec![edit::set(common, &edit::quoted(&terminal))]));
                        }
                    }
                }
            }
        }
    }
    changes
}

/// A storage track's rail cut off, and its feeders on a contact.
fn switched(facts: &Facts<'_>, fault: &StorageFault) -> Vec<Change> {
    let track = &facts.plan.track[fault.track];
    let ends = ends_at_work(facts, fault.track);
    let mut changes = Vec::new();
    for side in [1, 0] {
        let mut cuts: Vec<String> = Vec::new();
        let mut places: Vec<f64> = Vec::new();
        for &end in &ends {
            if !gapped_near(facts, fault.track, end, side) {
                let at = place(facts, fault.track, end, side);
                cuts.push(gap_item(at, side));
                places.push(from_end(track, end, at));
            }
        }
        let mut edits = Vec::new();
        if !cuts.is_empty() {
            edits.extend(edit::add_to_list(facts.text, &track.gaps, &track.place, "gaps", &cuts.join(", ")));
        }
        let rail = words::side(side);
        let gap = match places.as_slice() {
            [] => String::new(),
            _ => {
                let at: Vec<String> = places.iter().map(|&p| words::metres(p)).collect();
                format!("cut a gap in the {rail} rail {} from the turnout", words::list(&at))
            }
        };
        // Where the contact is there already, the gap alone will do.
        if !edits.is_empty() {
            changes.push((gap.clone(), edits.clone()));
        }
        let Some(feeders_at) = unfeed(facts, track, side, &mut edits) else { continue };
        let at: Vec<String> = feeders_at.iter().map(|&x| words::metres(x)).collect();
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
                .map(|&x| edit::quoted(&format!("{}.{} @ {}", track.name.value, rail, plan_metres(x))))
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
fn unfeed(facts: &Facts<'_>, track: &Track, side: usize, edits: &mut Vec<Edit>) -> Option<Vec<f64>> {
    let other = words::side(1 - side);
    let mut places = Vec::new();
    for feeder in track.feeders.iter() {
        let at = facts.text.get(feeder.value.at.span.clone())?;
        match &feeder.value.rail {
            None => edits.push(edit::replace(feeder.span.clone(), &format!("{{ at = {at}, rail = \"{other}\" }}"))),
            Some(rail) if usize::from(rail.value == RailSide::Right) == side => {
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
    facts: &'f Facts<'_>,
    track: usize,
    ends: &[TrackEnd],
) -> Vec<(&'f ContactTable, String, &'static str)> {
    let plan = facts.plan;
    let mut free = Vec::new();
    for &end in ends {
        let text = if end == TrackEnd::From { &plan.track[track].from } else { &plan.track[track].to };
        let Ok(End::Work(Kind::Turnout, turnout, port)) = facts.names.end(plan, &text.value) else { continue };
        let name = &plan.turnout[turnout].name.value;
        for (index, motor) in plan.motor.iter().enumerate() {
            if !motor.moves.0.iter().any(|m| &m.value == name) {
                continue;
            }
            let relays = plan.relay.iter().filter(|r| facts.names.get(&r.follows.value) == Some((Kind::Motor, index)));
            let own = motor.contact.iter().map(|c| (&motor.name.value, c));
            let contacts = own.chain(relays.flat_map(|r| r.contact.iter().map(|c| (&r.name.value, c))));
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

/// Ends of a track that join special trackwork.
fn ends_at_work(facts: &Facts<'_>, track: usize) -> Vec<TrackEnd> {
    let table = &facts.plan.track[track];
    [(TrackEnd::From, &table.from), (TrackEnd::To, &table.to)]
        .into_iter()
        .filter(|(_, text)| matches!(facts.names.end(facts.plan, &text.value), Ok(End::Work(..))))
        .map(|(end, _)| end)
        .collect()
}

/// Whether a rail is gapped in the half of its track at one end.
fn gapped_near(facts: &Facts<'_>, track: usize, end: TrackEnd, side: usize) -> bool {
    let half = facts.plan.track[track].length.value.si() / 2.0;
    facts.circuit.gaps.iter().any(|g| {
        (g.segment, g.side) == (track, side)
            && match end {
                TrackEnd::From => g.x < half,
                TrackEnd::To => g.x >= half,
            }
    })
}

/// Where to cut near an end: opposite the other rail's gap there, or as usual.
fn place(facts: &Facts<'_>, track: usize, end: TrackEnd, side: usize) -> f64 {
    let length = facts.plan.track[track].length.value.si();
    let opposite = facts.circuit.gaps.iter().filter(|g| (g.segment, g.side) == (track, 1 - side)).map(|g| g.x);
    let usual = GAP_BEHIND_FROG.min(length / 4.0);
    match end {
        TrackEnd::From => opposite.filter(|&x| x < length / 2.0).fold(None, min).unwrap_or(usual),
        TrackEnd::To => opposite.filter(|&x| x >= length / 2.0).fold(None, max).unwrap_or(length - usual),
    }
}

fn min(a: Option<f64>, b: f64) -> Option<f64> {
    Some(a.map_or(b, |a| a.min(b)))
}

fn max(a: Option<f64>, b: f64) -> Option<f64> {
    Some(a.map_or(b, |a| a.max(b)))
}

fn from_end(track: &Track, end: TrackEnd, at: f64) -> f64 {
    match end {
        TrackEnd::From => at,
        TrackEnd::To => track.length.value.si() - at,
    }
}

fn gap_item(at: f64, side: usize) -> String {
    format!("{{ at = \"{}\", rail = \"{}\" }}", plan_metres(at), words::side(side))
}

/// A length as it stands in a plan, to the millimetre: `90 mm`, `1.2 m`.
pub(crate) fn plan_metres(x: f64) -> String {
    let millimetres = (x * 1e3).round();
    if millimetres < 1e3 { format!("{millimetres} mm") } else { format!("{} m", millimetres / 1e3) }
}
