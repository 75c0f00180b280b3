//! What a thicker wire or one more feeder would buy: each change is made to the plan's text, and the numbers are
//! calculated anew.

use crate::context::Context;
use crate::fixes::Change;
use crate::fixes::proving;
use analysis::figures::{Figures, TrackLine};
use analysis::{feeds, words};
use finding::Edit;
use handbook::quantity::Quantity;
use handbook::wires::{self, WireGauge};
use plan::edit;
use plan::tables::{Pairing, RailSide, Track};
use plan::{At, Terminal};

/// How many sizes thicker the feeders of a track are tried: they are soldered to a rail.
const FEEDER_SIZES: usize = 3;
/// The thickest bus that is tried, in square metres: 6 mm². Common practice, no source.
const THICKEST_BUS: f64 = 6e-6;
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
/// Changes of one kind whose whole review is made, until one does no harm.
const MOST_TRIED: usize = 3;
/// What brings less of what is missing is not told.
const LEAST_GAIN: f64 = 0.1;
/// Two changes are alike that differ by less of what is missing.
const ALIKE: f64 = 0.01;
/// What one track alone tells is compared with this much room for rounding.
const NEARLY: f64 = 1.0 - 1e-6;

/// A change in words, and the edits that make it.
type Try = (String, Vec<Edit>);

/// Changes for a track that is too weak at a place: a feeder there, thicker feeders, a thicker bus, and a feeder with a thicker bus. Last
/// stands what brings `good` to what is wanted with the thinnest wire, before it the best of each kind that does not, the smallest first.
/// Left out is what makes a new fault, or brings less than a tenth of what is missing.
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
    let brings = |line: &TrackLine| (good(line) - good(before)) / (wanted - good(before));
    // The track alone first: that takes a fraction of the time of a whole review.
    let promises = |(_, edits): &Try| proving::line_after(facts, edits, track).map_or(0.0, |line| brings(&line));
    let whole = |(says, edits): &Try| {
        let line = after(facts, edits)?.tracks.into_iter().find(|t| t.track == track)?;
        let gain = brings(&line);
        (gain >= LEAST_GAIN).then(|| WhatIf { says: says.clone(), edits: edits.clone(), after: line, gain })
    };
    // What the thickest wire of a kind does not do, no thinner one does.
    let thickest = |sizes: &[Try]| sizes.last().map_or(0.0, &promises);
    let mut kinds = kinds_of_change(facts, before, at);
    kinds.retain(|sizes| thickest(sizes) >= LEAST_GAIN * NEARLY);
    let may_be_enough = kinds.iter().any(|sizes| thickest(sizes) >= NEARLY);
    // Of each kind what is not enough; the fewest sizes thicker that is enough, whichever kind that is of.
    let mut short: Vec<Vec<(f64, &Try)>> = vec![Vec::new(); kinds.len()];
    let mut enough = None;
    let most = kinds.iter().map(Vec::len).max().unwrap_or(0);
    'sizes: for size in 0..most {
        for (sizes, short) in kinds.iter().zip(&mut short) {
            let Some(change) = sizes.get(size).filter(|_| may_be_enough || size + 1 == sizes.len()) else { continue };
            let gain = promises(change);
            if gain < NEARLY {
                short.push((gain, change));
            } else if let Some(found) = whole(change).filter(|found| found.gain >= 1.0) {
                enough = Some(found);
                break 'sizes;
            }
        }
    }
    // Beside it the best of each kind.
    short.iter_mut().for_each(|kind| kind.retain(|(gain, _)| *gain >= LEAST_GAIN * NEARLY));
    let best = |kind: &[(f64, &Try)]| kind.last().map_or(0.0, |last| last.0);
    short.sort_by(|a, b| best(b).total_cmp(&best(a)));
    let tried =
        short.iter().filter_map(|kind| kind.iter().rev().take(MOST_TRIED).find_map(|(_, change)| whole(change)));
    let mut told: Vec<WhatIf> = tried.take(MOST_TOLD - 1).collect();
    told.sort_by(|a, b| a.gain.total_cmp(&b.gain));
    // What more work does not better is not told beside what takes less.
    told.dedup_by(|more, less| more.gain - less.gain < ALIKE);
    told.extend(enough);
    told
}

/// The kinds of change that may help a track, the smallest first; of each kind the sizes, the thinnest first.
fn kinds_of_change(facts: &Context<'_>, before: &TrackLine, at: f64) -> Vec<Vec<Try>> {
    let track = before.track;
    let feeder = one_more_feeder(facts, track, at, None);
    let leads = before.noticed.square_wave && before.noticed.inductance_leads();
    let closer = if leads { closer(facts, track) } else { None };
    let buses = thicker_buses(facts, track);
    // Where one change is not enough, and where inductance and resistance both stand in the way.
    let with_buses = |(says, edits): &Try| {
        let both = |(bus, more): &Try| (format!("{says}, and {bus}"), [edits.clone(), more.clone()].concat());
        buses.iter().map(|sizes| sizes.iter().map(both).collect()).collect::<Vec<Vec<Try>>>()
    };
    let mut kinds: Vec<Vec<Try>> = closer.iter().chain(&feeder).map(|change| vec![change.clone()]).collect();
    kinds.push(thicker_feeders(facts, track));
    kinds.extend(buses.iter().cloned());
    kinds.extend(feeder.iter().chain(&closer).flat_map(with_buses));
    kinds
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
    let brings = |(says, edits): Try| {
        let line = after(facts, &edits)?.tracks.into_iter().find(|t| t.track == worst.track)?;
        let [volts, amps] =
            [line.volts.typical - worst.volts.typical, line.fault_amps.typical - worst.fault_amps.typical];
        (volts >= LEAST_WORTH).then_some(Worth { says, volts, amps })
    };
    let feeder = |rail| one_more_feeder(facts, worst.track, worst.volts_at, rail).and_then(brings);
    let next = |changes: Vec<Try>| changes.into_iter().next().and_then(brings);
    let mut found: Vec<Worth> = match feeder(None) {
        Some(both) => vec![both],
        // The rail that a contact switches must not be fed past it.
        None => [RailSide::Left, RailSide::Right].into_iter().filter_map(|rail| feeder(Some(rail))).collect(),
    };
    found.extend(next(thicker_feeders(facts, worst.track)));
    found.extend(thicker_buses(facts, worst.track).into_iter().next().and_then(next));
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
fn one_more_feeder(facts: &Context<'_>, track: usize, at: f64, rail: Option<RailSide>) -> Option<Try> {
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

fn thicker_feeders(facts: &Context<'_>, track: usize) -> Vec<Try> {
    let table: &Track = &facts.plan.track[track];
    let now = feeds::wire_size(table.feeder_wire.as_ref().or(feeds::feeder_wire(facts.plan)));
    let change = |wire: &WireGauge| {
        let edit = match &table.feeder_wire {
            Some(said) => edit::set(said, &edit::quoted(&wire.label)),
            None => edit::add_key(&table.place, "feeder_wire", &edit::quoted(&wire.label)),
        };
        (format!("feeders of {} instead of {now} on `{}`", wire.label, table.name.value), vec![edit])
    };
    if table.feeders.items.is_empty() {
        Vec::new()
    } else {
        thicker(now).into_iter().take(FEEDER_SIZES).map(change).collect()
    }
}

/// Thicker wire for the bus next to a track, and for all up to the supply: the sizes of each, the thinnest first.
fn thicker_buses(facts: &Context<'_>, track: usize) -> Vec<Vec<Try>> {
    let Some(bus) = bus_of(facts, track) else { return Vec::new() };
    let chain: Vec<usize> = feeds::buses_up(facts, bus).collect();
    let sizes = |bus: usize| {
        let mut sizes = thicker(&facts.plan.bus[bus].wire.value);
        sizes.retain(|wire| wire.area.0 <= THICKEST_BUS);
        sizes
    };
    let each = |buses: &[usize]| {
        let most = buses.iter().map(|&bus| sizes(bus).len()).max().unwrap_or(0);
        let step = |step: usize| {
            let (mut says, mut edits) = (Vec::new(), Vec::new());
            for &bus in buses {
                // The thickest there is, where one of several has fewer sizes left.
                let sizes = sizes(bus);
                let Some(wire) = sizes.get(step).or(sizes.last()) else { continue };
                let bus = &facts.plan.bus[bus];
                says.push(format!("`{}` of {} instead of {}", bus.name.value, wire.label, bus.wire.value));
                edits.push(edit::set(&bus.wire, &edit::quoted(&wire.label)));
            }
            (words::list(&says), edits)
        };
        (0..most).map(step).collect::<Vec<Try>>()
    };
    let mut found = vec![each(&chain[..1])];
    if chain.len() > 1 {
        found.push(each(&chain));
    }
    found.retain(|sizes| !sizes.is_empty());
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
fn closer(facts: &Context<'_>, track: usize) -> Option<Try> {
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
    (!edits.is_empty()).then(|| (format!("the wires of {} twisted", words::list(&says)), edits))
}

/// The thicker sizes of the same system, the thinnest first.
fn thicker(label: &str) -> Vec<&'static WireGauge> {
    let Ok(now) = wires::wire(label) else { return Vec::new() };
    let same = |wire: &&WireGauge| wire.size.same_system(now.size) && wire.area.0 > now.area.0;
    let mut sizes: Vec<&WireGauge> = wires::all_wires().iter().filter(same).collect();
    sizes.sort_by(|a, b| a.area.0.total_cmp(&b.area.0));
    sizes.retain(|wire| wire.size.is_sold());
    sizes
}
