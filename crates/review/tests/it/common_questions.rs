//! Questions that builders ask often: reversers against breakers, trains that run on, sparks at plastic frogs, how many feeders.

use finding::Severity;
use review::Review;
use review::rules::RULES;

/// A rule's example with words of it changed, reviewed.
fn with(name: &str, changes: &[(&str, &str)]) -> Review {
    let rule = RULES.iter().find(|r| r.page.name == name).unwrap();
    let mut text = rule.page.example.to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{name}: no {old}");
        text = text.replace(old, new);
    }
    let review = review::review(&text);
    assert!(review.summary.understood, "{:#?}\n{text}", review.findings);
    review
}

fn found(name: &str, changes: &[(&str, &str)]) -> Vec<(Severity, String)> {
    let review = with(name, changes);
    review.findings.iter().filter(|f| f.name == name).map(|f| (f.severity, f.message.clone())).collect()
}

#[test]
fn a_reverser_must_see_the_short_before_the_breaker() {
    let name = "reverser-trips-late";
    let breaker = |at: &'static str| ("at = \"3 A\", after = \"50 ms\"", at);
    let reverser = |at: &'static str| ("at = \"4 A\", after = \"10 ms\"", at);
    let told = |changes: &[(&str, &str)]| found(name, changes);
    // Lower and quicker than the breaker, and far below what its gaps draw.
    assert_eq!(told(&[reverser("at = \"2 A\", after = \"10 ms\"")]), []);
    assert_eq!(told(&[reverser("at = \"2 A\"")]), []);
    // Slower than the breaker.
    let slow = told(&[reverser("at = \"2 A\", after = \"60 ms\"")]);
    assert!(slow.len() == 1 && slow[0].1.contains("changes over after 60 ms"), "{slow:?}");
    // Below the breaker, but its own wires let less through than trips it: it never turns.
    let blind = told(&[breaker("at = \"30 A\", after = \"50 ms\""), reverser("at = \"25 A\", after = \"10 ms\"")]);
    assert!(blind.len() == 1 && blind[0].0 == Severity::Error, "{blind:?}");
    // Longer and thinner feeders of the section draw less.
    let thin = [
        breaker("at = \"9 A\", after = \"50 ms\""),
        reverser("at = \"6 A\", after = \"10 ms\""),
        ("feeders = [\"1 m\", \"3 m\"]", "feeders = [\"3 m\"]\nfeeder_wire = \"0.14 mm²\"\nfeeder_length = \"6 m\""),
    ];
    assert_eq!(told(&thin).len(), 1);
    // One that follows a motor senses nothing.
    assert_eq!(told(&[("kind = \"short-sensing\"", "kind = \"following\"\nfollows = \"M1\"")]), []);
}

/// `t = C·(U − U₀)/I`: 4700 µF from 15 V less 1.4 V to 4 V at 0.3 A are 150 ms, at 0.25 m/s 37.6 mm; 10,000 µF go 80 mm.
#[test]
fn a_train_with_a_reservoir_runs_on() {
    let name = "keep-alive-overruns";
    let told = |changes: &[(&str, &str)]| found(name, changes);
    assert!(told(&[])[0].1.contains("runs on for up to 38 mm"), "{:?}", told(&[]));
    assert!(told(&[("4700 µF", "10 mF")])[0].1.contains("80 mm"));
    // Half as fast it goes half as far; a longer dock has the room; where the track is never switched off nothing is asked.
    assert_eq!(told(&[("takes = \"8 s\"", "takes = \"16 s\"")]), []);
    assert_eq!(told(&[("length = \"0.43 m\"", "length = \"0.5 m\"")]), []);
    assert_eq!(told(&[("live = \"lined\"", "live = \"always\"")]), []);
    // It need not be called storage: blades that change over switch the track off as well, bonded ones do not.
    let storage = ("[storage]\ntracks = [\"dock\"]\nlive = \"lined\"", "");
    assert!(told(&[storage])[0].1.contains("runs on for up to 38 mm"));
    assert_eq!(told(&[storage, ("insulated-routed", "insulated-bonded")]), []);
    // A train that does not fit there at all has no business there.
    assert_eq!(told(&[("length = \"300 mm\"", "length = \"600 mm\"")]), []);
}

/// `(tread + head)·N`, by hand for HO: (2.794 − 0.762 + 1.143) mm × 6 = 19.05 mm; × 8 = 25.4 mm.
#[test]
fn treads_bridge_plastic_frogs_where_both_rails_are_fed() {
    let name = "wheel-bridges-frog";
    let told = |changes: &[(&str, &str)]| found(name, changes);
    let enough = |changes: &[(&str, &str)], due: &str| {
        let review = with(name, changes);
        let facts = review.findings.iter().filter(|f| f.name == name).flat_map(|f| &f.facts);
        facts.filter(|fact| fact.contains(due)).count() == 1
    };
    assert!(enough(&[], "19.05 mm would do"));
    assert!(enough(&[("number = 6", "number = 8")], "25.4 mm would do"));
    for hand in ["right", "wye"] {
        let legs = if hand == "wye" { ["T1.left", "T1.right"] } else { ["T1.through", "T1.diverging"] };
        let changed = told(&[
            ("hand = \"left\"", &format!("hand = \"{hand}\"")),
            ("T1.through", legs[0]),
            ("T1.diverging", legs[1]),
        ]);
        assert_eq!(changed.len(), 1, "{hand}");
    }
    assert_eq!(told(&[("insulation = \"8 mm\"", "insulation = \"19.1 mm\"")]), []);
    // Fed through the blades alone, the rail that is not used floats; with feeders of its own it does not.
    let routed = ("insulated-bonded", "insulated-routed");
    assert_eq!(told(&[routed]), []);
    let fed = "length = \"1 m\"\nleft = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.5 m\"]";
    let legs = [
        ("from = \"T1.through\"\nto = \"beyond\"\nlength = \"1 m\"", "from = \"T1.through\"\nto = \"beyond\"\n"),
        ("from = \"T1.diverging\"\nto = \"buffer\"\nlength = \"1 m\"", "from = \"T1.diverging\"\nto = \"buffer\"\n"),
    ];
    let both: Vec<(String, String)> =
        legs.iter().map(|(old, new)| ((*old).to_owned(), format!("{new}{fed}"))).collect();
    let mut changes = vec![routed];
    changes.extend(both.iter().map(|(old, new)| (old.as_str(), new.as_str())));
    assert_eq!(told(&changes).len(), 1);
    // A live frog has gaps, not plastic.
    assert_eq!(told(&[("wiring = \"insulated-bonded\"", "wiring = \"live-unfed\"")]), []);
}

/// How many feeders are enough is what the whole review says too, once they are there.
#[test]
fn as_many_feeders_as_are_said_are_enough() {
    let review = with("voltage-drop", &[]);
    let finding = review.findings.iter().find(|f| f.name == "voltage-drop").unwrap();
    let says = finding.facts.iter().find(|f| f.contains("by itself")).unwrap();
    assert_eq!(says, "for `main` by itself 2 feeders are enough, at 1.44 m and 7.56 m");
    let after = found("voltage-drop", &[("feeders = [\"0.5 m\"]", "feeders = [\"1.44 m\", \"7.56 m\"]")]);
    assert_eq!(after, []);
    for one in ["0.5 m", "3 m", "4.5 m", "6 m", "8.5 m"] {
        let after = found("voltage-drop", &[("feeders = [\"0.5 m\"]", &format!("feeders = [\"{one}\"]"))]);
        assert_eq!(after.len(), 1, "one feeder at {one} is not enough");
    }
}

/// What never turns round and is fed the wrong way round is so in every position: exchanging its two feeds puts it right.
#[test]
fn a_sector_plate_fed_the_wrong_way_round_gets_its_feeds_exchanged() {
    let text = "[layout]\nname = \"fiddle yard\"\nscale = \"OO\"\njoint = \"soldered\"\n\n[[supply]]\nname = \"booster\"\n\
                voltage = \"15 V\"\ntrips = { at = \"4.5 A\" }\n\n[[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\n\
                length = \"3 m\"\n\n[[track]]\nname = \"line\"\nfrom = \"beyond\"\nto = \"SP.stall 1\"\nlength = \"1 m\"\n\
                left = \"bus.A\"\nright = \"bus.B\"\nfeeders = [\"0.5 m\"]\n\n[[turntable]]\nname = \"SP\"\nkind = \"sector plate\"\n\
                tracks = 3\nstalls = 1\nlength = \"1.2 m\"\nleft = \"bus.B\"\nright = \"bus.A\"\n";
    let review = review::review(text);
    let short = review.findings.iter().find(|f| f.name == "short-circuit").expect("a short");
    let proposal = short.proposal.as_ref().expect("a proposal");
    assert_eq!(proposal.says, "exchange the two feeds of the deck of `SP`");
    let fixed = finding::apply(text, &proposal.edits).expect("edits that fit");
    assert_eq!(review::review(&fixed).findings.iter().map(|f| f.name).collect::<Vec<_>>(), [""; 0]);
}
