//! A plan in one system of units gets all its answers in that system.

use crate::common::printed;

/// What each command prints of a plan.
fn outputs(plan: &str) -> Vec<(String, String)> {
    let asked: [&[&str]; 14] = [
        &["check"],
        &["check", "--format", "concise"],
        &["routes"],
        &["profile", "--to", "road 3"],
        &["lengths"],
        &["gaps"],
        &["addresses"],
        &["tests"],
        &["tests", "--hot"],
        &["orders"],
        &["trace", "road 3 @ 300 mm"],
        &["check", "--sources"],
        &["gaps", "--sources"],
        &["lengths", "--sources"],
    ];
    let told = asked.iter().map(|asked| {
        let (command, more) = asked.split_first().unwrap();
        let (place, more) = if *command == "trace" { more.split_at(1) } else { more.split_at(0) };
        let arguments = [&[*command, plan], place, more].concat();
        (asked.join(" "), printed(&arguments))
    });
    told.collect()
}

/// The numbers of a text that have one of these units behind them.
fn measured_in<'t>(text: &'t str, units: &[&str]) -> Vec<&'t str> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let number = |word: &str| word.trim_start_matches(['(', '-']).starts_with(|c: char| c.is_ascii_digit());
    let bare = |word: &'t str| word.trim_end_matches([',', '.', ';', ':', ')', ']']);
    words.windows(2).filter(|pair| number(pair[0]) && units.contains(&bare(pair[1]))).map(|pair| pair[1]).collect()
}

#[test]
fn a_plan_in_feet_is_answered_in_feet() {
    for (asked, text) in outputs("plans/quay/plan-in-feet.toml") {
        let found = measured_in(&text, &["m", "mm", "cm", "km", "mm²", "°C", "N", "mN", "MPa", "mΩ/m", "Ω/m", "µH/m"]);
        assert!(found.is_empty(), "{asked}: {found:?}\n{text}");
    }
}

#[test]
fn a_metric_plan_is_answered_in_metres() {
    for (asked, text) in outputs("plans/quay/plan.toml") {
        let found = measured_in(&text, &["ft", "in", "AWG", "°F", "ozf", "lbf", "ksi", "mΩ/ft", "Ω/ft"]);
        assert!(found.is_empty(), "{asked}: {found:?}\n{text}");
    }
}
