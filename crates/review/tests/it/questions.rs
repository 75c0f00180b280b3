//! When the rules speak and when they keep silent: each example, changed a little.

use handbook::quantity::{Amps, Volts, show_amps, show_volts};
use review::rules::RULES;

fn example(name: &str) -> &'static str {
    RULES.iter().find(|r| r.page.name == name).unwrap().page.example
}

/// The example of a finding with some words exchanged.
pub fn changed(name: &str, changes: &[(&str, &str)]) -> String {
    let mut text = example(name).to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old:?} is not in the example of {name}");
        text = text.replace(old, new);
    }
    text
}

/// The messages of one finding in a plan.
pub fn told(text: &str, name: &str) -> Vec<String> {
    let review = review::review(text);
    assert!(review.summary.understood, "{:#?}\n{text}", review.findings);
    review.findings.into_iter().filter(|f| f.name == name).map(|f| f.message).collect()
}

pub fn names(text: &str) -> Vec<&'static str> {
    review::review(text).findings.iter().map(|f| f.name).collect()
}

#[test]
fn each_example_of_these_questions_gives_its_finding_once() {
    for name in [
        "reversing-without-section",
        "reversing-section-too-short",
        "reversing-sections-touch",
        "mid-throw-short",
        "self-lockout",
        "fed-past-its-breaker",
        "breaker-order",
        "single-sliding-joint",
    ] {
        // Track that nothing feeds is a fault of its own, and so are gaps the toggle leaves between opposite poles, and a
        // motor that nothing throws.
        let found: Vec<_> = names(example(name))
            .into_iter()
            .filter(|n| !["dead-rail", "bridged-gap", "motor-without-driver"].contains(n))
            .collect();
        assert_eq!(found, [name]);
    }
}

#[test]
fn a_breaker_must_be_lower_and_quicker_than_the_one_above() {
    let with = |upper: &str, lower: &str| {
        let changes = [("{ at = \"3 A\", after = \"20 ms\" }", upper), ("{ at = \"4 A\", after = \"100 ms\" }", lower)];
        told(&changed("breaker-order", &changes), "breaker-order").len()
    };
    assert_eq!(with("{ at = \"5 A\", after = \"500 ms\" }", "{ at = \"3 A\", after = \"20 ms\" }"), 0);
    // As high, or as slow, does not break first either.
    assert_eq!(with("{ at = \"3 A\", after = \"500 ms\" }", "{ at = \"3 A\", after = \"20 ms\" }"), 1);
    assert_eq!(with("{ at = \"5 A\", after = \"20 ms\" }", "{ at = \"3 A\", after = \"20 ms\" }"), 1);
    // What the plan does not say is not held against it.
    assert_eq!(with("{ at = \"5 A\" }", "{ at = \"3 A\", after = \"20 ms\" }"), 0);
}

#[test]
fn a_motor_is_locked_out_only_by_a_breaker_it_hangs_behind_and_a_short_it_could_end() {
    let count = |changes: &[(&str, &str)]| told(&changed("self-lockout", changes), "self-lockout").len();
    let apart = "[[supply]]\nname = \"points supply\"\nkind = \"accessory\"\nvoltage = \"12 V\"\n\n[[bus]]";
    assert_eq!(count(&[]), 1);
    assert_eq!(
        count(&[("[[bus]]", apart), ("\nsupply = \"booster\"\ncontact", "\nsupply = \"points supply\"\ncontact")]),
        0
    );
    // By hand nothing is needed but a hand.
    assert_eq!(count(&[("kind = \"stall\"", "kind = \"hand\"")]), 0);
    // Plastic frogs do not short when they are run through.
    let plastic = [
        ("wiring = \"live-bonded\"", "wiring = \"insulated-bonded\""),
        ("contact = [{ common = \"T1.frog\", through = \"bus.A\", diverging = \"bus.B\" }]\n", ""),
    ];
    assert_eq!(count(&plastic), 0);
    // Behind a sub-breaker for the motors: dead when the booster above trips; well if only a district's own breaker does.
    let motors = "[[supply]]\nname = \"motors\"\nbehind = \"booster\"\n\n[[bus]]";
    assert_eq!(count(&[("[[bus]]", motors), ("\nsupply = \"booster\"\ncontact", "\nsupply = \"motors\"\ncontact")]), 1);
    let district = "[[supply]]\nname = \"yard\"\nbehind = \"booster\"\ntrips = { at = \"3 A\" }\n\n[[bus]]";
    let changes =
        [("[[bus]]", district), ("name = \"bus\"\nsupply = \"booster\"", "name = \"bus\"\nsupply = \"yard\"")];
    assert_eq!(count(&changes), 0);
}

#[test]
fn a_train_fits_by_its_metal_wheels() {
    let long = example("reversing-section-too-short");
    assert_eq!(told(long, "reversing-section-too-short").len(), 1);
    let plastic = [("length = \"3 m\"\n\n[[supply]]", "length = \"3 m\"\nmetal_wheels = \"0.4 m\"\n\n[[supply]]")];
    let text = changed("reversing-section-too-short", &plastic);
    assert_eq!(names(&text), [""; 0], "a train of plastic wheels bridges nothing");
    let longer = [("length = \"2.5 m\"", "length = \"3.5 m\"")];
    assert_eq!(names(&changed("reversing-section-too-short", &longer)), [""; 0]);
    // A tail that is too short for its train: there is only one end to bridge.
    let wye = include_str!("../../../../plans/wye/plan.toml").replace("length  = \"1.1 m\"", "length  = \"1.6 m\"");
    let found = told(&wye, "reversing-section-too-short");
    assert!(found.len() == 1 && found[0].contains("does not fit"), "{found:?}");
}

#[test]
fn a_loop_that_shorts_is_told_once_as_the_short_it_is() {
    let feed = "[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n[[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \
                \"1.5 mm²\"\nlength = \"3 m\"\n[[track]]\nname = \"line\"\nfeeders = [\"1 m\"]\nleft = \"bus.A\"\nright = \"bus.B\"";
    let text = changed("reversing-without-section", &[("[[track]]\nname = \"line\"", feed)]);
    let review = review::review(&text);
    let shorts: Vec<_> = review.findings.iter().filter(|f| f.name == "short-circuit").collect();
    assert!(!shorts.is_empty());
    assert!(review.findings.iter().all(|f| f.name != "reversing-without-section"), "{:#?}", review.findings);
    let facts: Vec<&String> = shorts.iter().flat_map(|f| &f.facts).collect();
    assert!(facts.iter().any(|f| f.contains("left and right exchanged")), "{facts:?}");
    assert!(facts.iter().any(|f| f.contains("loop (4 m, longer than the longest train, 1.2 m)")), "{facts:?}");
}

#[test]
fn a_triangle_of_constant_phases_says_that_it_lacks_a_section() {
    let constant = include_str!("../../../../plans/wye/plan.toml")
        .replace(
            "along  = { bus = \"main bus\", from = \"2.6 m\", to = \"2.6 m\" }\n",
            "feeders = [\"0.5 m\"]\nleft = \"main bus.A\"\nright = \"main bus.B\"\n",
        )
        .replace("  { common = \"tail.left @ 0.5 m\", left = \"main bus.B\", right = \"main bus.A\" },\n", "")
        .replace("  { common = \"tail.right @ 0.5 m\", left = \"main bus.A\", right = \"main bus.B\" },\n", "");
    let review = review::review(&constant);
    assert!(review.has_errors());
    let facts: Vec<&String> = review.findings.iter().flat_map(|f| &f.facts).collect();
    assert!(facts.iter().any(|f| f.contains("left and right exchanged")), "{facts:?}");
}

#[test]
fn assisted_turnouts_are_told_once_for_all_of_them() {
    let one = example("mid-throw-short");
    let second = one[one.find("[[track]]\nname = \"lead\"").unwrap()..]
        .replace("T1", "T2")
        .replace("M1", "M2")
        .replace("\"lead\"", "\"lead 2\"")
        .replace("\"road ", "\"path ");
    let text = format!("{one}{second}");
    let review = review::review(&text);
    let told: Vec<_> = review.findings.iter().filter(|f| f.name == "mid-throw-short").collect();
    assert_eq!(told.len(), 1);
    assert!(told[0].facts.iter().any(|f| f == "T2 can short while thrown too"), "{:?}", told[0].facts);
    assert!(told[0].help.as_ref().unwrap().starts_with("let contact M1.1 open before the blade leaves"));
}

#[test]
fn what_is_never_fed_and_hangs_together_is_told_once() {
    // A rail of the lead, the turnout and both roads without any feed, and a track apart from them.
    let text = changed(
        "storage-not-live",
        &[
            ("left = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.5 m\"]", "gaps = [{ at = \"0.5 m\" }]"),
            ("live = \"always\"", "live = \"by hand\""),
        ],
    ) + "[[track]]\nname = \"apart\"\nfrom = \"beyond\"\nto = \"beyond\"\nlength = \"1 m\"\nleft = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.5 m\"]\n";
    let found = told(&text, "dead-rail");
    // Each of the lead's two rails before its gap is an island of its own, and each behind it.
    assert_eq!(found.len(), 4, "{found:#?}");
}

#[test]
fn a_short_stub_on_a_joiner_is_not_worth_telling() {
    let shorter = [("length = \"4 m\"", "length = \"1.9 m\"")];
    assert_eq!(told(&changed("single-sliding-joint", &shorter), "single-sliding-joint"), [""; 0]);
    let more_feeders = [("feeders = [\"0.5 m\"]", "feeders = [\"0.5 m\", \"1.5 m\", \"2.5 m\", \"3.5 m\"]")];
    assert_eq!(told(&changed("single-sliding-joint", &more_feeders), "single-sliding-joint"), [""; 0]);
    let soldered = [("scale = \"OO\"", "scale = \"OO\"\njoint = \"soldered\"")];
    assert_eq!(told(&changed("single-sliding-joint", &soldered), "single-sliding-joint"), [""; 0]);
}

/// A diode between the supply's voltage and what decoders bear is not told, nor is what breaking a short would do without it.
#[test]
fn a_clamp_between_the_two_voltages_is_well() {
    let clamped = |volts: &str| changed("clamp-misfit", &[("clamp = \"33 V\"", &format!("clamp = \"{volts}\""))]);
    let well = review::review(&clamped("20 V"));
    assert!(well.findings.is_empty(), "{:?}", well.findings);
    assert!(!well.summary.notes.iter().any(|n| n.contains("spike")), "{:?}", well.summary.notes);
    let burns = told(&clamped("12 V"), "clamp-misfit");
    assert_eq!(burns, ["the clamp of `bus` conducts at 12 V, and its supply has 12 V"]);
    let without = review::review(&changed("clamp-misfit", &[("clamp = \"33 V\"", "")]));
    assert!(without.summary.notes.iter().any(|n| n.contains("spike")), "{:?}", without.summary.notes);
}

/// Sub-breakers that break first: how long a short lasts behind them, and by how much they are first.
#[test]
fn a_short_behind_a_sub_breaker_ends_there() {
    let text = include_str!("../../../../plans/two-districts/plan.toml");
    let review = review::review(text);
    let due = "a short circuit behind `up breaker` lasts 20 ms at most, 480 ms before `booster` would open";
    assert!(review.summary.notes.iter().any(|n| n == due), "{:?}", review.summary.notes);
    // Where the order is wrong, that is a finding and no note.
    assert!(text.contains("\"500 ms\""));
    let late = review::review(&text.replace("\"500 ms\"", "\"10 ms\""));
    assert!(late.findings.iter().any(|f| f.name == "breaker-order"));
    assert!(!late.summary.notes.iter().any(|n| n.contains("a short behind")), "{:?}", late.summary.notes);
}

/// Servos within what their supply gives, solenoids within what the discharge unit holds.
#[test]
fn motors_are_thrown_within_what_their_supply_gives() {
    let text = include_str!("../../../../plans/two-ladders/plan.toml");
    let throws = |text: &str| {
        let wanted = analysis::ways_table::WantedWays { from: None, to: Some("road 2".into()) };
        let table = crate::ask(text, |facts| facts.ways_table(&wanted)).expect("it has the track");
        table.ways[0].throws.clone().expect("the supply says what it gives")
    };
    let groups =
        |text: &str| -> Vec<(f64, Vec<String>)> { throws(text).into_iter().map(|t| (t.wait, t.motors)).collect() };
    // 2 A hold three servos of 0.6 A, 1 A one, 4 A all five.
    let rated = |amps: &str| text.replace("rating  = \"4 A\"", &format!("rating  = \"{amps}\""));
    let own = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
    assert_eq!(groups(&rated("2 A")), [(0.0, own(&["MW1", "MW2", "ME3"])), (0.0, own(&["ME2", "ME1"]))]);
    assert_eq!(groups(&rated("1 A")).len(), 5);
    assert_eq!(groups(text).len(), 1);
    // ½ · 10 mF · (16 V)² = 1.28 J; a throw takes 16 V · 2 A · 20 ms = 0.64 J: two at a time.
    let unit = text
        .replace(
            "voltage = \"12 V\" #",
            "voltage = \"16 V\"\ndischarge = { capacitance = \"10 mF\", recharge = \"1 s\" } #",
        )
        .replace("kind    = \"servo\"\noutputs", "kind    = \"pulse\"\noutputs")
        .replace("kind    = \"servo\"\ndriver", "kind    = \"solenoid\"\ncurrent = \"2 A\"\npulse = \"20 ms\"\ndriver");
    assert_ne!(unit, text);
    let found = groups(&unit);
    assert_eq!(found.iter().map(|g| (g.0, g.1.len())).collect::<Vec<_>>(), [(0.0, 2), (1.0, 2), (1.0, 1)]);
    let small = unit.replace("10 mF", "4.7 mF");
    assert_eq!(told(&small, "motors-overload-supply").len(), 1, "0.6 J for a throw of 0.64 J");
    assert_eq!(told(&unit, "motors-overload-supply"), [""; 0]);
}

/// Each change is what it says: made by hand, it brings just that.
#[test]
fn what_would_help_most_is_what_it_brings() {
    let text = include_str!("../../../../plans/thistle-dock-mended/plan.toml");
    let worth = review::review_for_reading(text.as_bytes()).1.summary.worth;
    let dock = |text: &str| {
        let figures = review::review(text).figures.expect("it is fed");
        figures.tracks.iter().find(|t| t.name == "dock 2").expect("a dock").volts.typical
    };
    let thicker = text.replace("wire   = \"2.5 mm²\"", "wire   = \"4 mm²\"");
    assert_ne!(text, thicker);
    let bus = worth.iter().find(|w| w.says.contains("4 mm²")).expect("a thicker bus");
    assert!((dock(&thicker) - dock(text) - bus.volts).abs() < 1e-12, "{bus:?}");
    assert!(
        worth.windows(2).all(|w| w[0].volts >= w[1].volts) && worth[0].says.contains("one more feeder"),
        "{worth:?}"
    );
}

#[test]
fn notes_name_what_must_not_be_run_through_and_what_most_hangs_on() {
    let review = review::review(include_str!("../../../../plans/two-ladders/plan.toml"));
    assert_eq!(
        review.summary.notes,
        [
            "bus `points bus` feeds the drivers of 6 motors; the lowest voltage is 4.91 V at each of them, and each needs 4.5 V",
            "driving through these while they are set the other way shorts the track: W1, W2, W3, E1, E2 and E3",
            "weakest point: the tap on yard bus.A. If it fails, 7.28 m of rail goes dead: road 1, road 2, road 3 and road 4",
            // ½·L·I² = 1.2 mJ, and L·(I/(24 V − 12 V))² = 17.3 µF.
            "when a short circuit on `east ladder 1` clears, 25.4 A in 3.9 µH of wiring (1.2 mJ) kicks out a spike above the \
             24 V that decoders bear, unless 18 µF or more are on the rails. Fit a suppressor diode across the end of the bus \
             (`clamp`); a filter does not help",
            "not counted as storage, since it lies between a frog and the first gap: up to 40 mm of road 1, road 2, road 3, road 4. \
             It may stay live",
        ]
    );
}

/// What is proposed for weak numbers is enough, and its figure is the one that was reported.
#[test]
fn proposals_for_weak_numbers_are_enough() {
    for name in ["voltage-drop", "breaker-may-not-trip"] {
        let text = example(name);
        let found = review::review(text);
        let finding = found.findings.iter().find(|f| f.name == name).expect("its example");
        let proposal = finding.proposal.as_ref().expect("a change is proposed");
        let mended = finding::apply(text, &proposal.edits).expect("it can be made");
        let after = review::review(&mended);
        assert!(after.findings.iter().all(|f| f.name != name), "{name}: {:#?}", after.findings);
        let line = &after.figures.as_ref().expect("it is fed").tracks[0];
        let told = match name {
            "voltage-drop" => format!("{}: {} there", proposal.says, show_volts(Volts(line.volts.typical))),
            _ => format!("{}: {} there", proposal.says, show_amps(Amps(line.noticed.amps().typical))),
        };
        assert!(finding.facts.iter().any(|fact| fact.starts_with(&told)), "{told}: {:#?}", finding.facts);
    }
}

#[test]
fn a_wire_is_too_thin_for_good_or_in_a_short() {
    let with = |wire: &str, trips: &str| {
        let text = changed("wire-too-thin", &[("0.14 mm²", wire), ("{ at = \"5 A\", after = \"200 ms\" }", trips)]);
        let found = review::review(&text).findings.into_iter().filter(|f| f.name == "wire-too-thin");
        found.map(|f| f.severity).collect::<Vec<_>>()
    };
    let (warning, error) = (vec![finding::Severity::Warning], vec![finding::Severity::Error]);
    assert_eq!(with("0.34 mm²", "{ at = \"5 A\", after = \"80 ms\" }"), []);
    // 24 AWG and 0.25 mm² carry 3.5 A (common practice, no source).
    assert_eq!(with("0.25 mm²", "{ at = \"3.4 A\", after = \"40 ms\" }"), []);
    assert_eq!(with("0.25 mm²", "{ at = \"3.6 A\", after = \"40 ms\" }"), warning);
    // 15 V over 0.1 and 0.2 ohms are 50 A: t = (115·0.25/50)² = 0.33 s (IEC 60364-4-43).
    assert_eq!(with("0.25 mm²", "{ at = \"3.4 A\", after = \"340 ms\" }"), error);
    assert_eq!(with("0.25 mm²", "{ at = \"3.4 A\", after = \"320 ms\" }"), warning);
    // The hardest short, 15 V over 0.03, 0.05 and 0.6 m of 0.069 ohms a metre, is 124 A: t = (115·0.25/124)² = 54 ms.
    assert_eq!(with("0.25 mm²", "{ at = \"3.4 A\", after = \"60 ms\" }"), warning);
    assert_eq!(with("0.25 mm²", "{ at = \"3.4 A\", after = \"50 ms\" }"), []);
}

#[test]
fn a_breaker_that_waits_long_enough_can_be_switched_on() {
    let with = |after: &str, charging: &str| {
        let changes = [("after = \"5 ms\"", after), ("charging = \"5 Ω\"", charging)];
        told(&changed("switch-on-trips", &changes), "switch-on-trips").len()
    };
    // τ = (2·0.1 + 5)·4.7 mF = 24.44 ms, 5.42 A at first, of which 0.2 A for good: 24.44·ln(5.23/3.8) = 7.8 ms.
    assert_eq!(with("after = \"7.7 ms\"", "charging = \"5 Ω\""), 1);
    assert_eq!(with("after = \"7.9 ms\"", "charging = \"5 Ω\""), 0);
    assert_eq!(with("after = \"5 ms\"", "charging = \"7 Ω\""), 0);
}

#[test]
fn a_filter_burns_what_a_square_wave_makes_it() {
    let with = |power: &str| told(&changed("filter-too-hot", &[("0.5 W", power)]), "filter-too-hot").len();
    // 4·C·V²·f = 4 · 100 nF · 225 V² · 8621 Hz = 0.776 W; a little less, since each half bit ends the charging.
    assert_eq!((with("0.76 W"), with("0.78 W")), (1, 0));
}

#[test]
fn a_feeder_beside_the_one_that_opens_keeps_the_breaker_awake() {
    let name = "breaker-may-not-trip-after-failure";
    let with = |feeders: &str| told(&changed(name, &[("feeders = [\"1 m\", \"11 m\"]", feeders)]), name).len();
    assert_eq!(with("feeders = [\"1 m\", \"11 m\"]"), 1);
    assert_eq!(with("feeders = [\"1 m\", \"4 m\", \"8 m\", \"11 m\"]"), 0);
}

#[test]
fn wires_run_apart_cost_a_decoder_and_twisted_ones_do_not() {
    let with =
        |pair: &str| told(&changed("inductive-drop", &[("{ spacing = \"600 mm\" }", pair)]), "inductive-drop").len();
    assert_eq!((with("{ spacing = \"600 mm\" }"), with("\"twisted\"")), (1, 0));
    let figures = review::review(example("inductive-drop")).figures.unwrap();
    let (volts, henries) = figures.tracks[0].decoder.unwrap();
    let henries = henries.typical;
    let volts = volts.typical;
    // 12 m of (µ0/π)·arccosh(600/2.764) (IEC 60228: 6 mm² taken as a solid 2.764 mm), half a metre of O rails, and two feeders of 2.5 mm²
    // at the most.
    let pair = |apart: f64, diameter: f64| 4e-7 * (apart / diameter).acosh();
    let bus = 12.0 * pair(600.0, 2.764);
    let feeders = 0.3 * pair(25.0, 0.798);
    assert!(henries > bus + 0.3 * pair(25.0, 1.784) && henries < bus + feeders + 1e-6, "{henries} against {bus}");
    // The overlap of checks.md section 4 with the loop's own resistance, worked out anew.
    let (v, i) = (15.0, 1.5);
    let r = (v - figures.tracks[0].volts.typical) / i;
    let overlap = henries / r * ((v + i * r) / (v - i * r)).ln();
    let expected = (v - i * r) * (1.0 - 2.0 * (0.5 / 58e-6) * overlap);
    assert!((volts - expected).abs() < 1e-9, "{volts} against {expected}");
}

#[test]
fn tap_connectors_fit_wires_within_their_range() {
    let with = |taps: &str, feeder: &str| {
        let changes = [("taps = \"blue\"", taps), ("\"20 AWG\"", feeder)];
        told(&changed("connector-misfit", &changes), "connector-misfit").len()
    };
    assert_eq!((with("taps = \"blue\"", "\"20 AWG\""), with("taps = \"blue\"", "\"18 AWG\"")), (1, 0));
    assert_eq!((with("taps = \"red\"", "\"20 AWG\""), with("taps = \"soldered\"", "\"20 AWG\"")), (1, 0));
}

#[test]
fn a_filter_has_the_volts_of_its_own_supply() {
    let other = "[[supply]]\nname = \"weak\"\nvoltage = \"9 V\"\ntrips = { at = \"2 A\" }\n\
        [[bus]]\nname = \"weak bus\"\nsupply = \"weak\"\nwire = \"2.5 mm²\"\nlength = \"1 m\"\n\
        [[track]]\nname = \"tram\"\nfrom = \"buffer\"\nto = \"buffer\"\nlength = \"1 m\"\nleft = \"weak bus.A\"\n\
        right = \"weak bus.B\"\nfeeders = [\"0.5 m\"]\n";
    let text = example("filter-too-hot").replacen("[[supply]]", &format!("{other}[[supply]]"), 1);
    let message = told(&text, "filter-too-hot");
    assert_eq!(message, told(example("filter-too-hot"), "filter-too-hot"));
    assert_eq!(message.len(), 1);
}

#[test]
fn a_route_on_which_no_train_moves_in_any_setting_is_told() {
    let text = include_str!("plans/lead-fed-by-a-blade.toml");
    let found = told(text, "dead-rail");
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].contains("dead under a train when T1 is diverging"), "{found:#?}");
    // A feeder of its own, or a toggle that can give it power, and nothing was forgotten.
    let lead = "feeders = [{ at = \"0.5 m\", rail = \"left\" }]\n\n[[turnout]]";
    assert!(text.contains(lead));
    assert_eq!(told(&text.replace(lead, "feeders = [\"0.5 m\"]\n\n[[turnout]]"), "dead-rail"), [""; 0]);
    let toggle = "\n[[toggle]]\nname = \"S\"\ncontact = [{ common = \"bus.B\", on = \"lead.right @ 0.5 m\" }]\n";
    assert_eq!(told(&format!("{text}{toggle}"), "dead-rail"), [""; 0]);
}
