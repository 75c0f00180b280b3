//! Two poles of one supply can meet.

use crate::context::Context;
use crate::fixes::proving::fixes;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{Circuit, EdgeKind, Part, RailOwner};
use finding::{Edit, Finding, Harm};
use plan::tables::Hand;
use plan::{Kind, edit};
use proof::Short;
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "short-circuit",
        title: "the two poles of a supply can meet",
        text: "In at least one setting there is a closed path of rail, wire and contacts from pole A of a supply to \
               its pole B, with nothing in it but their own resistance. The breaker trips, or, where the path is long \
               and thin, does not, and something gets hot.\n\nThe finding names the smallest set of positions that \
               makes the short, the path of the current piece by piece, and the pieces of which cutting any one ends \
               it. The usual causes: a missing gap behind a live frog, a feeder on the wrong conductor, a contact \
               wired the wrong way round, a track that returns to itself with left and right exchanged.",
        drawing: r#"   A ══════╦══════════ A
           ╚═══╗
   B ══════════╬══════ B      A and B meet, with no load between them"#,
        example: include_str!("examples/short-circuit.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let own: Vec<&Short> = proof.shorts.iter().filter(|s| s.poles[0].source == s.poles[1].source).collect();
    let decks: Vec<Option<usize>> = own.iter().map(|short| fed_deck(circuit, short)).collect();
    for (i, short) in own.iter().enumerate() {
        // A deck that is fed for good is one cause, before however many stalls it shorts.
        if decks[i].is_some() && decks[..i].contains(&decks[i]) {
            continue;
        }
        let supply = &circuit.sources[short.poles[0].source].name;
        let when = words::when(circuit, &short.witness.setting);
        let mut finding =
            Finding::error("short-circuit", Harm::CanBurn, format!("SHORT CIRCUIT: A of `{supply}` touches B {when}"))
                .witness(words::witness(circuit, &short.witness));
        let suspect = short.cuts.first().or(short.witness.edges.first());
        if let Some(&edge) = suspect {
            let edge = &circuit.edges[edge];
            finding = finding.at(edge.span.clone(), format!("part of the short: {}", edge.name));
        }
        finding = match decks[i] {
            Some(deck) => {
                let others: Vec<&Short> =
                    (i + 1..own.len()).filter(|&k| decks[k] == decks[i]).map(|k| own[k]).collect();
                on_a_fed_deck(facts, finding, deck, &others)
            }
            None => with_what_ends_it(facts, finding, short, own.iter().any(|s| s.always())),
        };
        let over = crate::section_gaps::rail_segments(facts, &short.witness.edges);
        for fact in crate::loops::facts_of(facts, &over, &short.witness.edges) {
            finding = finding.fact(fact);
        }
        found.push(finding);
    }
}

/// A short by a deck that is fed for good, and the others that it makes.
fn on_a_fed_deck(facts: &Context<'_>, mut finding: Finding, deck: usize, others: &[&Short]) -> Finding {
    let table = &facts.plan.turntable[deck];
    let name = &table.name.value;
    if !others.is_empty() {
        let others = others.iter().map(|s| words::when(&facts.circuit, &s.witness.setting));
        finding = finding.fact(format!("so it does {}", words::few(others)));
    }
    // What never turns round has its rails the wrong way once and for all.
    if let (Some(left), Some(right), false) = (&table.left, &table.right, table.turns()) {
        let edits = vec![edit::set(left, &edit::quoted(&right.value)), edit::set(right, &edit::quoted(&left.value))];
        if fixes(facts, &edits, "short-circuit", |_| true) {
            return finding.proposal(format!("exchange the two feeds of the deck of `{name}`"), edits);
        }
        return finding.help(format!("look which way round the deck of `{name}` must be fed: `left` and `right`"));
    }
    finding.help(format!(
        "the deck of `{name}` is on A and B for good, but turned round its rails change sides: feed it by a reverser \
         (`left = \"R1.A\"`, `right = \"R1.B\"`), or leave its `left` and `right` out, so that it has the phase of the \
         stall it stands before"
    ))
}

/// With the edit that ends a short, or what to do where none is sure to. `some_always` says whether anything shorts in every setting.
fn with_what_ends_it(facts: &Context<'_>, finding: Finding, short: &Short, some_always: bool) -> Finding {
    let proposal = crate::fixes::gaps::short(facts, short);
    let one_edit = proposal.as_ref().is_some_and(|proposal| proposal.edits.len() < 2);
    let hand = if one_edit { None } else { other_hand(facts, short) };
    if let Some(proposal) = proposal {
        let finding = match hand {
            Some(hand) => finding.fact(format!("or else {hand}")),
            None => finding,
        };
        return finding.proposal(proposal.says, proposal.edits);
    }
    let in_the_dark = !short.always() && some_always;
    if in_the_dark {
        return finding.help("put right first what shorts in every setting, then check again");
    }
    if let Some(hand) = hand {
        return finding.help(hand);
    }
    let Some((found, left)) = crate::fixes::gaps::short_that_hides(facts, short) else {
        return finding.help(what_to_part(facts, short));
    };
    let finding = match left {
        0 => finding,
        1 => finding.fact("one fault is left after this fix; it may show only then"),
        n => finding.fact(format!("{n} faults are left after this fix; some may show only then")),
    };
    finding.proposal(found.says, found.edits)
}

/// The turntable over whose own feeders a short leads, if they bring what never changes.
fn fed_deck(circuit: &Circuit, short: &Short) -> Option<usize> {
    let edges = || short.witness.edges.iter().map(|&edge| &circuit.edges[edge]);
    if edges().any(|edge| matches!(edge.part, Part::Reverser { .. })) {
        return None;
    }
    edges().find_map(|edge| match edge.part {
        Part::DeckFeeder { turntable, .. } => Some(turntable),
        _ => None,
    })
}

/// What to look at where a turnout that leads to its other side would have no fault: only the builder sees which way it leads, so
/// no edit is proposed.
fn other_hand(facts: &Context<'_>, short: &Short) -> Option<String> {
    let plan = facts.plan;
    let were = facts.proof().ok()?.shorts.len();
    let segments = crate::section_gaps::rail_segments(facts, &short.witness.edges);
    let on_path: BTreeSet<usize> = segments
        .into_iter()
        .filter_map(|s| match facts.circuit.segments[s].owner {
            RailOwner::Work { kind: Kind::Turnout, index, .. } => Some(index),
            _ => None,
        })
        .collect();
    let named = |index: usize| plan.turnout[index].name.value.as_str();
    let with = |index: usize| {
        let moved = plan.motor.iter().find(|m| m.moves.0.iter().any(|t| t.value == named(index)));
        let all = moved.into_iter().flat_map(|m| &m.moves.0).filter_map(|t| facts.names.get(&t.value));
        all.filter(|t| t.0 == Kind::Turnout).map(|t| t.1).collect::<Vec<usize>>()
    };
    let alone = on_path.iter().map(|&index| vec![index]);
    let together = on_path.iter().map(|&index| with(index)).filter(|all| all.len() > 1);
    alone.chain(together).find_map(|turnouts| {
        let turned: Vec<(usize, Hand)> = turnouts
            .into_iter()
            .map(|index| match plan.turnout[index].hand.value {
                Hand::Left => Some((index, Hand::Right)),
                Hand::Right => Some((index, Hand::Left)),
                Hand::Wye => None,
            })
            .collect::<Option<_>>()?;
        let edits: Vec<Edit> =
            turned.iter().map(|&(t, hand)| edit::set(&plan.turnout[t].hand, &edit::quoted(hand.word()))).collect();
        let good = fixes(facts, &edits, "short-circuit", |proof| proof.shorts.len() < were);
        let names: Vec<String> = turned.iter().map(|&(t, _)| format!("`{}`", named(t))).collect();
        let (names, hand) = (words::list(&names), turned.first()?.1.word());
        good.then(|| {
            format!("look which way {names} really leads: if to the {hand}, write `hand = \"{hand}\"`, and this fault is none")
        })
    })
}

/// Pieces that are tried as what to part, for one short.
const MOST_PARTED: usize = 8;

/// Which pieces end a short when any one of them is parted: only those of which no other harm comes.
fn what_to_part(facts: &Context<'_>, short: &proof::Short) -> String {
    let mut names: Vec<&str> = Vec::new();
    let mut harmful = false;
    for &edge in short.cuts.iter() {
        let edge_name = facts.circuit.edges[edge].name.as_str();
        let seen = names.contains(&edge_name);
        if names.len() >= MOST_PARTED || seen || facts.circuit.edges[edge].kind == EdgeKind::Tap {
            continue;
        }
        match crate::fixes::proving::parting_fixes(facts, edge, "short-circuit") {
            true => names.push(edge_name),
            false => harmful = true,
        }
    }
    match (names.as_slice(), harmful) {
        ([], false) => "A touches B over several paths side by side; part all of them".to_owned(),
        ([], true) => {
            "follow the path and ask at each piece whether it should be there; to part any one of them alone \
                       makes something else worse"
                .to_owned()
        }
        (names, _) => format!("parting any one of these ends it: {}", names.join("; ")),
    }
}
