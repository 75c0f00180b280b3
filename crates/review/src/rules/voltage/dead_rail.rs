//! A rail is dead under a train on a lined way.

use crate::context::Context;
use crate::fixes::first_good;
use crate::fixes::wires::new_feeders;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{NodeId, RailOwner};
use finding::{Finding, FindingWitness, Harm, Severity};
use handbook::quantity::Quantity;
use handbook::{limits, scales};
use proof::{Dead, DeadPiece, DeadWhy};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "dead-rail",
        title: "a rail is dead under a train",
        text: "Turnouts can be set so that a train runs over this rail, but the rail is joined to no pole: the engine stops as soon as its \
               pick-up wheels are all on it.\n\nThe usual causes: a piece of rail between two gaps without a feeder, a \
               frog whose contact is not wired, a contact that closes in the other position.\n\nPieces shorter than \
               the plan's longest dead length (or, where it does not say, the handbook's for the scale) are told as a \
               note: most engines roll over them.",
        drawing: r#"   A ══════╤══════┤├═════════════      behind the gap nothing feeds
           │                           the left rail
   B ══════╪═════════════════════ B"#,
        example: include_str!("examples/dead-rail.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let longest = longest_dead(facts);
    let dead: Vec<&Dead> = proof.dead.iter().filter(|d| d.why != DeadWhy::SamePole).collect();
    if circuit.sources.is_empty() && !dead.is_empty() {
        let mut finding = Finding::error("dead-rail", Harm::CanStop, "no supply feeds any rail")
            .help("add a `[[supply]]`, a `[[bus]]` and feeders, or join the tracks to what is fed");
        if let Some(track) = facts.plan.track.first() {
            finding = finding.at(track.name.span.clone(), "dead, as are all others");
        }
        found.push(finding);
        return;
    }
    // What is never fed and hangs together lacks one and the same feed: told once, at its longest piece.
    let islands = proof::islands(circuit);
    let fed: BTreeSet<u32> =
        circuit.sources.iter().flat_map(|s| s.node).filter_map(|node| islands.get(node.index()).copied()).collect();
    let island = |d: &Dead| d.pieces.first().and_then(|p| islands.get(node_of(facts, p)?.index())).copied();
    let longest_of = |d: &Dead| d.pieces.iter().map(|p| p.to - p.from).fold(0.0, f64::max);
    let mut together: BTreeMap<Option<u32>, Vec<&Dead>> = BTreeMap::new();
    for &d in dead.iter().filter(|d| d.why == DeadWhy::NeverFed) {
        together.entry(island(d)).or_default().push(d);
    }
    for group in together.values_mut() {
        group.sort_by(|a, b| longest_of(b).total_cmp(&longest_of(a)));
    }
    for dead in dead {
        let group = together.values().find(|g| g.iter().any(|d| std::ptr::eq(*d, dead)));
        if group.is_some_and(|g| !std::ptr::eq(g[0], dead)) {
            continue;
        }
        let Some(main) = dead.pieces.iter().max_by(|a, b| (a.to - a.from).total_cmp(&(b.to - b.from))) else {
            continue;
        };
        let segment = &circuit.segments[main.segment];
        let rail = match &segment.owner {
            RailOwner::Track(_) => format!("`{}`'s {} rail", segment.name, main.side.word()),
            RailOwner::Work { .. } => format!("the {} rail of `{}`", main.side.word(), segment.name),
        };
        let stretch = if matches!(segment.owner, RailOwner::Track(_)) {
            format!(" from {} to {}", facts.plan.units().metres(main.from), facts.plan.units().metres(main.to))
        } else {
            format!(", {} of it,", facts.plan.units().metres(main.to - main.from))
        };
        let when = words::when(circuit, &dead.setting);
        let message = match dead.why {
            DeadWhy::NeverFed => format!("{rail}{stretch} is never fed"),
            _ => format!("{rail}{stretch} is dead under a train {when}"),
        };
        // What counts is how far a train runs without finding a live rail.
        let length: f64 = dead.pieces.iter().map(|p| p.to - p.from).fold(0.0, f64::max);
        let severity = if length > longest { Severity::Error } else { Severity::Note };
        let harm = if severity == Severity::Error { Harm::CanStop } else { Harm::GoodToKnow };
        let mut finding = Finding::new(severity, "dead-rail", harm, message)
            .at(segment.span.clone(), format!("dead for {}", facts.plan.units().metres(length)));
        if !dead.setting.is_empty() {
            finding =
                finding.witness(FindingWitness { setting: words::setting(circuit, &dead.setting), path: Vec::new() });
        }
        let others: Vec<String> = dead
            .pieces
            .iter()
            .filter(|p| *p != main)
            .map(|p| format!("{} ({})", circuit.segments[p.segment].name, facts.plan.units().metres(p.to - p.from)))
            .collect();
        if !others.is_empty() {
            finding = finding.fact(format!("the same piece of rail reaches {}", words::list(&others)));
        }
        if let Some([_, rest @ ..]) = group.map(Vec::as_slice)
            && !rest.is_empty()
        {
            let pieces: Vec<String> = rest.iter().filter_map(|d| Some(piece_words(facts, d.pieces.first()?))).collect();
            // What is joined to a supply in some position, such as by a deck that stands before one stall at a time, is fed there only.
            finding = finding.fact(match island(dead).is_some_and(|island| fed.contains(&island)) {
                false => format!("it hangs together with {}: one feed serves them all", words::list(&pieces)),
                true => format!("so are {}: each needs a feed of its own", words::list(&pieces)),
            });
        }
        if severity == Severity::Note {
            let limit = facts.plan.units().metres(longest);
            finding =
                finding.fact(format!("shorter than the longest dead length, {limit}: engines should roll over it"));
        } else {
            // A feeder can be said of tracks alone: the rail of trackwork gets it on the longest piece of track that it runs on to.
            let mut on_tracks: Vec<&DeadPiece> = dead.pieces.iter().filter(|p| p.segment < circuit.tracks).collect();
            on_tracks.sort_by(|a, b| (b.to - b.from).total_cmp(&(a.to - a.from)));
            on_tracks.retain(|_| dead.why == DeadWhy::NeverFed);
            let feeders =
                on_tracks.into_iter().flat_map(|p| new_feeders(facts, p.segment, &[p.side], [p.from, p.to])).take(6);
            // Rail behind a live frog is the frog's: a feeder of its own would be wrong in every other position.
            let frog = circuit.frogs.iter().filter(|_| dead.why == DeadWhy::NeverFed);
            let frog = frog.into_iter().find(|f| island(dead).is_some_and(|of| islands.get(f.2.index()) == Some(&of)));
            let frog = frog.and_then(|&(kind, index, _, word)| {
                let name = plan::names::each_name(facts.plan).find(|w| (w.0, w.1) == (kind, index))?.2;
                Some((name.value.as_str(), word))
            });
            finding = match (first_good(facts, "dead-rail", feeders, |_| true), frog) {
                (Some(proposal), _) => finding.proposal(proposal.says, proposal.edits),
                (None, Some((name, word))) => finding.help(format!(
                    "it is the {word} of `{name}`: feed it from a contact that changes over with `{name}`, whose `common` is `{name}.{word}`"
                )),
                (None, None) => finding.help(match toggle_of(facts, dead) {
                    Some(toggle) if main.segment < circuit.tracks => format!(
                        "if `{toggle}` is to switch `{}` off by hand, say so: `[storage]` with `tracks = [{}]` and `live = \"by hand\"`",
                        segment.name,
                        plan::edit::quoted(&segment.name)
                    ),
                    _ => "give this piece a feeder of its own, or wire its contact".to_owned(),
                }),
            };
        }
        found.push(finding);
    }
}

/// A toggle that has a part in rail being dead.
fn toggle_of<'p>(facts: &Context<'p>, dead: &Dead) -> Option<&'p str> {
    let spans = dead.setting.iter().map(|l| &facts.circuit.controls[l.control].span);
    let toggles = spans.filter_map(|span| facts.plan.toggle.iter().find(|t| t.name.span == *span));
    toggles.map(|toggle| toggle.name.value.as_str()).next()
}

/// A node of a piece of rail.
fn node_of(facts: &Context<'_>, piece: &DeadPiece) -> Option<NodeId> {
    let stops = &facts.circuit.segments[piece.segment].rails[piece.side].stops;
    let middle = (piece.from + piece.to) / 2.0;
    stops.iter().rev().find(|s| s.x <= middle).map(|s| s.after)
}

/// `road 4's right rail`.
fn piece_words(facts: &Context<'_>, piece: &DeadPiece) -> String {
    format!("{}'s {} rail", facts.circuit.segments[piece.segment].name, piece.side.word())
}

/// The longest piece of rail that may be dead under a train, in metres.
pub(crate) fn longest_dead(facts: &Context<'_>) -> f64 {
    let said = facts.plan.limits.as_ref().and_then(|l| l.value.dead_length.as_ref());
    let scale = facts.plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
    match (said, scale) {
        (Some(said), _) => said.value.si(),
        (None, Some(scale)) => limits::longest_dead_length(scale).value.si(),
        (None, None) => 0.0,
    }
}
