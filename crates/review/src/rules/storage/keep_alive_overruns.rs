//! A train with a reservoir that a dead track does not stop in time.

use crate::context::Context;
use crate::rules::{FindingPage, Rule};
use analysis::words;
use circuit::RailOwner;
use electrics::run_on::RunOn;
use finding::{Finding, Harm};
use handbook::limits::{BRIDGE_VOLTS, DECODER_LETS_GO};
use handbook::quantity::{Farads, Quantity, Seconds, show_amps, show_farads, show_seconds};
use handbook::scales;
use movement::clear_length::{self, ClearBound, ClearStretch};
use plan::tables::{Live, RailSide, Train};
use proof::Conditions;
use std::collections::{BTreeMap, BTreeSet};

pub const RULE: Rule = Rule {
    page: FindingPage {
        name: "keep-alive-overruns",
        title: "a train with a reservoir runs on past the end of a track that is switched off",
        text: "A decoder with a reservoir drives on over dead rail until the reservoir is down to what its motor needs. For so long \
               `t = C·(U − U₀)/I` it goes on, and so far `speed × t`: some seconds and a metre or more. A track that is only \
               switched off does not stop such a train there. What the track has over the train's length must be more than \
               that, or the train goes on into the buffer or over the points at the other end.\n\nWorked out for tracks that \
               some contact, blade or toggle switches off, and for trains that say their `reservoir`, what they draw `running` and their `speed`. \
               The voltage at which the decoder stops is taken at the low end of its band, which gives the longest run: a \
               train stops there or before.\n\nFix: bring the train to a stand by command before you switch the track off, \
               run in more slowly, or do not count on dead track where trains have reservoirs. Never rely on it at the edge of \
               the table.",
        drawing: r#"   power off here ┐
   ═══════════════╪─ ─ ─ ─ ─ ─ ─ ─▌ buffer
            [====][====]→ → → → → → runs on"#,
        example: include_str!("examples/keep-alive-overruns.toml"),
    },
    find,
};

/// What a train does on its reservoir, where the plan tells enough of it.
fn run_on(facts: &Context<'_>, train: &Train, volts: f64) -> Option<RunOn> {
    let draws = &train.draws.as_ref()?.value;
    let speed = &train.speed.as_ref()?.value;
    let scale = facts.plan.layout.as_ref().and_then(|l| scales::scale(&l.value.scale.value));
    let usual = scale.map(|s| s.train_running_current.value.typical.si());
    Some(RunOn {
        farads: draws.reservoir.as_ref()?.value.si(),
        full_volts: volts - BRIDGE_VOLTS.value.si(),
        least_volts: DECODER_LETS_GO.value.low.si(),
        amps: draws.running.as_ref().map(|a| a.value.si()).or(usual)?,
        speed: speed.over.value.si() / speed.takes.value.si(),
    })
}

/// The tracks that may be switched off: as the plan says of its storage, and by their contacts, blades and toggles.
fn switched(facts: &Context<'_>) -> BTreeSet<usize> {
    let (plan, circuit) = (facts.plan, &facts.circuit);
    let said: BTreeMap<&str, bool> = (plan.storage.iter())
        .flat_map(|s| s.value.tracks.iter().map(|t| (t.value.as_str(), s.value.live.value != Live::Always)))
        .collect();
    let said = |track: usize| said.get(plan.track[track].name.value.as_str()).copied();
    let mut switched: BTreeSet<usize> = (0..plan.track.len()).filter(|&track| said(track) == Some(true)).collect();
    // Where the conditions are too large to be known, nobody learns of them here: the review says so elsewhere.
    let Ok(conditions) = Conditions::from_circuit(circuit) else { return switched };
    for segment in &circuit.segments {
        let RailOwner::Track(track) = segment.owner else { continue };
        let mut nodes = RailSide::ALL.iter().flat_map(|&side| &segment.rails[side].stops).map(|stop| stop.before);
        if said(track).is_none() && nodes.any(|node| conditions.can_be_switched_off(node) == Ok(true)) {
            switched.insert(track);
        }
    }
    switched
}

fn find(facts: &Context<'_>, found: &mut Vec<Finding>) {
    let plan = facts.plan;
    let Some(volts) = facts.circuit.sources.iter().filter(|s| s.square_wave).map(|s| s.volts).reduce(f64::max) else {
        return;
    };
    let running: Vec<(&Train, RunOn)> =
        plan.train.iter().filter_map(|train| Some((train, run_on(facts, train, volts)?))).collect();
    if running.is_empty() {
        return;
    }
    let stretches = clear_length::stretches(plan, &facts.circuit, facts.clearances());
    let open = |s: &ClearStretch| s.ends.iter().any(|e| matches!(e.bound, ClearBound::Beyond | ClearBound::Ring));
    let switched = switched(facts);
    let stops = |s: &&ClearStretch| !open(s) && s.tracks.iter().any(|t| switched.contains(&t.0));
    // The least room first.
    let mut short: Vec<(&ClearStretch, &Train, RunOn, f64)> = Vec::new();
    for stretch in stretches.iter().filter(stops) {
        for &(train, run) in &running {
            let room = stretch.clear - train.length.value.si();
            // A train that does not fit has no business there.
            if (0.0..run.metres()).contains(&room) {
                short.push((stretch, train, run, room));
            }
        }
    }
    short.sort_by(|a, b| (b.2.metres() - b.3).total_cmp(&(a.2.metres() - a.3)));
    let Some(&(stretch, train, run, room)) = short.first() else { return };
    let first = &plan.track[stretch.tracks[0].0];
    let name = analysis::lengths_table::stretch_name(plan, stretch);
    let mut finding = Finding::warning(
        "keep-alive-overruns",
        Harm::CanStop,
        format!(
            "`{}` runs on for up to {} after {name} is switched off; there are {} to spare",
            train.name.value,
            facts.plan.units().metres(run.metres()),
            facts.plan.units().metres(room)
        ),
    )
    .at(first.name.span.clone(), "does not stop it in time")
    .fact(format!(
        "its reservoir of {} lasts {} at {}",
        show_farads(Farads(run.farads)),
        show_seconds(Seconds(run.seconds())),
        show_amps(handbook::quantity::Amps(run.amps))
    ))
    .fact(format!(
        "{} are clear, the train is {} long",
        facts.plan.units().metres(stretch.clear),
        facts.plan.units().metres(train.length.value.si())
    ));
    if let Some(speed) = &train.speed {
        finding = finding.also(speed.span.clone(), "its speed");
    }
    let others: Vec<String> = short[1..]
        .iter()
        .map(|(s, t, ..)| format!("`{}` on {}", t.name.value, analysis::lengths_table::stretch_name(plan, s)))
        .collect();
    if !others.is_empty() {
        finding = finding.fact(format!("so does {}", words::few(others.into_iter())));
    }
    found.push(finding.help("stop the train by command before the track goes dead, or run in more slowly"));
}
