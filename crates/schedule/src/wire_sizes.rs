//! What wires are made of: as the plan says it nearest to them.

use circuit::{Edge, Part};
use plan::tables::Feeder;
use plan::{At, Kind, Plan};

/// The wire of a feeder, where feeder or track say it.
pub(crate) fn of_feeder<'p>(plan: &'p Plan, track: usize, edge: &Edge) -> Option<&'p At<String>> {
    let track = &plan.track[track];
    let feeder: Option<&'p Feeder> = track.feeders.iter().find(|f| f.span == edge.span).map(|f| &f.value);
    feeder.and_then(|f| f.wire.as_ref()).or(track.feeder_wire.as_ref())
}

/// What a wire of a contact is made of: as itself, its contact or its owner says.
pub(crate) fn of_contact_wire<'p>(plan: &'p Plan, part: &Part) -> Option<&'p At<String>> {
    let Part::ContactWire { kind, index, contact, terminal, target } = *part else { return None };
    let (list, own) = match kind {
        Kind::Motor => (&plan.motor[index].contact, plan.motor[index].wire.as_ref()),
        Kind::Relay => (&plan.relay[index].contact, plan.relay[index].wire.as_ref()),
        _ => (&plan.toggle[index].contact, plan.toggle[index].wire.as_ref()),
    };
    let table = list.items.get(contact).map(|contact| &contact.value);
    let wired = table.and_then(|t| t.terminals().into_iter().find(|(key, _)| *key == terminal)?.1.0.get(target));
    wired.and_then(|w| w.value.wire.as_ref()).or(table.and_then(|t| t.wire.as_ref())).or(own)
}

/// A size as the handbook writes it.
pub(crate) fn size_words(plan: &Plan, said: Option<&At<String>>) -> String {
    let size = said.map_or(handbook::limits::usual_feeder_wire(plan.units()), |said| said.value.as_str());
    handbook::wires::wire(size).map_or_else(|_| size.to_owned(), |wire| wire.label)
}
