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
        let long = ordinary(&text).expect("understood");
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
    let asked: Vec<_> = found.iter().filter(|f| f.name == "feeder-without-bus").collect();
    let [both] = asked.as_slice() else { panic!("{found:#?}") };
    // With the plan's own bus, and A and B, not one of them twice.
    let help = both.help.as_deref().unwrap_or_default();
    assert!(help.starts_with("add `left = \"main bus.A\"` and `right = \"main bus.B\"` to track `siding`"), "{help}");
}

/// A ladder in a small plan.
const LADDER: &str = r#"[layout]
name = "small"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"

[[bus]]
name = "main bus"
supply = "booster"
wire = "2.5 mm²"
length = "6 m"

[[driver]]
name = "D1"
kind = "decoder"
outputs = 2
address = 1
from = "main bus @ 1 m"

[[track]]
name = "lead"
from = "beyond"
length = "2 m"
left = "main bus.A"
right = "main bus.B"
feeders = ["1 m"]

[[ladder]]
name = "quay"
from = "lead"
turnout = { number = 6, hand = "right", wiring = "live-bonded" }
tracks = ["2 m", "1.8 m", "1.6 m"]
motor = { kind = "stall", driver = "D1" }
live = "lined"
feeders = { every = "1 m" }
"#;

#[test]
fn what_is_wrong_in_a_ladder_is_told_at_its_words() {
    assert!(read(LADDER).findings.is_empty(), "{:#?}", read(LADDER).findings);
    for (from, to, name, words) in [
        ("\"1.8 m\"", "\"1.8 q\"", "unclear-quantity", "q"),
        ("\"1.8 m\"", "1.8", "bare-number", "1.8"),
        ("\"1.8 m\"", "{ lenght = \"1.8 m\" }", "unknown-key", "lenght"),
        ("\"1.8 m\"", "{ length = \"1.8 m\", gaps = [\"7 m\"] }", "place-off-track", "\"7 m\""),
        ("\"1.8 m\"", "{ length = \"1.8 m\", to = \"nowhere.from\" }", "no-such-name", "nowhere"),
        ("\"right\"", "\"rihgt\"", "unknown-word", "\"rihgt\""),
        ("wiring = \"live-bonded\"", "wirnig = \"live-bonded\"", "unknown-key", "wirnig"),
        ("from = \"lead\"", "from = \"laed\"", "no-such-name", "\"laed\""),
        ("\"D1\" }", "\"D2\" }", "no-such-name", "\"D2\""),
        ("\"D1\" }", "\"D1.2\" }", "contradiction", "\"D1.2\""),
        ("\"lined\"", "\"both ends agree\"", "contradiction", "\"both ends agree\""),
        ("[\"2 m\", \"1.8 m\", \"1.6 m\"]", "[\"2 m\"]", "contradiction", "[\"2 m\"]"),
        ("live = ", "count = 4000000000\nlive = ", "contradiction", "4000000000"),
        ("every = \"1 m\"", "every = \"0 m\"", "contradiction", "\"0 m\""),
        ("every = \"1 m\"", "evry = \"1 m\"", "unknown-key", "evry"),
        ("length = \"2 m\"\nleft", "to = \"buffer\"\nlength = \"2 m\"\nleft", "ends-disagree", "\"lead\""),
    ] {
        let text = LADDER.replacen(from, to, 1);
        assert_ne!(text, LADDER, "{from}");
        let reading = read(&text);
        let at = |f: &finding::Finding| f.place().map_or(String::new(), |p| p.text(&text).to_owned());
        let told: Vec<String> =
            reading.findings.iter().map(|f| format!("{} at {:?}: {}", f.name, at(f), f.message)).collect();
        assert!(!reading.understood(), "{to} passed");
        assert!(
            reading.findings.iter().any(|f| f.name == name && at(f) == words),
            "{to} should be told {name} at {words:?}: {told:#?}"
        );
        assert!(reading.findings.len() <= 3, "{to}: {told:#?}");
    }
    // Other faults are told in the same run.
    let text = LADDER.replacen("\"lead\"\nturnout", "\"laed\"\nturnout", 1).replacen(
        "supply = \"booster\"",
        "supply = \"boster\"",
        1,
    );
    let text = text.replacen("length = \"6 m\"", "length = \"0 m\"", 1);
    let names: Vec<&str> = read(&text).findings.iter().map(|f| f.name).collect();
    assert!(names.contains(&"no-such-name") && names.contains(&"out-of-range"), "{names:?}");
}

#[test]
fn keys_of_an_ordinary_table_win_and_the_others_stay() {
    let text = format!("{LADDER}\n[[track]]\nname = \"quay 2\" # to the crane\nlength = \"1.7 m\"\nslides = \"1 m\"\n");
    let reading = read(&text);
    assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
    let names: Vec<&str> = reading.plan.track.iter().map(|t| t.name.value.as_str()).collect();
    assert_eq!(names, ["lead", "quay ladder 1", "quay 1", "quay 2", "quay 3"], "in the order of the ladder");
    let track = &reading.plan.track[3];
    assert_eq!((track.length.value.0, track.slides.items.len(), track.gaps.items.len()), (1.7, 1, 1));
    assert_eq!(track.from.value, "quay T2.diverging");
    twice(&text);
}

#[test]
fn edits_of_what_a_ladder_stands_for() {
    let edited = |act: &plan::acts::PlanAct<'_>| {
        let acted = plan::acts::perform(LADDER, act).expect("it fits");
        assert!(read(&acted.text).findings.is_empty(), "{}\n{:#?}", acted.text, read(&acted.text).findings);
        acted.text
    };
    // The length of a track stands in the ladder, and nowhere else.
    let longer = edited(&plan::acts::PlanAct::Length { of: "quay 2", length: "1.9 m" });
    assert_eq!(longer, LADDER.replacen("\"1.8 m\"", "\"1.9 m\"", 1));
    // Its gaps do not.
    let cut = edited(&plan::acts::PlanAct::AddGap { track: "quay 2", at: "1 m", rail: "left" });
    let gaps = "gaps = [{ at = \"100 mm\", rail = \"left\" }, { at = \"1 m\", rail = \"left\" }]";
    assert_eq!(cut, format!("{LADDER}\n[[track]]\nname = \"quay 2\"\n{gaps}\n"));
    // A second edit goes into that table.
    let act = plan::acts::PlanAct::AddFeeder { track: "quay 2", at: "1.2 m", rail: "right", to: "" };
    let fed = plan::acts::perform(&cut, &act).expect("it fits").text;
    assert_eq!(fed.matches("[[track]]").count(), 2, "{fed}");
    assert!(read(&fed).understood());
    // What is new joins nothing of it.
    let act = plan::acts::PlanAct::AddTrack {
        name: "spur",
        from: "quay 3.to",
        to: "buffer",
        length: "1 m",
        left: "main bus.A",
        right: "main bus.B",
    };
    let added = edited(&act);
    assert!(added.contains("name = \"quay 3\"\nto   = \"spur.from\""), "{added}");
    // Lists in brackets take what overrides too, and texts keep their line breaks.
    let windows = LADDER.replace('\n', "\r\n");
    let act = plan::acts::PlanAct::AddGap { track: "quay 2", at: "1 m", rail: "left" };
    let cut = plan::acts::perform(&windows, &act).expect("it fits").text;
    assert_eq!(cut.matches('\n').count(), cut.matches("\r\n").count());
}

#[test]
fn lists_in_brackets_stay_lists_in_brackets() {
    let (head, ladder) = LADDER.split_at(LADDER.find("[[ladder]]").expect("a ladder"));
    let lead = "{ name = \"lead\", from = \"beyond\", length = \"2 m\", left = \"main bus.A\", right = \"main bus.B\", feeders = [\"1 m\"] }";
    let head = head.split("[[track]]").next().expect("a head");
    for text in [
        format!("track = [\n  {lead}, # comes first\n]\n{head}{ladder}"),
        format!("track = [\n  {lead},\n  {{ name = \"quay 2\", slides = [\"1 m\"] }},\n]\n{head}{ladder}"),
        format!(
            "ladder = [{{ name = \"quay\", from = \"lead\", turnout = {{ hand = \"left\", wiring = \"live-bonded\" }}, tracks = [\"2 m\", \"2 m\"] }}]\n{head}\n[[track]]\nname = \"lead\"\nfrom = \"beyond\"\nlength = \"2 m\"\nleft = \"main bus.A\"\nright = \"main bus.B\"\nfeeders = [\"1 m\"]\n"
        ),
    ] {
        let [short, long] = twice(&text);
        let names = |reading: &PlanReading| reading.plan.track.iter().map(|t| t.name.value.clone()).collect::<Vec<_>>();
        let (mut short, mut long) = (names(&short), names(&long));
        short.sort();
        long.sort();
        assert_eq!(short, long);
        let act = plan::acts::PlanAct::AddGap { track: "quay 1", at: "1 m", rail: "left" };
        let cut = plan::acts::perform(&text, &act).expect("it fits").text;
        assert!(read(&cut).findings.is_empty(), "{cut}\n{:#?}", read(&cut).findings);
    }
}

#[test]
fn any_part_of_a_composite_plan_is_read() {
    let text = quay();
    let at: Vec<usize> = (0..text.len()).filter(|at| text.is_char_boundary(*at)).step_by(37).collect();
    for end in at {
        let _ = read(&text[..end]);
    }
    let lines: Vec<&str> = text.lines().collect();
    for left_out in 0..lines.len() {
        let without: Vec<&str> = lines.iter().enumerate().filter(|(n, _)| *n != left_out).map(|(_, l)| *l).collect();
        let text = without.join("\n");
        let reading = read(&text);
        for place in reading.findings.iter().filter_map(|f| f.place()) {
            assert!(place.span.end <= text.len(), "{:#?}", reading.findings);
        }
        if let Some(long) = ordinary(&text) {
            assert!(read(&long).understood(), "without {:?}\n{long}\n{:#?}", lines[left_out], read(&long).findings);
        }
    }
}

#[test]
fn composites_may_join_what_others_stand_for() {
    let more = r#"
[[bus_run]]
name   = "main bus"
tracks = ["quay 2"]
starts = "2 m"

[[ladder]]
name    = "far"
from    = "quay 3"
turnout = { hand = "left", wiring = "insulated-bonded" }
tracks  = ["1 m", "1 m"]

[[turning_loop]]
name    = "loop"
from    = "far 2"
turnout = { hand = "left", wiring = "insulated-bonded" }
track   = "4 m"
"#;
    let text = LADDER.replacen("\"1.6 m\"]", "{ length = \"1.6 m\", to = \"far T1.points\" }]", 1)
        + &more.replacen("\"1 m\"]\n\n[[turn", "{ length = \"1 m\", to = \"loop T.points\" }]\n\n[[turn", 1);
    let [short, long] = twice(&text);
    for reading in [&short, &long] {
        let along =
            |name: &str| reading.plan.track.iter().find(|t| t.name.value == name).and_then(|t| t.along.as_ref());
        assert_eq!(along("quay 2").map(|a| a.value.from.value.0), Some(2.0));
        assert!(reading.plan.track.iter().any(|t| t.name.value == "loop"));
    }
}
