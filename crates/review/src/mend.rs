//! Edits that mend a fault. Each is proved before it is proposed: the edited plan must read without
//! errors, and its proof must have fewer faults than before.

use crate::{Facts, words};
use circuit::{Circuit, EdgeKind, NodeId};
use finding::{Edit, Proposal};
use handbook::quantity::Quantity;
use plan::edit;
use plan::tables::{ContactTable, Feeder, RailSide, Track};
use plan::value::List;
use plan::{At, End, Kind, Reading, Terminal, TrackEnd};
use proof::{Proof, Short, StorageFault};
use std::sync::atomic::Ordering::Relaxed;

/// Where a gap goes behind a frog where no other gap there shows the builder's habit, in metres: past
/// the check rails, well before the fouling point.
const GAP_BEHIND_FROG: f64 = 0.08;

/// How many faults a proof found.
pub(crate) fn faults(proof: &Proof) -> usize {
    proof.shorts.len()
        + proof.joined.len()
        + proof.wrong_phases.len()
        + proof.bridges.len()
        + proof.dead.len()
        + proof.storage.len()
}

/// What may go into proving mends: edges and eighths of decision nodes, for each plan that is proved. Some hundreds of
/// plans the size of a home's, six of a museum's.
pub(crate) const MOST_WORK: usize = 1_000_000;

/// Whether there was more to mend than may be tried.
pub(crate) fn left_out(facts: &Facts<'_>) -> bool {
    facts.mends_left.load(Relaxed) == 0
}

/// Whether a plan with these edits reads and has fewer faults; gives its proof. Not tried where faults were not all
/// counted, or where enough has been tried.
fn improves(facts: &Facts<'_>, edits: &[Edit]) -> Option<Proof> {
    let before = facts.proof.as_ref().ok()?;
    let work = facts.circuit.edges.len() + before.counts.decision_nodes / 8;
    if facts.mends_left.load(Relaxed) == 0 || !before.cut_short.is_empty() {
        facts.mends_left.store(0, Relaxed);
        return None;
    }
    facts.mends_left.store(facts.mends_left.load(Relaxed).saturating_sub(work), Relaxed);
    let (_, _, after) = edited(facts, edits)?;
    (faults(&after) < faults(before)).then_some(after)
}

/// The plan with these edits, its circuit and its proof; none where it does not read or cannot be proved.
pub(crate) fn edited(facts: &Facts<'_>, edits: &[Edit]) -> Option<(Reading, Circuit, Proof)> {
    let text = finding::apply(facts.text, edits).ok()?;
    let reading = plan::read(&text);
    if !reading.understood() {
        return None;
    }
    let circuit = Circuit::of(&reading.plan, &reading.names);
    let proof = crate::prove(&reading.plan, &reading.names, &circuit).ok()?;
    Some((reading, circuit, proof))
}

/// Exchanges the two wires of the contact that feeds a frog.
pub fn exchange_frog_contact(facts: &Facts<'_>, frog: NodeId) -> Option<Proposal> {
    let feeds = |text: &At<String>| match facts.names.terminal(facts.plan, &text.value) {
        Ok(Terminal::Frog(kind, index, word)) => {
            facts.circuit.frogs.iter().any(|f| (f.0, f.1, f.2, f.3) == (kind, index, frog, word.as_str()))
        }
        _ => false,
    };
    for contact in all_contacts(facts) {
        if !contact.common.0.iter().any(feeds) {
            continue;
        }
        for (one, other) in [(&contact.through, &contact.diverging), (&contact.left, &contact.right)] {
            let ([a], [b]) = (one.0.as_slice(), other.0.as_slice()) else { continue };
            let edits = vec![edit::set(a, &edit::quoted(&b.value)), edit::set(b, &edit::quoted(&a.value))];
            if improves(facts, &edits).is_some() {
                return Some(Proposal { says: "exchange the two wires of the frog's contact".to_owned(), edits });
            }
        }
    }
    None
}

fn all_contacts<'f>(facts: &'f Facts<'_>) -> impl Iterator<Item = &'f ContactTable> {
    let plan = facts.plan;
    let motors = plan.motor.iter().flat_map(|m| m.contact.iter());
    let relays = plan.relay.iter().flat_map(|r| r.contact.iter());
    motors.chain(relays).map(|c| &c.value)
}

/// A gap behind a frog that ends a short, where one was forgotten.
pub fn gap_for_short(facts: &Facts<'_>, short: &Short) -> Option<Proposal> {
    let circuit = &facts.circuit;
    for &cut in &short.cuts {
        if circuit.edges[cut as usize].kind != EdgeKind::Rail {
            continue;
        }
        for (index, track) in facts.plan.track.iter().enumerate() {
            for side in 0..2 {
                if !circuit.segments[index].rails[side].pieces.contains(&cut) {
                    continue;
                }
                for end in ends_at_work(facts, index) {
                    let at = place(facts, index, end, side);
                    let item = gap_item(at, side);
                    let edits = edit::add_to_list(facts.text, &track.gaps, &track.place, "gaps", &item);
                    if improves(facts, &edits).is_some() {
                        let says = format!(
                            "cut a gap in `{}`'s {} rail {} from the turnout",
                            track.name.value,
                            words::side(side),
                            words::metres(from_end(track, end, at))
                        );
                        return Some(Proposal { says, edits });
                    }
                }
            }
        }
    }
    None
}

/// Makes a storage track dead when it should be: one rail cut off at each end that joins trackwork,
/// its feeders from the bus taken away, and a free contact of the motor at one of its ends wired to it.
pub fn storage(facts: &Facts<'_>, fault: &StorageFault) -> Option<Proposal> {
    let track = &facts.plan.track[fault.track];
    let ends = ends_at_work(facts, fault.track);
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
        let mends = |edits: &[Edit]| {
            improves(facts, edits).is_some_and(|after| !after.storage.iter().any(|f| f.track == fault.track))
        };
        // Where the contact is there already, the gap alone will do.
        if !edits.is_empty() && mends(&edits) {
            return Some(Proposal { says: gap, edits });
        }
        let Some(feeder_at) = unfeed(facts, track, side, &mut edits) else { continue };
        let off = format!("{}take its feeder off the bus", if gap.is_empty() { gap } else { format!("{gap}, ") });
        if mends(&edits) {
            return Some(Proposal { says: off, edits });
        }
        for (contact, name, key) in free_contacts(facts, fault.track, &ends) {
            let wire = format!("{}.{} @ {}", track.name.value, rail, plan_metres(feeder_at));
            let mut all = edits.clone();
            all.push(edit::add_key(&contact.place, key, &edit::quoted(&wire)));
            if mends(&all) {
                let says = format!("{off}, and feed it from {name}'s free `{key}` terminal");
                return Some(Proposal { says, edits: all });
            }
        }
    }
    None
}

/// Takes the feeders of one rail off; gives the place of the first, which the contact will feed.
fn unfeed(facts: &Facts<'_>, track: &Track, side: usize, edits: &mut Vec<Edit>) -> Option<f64> {
    let other = words::side(1 - side);
    let mut first = None;
    for feeder in track.feeders.iter() {
        let at = facts.text.get(feeder.value.at.span.clone())?;
        match &feeder.value.rail {
            None => edits.push(edit::replace(feeder.span.clone(), &format!("{{ at = {at}, rail = \"{other}\" }}"))),
            Some(rail) if usize::from(rail.value == RailSide::Right) == side => {
                edits.push(edit::replace(with_comma(facts.text, &track.feeders, feeder), ""));
            }
            Some(_) => continue,
        }
        first.get_or_insert(feeder.value.at.value.si());
    }
    first.or(Some(track.length.value.si() / 2.0))
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
