//! A storage track is dead when the policy says it should be live.

use crate::context::Context;
use crate::fixes::first_good;
use crate::fixes::wires::new_feeders;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use finding::{Finding, FindingWitness, Harm};
use plan::tables::RailSide;
use proof::Proof;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "storage-not-live",
        title: "a storage track is dead although the policy wants it live",
        text: "The plan wants this track live at all times, or from either end, but in the setting shown it is dead. \
               (A track that is dead on a route that is set is reported as `dead-rail` instead.)\n\nFix: feed it from the end that is set for it too, or straight from the bus.",
        drawing: r#"                     ┌═════════════ track 1, set
   ═════ turnout ════╡
                     └ ─ ─ ─ ─ ─ ─  track 2, not set: dead, wanted live"#,
        example: include_str!("examples/storage-not-live.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    let circuit = &facts.circuit;
    for fault in proof.storage.iter().filter(|f| !f.live) {
        let track = &facts.plan.track[fault.track];
        let when = words::when(circuit, &fault.setting);
        let part = match (fault.whole, fault.stretch) {
            (true, _) => String::new(),
            (false, [from, to]) => {
                format!(" from {} to {}", facts.plan.units().metres(from), facts.plan.units().metres(to))
            }
        };
        let mut finding = Finding::error(
            "storage-not-live",
            Harm::CanStop,
            format!("`{}` is dead{part} {when}, although the policy wants it live", track.name.value),
        )
        .at(track.name.span.clone(), "dead when it should be live")
        .witness(FindingWitness { setting: words::setting(circuit, &fault.setting), path: Vec::new() });
        if let Some(storage) = facts.plan.storage_of(&track.name.value) {
            finding = finding.also(storage.value.live.span.clone(), "the policy");
        }
        let gone = |proof: &Proof| !proof.storage.iter().any(|f| f.track == fault.track);
        let feeders = new_feeders(facts, fault.track, &RailSide::ALL, fault.stretch);
        found.push(match first_good(facts, "storage-not-live", feeders, gone) {
            Some(proposal) => finding.proposal(proposal.says, proposal.edits),
            None => finding.help("feed it from the other end too, or straight from the bus"),
        });
    }
}
