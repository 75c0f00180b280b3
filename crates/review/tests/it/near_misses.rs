//! For each rule the closest plan that must not give its finding: its example with one thing put right. And what the example is
//! proposed ends it.

use review::rules::RULES;
use std::path::Path;

/// The near miss of a finding: the file beside its example, in the folder of its trade.
fn near_miss(name: &str) -> Option<String> {
    // The example of this one is a demo plan, and so is its near miss.
    if name == "storage-live-unlined" {
        return Some(include_str!("../../../../plans/thistle-dock-mended/plan.toml").to_owned());
    }
    let rules = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules");
    let trades = std::fs::read_dir(rules).unwrap().map(|trade| trade.unwrap().path());
    let mut files = trades.map(|trade| trade.join("examples").join(format!("{name}.near-miss.toml")));
    files.find_map(|file| std::fs::read_to_string(file).ok())
}

fn count(text: &str, name: &str) -> usize {
    let review = review::review(text);
    assert!(review.summary.understood, "{name}: {:#?}\n{text}", review.findings);
    review.findings.iter().filter(|f| f.name == name).count()
}

#[test]
fn each_rule_is_silent_when_its_example_is_put_right() {
    let mut wrong = Vec::new();
    for rule in RULES {
        let (name, example) = (rule.page.name, rule.page.example);
        if example.is_empty() {
            continue;
        }
        let Some(missed) = near_miss(name) else {
            wrong.push(format!("{name} has no near miss"));
            continue;
        };
        assert_ne!(missed, example, "{name}: nothing in its example is put right");
        if count(example, name) == 0 {
            wrong.push(format!("{name} does not come of its example"));
        }
        if count(&missed, name) != 0 {
            wrong.push(format!("{name} still comes of its near miss"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_an_example_is_proposed_ends_its_finding() {
    let mut made = 0;
    for rule in RULES {
        let (name, example) = (rule.page.name, rule.page.example);
        let review = review::review(example);
        for finding in review.findings.iter().filter(|f| f.name == name) {
            let Some(proposal) = &finding.proposal else { continue };
            let fixed = finding::apply(example, &proposal.edits).unwrap();
            let before = review.findings.iter().filter(|f| f.name == name).count();
            assert!(count(&fixed, name) < before, "{name}: {}\n{fixed}", proposal.says);
            made += 1;
        }
    }
    assert!(made >= 8, "only {made} examples come with a proposal");
}
