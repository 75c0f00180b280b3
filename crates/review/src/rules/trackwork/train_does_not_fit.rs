//! A train stands on a track that is too short for it.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::{lengths_table, words};
use finding::{Finding, Harm};
use handbook::quantity::Quantity;
use movement::clear_length::{self, ClearBound, ClearStretch};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "train-does-not-fit",
        title: "a train stands on a track that is too short for it",
        text: "A standing train must leave room at both ends: a buffer stops it, points must not be blocked, and behind a \
               frog it stands clear only beyond the fouling point, or beyond the gap that bounds its section where that \
               lies further in. What is left between is the clear length (49 CFR 218.93 calls the bound clearance point). \
               A train that is longer is hit by what runs past it.\n\nSome 12 % of the train are kept for slack and \
               couplings when the longest train is told (common practice, no source); this finding comes only when there \
               is no room at all.\n\nFix: another track, a shorter train, or the gap nearer to the frog. `gapwright \
               lengths` tells which tracks would do.",
        drawing: r#"              ┌─ fouling point
   ══ frog ═══╪═══[====][====][====]▌ buffer
              │←── clear length ───→│"#,
        example: include_str!("examples/train-does-not-fit.toml"),
    },
    find,
};

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    if plan.train.iter().all(|t| t.stands.is_none()) {
        return;
    }
    let stretches = clear_length::stretches(plan, &facts.circuit, facts.clearances());
    for train in plan.train.iter() {
        let Some(stands) = &train.stands else { continue };
        let on = |s: &&ClearStretch| s.tracks.iter().any(|t| plan.track[t.0].name.value == stands.value);
        let Some(stretch) = stretches.iter().find(on) else { continue };
        let length = train.length.value.si();
        // What goes on off the plan, or round, may be long enough.
        let open = |e: &clear_length::StretchEnd| matches!(e.bound, ClearBound::Beyond | ClearBound::Ring);
        if length <= stretch.clear || stretch.ends.iter().any(open) {
            continue;
        }
        let mut finding = Finding::warning(
            "train-does-not-fit",
            Harm::CanStop,
            format!(
                "`{}` is {} long and stands on `{}`, of which {} are clear",
                train.name.value,
                facts.plan.units().metres(length),
                stands.value,
                facts.plan.units().metres(stretch.clear)
            ),
        )
        .at(stands.span.clone(), "too short for it")
        .also(train.length.span.clone(), "its length");
        for end in &stretch.ends {
            if end.inward > 0.0 {
                let what = match &end.bound {
                    ClearBound::Fouling(name) => format!("clear of `{name}`"),
                    ClearBound::NeverClear(name) => format!("nowhere clear of `{name}`"),
                    _ => "behind its gap".to_owned(),
                };
                finding = finding.fact(format!("{what} from {} on", facts.plan.units().metres(end.inward)));
            }
        }
        let slack = clear_length::slack(plan).0;
        let fits = |s: &&ClearStretch| s.longest_train(slack) >= length && !s.ends.iter().any(open);
        let others: Vec<String> = stretches.iter().filter(fits).map(|s| lengths_table::stretch_name(plan, s)).collect();
        found.push(match others.len() {
            0 => finding.help("a shorter train; no track between bounds is long enough"),
            _ => finding.help(format!("it would fit {}", words::few(others.into_iter()))),
        });
    }
}
