//! What is worth knowing of a plan without being a fault of it: one line each, under the summary.

use crate::context::Context;
use analysis::{feeds, words};
use circuit::BreakerPole;
use electrics::breaker_chain::{BreakerChain, ChainBreaker};
use handbook::limits::FEEDER_SPACING;
use handbook::quantity::{Quantity, Seconds, show_seconds};
use std::collections::{BTreeMap, BTreeSet};

/// Names in one line; of more, only how many more there are.
const MOST_NAMES: usize = 6;

/// All of them.
pub fn notes(facts: &Context<'_>) -> Vec<String> {
    run_through(facts)
        .into_iter()
        .chain(most_depends_on(facts))
        .chain(not_asked(facts))
        .chain(failures_left_out(facts))
        .chain(openings_left_out(facts))
        .chain(large_left_out(facts))
        .chain(analysis::filters::notes(facts))
        .chain(analysis::filters::broken_fault(facts))
        .chain(who_opens_first(facts))
        .chain(stand_nowhere(facts))
        .chain(stubs(facts))
        .chain(promised(facts))
        .chain(detectors(facts))
        .chain(cut_short(facts))
        .chain(seasons_not_told(facts))
        .chain(
            crate::fixes::proving::left_out(facts).then(|| "fixes were tried for some of the findings only".to_owned()),
        )
        .collect()
}

/// Short pieces of storage tracks between trackwork and the first gap: they belong to the frog, and are not held to the policy.
fn stubs(facts: &Context<'_>) -> Option<String> {
    let proof = facts.proof().ok()?;
    let longest = proof.stubs.iter().map(|s| s.stretch[1] - s.stretch[0]).fold(0.0, f64::max);
    let mut names: Vec<&str> = proof.stubs.iter().map(|s| facts.plan.track[s.track].name.value.as_str()).collect();
    names.dedup();
    let more = if names.len() > MOST_NAMES { format!(" and {} more", names.len() - MOST_NAMES) } else { String::new() };
    let shown = names[..names.len().min(MOST_NAMES)].join(", ");
    (!names.is_empty()).then(|| {
        format!(
            "not counted as storage, since it lies between a frog and the first gap: up to {} of {shown}{more}. It may stay live",
            facts.plan.units().metres(longest)
        )
    })
}

/// What the builder promises never to set, and promises that say nothing.
fn promised(facts: &Context<'_>) -> Vec<String> {
    let told = |(never, promise): (usize, &plan::tables::Never)| {
        let names: Vec<String> = promise.together.iter().map(|text| text.value.clone()).collect();
        let together = words::list(&names);
        if facts.circuit.promised.iter().any(|p| p.never == never) {
            format!("you promised that these are never set together, and no such setting was checked: {together}")
        } else {
            format!("this promise changes nothing, since these can never stand together: {together}")
        }
    };
    let all = &facts.plan.never;
    let mut lines: Vec<String> = all.iter().enumerate().take(MOST_NAMES).map(told).collect();
    if all.len() > MOST_NAMES {
        lines.push(format!("you promised {} more settings that never occur", all.len() - MOST_NAMES));
    }
    lines
}

/// What detectors take of the volts of their tracks.
fn detectors(facts: &Context<'_>) -> Vec<String> {
    let told = |(index, detector): (usize, &plan::tables::Detector)| {
        let volts = circuit::detectors::volts(facts.plan, index);
        let tracks: Vec<String> = detector.tracks.iter().map(|t| t.value.clone()).collect();
        (volts > 0.0).then(|| {
            let assumed = if detector.drop.is_none() { ", as is usual" } else { "" };
            let volts = handbook::quantity::show_volts(handbook::quantity::Volts(volts));
            format!(
                "detector `{}` keeps {volts}{assumed}: rails of {} get that much less",
                detector.name.value,
                some_of(&tracks)
            )
        })
    };
    facts.plan.detector.iter().enumerate().filter_map(told).collect()
}

/// What happens while motors move, where that grew too complex; where there are lasting shorts they go first.
fn not_asked(facts: &Context<'_>) -> Option<String> {
    let proof = facts.proof().ok()?;
    let not_asked = proof.shorts.is_empty() && proof.mid_throws.is_none();
    not_asked.then(|| "what happens while motors move is too complex to prove, and was not proved".to_owned())
}

/// How long a short behind each sub-breaker lasts and how long before the breaker above would open, over every current from
/// the weakest place with everything aged to a short at the breaker itself. Nothing where it is not always first: that is a
/// finding.
fn who_opens_first(facts: &Context<'_>) -> Vec<String> {
    let circuit = &facts.circuit;
    let mut least: BTreeMap<usize, f64> = BTreeMap::new();
    for line in facts.figures().into_iter().flat_map(|f| &f.tracks) {
        if let Some(&BreakerPole { breaker, .. }) = circuit.intended_pole[line.track].iter().flatten().next() {
            let amps = least.entry(breaker).or_insert(f64::INFINITY);
            *amps = amps.min(line.fault_amps.low);
        }
    }
    let tell = |(&breaker, &low): (&usize, &f64)| {
        let breaker = &circuit.breakers[breaker];
        let chain: Vec<_> = feeds::chain(circuit, breaker).collect();
        let upper = chain.get(1)?;
        let known = |b: &&circuit::Breaker| {
            let trips = &facts.plan.supply[b.supply].trips.as_ref()?.value;
            let delay_seconds = trips.after.as_ref()?.value.si();
            Some(ChainBreaker { trip_amps: trips.at.value.si(), delay_seconds, share: 1.0 })
        };
        let breakers: Vec<ChainBreaker> = chain.iter().map(known).collect::<Option<_>>()?;
        let most = circuit.sources[breaker.source].volts / feeds::inside_ohms(facts, breaker);
        let over = BreakerChain { breakers: &breakers, foldback: None }.over_band(low, most.max(low));
        let name = |b: &circuit::Breaker| &facts.plan.supply[b.supply].name.value;
        over.always_nearest_first.then(|| {
            let margin = match over.least_margin_seconds {
                margin if margin.is_finite() => {
                    format!(", {} before `{}` would open", show_seconds(Seconds(margin)), name(upper))
                }
                _ => String::new(),
            };
            format!(
                "a short circuit behind `{}` lasts {} at most{margin}",
                name(breaker),
                show_seconds(Seconds(over.longest_seconds))
            )
        })
    };
    least.iter().filter_map(tell).collect()
}

/// Trains that draw while they stand, where the plan does not say on which track.
fn stand_nowhere(facts: &Context<'_>) -> Option<String> {
    let asked = &facts.figures()?.load_case;
    let nowhere = |t: &&plan::tables::Train| {
        let draws = t.draws.as_ref().is_some_and(|d| d.value.standing.is_some());
        draws && t.stands.is_none() && asked.train_from != format!("train `{}`", t.name.value)
    };
    let names: Vec<String> = facts.plan.train.iter().filter(nowhere).map(|t| t.name.value.clone()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "what these trains draw while they stand is left out, since no `stands` says where they stand: {}",
            some_of(&names)
        )
    })
}

/// What a plan lacks that tells something of room or base, and not enough.
fn seasons_not_told(facts: &Context<'_>) -> Option<String> {
    let missing = &facts.movement().err()?.missing;
    let began = facts.plan.room.is_some() || facts.plan.base.as_ref().is_some_and(|b| b.value.thickness.is_none());
    let missing: Vec<String> = missing.iter().map(|&m| m.to_owned()).collect();
    began.then(|| {
        format!(
            "how rails and base move over the year was not worked out: the plan does not say {}",
            words::list(&missing)
        )
    })
}

/// Faults that are so many that no more were looked for.
fn cut_short(facts: &Context<'_>) -> Option<String> {
    let cut_short = &facts.proof().ok()?.cut_short;
    let words: Vec<String> = cut_short.iter().map(|&s| s.to_owned()).collect();
    (!words.is_empty()).then(|| {
        format!(
            "so much is wrong that the search for these was cut short: {}; put some right and check again",
            words::list(&words)
        )
    })
}

/// Single failures, where there are too many ways to try them on all.
fn failures_left_out(facts: &Context<'_>) -> Option<String> {
    let tried = analysis::ways_failed(&facts.circuit, facts.ways());
    let all = facts.ways().complete && tried == facts.ways().list.len();
    (!all).then(|| {
        format!("what goes dead when one joint, contact, tap or feeder fails was tried on {tried} routes only")
    })
}

/// What single failures leave of the current of a short, where there are too many tracks to ask it of all.
fn openings_left_out(facts: &Context<'_>) -> Option<String> {
    let tracks = facts.figures()?.tracks.len();
    let most = analysis::figures::MOST_FAILED;
    (tracks > most).then(|| {
        format!("what one open joint, contact, tap or feeder leaves of a short's current: only for the {most} weakest of {tracks} tracks")
    })
}

/// What is tried on plans of usual length only.
fn large_left_out(facts: &Context<'_>) -> Option<String> {
    analysis::is_large(&facts.circuit).then(|| {
        "the plan is so long that this was not tried: what helps a weak track, how few feeders do, what a gap joins once it has closed"
            .to_owned()
    })
}

/// Trackwork that a train must not run through while it is set against it.
fn run_through(facts: &Context<'_>) -> Option<String> {
    let proof = facts.proof().ok()?;
    let works: BTreeSet<_> = proof.run_throughs.iter().map(|r| (r.kind, r.index)).collect();
    let name = |&(kind, index): &(plan::Kind, usize)| {
        let run = proof.run_throughs.iter().find(|r| (r.kind, r.index) == (kind, index))?;
        let span = facts.circuit.segments[run.segment].span.clone();
        Some(facts.text.get(span)?.trim_matches(['"', '\'']).to_owned())
    };
    let names: Vec<String> = works.iter().filter_map(name).collect();
    if names.is_empty() {
        return None;
    }
    Some(format!("driving through these while they are set the other way shorts the track: {}", some_of(&names)))
}

/// The joint, contact, tap or feeder that takes most rail with it.
fn most_depends_on(facts: &Context<'_>) -> Option<String> {
    let worst = facts.failures().first().filter(|f| f.dead_metres > FEEDER_SPACING.value.low.si())?;
    let edge = &facts.circuit.edges[worst.edge];
    let mut by_length = worst.segments.clone();
    by_length.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let names: Vec<String> = by_length.iter().map(|s| facts.circuit.segments[s.0].name.clone()).collect();
    let metres = facts.plan.units().metres(worst.dead_metres);
    Some(format!("weakest point: the {}. If it fails, {metres} of rail goes dead: {}", edge.name, some_of(&names)))
}

/// A list, cut where it gets long.
pub fn some_of(names: &[String]) -> String {
    match names.len() {
        0..=MOST_NAMES => words::list(names),
        more => format!("{} and {} more", names[..MOST_NAMES - 1].join(", "), more + 1 - MOST_NAMES),
    }
}
