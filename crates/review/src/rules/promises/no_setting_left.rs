//! Promises that leave no setting at all.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use finding::{Finding, Harm};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "no-setting-left",
        title: "your promises leave no setting at all",
        text: "Your plan promises that some positions are never set together. Taken together, these promises forbid every \
               setting the layout could stand in. Then nothing is left to check, and nothing that the report says of this plan \
               holds.\n\n\
               What to do: look for a promise that names the wrong position. A turnout always stands in one of its positions, so \
               for each pair of turnouts at least one pair of positions must stay possible.",
        drawing: r#"   T1 through   + T2 through     never
   T1 through   + T2 diverging   never
   T1 diverging + T2 through     never
   T1 diverging + T2 diverging   never: and now?"#,
        example: include_str!("examples/no-setting-left.toml"),
    },
    find,
};

/// Whether no setting is left.
pub(super) fn none_left(facts: &Context<'_>) -> bool {
    !facts.circuit.promised.is_empty()
        && proof::impossible(&facts.circuit, &[Vec::new()]).is_ok_and(|impossible| impossible[0])
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    if !none_left(facts) {
        return;
    }
    let promises = &facts.circuit.promised;
    let mut finding = Finding::error(
        "no-setting-left",
        Harm::CanBurn,
        "what you promise never to set leaves no setting at all: nothing of this plan is checked",
    );
    if let Some(last) = promises.last() {
        finding = finding.at(last.span.clone(), "with this one the last setting is gone");
    }
    let mut others: Vec<_> = promises.iter().map(|p| p.span.clone()).collect();
    others.dedup();
    others.pop();
    for span in others.into_iter().take(3) {
        finding = finding.also(span, "promised too");
    }
    found.push(finding.help("take one of the promises out, or correct the position that it names"));
}
