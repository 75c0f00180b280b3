//! What the reader says of texts that are wrong: names of findings and the words they point at.

use plan::{PlanReading, read};

/// A plan that is right, to be broken.
const GOOD: &str = r#"[layout]
name = "yard"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4.5 A", after = "120 ms" }

[[bus]]
name = "main bus"
supply = "booster"
wire = "2.5 mm²"
length = "5 m"

[[track]]
name = "lead"
from = "beyond"
to = "T1.points"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
along = { bus = "main bus", from = "0 m", to = "2 m" }
feeders = ["0.3 m"]

[[turnout]]
name = "T1"
hand = "left"
wiring = "live-bonded"

[[motor]]
name = "M1"
moves = "T1"
contact = [{ common = "T1.frog", through = "main bus.A", diverging = "main bus.B" }]

[[track]]
name = "dock 1"
from = "T1.diverging"
to = "buffer"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["0.4 m"]
gaps = [{ at = "90 mm", rail = "right" }]

[[track]]
name = "dock 2"
from = "T1.through"
to = "buffer"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["0.4 m"]
gaps = [{ at = "90 mm", rail = "left" }]
"#;

fn told(reading: &PlanReading, text: &str) -> Vec<(String, String)> {
    let mut told: Vec<(String, String)> = reading
        .findings
        .iter()
        .map(|f| (f.name.to_owned(), f.place().map_or(String::new(), |p| p.text(text).to_owned())))
        .collect();
    told.sort();
    told
}

/// Breaks the good plan by one replacement and holds the findings against what is expected.
#[track_caller]
fn broken(from: &str, to: &str, expected: &[(&str, &str)]) -> PlanReading {
    assert!(GOOD.contains(from), "the good plan has no {from:?}");
    let text = GOOD.replacen(from, to, 1);
    let reading = read(&text);
    let expected: Vec<(String, String)> = expected.iter().map(|(n, w)| ((*n).to_owned(), (*w).to_owned())).collect();
    assert_eq!(told(&reading, &text), expected, "{:#?}", reading.findings);
    reading
}

fn help_of(reading: &PlanReading) -> &str {
    reading.findings[0].help.as_deref().unwrap_or("")
}

#[test]
fn a_good_plan_has_no_findings() {
    let reading = read(GOOD);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    assert_eq!(reading.plan.track.len(), 3);
    assert_eq!(reading.plan.motor[0].contact.items.len(), 1);
}

#[test]
fn unknown_keys_are_refused_with_the_nearest_one() {
    let reading = broken("feeders = [\"0.3 m\"]", "feedres = [\"0.3 m\"]", &[("unknown-key", "feedres")]);
    assert_eq!(help_of(&reading), "did you mean `feeders`?");
}

#[test]
fn references_name_what_is_near() {
    let reading = broken("from = \"T1.diverging\"", "from = \"T2.diverging\"", &[("no-such-name", "T2")]);
    assert_eq!(help_of(&reading), "did you mean `T1`?");
    broken("from = \"T1.diverging\"", "from = \"T1.divreging\"", &[("no-such-name", "divreging")]);
    broken("left = \"main bus.A\"", "left = \"mian bus.A\"", &[("no-such-name", "mian bus")]);
    broken("left = \"main bus.A\"", "left = \"main bus.C\"", &[("no-such-name", "C")]);
    broken("moves = \"T1\"", "moves = \"dock 1\"", &[("no-such-name", "dock 1")]);
}

#[test]
fn quantities_point_into_the_string() {
    let reading = broken("length = \"5 m\"", "length = \"5 mA\"", &[("unclear-quantity", "mA")]);
    assert!(reading.findings[0].message.contains("current"), "{}", reading.findings[0].message);
    broken("length = \"5 m\"", "length = 5", &[("bare-number", "5")]);
    broken("length = \"5 m\"", "length = \"5\"", &[("unclear-quantity", "5")]);
    broken("length = \"5 m\"", "length = true", &[("wrong-kind", "true")]);
    broken("wire = \"2.5 mm²\"", "wire = \"2.4 mm²\"", &[("unclear-quantity", "2.4 mm²")]);
    broken("gaps = [{ at = \"90 mm\"", "gaps = [{ at = \"90 furlong\"", &[("unclear-quantity", "furlong")]);
}

#[test]
fn lengths_out_of_all_reason_are_told() {
    broken("length = \"5 m\"", "length = \"-5 m\"", &[("out-of-range", "\"-5 m\"")]);
    broken("length = \"5 m\"", "length = \"0 m\"", &[("out-of-range", "\"0 m\"")]);
    broken("length = \"5 m\"", "length = \"1e30 m\"", &[("out-of-range", "\"1e30 m\"")]);
    broken("voltage = \"15 V\"", "voltage = \"230 V\"", &[("out-of-range", "\"230 V\"")]);
    broken("feeders = [\"0.3 m\"]", "feeders = [\"2.3 m\"]", &[("place-off-track", "\"2.3 m\"")]);
    broken("feeders = [\"0.3 m\"]", "feeders = [\"-0.3 m\"]", &[("place-off-track", "\"-0.3 m\"")]);
    broken("length = \"2 m\"", "length = \"2 m\"\nstock = \"0.001 mm\"", &[("out-of-range", "\"0.001 mm\"")]);
}

#[test]
fn a_name_given_twice_points_at_both() {
    let reading = broken("name = \"dock 2\"", "name = \"dock 1\"", &[("name-twice", "\"dock 1\"")]);
    assert_eq!(reading.findings[0].also.len(), 1);
}

#[test]
fn joins_that_cannot_be() {
    broken("to = \"buffer\"", "to = \"dock 1.to\"", &[("joined-to-itself", "\"dock 1.to\"")]);
    broken("from = \"T1.through\"", "from = \"T1.diverging\"", &[("end-joined-twice", "\"T1.diverging\"")]);
    broken("to = \"buffer\"", "to = \"dock 2.to\"", &[("ends-disagree", "\"dock 2.to\"")]);
}

#[test]
fn supplies_in_a_circle() {
    let breakers =
        "[[supply]]\nname = \"east\"\nbehind = \"west\"\n\n[[supply]]\nname = \"west\"\nbehind = \"east\"\n\n[[bus]]";
    broken("[[bus]]", breakers, &[("supply-loop", "\"west\"")]);
    broken("[[bus]]", "[[supply]]\nname = \"east\"\nbehind = \"east\"\n\n[[bus]]", &[("supply-loop", "\"east\"")]);
    let branch = "[[bus]]\nname = \"a\"\nfrom = \"b @ 1 m\"\nwire = \"1 mm²\"\nlength = \"2 m\"\n\n[[bus]]\nname = \"b\"\nfrom = \"a @ 1 m\"\nwire = \"1 mm²\"\nlength = \"2 m\"\n\n[[track]]";
    broken("[[track]]", branch, &[("supply-loop", "\"b @ 1 m\"")]);
}

#[test]
fn contacts_that_do_not_fit() {
    broken("through = \"main bus.A\"", "on = \"main bus.A\"", &[("contact-misfit", "\"main bus.A\"")]);
}

#[test]
fn a_feeder_needs_somewhere_to_go() {
    // A gap parts it from the rail it would go on in.
    broken("right = \"main bus.B\"\nalong", "joint = \"gap\"\nalong", &[("feeder-without-bus", "\"0.3 m\"")]);
}

#[test]
fn all_errors_are_told_in_one_run() {
    let text = GOOD
        .replacen("scale = \"OO\"", "scale = \"OOO\"", 1)
        .replacen("voltage = \"15 V\"", "voltage = 15", 1)
        .replacen("feeders = [\"0.3 m\"]", "feedres = [\"0.3 m\"]", 1)
        .replacen("wiring = \"live-bonded\"", "wiring = \"live-bounded\"", 1);
    let names: Vec<String> = told(&read(&text), &text).into_iter().map(|t| t.0).collect();
    assert_eq!(names, ["bare-number", "unknown-key", "unknown-word", "unknown-word"]);
}

/// The turnout cannot be read, but it is there: what refers to it must not be reported as lost.
#[test]
fn one_fault_makes_one_finding() {
    broken("hand = \"left\"", "hand = \"lefft\"", &[("unknown-word", "\"lefft\"")]);
    broken("hand = \"left\"\n", "", &[("missing-key", "[[turnout]]")]);
}

#[test]
fn broken_syntax_is_told_where_it_breaks() {
    let reading = read(&GOOD.replacen("name = \"yard\"", "name = \"yard", 1));
    assert!(!reading.understood());
    assert!(reading.findings.iter().all(|f| f.name == "plan-syntax"), "{:#?}", reading.findings);
    let twice = read("[layout]\nname = \"a\"\nname = \"b\"\nscale = \"N\"\n");
    assert!(twice.findings.iter().any(|f| f.name == "plan-syntax"), "{:#?}", twice.findings);
}

#[test]
fn an_empty_plan_is_not_well() {
    for text in ["", "\n\n# nothing\n", "[layout]\nname = \"x\"\nscale = \"N\"\n"] {
        assert!(!read(text).understood(), "{text:?} passed");
    }
}
