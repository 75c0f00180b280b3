//! What must not matter, on plans grown at random: in which order tables stand, from which side the layout is seen, which
//! conductor is called A, from which end a track is written, the unit of lengths, a soldered joint more. And no proposed fix
//! makes anything worse.

use crate::enumeration::require;
use crate::reading::{Grown, count, grown, ignored};
use finding::Finding;
use libtest_mimic::{Failed, Trial};
use oracle::rewrite::Rewrite;
use review::Review;
use std::collections::{BTreeMap, BTreeSet};

/// Plans without a fault in the short run.
const FEW: usize = 8;
/// Numbers agree to this, relative.
const CLOSE: f64 = 1e-9;

pub fn trials() -> Vec<Trial> {
    let each = || count().div_ceil(12);
    vec![
        Trial::test("laws::a_few_grown_plans", || laws("none", FEW)).with_ignored_flag(ignored()),
        Trial::test("laws::one_of_each_planted_fault", || laws("planted", 1)).with_ignored_flag(ignored()),
        // These take a minute or more.
        Trial::test("laws::grown_plans", || laws("none", count())).with_ignored_flag(true),
        Trial::test("laws::grown_plans_with_a_planted_fault", move || laws("planted", each())).with_ignored_flag(true),
        Trial::test("laws::fixes_of_grown_plans", move || fixes(each())).with_ignored_flag(true),
    ]
}

/// What is reported of a plan, less the words.
#[derive(Debug, PartialEq)]
struct Told {
    findings: Vec<(&'static str, finding::Severity)>,
    answers: Vec<(&'static str, Option<bool>)>,
    extent: String,
    complete: bool,
    /// For each track volts and amperes, usual, worst and best; in order of size.
    tracks: Vec<[f64; 6]>,
    /// For each route the same.
    routes: Vec<[f64; 6]>,
}

fn told(text: &str) -> Result<Told, Failed> {
    let review = review::review(text);
    require(review.summary.understood, || format!("{:#?}\n{text}", review.findings.first()))?;
    Ok(told_of(&review))
}

fn told_of(review: &Review) -> Told {
    let mut findings: Vec<_> = review.findings.iter().map(|f| (f.name, f.severity)).collect();
    findings.sort_unstable();
    let numbers =
        |v: handbook::Spread<f64>, a: handbook::Spread<f64>| [v.typical, v.low, v.high, a.typical, a.low, a.high];
    let figures = review.figures.as_ref();
    let mut tracks: Vec<_> = figures.iter().flat_map(|f| &f.tracks).map(|t| numbers(t.volts, t.fault_amps)).collect();
    let mut routes: Vec<_> = figures.iter().flat_map(|f| &f.ways).map(|w| numbers(w.volts, w.fault_amps)).collect();
    // What differs by rounding only keeps its order.
    let order = |n: &[f64; 6]| n.map(|x| (x * 1e10).round() as i64);
    tracks.sort_by_key(order);
    routes.sort_by_key(order);
    Told {
        findings,
        answers: review.summary.answers.iter().map(|a| (a.question, a.well)).collect(),
        extent: review.summary.extent.clone(),
        complete: figures.is_some_and(|f| f.tracks.iter().all(|t| t.exact)),
        tracks,
        routes,
    }
}

/// Findings that a milliohm more can bring.
const BY_MILLIOHMS: [&str; 4] =
    ["breaker-may-not-trip", "breaker-may-not-trip-when-aged", "inductive-drop", "voltage-drop"];

/// How two differ, if they do.
fn differ(one: &Told, other: &Told, split: bool) -> Option<String> {
    let asked = |told: &Told| {
        let findings = told.findings.iter().copied();
        findings.filter(|f| !split || !BY_MILLIOHMS.contains(&f.0)).collect::<Vec<_>>()
    };
    if asked(one) != asked(other) || one.answers != other.answers || one.complete != other.complete {
        return Some(format!("{:?} {:?} became {:?} {:?}", one.findings, one.answers, other.findings, other.answers));
    }
    // A soldered joint is a milliohm, and a track that is two now is reported twice: numbers are no longer the same.
    let pairs: Vec<(f64, f64)> = if split {
        Vec::new()
    } else {
        if one.extent != other.extent
            || one.tracks.len() != other.tracks.len()
            || one.routes.len() != other.routes.len()
        {
            return Some(format!("{} became {}", one.extent, other.extent));
        }
        let flat = |told: &Told| told.tracks.iter().chain(&told.routes).flatten().copied().collect::<Vec<_>>();
        flat(one).into_iter().zip(flat(other)).collect()
    };
    let far = pairs.into_iter().find(|(a, b)| (a - b).abs() > CLOSE * a.abs().max(1.0));
    far.map(|(a, b)| format!("{a} became {b}"))
}

fn laws(kind: &str, each: usize) -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let plans = grown(kind, each, folder.path())?;
    let mut tried: BTreeMap<&str, usize> = BTreeMap::new();
    let mut wrong = Vec::new();
    for (number, plan) in plans.iter().enumerate() {
        let text = std::fs::read_to_string(&plan.file)?;
        // Plain names, of which none looks like a rail of another thing.
        let mut plain = Rewrite::from_text(&text);
        plain.rename(|_, number| format!("n{number}"));
        let before = told(&plain.text())?;
        for (law, changed) in changes(&plain, number as u64) {
            *tried.entry(law).or_insert(0) += 1;
            if let Some(what) = differ(&before, &told(&changed.text())?, law == "split") {
                wrong.push(format!("{} {law}: {what}", plan.file));
                std::fs::write(format!("{}.{law}", plan.file), changed.text())?;
            }
        }
    }
    let closed = plans.iter().filter(|p| p.closed).count();
    println!("{} plans ({closed} closed) under {tried:?}: {} differences", plans.len(), wrong.len());
    if wrong.is_empty() {
        return Ok(());
    }
    let kept = folder.keep();
    Err(format!("{} differences, in {}:\n{}", wrong.len(), kept.display(), wrong.join("\n")).into())
}

/// The plan in other words.
fn changes(plain: &Rewrite, seed: u64) -> Vec<(&'static str, Rewrite)> {
    let with = |change: &dyn Fn(&mut Rewrite)| {
        let mut plan = plain.clone();
        change(&mut plan);
        plan
    };
    let mut all = vec![
        ("order", with(&|p| p.shuffle(seed))),
        ("poles", with(&Rewrite::exchange_poles)),
        ("ends", with(&|p| (0..p.tracks()).filter(|t| (seed >> (t % 5)) & 1 == 0).for_each(|t| p.turn(t)))),
        ("inches", with(&Rewrite::in_inches)),
    ];
    // A slip or crossing in a mirror has its ends numbered otherwise.
    let text = plain.text();
    if !["[[slip]]", "[[crossing]]"].iter().any(|kind| text.contains(kind)) {
        all.push(("mirror", with(&Rewrite::mirror)));
    }
    let mut split = plain.clone();
    let first = seed as usize % plain.tracks().max(1);
    if (0..plain.tracks()).any(|k| split.split((first + k) % plain.tracks(), 0.37)) {
        all.push(("split", split));
    }
    all
}

/// Every fix that is proposed ends a finding of its name, and nothing comes.
fn fixes(each: usize) -> Result<(), Failed> {
    let folder = tempfile::tempdir()?;
    let (mut made, mut wrong) = (BTreeMap::<&str, usize>::new(), Vec::new());
    let plans: Vec<Grown> = grown("planted", each, folder.path())?;
    for plan in &plans {
        let text = std::fs::read_to_string(&plan.file)?;
        let review = review::review(&text);
        for finding in &review.findings {
            let Some(proposal) = &finding.proposal else { continue };
            *made.entry(finding.name).or_insert(0) += 1;
            let mended = finding::apply(&text, &proposal.edits)?;
            let after = review::review(&mended);
            if let Some(what) = harm(&review, &after, finding.name) {
                wrong.push(format!("{} [{}] {}: {what}", plan.file, finding.name, proposal.says));
            }
        }
    }
    let all: usize = made.values().sum();
    println!("{all} fixes proposed for {} plans made and reviewed: {made:?}; {} do harm", plans.len(), wrong.len());
    require(all > plans.len() / 4, || format!("only {all} fixes in {} plans", plans.len()))?;
    if wrong.is_empty() {
        return Ok(());
    }
    let kept = folder.keep();
    Err(format!("{} do harm, in {}:\n{}", wrong.len(), kept.display(), wrong.join("\n")).into())
}

/// Findings that a worse one of another name hides, and which one that is: the worse one is reported in its place.
const HIDDEN_BY: [(&str, &[&str]); 4] = [
    ("mid-throw-short", &["short-circuit"]),
    ("breaker-may-not-trip-when-aged", &["breaker-may-not-trip"]),
    ("breaker-may-not-trip-after-failure", &["breaker-may-not-trip", "breaker-may-not-trip-when-aged"]),
    ("inductive-drop", &["voltage-drop"]),
];

/// Findings of volts and currents.
const NUMBERS: [&str; 6] = [
    "breaker-may-not-trip",
    "breaker-may-not-trip-when-aged",
    "breaker-may-not-trip-after-failure",
    "inductive-drop",
    "track-voltage-too-low",
    "voltage-drop",
];

fn harm(before: &Review, after: &Review, name: &str) -> Option<String> {
    let count = |review: &Review, name: &str| review.findings.iter().filter(|f| f.name == name).count();
    if count(after, name) >= count(before, name) {
        return Some(format!("still {} of {name}", count(after, name)));
    }
    let hidden = |name: &str| {
        let hides = HIDDEN_BY.iter().find(|h| h.0 == name).map_or(&[] as &[&str], |h| h.1);
        hides.iter().any(|h| count(before, h) > count(after, h))
    };
    // Of a track that was shorted nothing was known of volts and currents: what is wrong with them comes to light.
    let ended = count(before, "short-circuit") > count(after, "short-circuit");
    let lines = |review: &Review| review.figures.iter().flat_map(|f| f.tracks.clone()).collect::<Vec<_>>();
    let known: BTreeSet<usize> = lines(before).iter().map(|t| t.track).collect();
    let fresh = lines(after).into_iter().filter(|t| ended && !known.contains(&t.track));
    let fresh: Vec<String> = fresh.map(|t| format!("`{}`", t.name)).collect();
    let came_to_light =
        |f: &Finding| NUMBERS.contains(&f.name) && fresh.iter().any(|track| f.message.contains(track.as_str()));
    let comes = after
        .findings
        .iter()
        .find(|f| count(after, f.name) > count(before, f.name) && !hidden(f.name) && !came_to_light(f));
    comes.map(|f| format!("there is now: {}", f.message))
}
