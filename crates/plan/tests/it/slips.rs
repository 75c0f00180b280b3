//! What people type: read where it can have one meaning only, else the message shows a line that would be right.

use plan::{PlanReading, read};

const PLAN: &str = r#"[layout]
name = "slips"
scale = "OO"
rail = "code 100 nickel silver"

[room]
laid = { temperature = "18 °C", humidity = "55 %" }

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "5 A" }

[[bus]]
name = "main bus"
supply = "booster"
wire = "2.5 mm²"
length = "6 m"

[[turnout]]
name = "T1"
number = 6
hand = "left"
wiring = "live-bonded"

[[track]]
name = "approach"
from = "beyond"
to = "T1.points"
length = "3 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["0.3 m"]

[[track]]
name = "through"
from = "T1.through"
to = "buffer"
length = "2 m"

[[track]]
name = "diverging"
from = "T1.diverging"
to = "buffer"
length = "2 m"
"#;

fn slipped(from: &str, to: &str) -> PlanReading {
    assert!(PLAN.contains(from), "{from}");
    read(&PLAN.replacen(from, to, 1))
}

/// What is read, and what it is taken for.
#[test]
fn what_can_mean_one_thing_is_read() {
    let good = read(PLAN);
    assert!(good.findings.is_empty(), "{:#?}", good.findings);
    let length = |plan: &PlanReading| plan.plan.track[0].length.value.0;
    let feet = 0.3048;
    for (words, metres) in [
        ("10'6\\\"", 10.5 * feet),
        ("10' 6-1/2\\\"", 10.5 * feet + 0.0127),
        ("10'-6\\\"", 10.5 * feet),
        ("10'6", 10.5 * feet),
        ("4 ft, 6 in", 4.5 * feet),
        ("4 feet and 6 inches", 4.5 * feet),
        ("4ft6in", 4.5 * feet),
        ("4 ft. 6 in.", 4.5 * feet),
        ("3000mm", 3.0),
        ("3 metres", 3.0),
    ] {
        let reading = slipped("\"3 m\"", &format!("\"{words}\""));
        assert!(reading.findings.is_empty(), "{words}: {:#?}", reading.findings);
        assert!((length(&reading) - metres).abs() < 1e-9, "{words}: {}", length(&reading));
    }
    for (from, to) in [
        ("\"2.5 mm²\"", "\"16 ga\""),
        ("\"2.5 mm²\"", "\"#16\""),
        ("\"2.5 mm²\"", "\"18 gauge\""),
        ("\"2.5 mm²\"", "\"16awg\""),
        ("\"2.5 mm²\"", "\"2.5 sq mm\""),
        ("\"15 V\"", "\"12 VDC\""),
        ("\"15 V\"", "\"15 V DC\""),
        ("\"code 100 nickel silver\"", "\"code 70\""),
        ("\"code 100 nickel silver\"", "\"Code 83 NS\""),
        ("\"buffer\"", "\"bumper\""),
        ("\"buffer\"", "\"Buffer stop\""),
        ("\"left\"", "\"LH\""),
        ("\"left\"", "\"Left-hand\""),
        ("\"live-bonded\"", "\"live bonded\""),
        ("6\nhand", "\"6\"\nhand"),
        ("[\"0.3 m\"]", "\"0.3 m\""),
        ("[\"0.3 m\"]", "{ at = \"0.3 m\", rail = \"L\" }"),
        ("{ at = \"5 A\" }", "\"5 A\""),
    ] {
        let reading = slipped(from, to);
        assert!(reading.findings.is_empty(), "{to}: {:#?}", reading.findings);
    }
    assert_eq!(
        slipped("{ at = \"5 A\" }", "\"5 A\"").plan.supply[0].trips.as_ref().map(|t| t.value.at.value.0),
        Some(5.0)
    );
    for (words, label) in [("16 ga", "16 AWG"), ("#16", "16 AWG"), ("18 gauge", "18 AWG"), ("no", "")] {
        let found = handbook::wires::wire(words).map_or(String::new(), |wire| wire.label);
        assert_eq!(found, label, "{words}");
    }
    assert_eq!(handbook::rails::rail("code 70").map(|rail| rail.name), Some("code 70 nickel silver"));
    assert_eq!(handbook::rails::rail("Code 83 NS").map(|rail| rail.name), Some("code 83 nickel silver"));
    assert!(handbook::rails::rail("code 83").is_none() && handbook::rails::rail("code").is_none());
    assert_eq!(slipped("\"buffer\"", "\"bumper\"").plan.track[1].to.value, "buffer");
    assert_eq!(slipped("[\"0.3 m\"]", "\"0.3 m\"").plan.track[0].feeders.items.len(), 1);
}

/// What is asked back, with what would be right.
#[test]
fn what_can_mean_two_things_is_asked_with_a_right_line() {
    let mut wrong = Vec::new();
    for (from, to, right) in [
        ("\"3 m\"", "3", "`\"3 m\"`"),
        ("\"3 m\"", "3", "`\"3 ft\"`"),
        ("\"3 m\"", "\"3\"", "`m`"),
        ("\"3 m\"", "\"2,4 m\"", "`2.4`"),
        ("\"3 m\"", "\"2,400 mm\"", "`2400`"),
        ("\"3 m\"", "\"2,400 mm\"", "`2.400`"),
        ("\"3 m\"", "\"3 mtr\"", "`m`"),
        ("\"3 m\"", "\"6 in 10 ft\"", "`10 ft 6 in`"),
        ("\"2.5 mm²\"", "\"2.5 mm\"", "`2.5 mm²`"),
        ("\"2.5 mm²\"", "\"2.5 mm\"", "`10 AWG`"),
        ("\"2.5 mm²\"", "2.5", "words in double quotes"),
        ("\"2.5 mm²\"", "\"3 mm²\"", "`2.5 mm²`"),
        ("\"15 V\"", "15", "`\"15 V\"`"),
        ("\"15 V\"", "\"15\"", "`V`"),
        ("\"15 V\"", "\"15 A\"", "`V`"),
        ("\"code 100 nickel silver\"", "\"code 83\"", "`rail = \"code 83 nickel silver\"`"),
        ("\"code 100 nickel silver\"", "\"code 83\"", "`rail = \"code 83 brass\"`"),
        ("\"left\"", "\"lft\"", "`left`"),
        ("\"live-bonded\"", "\"live\"", "`live-bonded`"),
        ("\"live-bonded\"", "\"power routing\"", "`insulated-routed`"),
        ("\"OO\"", "\"OOO\"", "`OO`"),
        (
            "{ temperature = \"18 °C\", humidity = \"55 %\" }",
            "\"18 °C\"",
            "`{ temperature = \"20 °C\", humidity = \"55 %\" }`",
        ),
        ("{ at = \"5 A\" }", "5", "`{ at = \"4.5 A\" }`"),
        ("\"5 A\"", "5", "`\"5 A\"`"),
        ("\"5 A\"", "\"5 amp s\"", "`4.5 A`"),
        ("hand = ", "hnad = ", "`hand`"),
        ("[[track]]", "[[trak]]", "`track`"),
        ("[[bus]]", "[bus]", "`[[bus]]`, not `[bus]`"),
        ("\"T1.points\"", "\"T1.point\"", "`points`"),
        ("\"main bus.A\"", "\"main bus\"", "`main bus.A`"),
        ("\"main bus.A\"", "\"mian bus.A\"", "`main bus`"),
        ("\"buffer\"", "\"T1\"", "`diverging`"),
        ("\"5 A\"", "“5 A”", "straight ones only; write `\"5 A\"`"),
        ("\"5 A\"", "5 A", "words and quantities stand in double quotes"),
        ("[\"0.3 m\"]", "0.3", "a list in square brackets"),
        ("[\"0.3 m\"]", "[0.3]", "`\"0.3 m\"`"),
    ] {
        let reading = slipped(from, to);
        let said: Vec<String> = reading
            .findings
            .iter()
            .map(|f| format!("{}; {}", f.message, f.help.as_deref().unwrap_or_default()))
            .collect();
        if reading.understood() || !said.iter().any(|said| said.contains(right)) {
            wrong.push(format!("{to} should be told {right}: {said:#?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_stands_without_brackets_gets_them_when_something_is_added() {
    let text = PLAN.replacen("[\"0.3 m\"]", "\"0.3 m\" # near the points", 1);
    let act = plan::acts::PlanAct::AddFeeder { track: "approach", at: "2 m", rail: "both", to: "" };
    let acted = plan::acts::perform(&text, &act).expect("it fits");
    assert!(acted.text.contains("feeders = [\"0.3 m\", \"2 m\"] # near the points"), "{}", acted.text);
    assert!(read(&acted.text).findings.is_empty());
}
