//! A train bridges a gap whose two sides disagree.

use super::frog_on_wrong_phase::own_frog;
use super::wrong_phase::own_wire;
use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, Harm};
use std::collections::BTreeSet;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "bridged-gap",
        title: "a train bridges a gap between opposite poles",
        text: "At this gap a train on a route that is set runs from a rail on one pole to a rail on the other. Each wheel that \
               crosses joins the two poles for a moment: the breaker trips, or the wheel and the rail ends burn.\n\n\
               The usual causes: a track whose rails are wired the other way round than its neighbour's, a section of \
               a loop whose phase is not changed while the train is inside it.\n\nFix: exchange A and B on one side, \
               or feed one side through contacts or a reverser that make both sides agree before a train crosses.",
        drawing: r#"              wheel
   A ════════════O┤├O═══════════ B      each wheel over the gap
   B ═════════════┤├════════════ A      joins A and B"#,
        example: include_str!("examples/bridged-gap.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    let mut reported = BTreeSet::new();
    // A frog on the wrong phase is reported as such, with all gaps around it.
    let blamed: BTreeSet<usize> = proof.bridges.iter().filter_map(|b| own_frog(facts, b)).map(|f| f.0).collect();
    for bridge in proof.bridges.iter().filter(|b| !b.frogs.iter().any(|f| blamed.contains(&f.0))) {
        let gap = &circuit.gaps[bridge.gap];
        // So is rail on the wrong conductor, with the gaps at its ends.
        let touches = |w: &&proof::WrongPhase| w.track == gap.segment && w.from <= gap.x && gap.x <= w.to;
        if proof.wrong_phases.iter().filter(touches).any(|w| own_wire(facts, w).is_some()) {
            continue;
        }
        // Both rails of one place are crossed for one cause.
        if !reported.insert((gap.segment, (gap.x * 1e4).round() as i64)) {
            continue;
        }
        let segment = &circuit.segments[gap.segment];
        let when = words::when(circuit, &bridge.witness.setting);
        let [one, other] = bridge.poles.map(|p| words::pole(circuit, p));
        let mut finding = Finding::error(
            "bridged-gap",
            Harm::CanBurn,
            format!(
                "a train over the gap in `{}` at {} joins `{one}` to `{other}` {when}",
                segment.name,
                facts.plan.units().metres(gap.x)
            ),
        )
        .at(gap.span.clone(), format!("{one} before this gap, {other} behind it"))
        .witness(words::witness(circuit, &bridge.witness))
        .fact(format!("behind it: {}", words::path(circuit, &bridge.other_path).join(" → ")));
        let over = [gap.segment];
        let mut lacking = crate::loops::lacking(facts, &over, &[]);
        let path = [bridge.witness.edges.as_slice(), &bridge.other_path.edges].concat();
        let mut proposal = crate::fixes::wire_move(facts, "bridged-gap", &path).or_else(|| {
            let cuts = crate::section_gaps::changes(facts, &lacking);
            crate::fixes::first_good(facts, "bridged-gap", cuts, |_| true)
        });
        if proposal.is_none() && lacking.is_empty() {
            for one in crate::section_gaps::half_cut(facts, &path) {
                let cut = crate::section_gaps::changes(facts, std::slice::from_ref(&one));
                proposal = crate::fixes::first_good(facts, "bridged-gap", cut, |_| true);
                if proposal.is_some() {
                    lacking.push(one);
                    break;
                }
            }
        }
        if proposal.is_none() && lacking.is_empty() {
            let sections = crate::fixes::reversing::sections(facts, &over);
            proposal = crate::fixes::first_good(facts, "bridged-gap", sections, |_| true);
        }
        for fact in crate::loops::facts_beside(facts, &over, &lacking) {
            finding = finding.fact(fact);
        }
        finding = match proposal {
            Some(proposal) => finding.proposal(proposal.says, proposal.edits),
            None if !lacking.is_empty() => {
                finding.help("cut the gap that is missing, beside the one in the other rail")
            }
            None => {
                finding.help("exchange A and B on one side, or feed one side so that it changes over with the turnouts")
            }
        };
        found.push(finding);
    }
}
