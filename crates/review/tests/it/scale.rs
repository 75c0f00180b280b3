//! Plans far beyond any home layout are reviewed whole, or refused in so many words. What is counted
//! here is held by shape, not by the clock: a review that grows faster than its plan does not end.

use finding::Style;
use oracle::long_plans as plans;
use std::fmt::Write as _;

#[test]
fn a_chain_of_three_thousand_tracks() {
    let text = plans::chain(3000);
    let review = review::review(&text);
    assert!(review.findings.is_empty(), "{:#?}", review.findings.first());
    assert_eq!(review.summary.extent, "3000 tracks, 0 turnouts, 1 route, 1 setting");
    assert!(review.summary.answers.iter().all(|a| a.well == Some(true)), "{:?}", review.summary.answers);
    let figures = review.figures.as_ref().expect("it is fed");
    assert_eq!(figures.tracks.len(), 3000);
    // Every piece has its own feeder, the bus is as long as the line: the far end is the worst.
    assert_eq!(figures.worst, Some(2999));
    let volts: Vec<f64> = figures.tracks.iter().map(|t| t.volts.typical).collect();
    // The first one ends in the air, as the last does, and is fed from one side only.
    assert!(volts[1..].windows(2).all(|two| two[1] <= two[0] + 1e-9), "the voltage sinks along the line");
    // The table shows the worst of them and says how many more there are.
    let shown = review.summary.render(80);
    assert!(shown.lines().count() < 60 && shown.contains("2976 more tracks"), "{shown}");
}

/// Three hundred turnouts off one ladder, and one frog contact wired the wrong way about.
#[test]
fn a_ladder_of_three_hundred_turnouts() {
    let text = plans::ladder(300, Some(200));
    let review = review::review(&text);
    assert_eq!(review.summary.extent, "601 tracks, 300 turnouts, 301 routes, 2^300 settings");
    let named: Vec<&str> = review.findings.iter().map(|f| f.name).collect();
    assert_eq!(named, ["frog-on-wrong-phase"], "one cause is told once");
    let message = &review.findings[0].message;
    assert!(message.contains("`T200`") && message.chars().count() < 160, "{message}");
    let proposal = review.findings[0].proposal.as_ref().expect("the wires can be exchanged");

    let mended = finding::apply(&text, &proposal.edits).expect("a proposal can be made");
    assert_eq!(mended, plans::ladder(300, None), "exactly what was wrong is put right");
    let mended = review::review(&mended);
    assert!(mended.findings.is_empty(), "{:#?}", mended.findings.first());
    assert_eq!(mended.figures.as_ref().map(|f| f.tracks.len()), Some(601));
}

/// Ways beyond the limit are not listed, yet no track is left out.
#[test]
fn more_ways_than_are_listed() {
    let review = review::review(&plans::passing_loops(12));
    assert!(review.findings.is_empty(), "{:#?}", review.findings.first());
    let extent = &review.summary.extent;
    assert!(
        extent.starts_with("37 tracks, 24 turnouts, 5") && extent.ends_with(" routes or more, 2^24 settings"),
        "{extent}"
    );
    assert!(review.summary.answers.iter().all(|a| a.well == Some(true)), "{:?}", review.summary.answers);
    let figures = review.figures.as_ref().expect("it is fed");
    assert_eq!(figures.tracks.len(), 37, "every track is told");
    assert!(figures.tracks.iter().all(|t| t.exact), "the worst of 2^24 settings is found, not sampled");
}

#[test]
#[ignore = "takes minutes; `.ci/run` runs it"]
fn forty_thousand_broken_references() {
    let many = 40_000;
    let mut feeders = String::new();
    let mut stored = String::new();
    for k in 0..many {
        let _ = write!(feeders, "{{at=\"0.2 m\",rail=\"left\",to=\"bos {k}.A\"}},");
        let _ = write!(stored, "\"no track {k}\",");
    }
    let texts = [
        plans::chain(1).replace("feeders = [", &format!("feeders = [{feeders}")),
        plans::chain(1) + &format!("[storage]\nlive = \"lined\"\ntracks = [{stored}]\n"),
        // Many right names to hold each wrong one against.
        plans::chain(3000) + &format!("[storage]\nlive = \"lined\"\ntracks = [{stored}]\n"),
    ];
    for text in texts {
        assert!(text.len() < plan::LARGEST_PLAN, "{} bytes", text.len());
        let review = review::review(&text);
        assert!(!review.summary.understood);
        // Five hundred are reported one by one, the rest are counted.
        assert_eq!(review.findings.len(), 501);
        let counted = review.findings.iter().find(|f| f.message.contains("more faults"));
        let counted = counted.unwrap_or_else(|| panic!("nobody counts the rest: {:?}", review.findings.last()));
        assert!(counted.message.starts_with(&(many - 500).to_string()), "{}", counted.message);
        assert_eq!(review.findings.iter().filter(|f| f.name == "no-such-name").count(), 500);
        let full = finding::render_full(&review.findings, &text, "plan.toml", Style::default());
        assert!(full.len() < 100_000, "{} bytes of words", full.len());
    }
}

/// Faults of one plan are reported, however many: each missing gap of a long ladder is a short of its own.
#[test]
fn a_hundred_faults() {
    let text = plans::ladder(100, None).replace("gaps = [{ at = \"20 mm\", rail = \"left\" }]\n", "");
    let review = review::review(&text);
    let shorts = review.findings.iter().filter(|f| f.name == "short-circuit").count();
    assert!((1..=100).contains(&shorts), "{shorts} shorts");
    assert!(review.has_errors());
    let full = finding::render_full(&review.findings, &text, "plan.toml", Style::default());
    assert!(full.contains("FAULT "), "{full}");
}
