//! Conductors of two colours that are one conductor.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use circuit::{BreakerPole, Circuit, EdgeKind, NodeId, Spot};
use finding::{Finding, Harm};
use plan::tables::WireColour;
use plan::{At, Kind, Pole, Terminal};
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "two-colours-joined",
        title: "one conductor has wires of two colours",
        text: "Colours are there so that somebody under the table, ten years on, joins like with like. Here wires of two \
               colours are joined for good, with no contact or breaker between them: who trusts the colour will one day \
               take them for two conductors, or join a third to the wrong one.\n\nOnly what the plan says under \
               `[colours]` is held against each other. Where the join is a short, or joins what is fed by different supplies or breakers, that is a finding of its own.\n\nPut right: give both the same colour, or part them.",
        drawing: r#"   main bus.A    red ════════════╤═══════
                                 │ branch
   branch bus.A  orange ═════════╧═══════    one conductor, two colours"#,
        example: include_str!("examples/two-colours-joined.toml"),
    },
    find,
};

/// A conductor with a colour: its name, the colour, and where the plan says so.
type Coloured<'p> = (String, &'p At<WireColour>);

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let Some(colours) = plan.colours.as_ref().map(|c| &c.value) else { return };
    let mut own: BTreeMap<(Kind, usize, String), &At<WireColour>> = BTreeMap::new();
    for conductor in colours.conductors.iter() {
        for text in &conductor.value.of.0 {
            let key = match facts.names.terminal(plan, &text.value) {
                Ok(Terminal::Bus(bus, pole, _)) => (Kind::Bus, bus, pole.word().to_owned()),
                Ok(Terminal::Supply(supply, pole)) => (Kind::Supply, supply, pole.word().to_owned()),
                Ok(Terminal::Reverser(reverser, pole)) => (Kind::Reverser, reverser, pole.word().to_owned()),
                Ok(Terminal::Frog(kind, index, word)) => (kind, index, word),
                _ => continue,
            };
            own.insert(key, &conductor.value.is);
        }
    }
    let all = |pole: Pole| if pole == Pole::A { colours.a.as_ref() } else { colours.b.as_ref() };
    // Conductors that are one whatever stands how.
    let joined = facts.circuit.conductors(|edge| edge.is_always_closed() && edge.kind != EdgeKind::Source);
    // For each conductor, what of it has which colour.
    let mut by_root: BTreeMap<NodeId, Vec<Coloured<'_>>> = BTreeMap::new();
    let mut put = |node: NodeId, key: (Kind, usize, String), name: String, usual: Option<Pole>| {
        if let Some(colour) = own.get(&key).copied().or_else(|| usual.and_then(all)) {
            let here = by_root.entry(joined[node]).or_default();
            if here.iter().all(|(known, _)| *known != name) {
                here.push((name, colour));
            }
        }
    };
    for (node, spot) in NodeId::each(&facts.circuit.nodes).map(|(n, node)| (n, &node.spot)) {
        match spot {
            Spot::Bus { bus, pole, .. } => {
                let name = format!("{}.{}", plan.bus[*bus].name.value, pole.word());
                put(node, (Kind::Bus, *bus, pole.word().to_owned()), name, Some(*pole));
            }
            Spot::Supply { supply, pole } => {
                let name = format!("{}.{}", plan.supply[*supply].name.value, pole.word());
                put(node, (Kind::Supply, *supply, pole.word().to_owned()), name, None);
            }
            Spot::Reverser { reverser, pole } => {
                let name = format!("{}.{}", plan.reverser[*reverser].name.value, pole.word());
                put(node, (Kind::Reverser, *reverser, pole.word().to_owned()), name, None);
            }
            _ => {}
        }
    }
    for &(kind, index, node, word) in &facts.circuit.frogs {
        let name = facts.circuit.nodes[node].name.clone();
        put(node, (kind, index, word.to_owned()), name, None);
    }
    // The terminals of breakers by conductor: where there are two poles or two breakers, that is reported for itself.
    let mut poles: BTreeMap<NodeId, BTreeSet<BreakerPole>> = BTreeMap::new();
    for (breaker, b) in facts.circuit.breakers.iter().enumerate() {
        for pole in Pole::ALL {
            // A pole that is common with the breaker above is that breaker's.
            let owner = BreakerPole { breaker: owner(&facts.circuit, breaker, pole), pole };
            poles.entry(joined[b.node[pole]]).or_default().insert(owner);
        }
    }
    for (root, conductors) in by_root {
        let Some((first, colour)) = conductors.first() else { continue };
        let Some((other, differs)) = conductors.iter().find(|(_, c)| c.value != colour.value) else { continue };
        if poles.get(&root).is_some_and(|poles| poles.len() > 1) {
            continue;
        }
        let mut finding = Finding::warning(
            "two-colours-joined",
            Harm::WillAge,
            format!(
                "`{other}` is {} and `{first}` is {}, and the two are one conductor",
                differs.value.word(),
                colour.value.word()
            ),
        )
        .at(differs.span.clone(), format!("the colour of `{other}`"))
        .help("give both the same colour, or part them");
        if differs.span != colour.span {
            finding = finding.also(colour.span.clone(), format!("the colour of `{first}`"));
        }
        found.push(finding);
    }
}

/// The breaker whose terminal a breaker's pole is: its own, or where it does not open the pole the one above's.
fn owner(circuit: &Circuit, breaker: usize, pole: Pole) -> usize {
    let above = |&b: &usize| circuit.breakers[b].behind.filter(|_| !circuit.breakers[b].opens[pole]);
    std::iter::successors(Some(breaker), above).take(circuit.breakers.len()).last().unwrap_or(breaker)
}
