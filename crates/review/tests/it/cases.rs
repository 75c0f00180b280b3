//! Small plans on which an earlier edition was wrong, and what is true of each: volts and amperes by a circuit simulator or by
//! hand, the rest by looking at the plan.

use review::Review;

fn text(name: &str) -> String {
    std::fs::read_to_string(format!("{}/tests/cases/{name}.toml", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn case(name: &str) -> Review {
    review::review(&text(name))
}

fn errors(review: &Review) -> Vec<&'static str> {
    review.findings.iter().filter(|f| f.severity == finding::Severity::Error).map(|f| f.name).collect()
}

/// The volts and the amperes of a short at the worst place of a track.
#[track_caller]
fn worst(name: &str, track: &str, volts: f64, amps: f64) {
    let review = case(name);
    let figures = review.figures.as_ref().unwrap();
    let line = figures.tracks.iter().find(|t| t.name == track).unwrap();
    assert!((line.volts.typical - volts).abs() < 5e-3, "{name}: {} V", line.volts.typical);
    assert!((line.fault_amps.typical - amps).abs() < 5e-3, "{name}: {} A", line.fault_amps.typical);
    assert!(line.exact && errors(&review).contains(&"breaker-may-not-trip"), "{name}");
}

#[test]
fn what_only_one_position_feeds_is_seen() {
    worst("oval-with-a-shed", "oval", 13.34, 3.86);
    worst("oval-siding-first", "main", 13.34, 3.86);
    worst("oval-platform-first", "main", 13.34, 3.86);
    worst("fed-by-a-motor-off-the-way", "line", 13.38, 3.94);
}

#[test]
fn a_short_in_one_position_leaves_the_other_its_numbers() {
    let review = case("dog-bone-one-gap");
    assert_eq!(errors(&review), ["short-circuit"]);
    assert_eq!(review.findings[0].witness.as_ref().unwrap().setting, [("T1".to_owned(), "through".to_owned())]);
    let volts = review.figures.unwrap().tracks.iter().map(|t| t.volts.typical).fold(f64::INFINITY, f64::min);
    // The contact wires are as long as their ways, 1.6 m here; with 0.3 m each it would be 14.75 V.
    assert!((14.6..14.9).contains(&volts), "{volts}");
}

#[test]
fn the_smallest_settings_of_every_short_are_told() {
    let review = case("short-in-first-setting-not-told");
    let settings: Vec<_> = review.findings.iter().filter(|f| f.name == "short-circuit").map(|f| &f.message).collect();
    assert_eq!(settings.len(), 2, "{settings:?}");
    assert!(settings[0].ends_with("when T1 is through"), "{settings:?}");
}

/// A soldered ring has no place where its rail is nailed: no feeder tears, wherever the ring is written to begin.
#[test]
fn nothing_of_a_ring_hangs_on_where_its_first_joint_lies() {
    let ring = text("ring");
    let told = |feeders: &str| {
        let changed = ring.replace("[\"0.5 m\", \"2 m\", \"3.5 m\"]", feeders);
        review::review(&changed).findings.iter().map(|f| f.name).collect::<Vec<_>>()
    };
    let as_drawn = told("[\"0.5 m\", \"2 m\", \"3.5 m\"]");
    assert!(!as_drawn.contains(&"feeder-may-tear"), "{as_drawn:?}");
    // The same ring, begun a metre and a half further on.
    assert_eq!(told("[\"0.5 m\", \"2 m\", \"4 m\"]"), as_drawn);
}

#[test]
fn storage_is_judged_on_every_stretch_and_by_its_own_necks() {
    assert_eq!(errors(&case("storage-in-two-stretches")), ["storage-live-unlined"]);
    let exchanged = case("ring-tree-exchanged-storage-ok");
    // One contact exchanged is one fault: dead where it should be live, live where it should be dead.
    assert_eq!(errors(&exchanged), ["dead-rail"]);
    let facts = &exchanged.findings[0].facts;
    assert!(
        facts.iter().any(|f| f.contains("`road 1` and `road 2` can be live when they should be dead")),
        "{facts:#?}"
    );
    assert!(exchanged.summary.answers.iter().any(|a| a.question == "storage" && a.well == Some(false)));
    for well in
        ["ring-both-ends-agree", "same-opened", "both-ends-agree", "spur-barred-by-another", "spur-barred-further-on"]
    {
        assert!(errors(&case(well)).is_empty(), "{well}: {:?}", errors(&case(well)));
    }
    assert_eq!(errors(&case("spur-barred-further-on-dead")), ["dead-rail"]);
}

/// What is proposed, and that nothing is found any more once it is made.
#[track_caller]
fn fixed(name: &str, says: &str) -> String {
    let (text, review) = (text(name), case(name));
    let proposal = review.findings.iter().find_map(|f| f.proposal.as_ref()).unwrap();
    assert!(proposal.says.contains(says), "{name}: {}", proposal.says);
    let fixed = finding::apply(&text, &proposal.edits).unwrap();
    let after = review::review(&fixed);
    assert!(errors(&after).is_empty(), "{name}: {:?}\n{fixed}", errors(&after));
    fixed
}

#[test]
fn fixes_end_what_they_are_for() {
    fixed("assisted-frog-exchanged-no-edit", "exchange the two outer wires of contact M.1");
    fixed("gap-for-crossed-feeder", "move the feeder of `t3`'s left rail at 1.1 m from `bus 0.A` to `bus 0.B`");
    fixed("contacts-fed-from-the-bus", "from M1's free `through` terminal");
    fixed("crossover-without-gaps", "cut a gap behind each frog");
    // No feeder is lost on the way.
    let moved = fixed("fix-drops-feeders", "move its feeders at 12 in, 12 ft and 24 ft");
    assert_eq!(moved.matches("road 2.right @").count(), 3, "{moved}");
}

/// 16 m of bus 300 mm apart: 6.7 A root mean square and 11.4 A at most on ones against a trip of 10 A, by a circuit simulator,
/// where a direct voltage would drive 29.2 A.
#[test]
fn a_breaker_on_a_square_wave_stays_closed() {
    let review = case("breaker-on-a-square-wave");
    assert_eq!(errors(&review), ["breaker-may-not-trip"]);
    let line = &review.figures.as_ref().unwrap().tracks[0];
    let ones = line.noticed.sensed.typical;
    assert!((ones.rms - 6.7).abs() < 0.1 && (ones.peak - 11.4).abs() < 0.1, "{ones:?}");
    assert!((line.fault_amps.typical - 29.2).abs() < 0.1 && line.upper_margin.unwrap().typical > 2.9);
    // What the builder knows of the breaker counts: one that measures peaks trips, though with little to spare.
    let peaks = text("breaker-on-a-square-wave").replace("source =", "senses = \"peak\"\nsource =");
    assert!(errors(&review::review(&peaks)).is_empty());
    let twisted = peaks.replace("{ spacing = \"300 mm\" }", "\"twisted\"");
    assert!(review::review(&twisted).findings.iter().all(|f| f.name != "breaker-may-not-trip"));
    // A direct-current supply drives all of it.
    let direct = text("breaker-on-a-square-wave").replace("source =", "kind = \"dc\"\nsource =");
    assert!(review::review(&direct).findings.iter().all(|f| f.name != "breaker-may-not-trip"));
}

/// More than decoders must withstand (27 V, NMRA S-9.1), and less than a command station gives (8.5 V).
#[test]
fn volts_that_decoders_cannot_take() {
    assert_eq!(errors(&case("thirty-volts")), ["track-voltage-too-high"]);
    let with = |volts: &str| errors(&review::review(&text("thirty-volts").replace("30 V", volts)));
    assert_eq!((with("6 V"), with("15 V")), (vec!["track-voltage-too-low"], vec![]));
}
