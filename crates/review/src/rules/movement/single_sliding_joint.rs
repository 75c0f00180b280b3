//! Track that is fed over nothing but an unsoldered joiner.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::season_words::others;
use circuit::EdgeKind;
use finding::{Finding, Harm};
use handbook::limits::FEEDER_SPACING;
use handbook::quantity::Quantity;

/// Joiners that are named.
const MOST_NAMED: usize = 4;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "single-sliding-joint",
        title: "track is fed over nothing but a joiner that can slide",
        text: "An unsoldered joiner is pressed metal on metal: it corrodes, loosens as rails grow and shrink, and gets \
               paint and ballast glue. Today it conducts. When it no longer does, everything that has no other feed \
               goes dead, or sags in damp weather only.\n\nThe finding names joiners that alone carry more plain line than the \
               distance at which feeders are set in common practice, 1 m of rail; the short rails of a turnout that depend on its joiners are not counted. One finding names the worst.\n\nFix: solder the joiner, give the \
               rail behind it a feeder of its own, or bridge the joiner with a loop of thin wire where the rail must \
               be able to move: movement and current pull opposite ways, see `gap-opens-too-far`.",
        drawing: r#"   feeder ═════════ joiner ═════════════════════
                    the only way for the current to what lies beyond it"#,
        example: include_str!("examples/single-sliding-joint.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    if facts.proof().is_err() {
        return;
    }
    let circuit = &facts.circuit;
    // Rounding is no rail.
    let limit = FEEDER_SPACING.value.low.si() + 1e-5;
    let plain =
        |f: &proof::SingleFailure| -> f64 { f.segments.iter().filter(|s| s.0 < circuit.tracks).map(|s| s.1).sum() };
    let sliding = facts.failures().iter().filter(|f| circuit.edges[f.edge].kind == EdgeKind::SlidingJoint);
    let mut long: Vec<(&proof::SingleFailure, f64)> = sliding.map(|f| (f, plain(f))).collect();
    long.retain(|f| f.1 > limit);
    // The same joiner is named once, though it joins two rails.
    long.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.edge.cmp(&b.0.edge)));
    let Some(&(worst, metres)) = long.first() else { return };
    let edge = &circuit.edges[worst.edge];
    let others = others(long.len() - 1);
    let mut finding = Finding::warning(
        "single-sliding-joint",
        Harm::WillAge,
        format!("{} of rail depend on the {}{others}", facts.plan.units().metres(metres), edge.name),
    )
    .at(edge.span.clone(), "the only path to what lies behind it")
    .help("solder the joiners, or give the rail behind each a feeder of its own");
    for &(failure, metres) in long.iter().take(MOST_NAMED) {
        let tracks: Vec<String> = failure.segments.iter().map(|s| circuit.segments[s.0].name.clone()).collect();
        finding = finding.fact(format!(
            "{}: {} of {}",
            circuit.edges[failure.edge].name,
            facts.plan.units().metres(metres),
            crate::notes::some_of(&tracks)
        ));
    }
    found.push(finding);
}
