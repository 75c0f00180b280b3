//! What a review comes to, so that two can be compared.
//!
//! Findings of two reviews are matched by what they are and by which table of the plan they are reported at: its kind and its name,
//! since an edit moves bytes, and may put a table before it that overrides what a composite stands for.

use analysis::Figures;
use finding::{Finding, Severity};
use std::collections::BTreeMap;

/// What a finding is, and the table it is reported at.
type FindingKey = (&'static str, Severity, String);

/// Findings that are reported at one of several pieces by what is most suspect, or once for all that are alike, at the worst:
/// which one that is, is no part of what they are.
const ANYWHERE: [&str; 11] = [
    "short-circuit",
    "supplies-meet",
    "districts-joined",
    "voltage-drop",
    "breaker-may-not-trip",
    "wire-too-thin",
    "single-sliding-joint",
    "gap-closes",
    "gap-opens-too-far",
    "rail-may-buckle",
    "feeder-may-tear",
];
/// Of those, the ones whose facts name what is alike: they grow with the list.
const LISTED: [&str; 5] =
    ["single-sliding-joint", "gap-closes", "gap-opens-too-far", "rail-may-buckle", "feeder-may-tear"];

/// Those that come from the numbers of the worst of all tracks.
const OF_NUMBERS: [&str; 2] = ["voltage-drop", "breaker-may-not-trip"];

/// What a review comes to, for comparison.
#[derive(Debug)]
pub(crate) struct ReviewVerdict {
    /// How many findings there are of each kind, at each table, at least as severe.
    counts: BTreeMap<FindingKey, usize>,
    /// How many facts those have that list what is alike.
    listed: BTreeMap<&'static str, usize>,
    /// For each track its number, the share of the voltage that is lost, as usual, and the margins of a short, as usual and
    /// aged.
    tracks: Vec<(usize, f64, Option<[f64; 2]>)>,
    limits: Option<[f64; 2]>,
}

impl ReviewVerdict {
    /// Of the findings of a review and its numbers.
    pub(crate) fn new(text: &str, findings: &[Finding], figures: Option<&Figures>) -> ReviewVerdict {
        let (mut counts, mut listed) = (BTreeMap::new(), BTreeMap::new());
        for finding in findings {
            let name = kind_of(finding.name);
            let table = match finding.place() {
                Some(place) if !ANYWHERE.contains(&name) => table_at(text, place.span.start),
                _ => String::new(),
            };
            let milder = [Severity::Note, Severity::Warning, Severity::Error];
            for severity in milder.into_iter().filter(|s| rank(*s) <= rank(finding.severity)) {
                *counts.entry((name, severity, table.clone())).or_insert(0) += 1;
            }
            if LISTED.contains(&name) {
                *listed.entry(name).or_insert(0) += finding.facts.len();
            }
        }
        let tracks = figures.iter().flat_map(|f| &f.tracks).map(|t| {
            let lost = 1.0 - t.volts.typical / t.supply_volts;
            (t.track, lost, t.margin.map(|m| [m.typical, m.low]))
        });
        let limits = figures.map(|f| [f.load_case.drop, f.load_case.fault_margin]);
        ReviewVerdict { counts, listed, tracks: tracks.collect(), limits }
    }

    /// How many findings of a name there are.
    pub(crate) fn count(&self, name: &str) -> usize {
        self.counts.iter().filter(|(key, _)| key.0 == name && key.1 == Severity::Note).map(|(_, n)| n).sum()
    }

    /// How many faults there are.
    pub(crate) fn faults(&self) -> usize {
        self.counts.iter().filter(|(key, _)| key.1 == Severity::Error).map(|(_, n)| n).sum()
    }

    /// Whether nothing is here that was not there before, or is worse.
    pub(crate) fn harms_nothing(&self, before: &ReviewVerdict) -> bool {
        self.harms_nothing_but(before, &[])
    }

    /// The same where findings of some names may well be here: what a short in every setting hides.
    pub(crate) fn harms_nothing_but(&self, before: &ReviewVerdict, may_come: &[&str]) -> bool {
        // While poles meet with everything standing still, what meets while something is thrown is not told: it comes to
        // light when the short goes, and was there before. So do the volts and fault currents of a track that a short leaves
        // without numbers.
        let shorted = ["short-circuit", "supplies-meet", "districts-joined"].iter().any(|name| before.count(name) > 0);
        let unmeasured = |track: usize| shorted && !before.tracks.iter().any(|t| t.0 == track);
        let comes_to_light = self.tracks.iter().any(|t| unmeasured(t.0));
        let hidden = |key: &FindingKey| match key.0 {
            "mid-throw-short" => before.count("short-circuit") > 0,
            name => (comes_to_light && OF_NUMBERS.contains(&name)) || may_come.contains(&name),
        };
        let comes = |(key, &n): (&FindingKey, &usize)| n > before.counts.get(key).copied().unwrap_or(0) && !hidden(key);
        let longer = |(name, &n): (&&'static str, &usize)| n > before.listed.get(name).copied().unwrap_or(0);
        if self.counts.iter().any(comes) || self.listed.iter().any(longer) {
            return false;
        }
        let Some([drop, margin]) = self.limits else { return true };
        const ROUNDING: f64 = 1e-9;
        const HARDLY_ANY: f64 = 2.5e-3;
        let mut measured = self.tracks.iter().filter(|t| !unmeasured(t.0));
        !measured.any(|(track, lost, margins)| {
            let was = before.tracks.iter().find(|t| t.0 == *track);
            let lost_before = was.map_or(0.0, |t| t.1);
            let margin_before = |aged: usize| was.and_then(|t| t.2).map_or(f64::INFINITY, |m| m[aged]);
            // Where the limit is missed anyway, a gap that takes a way round from the current is not what does it.
            let spare = if lost_before > drop { HARDLY_ANY } else { ROUNDING };
            let grows = *lost > drop && *lost > lost_before + spare;
            let falls = |aged: usize, limit: f64| {
                margins.is_some_and(|m| m[aged] < limit && m[aged] < margin_before(aged) - ROUNDING)
            };
            grows || falls(0, margin) || falls(1, 1.0)
        })
    }
}

/// Where a breaker may not trip as built, it is not told that it may not once joints have aged or one has failed; where a
/// place gets too little, it is not told that a decoder there sees still less. Such are one kind of finding.
fn kind_of(name: &'static str) -> &'static str {
    match name {
        "breaker-may-not-trip-when-aged" | "breaker-may-not-trip-after-failure" => "breaker-may-not-trip",
        "inductive-drop" => "voltage-drop",
        other => other,
    }
}

fn rank(severity: Severity) -> u8 {
    match severity {
        Severity::Note => 0,
        Severity::Warning => 1,
        Severity::Error => 2,
    }
}

/// The table that a place is in: its header with its name, or with its number among those of that kind that have none.
fn table_at(text: &str, byte: usize) -> String {
    let is_header = |line: &str| line.trim_start().starts_with('[') && line.trim_end().ends_with(']');
    let before = text.get(..byte).unwrap_or(text);
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    // The line that the place is in may be a header itself.
    let line_end = |from: usize| text[from..].find('\n').map_or(text.len(), |at| from + at + 1);
    let mut header: Option<(usize, &str)> = None;
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    let mut at = 0;
    while at <= start && at < text.len() {
        let end = line_end(at);
        let line = text[at..end].trim();
        if is_header(line) {
            header = Some((end, line));
            *seen.entry(line).or_insert(0) += 1;
        }
        at = end;
    }
    let Some((from, words)) = header else { return String::new() };
    let own = text[from..].lines().take_while(|line| !is_header(line));
    let name = own.filter_map(|line| line.trim_start().strip_prefix("name")?.trim_start().strip_prefix('=')).next();
    match name {
        Some(name) => format!("{words} {}", name.split(" #").next().unwrap_or(name).trim()),
        None => format!("{words} {}", seen.get(words).copied().unwrap_or(0)),
    }
}
