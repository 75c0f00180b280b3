//! Any bytes through the whole review and its three renderings.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let (text, review) = review::review_bytes(bytes);
    let full = finding::render_full(&review.findings, &text, "plan.toml", finding::Style::default());
    let concise = finding::render_concise(&review.findings, &text, "plan.toml");
    let record = review::record::to_json(&review, &text, "plan.toml");
    assert!(!full.is_empty() && !record.is_empty());
    assert!(review.findings.is_empty() || !concise.is_empty());
    let _ = review.summary.render(80);
    for finding in &review.findings {
        if let Some(proposal) = &finding.proposal {
            finding::apply(&text, &proposal.edits).expect("a proposal can be applied");
        }
    }
});
