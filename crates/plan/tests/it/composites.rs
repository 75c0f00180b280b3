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

/// A plan in which `siding` does not say what its rails belong to.
fn siding(of: &str, feeders: &str) -> String {
    format!(
        r#"[layout]
name = "inherits"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"

[[bus]]
name = "main bus"
supply = "booster"
wire = "2.5 mm²"
length = "6 m"

[[turnout]]
name = "T1"
hand = "left"
wiring = "insulated-bonded"

[[track]]
name = "approach"
from = "beyond"
to = "T1.points"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["1 m"]

[[track]]
name = "siding"
{of}
length = "1 m"
feeders = [{feeders}]
"#
    )
}

#[test]
fn a_rail_belongs_to_what_the_rail_it_goes_on_in_belongs_to() {
    let ahead = "from = \"T1.through\"\nto = \"beyond\"";
    let against = "from = \"beyond\"\nto = \"T1.diverging\"";
    for (of, [left, right]) in [(ahead, ["main bus.A", "main bus.B"]), (against, ["main bus.B", "main bus.A"])] {
        let text = siding(of, "\"0.5 m\"");
        let reading = read(&text);
        assert!(reading.understood(), "{:#?}", reading.findings);
        let track = &reading.plan.track[1];
        assert_eq!(track.left.as_ref().map(|l| l.value.as_str()), Some(left), "{of}");
        assert_eq!(track.right.as_ref().map(|r| r.value.as_str()), Some(right), "{of}");
        let long = ordinary(&text).unwrap();
        assert!(long.contains(&format!("left = \"{left}\"")), "{long}");
    }
    // A rail that no feeder asks about stays as it is: contacts may feed it.
    let reading = read(&siding(ahead, "{ at = \"0.5 m\", rail = \"left\" }"));
    assert!(reading.plan.track[1].right.is_none() && reading.plan.track[1].left.is_some());
    // Beyond a gap, or off the plan, nothing follows.
    for of in [format!("{ahead}\njoint = \"gap\""), "from = \"beyond\"\nto = \"buffer\"".to_owned()] {
        let found = read(&siding(&of, "\"0.5 m\"")).findings;
        assert!(found.iter().any(|f| f.name == "feeder-without-bus"), "{found:#?}");
    }
}

#[test]
fn a_rail_between_two_that_differ_belongs_to_neither() {
    let between = siding("from = \"T1.through\"\nto = \"far.from\"", "\"0.5 m\"")
        + "\n[[track]]\nname = \"far\"\nfrom = \"siding.to\"\nto = \"beyond\"\nlength = \"1 m\"\nleft = \"main bus.B\"\nright = \"main bus.A\"\n";
    let found = read(&between).findings;
    assert_eq!(found.iter().filter(|f| f.name == "feeder-without-bus").count(), 2, "{found:#?}");
}
