//! What a thicker wire or one more feeder would buy: each change is made to the plan's text, and the numbers are
//! calculated anew.

use crate::context::Context;
use crate::fixes::Change;
use crate::fixes::proving;
use analysis::figures::{Figures, TrackLine};
use analysis::{feeds, words};
use finding::Edit;
use handbook::quantity::Quantity;
use handbook::wires::{self, WireGauge, WireSize};
use plan::edit;
use plan::tables::{Pairing, RailSide, Track};
use plan::{At, Terminal};

/// How many sizes thicker a wire is tried.
const SIZES: usize = 3;
/// A feeder nearer than this to another buys nothing, in metres.
const NEAR: f64 = 0.1;

/// A change and what comes of it.
pub(crate) struct WhatIf {
    /// The change, in words: `one more feeder at 2.4 m`.
    pub(crate) says: String,
    /// The edits that make it.
    pub(crate) edits: Vec<Edit>,
    /// The numbers of the track it is meant for, after it.
    pub(crate) after: TrackLine,
    /// How much of what is missing it brings; 1 and more is enough.
    pub(crate) gain: f64,
}

/// Changes that are reported.
const MOST_TOLD: usize = 4;

/// Changes for a track that is too weak at a place, the smallest first: a feeder there, thicker feeders, a thicker bus,
/// and a feeder with a thicker bus, up to the first that brings `good` to what is wanted. Left out is what makes a new fault,
/// or brings less than a tenth of what is missing.
pub(crate) fn what_if(
    facts: &Context<'_>,
    before: &TrackLine,
    at: f64,
    good: impl Fn(&TrackLine) -> f64,
    wanted: f64,
) -> Vec<WhatIf> {
    let track = before.track;
    // Not again and again where once takes long.
    if analysis::is_large(&facts.circuit) {
        return Vec::new();
    }
    let feeder = one_more_feeder(facts, track, at, None);
    let leads = before.noticed.square_wave && before.noticed.inductance_leads();
    let mut tries: Vec<(String, Vec<Edit>)> = if leads { closer(facts, track) } else { Vec::new() };
    tries.extend(feeder.iter().cloned());
    let thicker_bus = thicker_bus(facts, track);
    tries.extend(thicker_feeders(facts, track));
    tries.extend(thicker_bus.iter().cloned());
    if let Some((says, edits)) = feeder {
        let both =
            |(bus, more): &(String, Vec<Edit>)| (format!("{says}, and {bus}"), [edits.clone(), more.clone()].concat());
        tries.extend(thicker_bus.iter().map(both));
    }
    // Where inductance and resistance both stand in the way.
    if let Some((says, edits)) = tries.first().cloned().filter(|_| leads) {
        let both =
            |(bus, more): &(String, Vec<Edit>)| (format!("{says}, and {bus}"), [edits.clone(), more.clone()].concat());
        tries.extend(thicker_bus.iter().map(both));
    }
    let mut found = Vec::new();
    for (says, edits) in tries {
        let Some(after) = after(facts, &edits) else { continue };
        let Some(line) = after.tracks.into_iter().find(|t| t.track == track) else { continue };
        let brings = (good(&line) - good(before)) / (wanted - good(before));
        if brings >= 0.1 {
            found.push(WhatIf { says, edits, after: line, gain: brings });
        }
        if brings >= 1.0 {
            break;
        }
    }
    if found.len() > MOST_TOLD {
        let last = found.pop();
        found.sort_by(|a, b| b.gain.total_cmp(&a.gain));
        found.truncate(MOST_TOLD - 1);
        found.sort_by(|a, b| a.gain.total_cmp(&b.gain));
        found.extend(last);
    }
    found
}

/// Feeders that are added at most to what is enough for one track, so that all are well.
const MOST_MORE: usize = 4;

/// What makes all tracks well, not only the one it is bought for: the change that is enough for that, and one more feeder on
/// whichever track is the weakest then, again and again. `weakest` gives a track that is still too weak, and where. None where
/// that is not to be had with so few.
pub(crate) fn for_all(
    facts: &Context<'_>,
    bought: &[WhatIf],
    weakest: impl Fn(&Figures) -> Option<(usize, f64)>,
) -> Option<Change> {
    let enough = bought.last().filter(|b| b.gain >= 1.0)?;
    let (mut says, mut edits) = (enough.says.clone(), enough.edits.clone());
    let mut done = vec![enough.after.track];
    loop {
        let Some((track, at)) = weakest(&after(facts, &edits)?) else { return Some((says, edits)) };
        if done.contains(&track) || done.len() > MOST_MORE {
            return None;
        }
        let (more, own) = one_more_feeder(facts, track, at, None)?;
        says = format!("{says}; {more}");
        edits.extend(own);
        done.push(track);
    }
}

/// What is worth doing first where nothing is wrong: for the worst place of all, by how many volts each change alone lifts
/// the least voltage of its track, the most first. Nothing where it would take long.
pub(crate) fn first_worth(facts: &Context<'_>) -> Vec<Worth> {
    let Some(worst) = facts.figures().and_then(|f| f.tracks.get(f.worst?)) else { return Vec::new() };
    if facts.circuit.edges.len() > MOST_EDGES || facts.proof().is_ok_and(|p| !p.shorts.is_empty()) {
        return Vec::new();
    }
    let brings = |(says, edits): (String, Vec<Edit>)| {
        let line = after(facts, &edits)?.tracks.into_iter().find(|t| t.track == worst.track)?;
        let [volts, amps] =
            [line.volts.typical - worst.volts.typical, line.fault_amps.typical - worst.fault_amps.typical];
        (volts >= LEAST_WORTH).then_some(Worth { says, volts, amps })
    };
    let feeder = |rail| one_more_feeder(facts, worst.track, worst.volts_at, rail).and_then(brings);
    let next = |changes: Vec<(String, Vec<Edit>)>| changes.into_iter().next().and_then(brings);
    let mut found: Vec<Worth> = match feeder(None) {
        Some(both) => vec![both],
        // The rail that a contact switches must not be fed past it.
        None => [RailSide::Left, RailSide::Right].into_iter().filter_map(|rail| feeder(Some(rail))).collect(),
    };
    found.extend(next(thicker_feeders(facts, worst.track)));
    found.extend(next(thicker_bus(facts, worst.track)));
    found.sort_by(|a, b| b.volts.total_cmp(&a.volts));
    found
}

/// Circuits of more edges are not calculated anew for each change.
const MOST_EDGES: usize = 5_000;
/// Less than this is not told, in volts.
const LEAST_WORTH: f64 = 0.005;

/// A change and what it brings at the worst place of its track.
#[derive(Clone, Debug, PartialEq)]
pub struct Worth {
    /// The change, in words.
    pub says: String,
    /// Volts more under a train.
    pub volts: f64,
    /// Amperes more through a short.
    pub amps: f64,
}

/// The numbers after a change; none where the plan then does not read, or anything comes or grows.
fn after(facts: &Context<'_>, edits: &[Edit]) -> Option<Figures> {
    proving::harmless(facts, edits)
}

/// A feeder on both rails, or on one.
fn one_more_feeder(facts: &Context<'_>, track: usize, at: f64, rail: Option<RailSide>) -> Option<(String, Vec<Edit>)> {
    let table = &facts.plan.track[track];
    let length = table.length.value.si();
    // Not at the very end, where a joint is.
    let at = at.clamp((0.05_f64).min(length / 2.0), (length - 0.05).max(length / 2.0));
    let same_rail = |other: Option<RailSide>| rail.is_none() || other.is_none() || rail == other;
    let near = table
        .feeders
        .iter()
        .any(|f| (f.value.at.value.si() - at).abs() < NEAR && same_rail(f.value.rail.as_ref().map(|r| r.value)));
    let fed = |side: RailSide, conductor: bool| rail.is_some_and(|r| r != side) || conductor;
    if near || !fed(RailSide::Left, table.left.is_some()) || !fed(RailSide::Right, table.right.is_some()) {
        return None;
    }
    let place = edit::quoted(&facts.plan.units().written(at));
    let (item, rails) = match rail {
        None => (place, "both rails".to_owned()),
        Some(side) => {
            let word = side.word();
            (format!("{{ at = {place}, rail = \"{word}\" }}"), format!("the {word} rail"))
        }
    };
    let edits = edit::add_to_list(facts.text, &table.feeders, &table.place, "feeders", &item);
    Some((format!("one more feeder on {rails} of `{}` at {}", table.name.value, facts.plan.units().metres(at)), edits))
}

fn thicker_feeders(facts: &Context<'_>, track: usize) -> Vec<(String, Vec<Edit>)> {
    let table: &Track = &facts.plan.track[track];
    let now = feeds::wire_size(table.feeder_wire.as_ref().or(feeds::feeder_wire(facts.plan)));
    let change = |wire: &WireGauge| {
        let edit = match &table.feeder_wire {
            Some(said) => edit::set(said, &edit::quoted(&wire.label)),
            None => edit::add_key(&table.place, "feeder_wire", &edit::quoted(&wire.label)),
        };
        (format!("feeders of {} instead of {now} on `{}`", wire.label, table.name.value), vec![edit])
    };
    if table.feeders.items.is_empty() { Vec::new() } else { thicker(now).iter().map(|w| change(w)).collect() }
}

/// Thicker wire for the bus of a track, with all it branches from.
fn thicker_bus(facts: &Context<'_>, track: usize) -> Vec<(String, Vec<Edit>)> {
    let Some(bus) = bus_of(facts, track) else { return Vec::new() };
    let chain: Vec<usize> = feeds::buses_up(facts, bus).collect();
    // The bus next to the track first, then all up to the supply.
    let mut found = Vec::new();
    for buses in [&chain[..1], &chain[..]].into_iter().take(if chain.len() > 1 { 2 } else { 1 }) {
        for step in 0..SIZES {
            let mut says = Vec::new();
            let mut edits = Vec::new();
            for &bus in buses {
                let bus = &facts.plan.bus[bus];
                if let Some(wire) = thicker(&bus.wire.value).get(step) {
                    says.push(format!("`{}` of {} instead of {}", bus.name.value, wire.label, bus.wire.value));
                    edits.push(edit::set(&bus.wire, &edit::quoted(&wire.label)));
                }
            }
            if !edits.is_empty() {
                found.push((words::list(&says), edits));
            }
        }
    }
    found
}

/// The bus that a track's rails belong to.
fn bus_of(facts: &Context<'_>, track: usize) -> Option<usize> {
    let table = &facts.plan.track[track];
    let terminal = |text: &At<String>| facts.names.terminal(facts.plan, &text.value).ok();
    match table.left.as_ref().or(table.right.as_ref()).and_then(terminal)? {
        Terminal::Bus(bus, ..) => Some(bus),
        _ => None,
    }
}

/// The wires of the bus of a track, with all it branches from, twisted.
fn closer(facts: &Context<'_>, track: usize) -> Vec<(String, Vec<Edit>)> {
    let (mut says, mut edits) = (Vec::new(), Vec::new());
    for bus in bus_of(facts, track).into_iter().flat_map(|bus| feeds::buses_up(facts, bus)) {
        let bus = &facts.plan.bus[bus];
        match &bus.pair {
            Some(pair) if matches!(pair.value, Pairing::Twisted) => continue,
            Some(pair) => edits.push(edit::set(pair, &edit::quoted("twisted"))),
            None => edits.push(edit::add_key(&bus.place, "pair", &edit::quoted("twisted"))),
        }
        says.push(format!("`{}`", bus.name.value));
    }
    if edits.is_empty() { Vec::new() } else { vec![(format!("the wires of {} twisted", words::list(&says)), edits)] }
}

/// The next thicker sizes of the same system.
fn thicker(label: &str) -> Vec<&'static WireGauge> {
    let Ok(now) = wires::wire(label) else { return Vec::new() };
    let same = |wire: &&WireGauge| wire.size.same_system(now.size) && wire.area.0 > now.area.0;
    let mut sizes: Vec<&WireGauge> = wires::all_wires().iter().filter(same).collect();
    sizes.sort_by(|a, b| a.area.0.total_cmp(&b.area.0));
    // Odd AWG numbers are hardly sold.
    sizes.retain(|w| !matches!(w.size, WireSize::Awg(number) if number % 2 != 0));
    sizes.truncate(SIZES);
    sizes
}
