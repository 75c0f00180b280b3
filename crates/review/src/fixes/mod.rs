//! Edits that fix a fault. Each is proved before it is proposed (see [`proving`]). What can be undone, a wire, is tried
//! before what cannot, a cut; no feeder is taken off without another wire in its place.

pub(crate) mod gaps;
pub(crate) mod parting;
pub(crate) mod proving;
pub(crate) mod reversing;
pub(crate) mod storage;
pub(crate) mod wires;

use crate::context::Context;
use crate::fixes::proving::fixes;
use circuit::{EdgeId, NodeId};
use finding::{Edit, Proposal};
use plan::edit;
use plan::tables::{ContactTable, WiredTo};
use plan::value::OneOrMany;
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
    first_good(facts, name, wires::wire_moves(facts, path), |_| true)
}

/// Exchanges the two wires of the contact that feeds a frog, or brings one of them to the other conductor where both go to one.
pub(crate) fn exchange_frog_contact(facts: &Context<'_>, frog: NodeId) -> Option<Proposal> {
    let feeds = |text: &At<String>| match facts.names.terminal(facts.plan, &text.value) {
        Ok(Terminal::Frog(kind, index, word)) => {
            facts.circuit.frogs.iter().any(|f| (f.0, f.1, f.2, f.3) == (kind, index, frog, word.as_str()))
        }
        _ => false,
    };
    let contacts: Vec<_> = all_contacts(facts).filter(|(_, _, c)| c.value.common.references().any(feeds)).collect();
    let exchanged = contacts.iter().filter_map(|(owner, number, c)| wires::exchanged(facts.text, owner, *number, c));
    let parted = contacts.iter().flat_map(|(owner, number, c)| wires::to_the_other_pole(facts, owner, *number, c));
    let with_another = wires::exchanged_frogs(facts, frog);
    let changes: Vec<Change> = exchanged.chain(parted).chain(with_another).collect();
    first_good(facts, "frog-on-wrong-phase", changes, |_| true)
}

/// The line of a plan that says which position sets which route of a crossing, if the other way round than it is said now
/// would end its frogs' being on the wrong phase just as well: then nobody but the builder knows what is wrong.
pub(crate) fn other_routes(facts: &Context<'_>, kind: Kind, index: usize) -> Option<String> {
    if kind != Kind::Crossing {
        return None;
    }
    let (line, edit) = routes_exchanged(facts, index)?;
    fixes(facts, &[edit], "frog-on-wrong-phase", |_| true).then_some(line)
}

/// The line of a plan by which a crossing sets its routes the other way round, and the edit that writes it.
pub(crate) fn routes_exchanged(facts: &Context<'_>, index: usize) -> Option<(String, Edit)> {
    let kind = Kind::Crossing;
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
    Some((format!("routes = {value}"), edit))
}

/// The contacts of motors, relays and toggles: whose, which, and what they are wired to.
pub(crate) fn all_contacts<'f>(facts: &'f Context<'_>) -> impl Iterator<Item = (&'f str, usize, &'f At<ContactTable>)> {
    let plan = facts.plan;
    let motors = plan.motor.iter().map(|m| (&m.name, &m.contact));
    let relays = plan.relay.iter().map(|r| (&r.name, &r.contact));
    let toggles = plan.toggle.iter().map(|t| (&t.name, &t.contact));
    let all = motors.chain(relays).chain(toggles);
    all.flat_map(|(name, list)| list.iter().enumerate().map(move |(n, c)| (name.value.as_str(), n + 1, c)))
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
