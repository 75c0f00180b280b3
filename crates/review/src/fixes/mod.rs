//! Edits that fix a fault. Each is proved before it is proposed (see [`proving`]). What can be undone, a wire, is tried
//! before what cannot, a cut; no feeder is taken off without another wire in its place.

pub(crate) mod gaps;
pub(crate) mod proving;
pub(crate) mod storage;

use crate::context::Context;
use crate::fixes::proving::fixes;
use circuit::{EdgeId, EdgeKind, NodeId};
use finding::{Edit, Proposal};
use handbook::quantity::{Quantity, Units};
use plan::edit;
use plan::tables::{ContactTable, Feeder, RailSide, Track, WiredTo};
use plan::value::{List, OneOrMany};
use plan::{At, Kind, Terminal};
use proof::Proof;

/// A change and what it does, in words.
pub(crate) type Change = (String, Vec<Edit>);

/// The first of some changes after which a finding of this name goes and nothing comes or grows.
pub(crate) fn first_good(
    facts: &Context<'_>,
    name: &str,
    changes: impl IntoIterator<Item = Change>,
    proved: impl Fn(&Proof) -> bool,
) -> Option<Proposal> {
    let good = |(_, edits): &Change| fixes(facts, edits, name, &proved);
    changes.into_iter().find(good).map(|(says, edits)| Proposal { says, edits })
}

/// Moves of one wire, of those along some path, that end a finding of this name.
pub(crate) fn wire_move(facts: &Context<'_>, name: &str, path: &[EdgeId]) -> Option<Proposal> {
    first_good(facts, name, wire_moves(facts, path), |_| true)
}

/// Exchanges the two wires of the contact that feeds a frog.
pub(crate) fn exchange_frog_contact(facts: &Context<'_>, frog: NodeId) -> Option<Proposal> {
    let feeds = |text: &At<String>| match facts.names.terminal(facts.plan, &text.value) {
        Ok(Terminal::Frog(kind, index, word)) => {
            facts.circuit.frogs.iter().any(|f| (f.0, f.1, f.2, f.3) == (kind, index, frog, word.as_str()))
        }
        _ => false,
    };
    let contacts = all_contacts(facts).filter(|(_, _, c)| c.common.references().any(feeds));
    let changes: Vec<Change> =
        contacts.filter_map(|(owner, number, c)| exchanged(facts.text, owner, number, c)).collect();
    first_good(facts, "frog-on-wrong-phase", changes, |_| true)
}

/// The line of a plan that says which position sets which route of a crossing, if the other way round than it is said now
/// would end its frogs' being on the wrong phase just as well: then nobody but the builder knows what is wrong.
pub(crate) fn other_routes(facts: &Context<'_>, kind: Kind, index: usize) -> Option<String> {
    if kind != Kind::Crossing {
        return None;
    }
    let crossing = &facts.plan.crossing[index];
    let control = *facts.circuit.work_controls.get(&(kind, index))?.first()?;
    let follows = facts.names.get(&crossing.follows.as_ref()?.value)?;
    let leader = plan::driven::leader(facts.plan, facts.names, follows)?;
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
    fixes(facts, &[edit], "frog-on-wrong-phase", |_| true).then(|| format!("routes = {value}"))
}

/// The contacts of motors, relays and toggles: whose, which, and what they are wired to.
fn all_contacts<'f>(facts: &'f Context<'_>) -> impl Iterator<Item = (&'f str, usize, &'f ContactTable)> {
    let plan = facts.plan;
    let motors = plan.motor.iter().map(|m| (&m.name, &m.contact));
    let relays = plan.relay.iter().map(|r| (&r.name, &r.contact));
    let toggles = plan.toggle.iter().map(|t| (&t.name, &t.contact));
    let all = motors.chain(relays).chain(toggles);
    all.flat_map(|(name, list)| list.iter().enumerate().map(move |(n, c)| (name.value.as_str(), n + 1, &c.value)))
}

/// The outer terminals of a contact by their keys.
pub(crate) fn outer(contact: &ContactTable) -> [(&'static str, &OneOrMany<WiredTo>); 6] {
    [
        ("through", &contact.through),
        ("diverging", &contact.diverging),
        ("left", &contact.left),
        ("right", &contact.right),
        ("off", &contact.off),
        ("on", &contact.on),
    ]
}

/// The two outer wires of a contact exchanged, each with what is said of it; none where it has not just two.
fn exchanged(text: &str, owner: &str, number: usize, contact: &ContactTable) -> Option<Change> {
    let wired: Vec<&At<WiredTo>> = outer(contact).iter().flat_map(|(_, targets)| &targets.0).collect();
    let [a, b] = wired.as_slice() else { return None };
    let [in_a, in_b] = [a, b].map(|wired| text.get(wired.span.clone()));
    let edits = vec![edit::replace(a.span.clone(), in_b?), edit::replace(b.span.clone(), in_a?)];
    Some((format!("exchange the two outer wires of contact {owner}.{number}"), edits))
}

/// Moves of one wire, or of a pair, along a path: the outer wires of a contact exchanged, a feeder brought to its rail's own
/// conductor, the two conductors of a track exchanged.
pub(crate) fn wire_moves(facts: &Context<'_>, path: &[EdgeId]) -> Vec<Change> {
    let mut contacts = Vec::new();
    let mut feeders = Vec::new();
    let mut tracks = Vec::new();
    for &edge in path {
        let edge = &facts.circuit.edges[edge];
        match edge.kind {
            EdgeKind::Contact => {
                let of_span = |list: &List<ContactTable>| list.iter().position(|c| c.span == edge.span);
                let found = facts.plan.motor.iter().map(|m| (&m.name, &m.contact));
                let found = found.chain(facts.plan.relay.iter().map(|r| (&r.name, &r.contact)));
                let mut found = found.chain(facts.plan.toggle.iter().map(|t| (&t.name, &t.contact)));
                contacts.extend(found.find_map(|(name, list)| {
                    let at = of_span(list)?;
                    exchanged(facts.text, &name.value, at + 1, &list.items[at].value)
                }));
            }
            EdgeKind::Feeder => {
                for track in &facts.plan.track {
                    let Some(feeder) = track.feeders.iter().find(|f| f.span == edge.span) else { continue };
                    feeders.extend(to_own_conductor(facts.plan.units(), track, feeder));
                    if let (Some(left), Some(right)) = (&track.left, &track.right) {
                        let edits = vec![
                            edit::set(left, &edit::quoted(&right.value)),
                            edit::set(right, &edit::quoted(&left.value)),
                        ];
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
fn to_own_conductor(units: Units, track: &Track, feeder: &At<Feeder>) -> Option<Change> {
    let f = &feeder.value;
    let side = f.rail.as_ref()?;
    let own = if side.value == RailSide::Left { track.left.as_ref()? } else { track.right.as_ref()? };
    let to = f.to.as_ref().filter(|to| to.value != own.value)?;
    let says = format!(
        "move the feeder of `{}`'s {} rail at {} from `{}` to `{}`",
        track.name.value,
        side.value.word(),
        units.metres(f.at.value.si()),
        to.value,
        own.value
    );
    Some((says, vec![edit::set(to, &edit::quoted(&own.value))]))
}
