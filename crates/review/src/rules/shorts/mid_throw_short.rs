//! A short that lasts while a motor moves.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::{Edge, EdgeKind, Part, WorkPiece};
use finding::{Finding, Harm};
use proof::MidThrow;
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "mid-throw-short",
        title: "a short circuit while a motor moves",
        text: "Before and after the throw all is well. But the blades and the contacts that move together do not change \
               at the same moment: each opens, moves, and closes by itself. In the state shown one of them has \
               already changed while another has not, and A touches B over both. The breaker trips at a throw, \
               or a contact burns a little each time.\n\nWith live-assisted turnouts that lies in the kind: blades, \
               closure rails and frog are one conductor, fed by the blade that touches and by the contact. The contact \
               must open before the closed blade leaves its rail, and close only after the other blade touches: \
               it has to be set to change in the middle of the throw, and to stay there. Where that cannot be relied \
               on, bond the blades to their stock rails and gap the closure rails before the frog (live-bonded): \
               then the moment does not matter.\n\nTwo contacts side by side for one frog or track short in the \
               same way, if one lags behind the other: use one heavier contact, or a relay.",
        drawing: r#"   stock rail A ═══════════
         blade ↗ still touches     ┐  for a moment the frog is on A by its
          frog ── contact ── B     ┘  blade and on B by its contact"#,
        example: include_str!("examples/mid-throw-short.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let Some(finding) = &proof.mid_throws else { return };
    // Turnouts of one kind short in one way: told once, for all of them.
    let alike = |short: &MidThrow| {
        let kinds: Vec<EdgeKind> = short.parts.iter().map(|p| circuit.edges[p.0].kind).collect();
        (kinds.contains(&EdgeKind::Blade), kinds.len(), short.witness.setting.is_empty())
    };
    let mut groups: BTreeMap<(bool, usize, bool), Vec<&MidThrow>> = BTreeMap::new();
    for short in &finding.shown {
        groups.entry(alike(short)).or_default().push(short);
    }
    let mut others: Vec<String> = finding.others.iter().map(|&c| circuit.controls[c].name.clone()).collect();
    for (short, like) in groups.values().filter_map(|g| g.split_first()) {
        let control = &circuit.controls[short.control];
        let [one, other] = short.poles.map(|p| words::pole(circuit, p));
        let meet = if short.poles[0].source == short.poles[1].source {
            format!("A of `{}` touches B", circuit.sources[short.poles[0].source].name)
        } else {
            format!("`{one}` touches `{other}`")
        };
        let also = match short.witness.setting.as_slice() {
            [] => String::new(),
            setting => format!(" {}", words::when(circuit, setting)),
        };
        let mut finding = Finding::warning(
            "mid-throw-short",
            Harm::CanBurn,
            format!("{meet} while `{}` is thrown{also}", control.name),
        )
        .witness(words::witness(circuit, &short.witness))
        .fact(order(facts, short));
        let mut names: Vec<String> = like.iter().map(|s| circuit.controls[s.control].name.clone()).collect();
        // Those that were not worked out one by one are named with the first.
        names.append(&mut others);
        if !names.is_empty() {
            finding = finding.fact(format!("{} can short while thrown too", crate::notes::some_of(&names)));
        }
        let edges = short.parts.iter().map(|p| &circuit.edges[p.0]);
        let contact = edges.clone().find(|e| e.kind == EdgeKind::Contact);
        if let Some(edge) = contact.or(edges.clone().next()) {
            finding = finding.at(edge.span.clone(), format!("{} changes at its own moment", part(facts, edge)));
        }
        let blades = edges.clone().any(|e| e.kind == EdgeKind::Blade);
        found.push(finding.help(match contact.filter(|_| blades) {
            Some(contact) => format!(
                "let {} open before the blade leaves its rail and close after the other one touches, or bond the \
                 blades and gap the closure rails before the frog",
                part(facts, contact)
            ),
            None => "let one of them open before the other closes, or use a single contact".to_owned(),
        }));
    }
}

/// What happens, in order: from which position to which, and what has changed and what has not.
fn order(facts: &Context<'_>, short: &MidThrow) -> String {
    let positions = &facts.circuit.controls[short.control].positions;
    let word = |p: u8| positions.get(usize::from(p)).map_or("", String::as_str);
    let new = short.parts.last().map_or(0, |p| p.1);
    let of = |changed: bool| -> Vec<String> {
        let parts = short.parts.iter().filter(|p| (p.1 == new) == changed);
        parts.map(|p| part(facts, &facts.circuit.edges[p.0])).collect()
    };
    let (changed, still) = (of(true), of(false));
    let old = short.parts.iter().map(|p| p.1).find(|&p| p != new).unwrap_or(new);
    format!(
        "thrown from {} to {}: {} already changed, {} not yet",
        word(old),
        word(new),
        words::list(&changed),
        words::list(&still)
    )
}

/// `the blades of T1`, `contact M1.2`.
fn part(facts: &Context<'_>, edge: &Edge) -> String {
    match edge.part {
        Part::Work { kind, index, piece: WorkPiece::Blade, .. } => {
            let name = plan::names::each_name(facts.plan).find(|n| (n.0, n.1) == (kind, index));
            format!("the blades of {}", name.map_or("", |n| n.2.value.as_str()))
        }
        _ => edge.part.of_both(facts.plan),
    }
}
