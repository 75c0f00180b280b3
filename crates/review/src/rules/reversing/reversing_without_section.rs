//! The track comes back to itself turned, and nothing takes up the change.

use crate::context::Context;
use crate::fixes::first_good;
use crate::fixes::reversing::sections;
use crate::loops;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "reversing-without-section",
        title: "a route comes back with left and right exchanged",
        text: "A train that follows this way comes back to where it was the other way about: what was its left rail is \
               its right one now. Whatever pole the left rail has, it meets the other one somewhere on the way. Nothing \
               of it is fed yet, or the fault would be told as a short or as a bridged gap; as soon as it is, it \
               will be one.\n\nFix: choose a stretch of plain line on the way that is longer than the longest train \
               over its metal wheels, gap both rails at both its ends, and feed it through contacts or a reverser, so \
               that its phase follows the route that is set.",
        drawing: r#"         ╭───────╮
   A ════╡       │      the track comes back with left and right
   B ════╡       │      exchanged, and nowhere is it cut off
         ╰───────╯"#,
        example: include_str!("examples/reversing-without-section.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let Ok(proof) = facts.proof() else { return };
    for cycle in proof.odd_cycles.iter().filter(|c| !c.gapped && !loops::is_reported(facts, c)) {
        let place = cycle.candidates.first().and_then(|c| c.0.first()).or(cycle.segments.first());
        let Some(&place) = place else { continue };
        let way = loops::cycle(facts, &cycle.segments);
        let mut finding = Finding::error(
            "reversing-without-section",
            Harm::CanBurn,
            format!("a train can turn round by {way}, and no reversing section is there"),
        )
        .at(facts.circuit.segments[place].span.clone(), "on this way")
        .fact("it comes back with left and right exchanged: the rails meet on opposite phases".to_owned());
        let candidates = loops::candidates(facts, cycle);
        if !candidates.is_empty() {
            finding = finding.fact(format!("a reversing section could be: {}", candidates.join("; ")));
        }
        let sections = sections(facts, &cycle.segments);
        finding = match first_good(facts, "reversing-without-section", sections, |_| true) {
            Some(proposal) => finding.proposal(proposal.says, proposal.edits),
            None => {
                finding.help("gap both rails at both ends of one stretch, and feed it through contacts or a reverser")
            }
        };
        found.push(finding);
    }
}
