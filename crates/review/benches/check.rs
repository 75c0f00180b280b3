//! A whole review of each demo plan, and its parts: `cargo bench -p review`.
#![allow(missing_docs)] // the harness makes public items that cannot be documented

use circuit::{Circuit, ways::ways};
use divan::{Bencher, black_box};

const PLANS: [&str; 7] =
    ["thistle-dock", "thistle-dock-mended", "seven-tracks", "two-ladders", "balloon", "wye", "two-districts"];

fn main() {
    divan::main();
}

fn text(name: &str) -> String {
    let path = format!("{}/../../plans/{name}/plan.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// From the text to the review, with its summary and findings printed: what `gapwright check` does.
#[divan::bench(args = PLANS)]
fn whole_check(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    bencher.bench(|| {
        let review = review::review(black_box(&text));
        let style = finding::Style::default();
        let findings = finding::render_full(&review.findings, &text, name, style);
        review.summary.render(style.width).len() + findings.len()
    });
}

#[divan::bench(args = PLANS)]
fn reading(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    bencher.bench(|| plan::read(black_box(&text)));
}

#[divan::bench(args = PLANS)]
fn proving(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    let reading = plan::read(&text);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let storage = analysis::storage(&reading.plan, &reading.names);
    bencher.bench(|| proof::prove(black_box(&circuit), storage.as_ref()));
}

#[divan::bench(args = PLANS)]
fn reckoning(bencher: Bencher<'_, '_>, name: &str) {
    let text = text(name);
    let reading = plan::read(&text);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let ways = ways(&circuit, 500);
    let facts = analysis::Analysis::of(&text, &reading.plan, &reading.names);
    let proof = facts.proof().expect("a demo plan is proved");
    bencher.bench(|| analysis::figures::figures(&reading.plan, black_box(&circuit), &ways, &proof.promises));
}
