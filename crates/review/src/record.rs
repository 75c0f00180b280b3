//! The review as a record for other programs: JSON, described in `docs/review-record.md`.

use crate::Review;
use analysis::figures::Figures;
use analysis::noticed::Noticed;
use circuit::{Origin, Senses};
use electrics::square_short::Sensed;
use handbook::Spread;
use serde::Serialize;
use serde_json::{Value, json};

/// The version of the record. It grows by one when a field changes its meaning or goes; new fields
/// may come without.
pub const VERSION: u32 = 2;

#[derive(Serialize)]
struct ReviewRecord<'r> {
    format: &'static str,
    version: u32,
    plan: &'r str,
    layout: &'r str,
    extent: &'r str,
    understood: bool,
    answers: Vec<Value>,
    notes: &'r [String],
    findings: Vec<finding::FindingRecord>,
    figures: Option<Value>,
}

/// The record of a review; `path` is how the plan is called.
pub fn to_json(review: &Review, text: &str, path: &str) -> String {
    let summary = &review.summary;
    let answers = summary.answers.iter();
    let record = ReviewRecord {
        format: "gapwright-review",
        version: VERSION,
        plan: path,
        layout: &summary.name,
        extent: &summary.extent,
        understood: summary.understood,
        answers: answers.map(|a| json!({ "question": a.question, "well": a.well, "words": a.words })).collect(),
        notes: &summary.notes,
        findings: finding::to_records(&review.findings, text),
        figures: review.figures.as_ref().map(figures),
    };
    // A record of strings and numbers always serializes; not-a-number becomes null.
    escaped(&serde_json::to_string_pretty(&record).unwrap_or_default()) + "\n"
}

/// Control characters that JSON allows as they are, but a terminal that shows the record might obey,
/// written as escapes. They can only stand inside strings, where an escape means the same.
fn escaped(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '\u{7f}'..='\u{9f}' => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            _ => out.push(c),
        }
    }
    out
}

fn band(band: &Spread<f64>) -> Value {
    json!({ "low": band.low, "typical": band.typical, "high": band.high })
}

/// What breakers notice of the worst short on a track, in amperes.
fn noticed(noticed: &Noticed) -> Value {
    let kinds = |sensed: &Sensed| json!({ "mean": sensed.mean, "rms": sensed.rms, "peak": sensed.peak });
    let sensed = &noticed.sensed;
    json!({
        "square_wave": noticed.square_wave,
        "senses": noticed.senses.map(Senses::word),
        "ones": { "low": kinds(&sensed.low), "typical": kinds(&sensed.typical), "high": kinds(&sensed.high) },
        "idle_packets": kinds(&noticed.idle),
        "at_metres": noticed.at,
        "loop_henries": band(&noticed.henries),
    })
}

fn figures(figures: &Figures) -> Value {
    let asked = &figures.load_case;
    let tracks: Vec<Value> = figures
        .tracks
        .iter()
        .map(|t| {
            json!({
                "track": t.name,
                "supply_volts": t.supply_volts,
                "volts": band(&t.volts),
                "volts_at_metres": t.volts_at,
                "standing_volts": t.standing_volts,
                "decoder_volts": t.decoder.as_ref().map(|d| band(&d.0)),
                "loop_henries": t.decoder.map(|d| d.1.typical),
                "loop_henries_band": t.decoder.map(|d| band(&d.1)),
                "fault_amps": band(&t.fault_amps),
                "fault_at_metres": t.fault_at,
                "margin": t.margin.as_ref().map(band),
                "upper_margin": t.upper_margin.as_ref().map(band),
                "noticed": noticed(&t.noticed),
                "exact": t.exact,
            })
        })
        .collect();
    let ways: Vec<Value> = figures
        .ways
        .iter()
        .map(|w| {
            json!({
                "route": w.name,
                "volts": band(&w.volts),
                "volts_at": { "segment": w.volts_at.0, "metres": w.volts_at.1 },
                "fault_amps": band(&w.fault_amps),
                "fault_at": { "segment": w.fault_at.0, "metres": w.fault_at.1 },
            })
        })
        .collect();
    let contributions: Vec<Value> = figures
        .contributions
        .iter()
        .map(|h| {
            let (origin, source) = match &h.origin {
                Origin::Plan(span) => ("plan", json!({ "byte_start": span.start, "byte_end": span.end })),
                Origin::Handbook(source) => ("handbook", json!(source)),
                Origin::Default(source) => ("default", json!(source)),
            };
            json!({
                "name": h.name,
                "value": h.value,
                "origin": origin,
                "source": source,
                "share": h.share,
                "swing_volts": h.swing_volts,
            })
        })
        .collect();
    json!({
        "asked": {
            "train_amps": asked.train_amps,
            "train_from": asked.train_from,
            "drop": asked.drop,
            "fault_margin": asked.fault_margin,
            "bridge_ohms": band(&asked.bridge_ohms),
        },
        "tracks": tracks,
        "routes": ways,
        "worst_track": figures.worst.map(|w| figures.tracks[w].name.as_str()),
        "hangs_on": contributions,
    })
}
