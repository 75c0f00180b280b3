//! What each finding says of the plan that shows it, as a builder reads it: one snapshot a finding, in `snapshots`.
//!
//! Where words are meant to change, `INSTA_UPDATE=always cargo test -p review --test it messages` writes them anew; the difference is
//! then read like any other.

use review::rules::RULES;

#[test]
fn each_finding_says_what_its_snapshot_holds() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    for rule in RULES.iter().filter(|r| !r.page.example.is_empty()) {
        let (name, example) = (rule.page.name, rule.page.example);
        let mut own = review::review(example).findings;
        own.retain(|f| f.name == name);
        let said = finding::render_full(&own, example, "plan.toml", finding::Style::default());
        settings.bind(|| insta::assert_snapshot!(name, format!("{}\n\n{}", example.trim_end(), said.trim_end())));
    }
}
