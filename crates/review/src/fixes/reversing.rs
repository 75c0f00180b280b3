//! A section with a reverser on a closed way that comes back with left and right exchanged.

use crate::context::Context;
use crate::fixes::Change;
use crate::gap_place::{gap_item, gapped_near, place};
use crate::loops::longest_train;
use circuit::SegmentId;
use plan::tables::RailSide;
use plan::{Terminal, TrackEnd, edit};
use proof::OddCycle;

/// Each track of such a way that holds the longest train made a section: gaps in both rails at both ends where they are missing,
/// and a reverser in place of the bus that feeds it for good.
pub(crate) fn sections(facts: &Context<'_>, over: &[SegmentId]) -> Vec<Change> {
    let Ok(proof) = facts.proof() else { return Vec::new() };
    let Some(cycle) = proof.odd_cycles.iter().find(|c| over.iter().any(|s| c.segments.contains(s))) else {
        return Vec::new();
    };
    tracks(facts, cycle).into_iter().filter_map(|track| section(facts, track)).collect()
}

/// The tracks that could be one, the longest first.
fn tracks(facts: &Context<'_>, cycle: &OddCycle) -> Vec<usize> {
    let train = longest_train(facts).map_or(0.0, |longest| longest.1);
    let fits = cycle.candidates.iter().filter(|(_, length)| *length > train);
    let alone = fits.filter_map(|(tracks, _)| if let [track] = tracks.as_slice() { Some(*track) } else { None });
    alone.filter(|&track| track < facts.circuit.tracks).collect()
}

fn section(facts: &Context<'_>, track: usize) -> Option<Change> {
    let table = &facts.plan.track[track];
    let (left, right) = (table.left.as_ref()?, table.right.as_ref()?);
    let bus = |text: &str| match facts.names.terminal(facts.plan, text) {
        Ok(Terminal::Bus(bus, pole, None)) => Some((bus, pole)),
        _ => None,
    };
    let ((on, pole), (other, _)) = (bus(&left.value)?, bus(&right.value)?);
    // What is wired past the track's own conductors would be left behind.
    if on != other || table.feeders.iter().any(|feeder| feeder.value.to.is_some()) {
        return None;
    }
    let wanted = format!("{} reverser", table.name.value);
    let names = std::iter::once(wanted.clone()).chain((2..).map(|n| format!("{wanted} {n}")));
    let name = names.into_iter().find(|name| facts.names.get(name).is_none())?;
    let outputs = [pole, pole.other()].map(|pole| edit::quoted(&format!("{name}.{}", pole.word())));
    let mut edits = vec![edit::set(left, &outputs[0]), edit::set(right, &outputs[1])];
    let units = facts.plan.units();
    let (mut items, mut places) = (Vec::new(), Vec::new());
    for end in [TrackEnd::From, TrackEnd::To] {
        let uncut = |side: &RailSide| !gapped_near(facts, track, end, *side);
        let missing: Vec<RailSide> = RailSide::ALL.into_iter().filter(uncut).collect();
        let at = |side: RailSide| place(facts, track, end, side);
        match missing.as_slice() {
            [] => continue,
            [side] => items.push(gap_item(units, at(*side), *side)),
            [side, ..] => items.push(edit::quoted(&units.written(at(*side)))),
        }
        places.push(units.metres(at(missing[0])));
    }
    if !items.is_empty() {
        edits.extend(edit::add_to_list(facts.text, &table.gaps, &table.place, "gaps", &items.join(", ")));
    }
    let from = edit::quoted(&facts.plan.bus[on].name.value);
    let line_end = if facts.text.ends_with('\n') { "" } else { "\n" };
    let end = facts.text.len();
    edits.push(edit::replace(
        end..end,
        &format!("{line_end}\n[[reverser]]\nname = {}\nkind = \"short-sensing\"\nfrom = {from}\n", edit::quoted(&name)),
    ));
    let cut = if places.is_empty() { String::new() } else { format!("cut it at {}, and ", places.join(" and at ")) };
    Some((format!("make `{}` a reversing section: {cut}feed it through a reverser", table.name.value), edits))
}
