//! Moves of wires that may end a fault: what is wired wrongly is put right where it is.

use super::{Change, all_contacts, outer};
use crate::context::Context;
use circuit::{EdgeId, EdgeKind, NodeId};
use finding::Edit;
use handbook::quantity::{Quantity, Units};
use plan::tables::{ContactTable, Feeder, RailSide, Track, WiredTo};
use plan::{At, Kind, Terminal, edit};

/// Moves of one wire, or of a pair, along a path: the outer wires of a contact exchanged, a feeder brought to its rail's own
/// conductor or behind the gap before which it was put, the two conductors of a track exchanged, a contact brought to the frog of what
/// its motor moves.
pub(crate) fn wire_moves(facts: &Context<'_>, path: &[EdgeId]) -> Vec<Change> {
    let (mut contacts, mut feeders, mut pairs, mut tracks, mut frogs) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for &edge in path {
        let edge = &facts.circuit.edges[edge];
        match edge.kind {
            EdgeKind::Contact => {
                let found = all_contacts(facts).find(|(_, _, c)| c.span == edge.span);
                let Some((owner, number, contact)) = found else { continue };
                contacts.extend(exchanged(facts.text, owner, number, contact));
                frogs.extend(to_own_frog(facts, owner, number, contact));
            }
            EdgeKind::Feeder => {
                for (index, track) in facts.plan.track.iter().enumerate() {
                    let Some(feeder) = track.feeders.iter().find(|f| f.span == edge.span) else { continue };
                    feeders.extend(to_own_conductor(facts.plan.units(), track, feeder));
                    feeders.extend(behind_gap(facts, index, feeder));
                    pairs.extend(both_to_own(facts.plan.units(), track, feeder));
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
    feeders.into_iter().chain(pairs).chain(frogs).chain(contacts).chain(tracks).collect()
}

/// Feeders along a path that go elsewhere, each brought to the conductor its rail belongs to.
pub(crate) fn stray_feeders(facts: &Context<'_>, path: &[EdgeId]) -> Vec<Change> {
    let edges = path.iter().map(|&edge| &facts.circuit.edges[edge]).filter(|edge| edge.kind == EdgeKind::Feeder);
    let changes = edges.flat_map(|edge| {
        let feeders = facts.plan.track.iter().flat_map(|track| track.feeders.iter().map(move |feeder| (track, feeder)));
        let (track, feeder) = feeders.into_iter().find(|(_, feeder)| feeder.span == edge.span)?;
        to_own_conductor(facts.plan.units(), track, feeder)
    });
    changes.collect()
}

/// The outer wires of a contact exchanged, each with what is said of it; where it has one only, that one brought to the other
/// terminal. None where it has more than two.
pub(crate) fn exchanged(text: &str, owner: &str, number: usize, contact: &At<ContactTable>) -> Option<Change> {
    let wired: Vec<(&'static str, &[At<WiredTo>])> =
        outer(&contact.value).into_iter().map(|(key, targets)| (key, targets.0.as_slice())).collect();
    let wired: Vec<_> = wired.into_iter().filter(|(_, targets)| !targets.is_empty()).collect();
    match wired.as_slice() {
        [(_, a), (_, b)] => {
            let (a, b) = (Wires::new(text, a)?, Wires::new(text, b)?);
            let edits = vec![
                edit::replace(a.span.clone(), &b.in_place_of(&a)),
                edit::replace(b.span.clone(), &a.in_place_of(&b)),
            ];
            Some((format!("exchange the two outer wires of contact {owner}.{number}"), edits))
        }
        [(key, [first, ..])] => {
            let to = other_terminal(key)?;
            let before = text.get(contact.span.start..first.span.start)?;
            let at = contact.span.start + before.rfind(key)?;
            let says = format!("move the wire on terminal `{key}` of contact {owner}.{number} to its terminal `{to}`");
            Some((says, vec![edit::replace(at..at + key.len(), to)]))
        }
        _ => None,
    }
}

/// What is wired to one terminal of a contact, in the plan's words.
struct Wires<'t> {
    words: &'t str,
    span: std::ops::Range<usize>,
    many: bool,
    in_brackets: bool,
}

impl<'t> Wires<'t> {
    fn new(text: &'t str, wired: &[At<WiredTo>]) -> Option<Wires<'t>> {
        let span = wired.first()?.span.start..wired.last()?.span.end;
        let in_brackets = text.get(..span.start)?.trim_end().ends_with('[');
        Some(Wires { words: text.get(span.clone())?, span, many: wired.len() > 1, in_brackets })
    }

    fn in_place_of(&self, other: &Wires<'_>) -> String {
        if self.many && !other.in_brackets { format!("[{}]", self.words) } else { self.words.to_owned() }
    }
}

fn other_terminal(key: &str) -> Option<&'static str> {
    Some(match key {
        "through" => "diverging",
        "diverging" => "through",
        "left" => "right",
        "right" => "left",
        "on" => "off",
        "off" => "on",
        _ => return None,
    })
}

/// Where both outer wires of a contact go to one conductor of a bus: the one or the other brought to its other conductor.
pub(crate) fn to_the_other_pole(
    facts: &Context<'_>,
    owner: &str,
    number: usize,
    contact: &At<ContactTable>,
) -> Vec<Change> {
    let wired: Vec<(&'static str, &At<WiredTo>)> =
        outer(&contact.value).into_iter().flat_map(|(key, t)| t.0.iter().map(move |t| (key, t))).collect();
    let on_bus = |wired: &At<WiredTo>| match facts.names.terminal(facts.plan, &wired.value.to.value) {
        Ok(Terminal::Bus(bus, pole, _)) => Some((bus, pole)),
        _ => None,
    };
    let [(_, a), (_, b)] = wired.as_slice() else { return Vec::new() };
    if on_bus(a).is_none() || on_bus(a) != on_bus(b) {
        return Vec::new();
    }
    let change = |(key, wired): &(&'static str, &At<WiredTo>)| {
        let (bus, pole) = on_bus(wired)?;
        let to = &wired.value.to;
        let name = &facts.plan.bus[bus].name.value;
        let place = to.value.rsplit_once(" @").map_or(String::new(), |(_, place)| format!(" @{place}"));
        let due = format!("{name}.{}{place}", pole.other().word());
        let says =
            format!("move the wire on terminal `{key}` of contact {owner}.{number} from `{}` to `{due}`", to.value);
        Some((says, vec![edit::set(to, &edit::quoted(&due))]))
    };
    wired.iter().filter_map(change).collect()
}

/// The common of a contact that feeds the frog of what another motor moves, brought to the one frog of what its own moves, where
/// no contact feeds that.
fn to_own_frog(facts: &Context<'_>, owner: &str, number: usize, contact: &At<ContactTable>) -> Option<Change> {
    let [common] = contact.value.common.0.as_slice() else { return None };
    let frog_of = |text: &str| match facts.names.terminal(facts.plan, text) {
        Ok(Terminal::Frog(kind, index, word)) => Some((kind, index, word)),
        _ => None,
    };
    let (kind, index, word) = frog_of(&common.value.to.value)?;
    let motor = facts.plan.motor.iter().find(|m| m.contact.iter().any(|c| c.span == contact.span))?;
    let [moves] = motor.moves.0.as_slice() else { return None };
    let own = facts.names.get(&moves.value)?;
    if own == (kind, index) || own.0 != Kind::Turnout {
        return None;
    }
    let frog = facts.circuit.frogs.iter().find(|f| (f.0, f.1) == own)?;
    let fed = |c: &ContactTable| {
        c.common
            .references()
            .any(|text| frog_of(&text.value).is_some_and(|f| (f.0, f.1, f.2.as_str()) == (own.0, own.1, frog.3)))
    };
    if frog.3 != word || all_contacts(facts).any(|(_, _, c)| fed(&c.value)) {
        return None;
    }
    let due = format!("{}.{}", moves.value, frog.3);
    let says = format!("wire contact {owner}.{number} to `{due}` instead of `{}`", common.value.to.value);
    Some((says, vec![edit::set(&common.value.to, &edit::quoted(&due))]))
}

/// The wires to a frog and to another one of the same trackwork exchanged.
pub(crate) fn exchanged_frogs(facts: &Context<'_>, frog: NodeId) -> Vec<Change> {
    let Some(own) = facts.circuit.frogs.iter().find(|f| f.2 == frog) else { return Vec::new() };
    let commons: Vec<(&At<String>, &str)> = all_contacts(facts)
        .filter_map(|(_, _, c)| match c.value.common.0.as_slice() {
            [wired] => Some(&wired.value.to),
            _ => None,
        })
        .filter_map(|to| match facts.names.terminal(facts.plan, &to.value) {
            Ok(Terminal::Frog(kind, index, word)) if (kind, index) == (own.0, own.1) => {
                let frog = facts.circuit.frogs.iter().find(|f| (f.0, f.1, f.3) == (kind, index, word.as_str()))?;
                Some((to, frog.3))
            }
            _ => None,
        })
        .collect();
    let Some((here, _)) = commons.iter().find(|c| c.1 == own.3) else { return Vec::new() };
    let others = commons.iter().filter(|c| c.1 != own.3);
    let change = |(there, _): &(&At<String>, &str)| {
        let says = format!("exchange the wires to `{}` and `{}`", here.value, there.value);
        (says, vec![edit::set(here, &edit::quoted(&there.value)), edit::set(there, &edit::quoted(&here.value))])
    };
    others.map(change).collect()
}

/// New feeders in the middle of a piece of a track that nothing feeds: in one of these rails, then in both.
pub(crate) fn new_feeders(facts: &Context<'_>, track: usize, sides: &[RailSide], [from, to]: [f64; 2]) -> Vec<Change> {
    let table = &facts.plan.track[track];
    let (units, at) = (facts.plan.units(), facts.plan.units().ruled((from + to) / 2.0));
    let says_pole = |side: RailSide| table.conductor(side).is_some();
    let place = edit::quoted(&units.written(at));
    let add = |item: &str| edit::add_to_list(facts.text, &table.feeders, &table.place, "feeders", item);
    let one = |side: &RailSide| {
        let says = format!("give `{}`'s {} rail a feeder at {}", table.name.value, side.word(), units.metres(at));
        (says, add(&format!("{{ at = {place}, rail = \"{}\" }}", side.word())))
    };
    let both = || (format!("give both rails of `{}` a feeder at {}", table.name.value, units.metres(at)), add(&place));
    let mut found: Vec<Change> = sides.iter().filter(|side| says_pole(**side)).map(one).collect();
    if RailSide::ALL.into_iter().all(says_pole) {
        found.push(both());
    }
    found
}

/// A feeder that goes elsewhere, brought to the conductor its rail belongs to.
fn to_own_conductor(units: Units, track: &Track, feeder: &At<Feeder>) -> Option<Change> {
    let f = &feeder.value;
    let side = f.rail.as_ref()?;
    let (to, own) = strays(track, feeder)?;
    let says = format!(
        "move the feeder of `{}`'s {} rail at {} from `{}` to `{own}`",
        track.name.value,
        side.value.word(),
        units.metres(f.at.value.si()),
        to.value,
    );
    Some((says, vec![edit::set(to, &edit::quoted(own))]))
}

/// Where a feeder goes and the conductor its rail belongs to, if that is another one.
fn strays<'t>(track: &'t Track, feeder: &'t At<Feeder>) -> Option<(&'t At<String>, &'t str)> {
    let f = &feeder.value;
    let own = track.conductor(f.rail.as_ref()?.value)?;
    f.to.as_ref().filter(|to| to.value != own.value).map(|to| (to, own.value.as_str()))
}

/// The two feeders at one place, whose wires are exchanged.
fn both_to_own(units: Units, track: &Track, feeder: &At<Feeder>) -> Option<Change> {
    let at = feeder.value.at.value.si();
    let beside: Vec<&At<Feeder>> = track.feeders.iter().filter(|f| (f.value.at.value.si() - at).abs() < 5e-3).collect();
    let [one, other] = beside.as_slice() else { return None };
    let edits: Vec<Edit> = [one, other]
        .into_iter()
        .map(|f| strays(track, f).map(|(to, own)| edit::set(to, &edit::quoted(own))))
        .collect::<Option<_>>()?;
    Some((format!("exchange the two feeders of `{}` at {}", track.name.value, units.metres(at)), edits))
}

/// Feeders nearer to trackwork are not looked for before a gap, metres.
const BEFORE_GAP: f64 = 0.25;

/// A feeder that lands between trackwork and the gap there, brought behind that gap.
fn behind_gap(facts: &Context<'_>, track: usize, feeder: &At<Feeder>) -> Option<Change> {
    let f = &feeder.value;
    let (table, length) = (&facts.plan.track[track], facts.circuit.segments[track].length);
    let x = f.at.value.si();
    let on_rail = |g: &&circuit::Gap| f.rail.as_ref().is_none_or(|rail| rail.value == g.side);
    let gaps: Vec<f64> = facts.circuit.gaps_of(track).iter().filter(on_rail).map(|g| g.x).collect();
    let above = gaps.iter().copied().filter(|&g| g > x && g < BEFORE_GAP).reduce(f64::max);
    let below = gaps.iter().copied().filter(|&g| g < x && g > length - BEFORE_GAP).reduce(f64::min);
    let beyond = |gap: f64, far: f64| gap + (far - gap) * (0.02 / (far - gap).abs()).min(0.5);
    let far = |gap: f64, up: bool| {
        let others = gaps.iter().copied().filter(|&g| if up { g > gap } else { g < gap });
        if up { others.reduce(f64::min).unwrap_or(length) } else { others.reduce(f64::max).unwrap_or(0.0) }
    };
    let (gap, to) = match (above, below) {
        (Some(gap), _) => (gap, beyond(gap, far(gap, true))),
        (None, Some(gap)) => (gap, beyond(gap, far(gap, false))),
        (None, None) => return None,
    };
    let units = facts.plan.units();
    let to = units.ruled(to);
    let rail = f.rail.as_ref().map_or("rails".to_owned(), |rail| format!("{} rail", rail.value.word()));
    let says = format!(
        "move the feeder of `{}`'s {rail} from {} to {}, behind the gap at {}",
        table.name.value,
        units.metres(x),
        units.metres(to),
        units.metres(gap)
    );
    Some((says, vec![edit::set(&f.at, &edit::quoted(&units.written(to)))]))
}
