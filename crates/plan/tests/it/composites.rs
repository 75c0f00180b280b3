//! Composite tables are read, written out and overridden.

use plan::{PlanReading, ordinary, read};

fn quay() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/../../plans/quay/short.toml")).expect("the demo")
}

/// A plan that is read without findings, written out, and read again without.
fn twice(text: &str) -> [PlanReading; 2] {
    let short = read(text);
    assert!(short.findings.is_empty(), "{text}\n{:#?}", short.findings);
    let long = ordinary(text).expect("understood");
    let long_reading = read(&long);
    assert!(long_reading.findings.is_empty(), "{long}\n{:#?}", long_reading.findings);
    assert_eq!(ordinary(&long).as_deref(), Some(long.as_str()), "ordinary tables stay what they are");
    [short, long_reading]
}

#[test]
fn the_quay_in_a_dozen_lines_is_written_out() {
    let text = quay();
    println!("{}", ordinary(&text).unwrap_or_else(|| format!("{:#?}", read(&text).findings)));
    let [short, long] = twice(&text);
    assert_eq!(short.plan.track.len(), 23);
    assert_eq!(long.plan.turnout.len(), 11);
}
