//! Turnouts in a row so near to each other that the tracks behind them are too close.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{lengths_table, words};
use finding::{Finding, Harm};
use handbook::quantity::Quantity;
use handbook::scales;
use movement::clearance;

/// Half a millimetre of a ruler is no fault.
const RULER: f64 = 5e-4;

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "tracks-too-close",
        title: "turnouts in a row leave their tracks too close to each other",
        text: "Two turnouts in a row send off two tracks side by side. How far apart these run follows from how far the \
               turnouts are from each other, and from the angle of the frog: pitch along the ladder × sin θ. With too \
               little track between the turnouts the trains on the two tracks touch.\n\nWanted is the distance between \
               parallel tracks that the plan says (`centres` of the layout), or else at least the width that must be \
               kept clear around a track (NEM 102). Where the turnouts themselves are longer than the pitch, no track \
               between them helps: a sharper frog does, or a wider yard.\n\nFix: the length of track between the \
               turnouts that the finding tells.",
        drawing: r#"                     ╱ road 1  ╱ road 2
                    ╱         ╱      apart = pitch × sin θ
   ═══════════ T1 ═╱═══ T2 ══╱══════
               │←─ pitch ─→│"#,
        example: include_str!("examples/tracks-too-close.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let Some(layout) = plan.layout.as_ref().map(|l| &l.value) else { return };
    let Some(scale) = scales::scale(&layout.scale.value) else { return };
    let (wanted, who) = match &layout.centres {
        Some(said) => (said.value.si(), "the plan wants"),
        None => (scale.clear_width.value.si(), "must be kept clear"),
    };
    for row in lengths_table::spacing_rows(plan, &facts.circuit, wanted) {
        let apart = row.spacing.apart;
        if apart >= wanted - RULER {
            continue;
        }
        let [first, second] = row.spacing.turnouts.map(|t| &plan.turnout[t].name);
        let finding = Finding::warning(
            "tracks-too-close",
            Harm::CanStop,
            format!(
                "`{}` and `{}` leave `{}` and `{}` {} apart; {who} {}",
                row.tracks[0],
                row.tracks[1],
                first.value,
                second.value,
                facts.plan.units().metres(apart),
                facts.plan.units().metres(wanted)
            ),
        )
        .at(second.span.clone(), "too near to the one before")
        .also(first.span.clone(), "the one before");
        let finding = finding.fact(format!(
            "{} along the track from where the one's centre lines part to where the other's do, {} of it track between them",
            facts.plan.units().metres(row.spacing.pitch),
            facts.plan.units().metres(row.spacing.between)
        ));
        found.push(if row.due < 0.0 {
            let least = apart - row.spacing.between * row.spacing.per_metre;
            finding.help(format!(
                "the turnouts are too long for it by themselves: joined directly they bring {}",
                facts.plan.units().metres(least)
            ))
        } else {
            finding.help(format!("{} of track between the two turnouts", facts.plan.units().metres(row.due)))
        });
    }
    never_clear(facts, found);
}

/// Legs that bend back to each other too near.
fn never_clear(facts: &Context<'_>, found: &mut Vec<Finding>) {
    for clearance in facts.clearances() {
        let legs: Vec<&str> =
            clearance.legs.iter().filter(|leg| leg.clear_from_frog.is_none()).map(|leg| leg.end.as_str()).collect();
        if legs.is_empty() {
            continue;
        }
        let name = &facts.plan.turnout[clearance.turnout].name;
        let centres = clearance::centres(facts.plan).map_or(0.0, |c| c.0.si());
        let finding = Finding::warning(
            "tracks-too-close",
            Harm::CanStop,
            format!(
                "the tracks behind `{}` are not clear of each other as far as they go: {} are due",
                name.value,
                facts.plan.units().metres(centres)
            ),
        )
        .at(name.span.clone(), "behind this turnout")
        .fact(format!("nowhere clear: {}", words::list(&legs.iter().map(|l| (*l).to_owned()).collect::<Vec<_>>())));
        let vehicle = clearance::longest_vehicle(facts.plan).is_some();
        let finding =
            if vehicle { finding.fact("with what the longest vehicle swings out in the curves") } else { finding };
        found.push(finding.help("curves of a greater radius, or tracks further apart"));
    }
}
