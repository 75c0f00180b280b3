//! What must not matter: who asks and how often, what things are called, which way round a track is
//! written, from which side the layout is seen. And what can only help: a feeder more.

use handbook::Spread;
use oracle::rewrite::{FedPiece, Rewrite};
use proptest::prelude::*;
use review::Review;

const DEMOS: [&str; 7] =
    ["balloon", "seven-tracks", "thistle-dock", "thistle-dock-mended", "two-districts", "two-ladders", "wye"];

fn demo(name: &str) -> String {
    let path = format!("{}/../../plans/{name}/plan.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("the demo plan is part of the repository")
}

/// What was found, less the words: names of findings, answers and numbers.
#[derive(Clone, Debug, PartialEq)]
struct Told {
    findings: Vec<(&'static str, finding::Severity)>,
    answers: Vec<(&'static str, Option<bool>)>,
    extent: String,
    /// For each track in the order of the plan.
    tracks: Vec<[Spread<f64>; 3]>,
    /// For each way, in the order of their numbers.
    ways: Vec<[Spread<f64>; 2]>,
}

fn told(review: &Review) -> Told {
    assert!(review.summary.understood, "{:#?}", review.findings.first());
    let mut findings: Vec<_> = review.findings.iter().map(|f| (f.name, f.severity)).collect();
    findings.sort();
    let figures = review.figures.as_ref();
    let none = Spread::exactly(-1.0);
    let tracks = figures.iter().flat_map(|f| &f.tracks).map(|t| [t.volts, t.fault_amps, t.margin.unwrap_or(none)]);
    let mut ways: Vec<_> = figures.iter().flat_map(|f| &f.ways).map(|w| [w.volts, w.fault_amps]).collect();
    ways.sort_by(|a, b| order(a).partial_cmp(&order(b)).expect("numbers"));
    Told {
        findings,
        answers: review.summary.answers.iter().map(|a| (a.question, a.well)).collect(),
        extent: review.summary.extent.clone(),
        tracks: tracks.collect(),
        ways,
    }
}

/// Ways that differ in nothing but rounding keep their order.
fn order(way: &[Spread<f64>; 2]) -> Vec<f64> {
    way.iter().flat_map(|s| [s.typical, s.low, s.high]).map(|n| (n * 1e7).round()).collect()
}

/// The same but for rounding.
fn alike(one: &Told, other: &Told) -> Result<(), TestCaseError> {
    prop_assert_eq!(&one.findings, &other.findings);
    prop_assert_eq!(&one.answers, &other.answers);
    prop_assert_eq!(&one.extent, &other.extent);
    prop_assert_eq!((one.tracks.len(), one.ways.len()), (other.tracks.len(), other.ways.len()));
    let flat = |told: &Told| -> Vec<f64> {
        let tracks = told.tracks.iter().flatten();
        tracks.chain(told.ways.iter().flatten()).flat_map(|s| [s.low, s.typical, s.high]).collect()
    };
    for (a, b) in flat(one).into_iter().zip(flat(other)) {
        // Places are rewritten to a billionth of a metre.
        prop_assert!((a - b).abs() <= 1e-6 * a.abs().max(1.0), "{} became {}", a, b);
    }
    Ok(())
}

/// The same faults by name and the same numbers; with how many findings a cause is reported may differ. Where the poles meet
/// for good, what else is reported follows from that and may depend on where the current is followed from: there only
/// the short and the numbers are held against each other.
fn alike_in_kind(one: &Told, other: &Told) -> Result<(), TestCaseError> {
    let shorted = |told: &Told| told.findings.iter().any(|f| f.0 == "short-circuit");
    let each_once = |told: &Told| {
        let mut told = told.clone();
        if shorted(&told) {
            told.findings.retain(|f| f.0 == "short-circuit");
            told.answers.retain(|a| a.0 == "no short");
        }
        told.findings.dedup();
        told
    };
    alike(&each_once(one), &each_once(other))
}

/// A demo plan as it is, or with something forgotten or exchanged in it.
fn plans() -> impl Strategy<Value = (String, Rewrite)> {
    (0..DEMOS.len(), 0usize..8, 0usize..40).prop_map(|(which, fault, track)| {
        let mut plan = Rewrite::from_text(&demo(DEMOS[which]));
        match fault {
            0 => plan.forget(track, "gaps"),
            1 => plan.forget(track, "feeders"),
            2 => plan.exchange(track),
            3 => plan.exchange_contact(track),
            _ => {}
        }
        (format!("{} with fault {fault} at {track}", DEMOS[which]), plan)
    })
}

/// A demo plan as it is.
fn sound_plans() -> impl Strategy<Value = (String, Rewrite)> {
    (0..DEMOS.len()).prop_map(|which| (DEMOS[which].to_owned(), Rewrite::from_text(&demo(DEMOS[which]))))
}

/// Asked again, or by many at once, a review says the same in the same words.
#[test]
fn the_same_every_time() {
    let all = |text: &str| {
        let review = review::review(text);
        let full = finding::render_full(&review.findings, text, "plan.toml", finding::Style::default());
        review.summary.render(80) + &full + &review::record::to_json(&review, text, "plan.toml")
    };
    let texts: Vec<String> = DEMOS.iter().map(|name| demo(name)).collect();
    let once: Vec<String> = texts.iter().map(|t| all(t)).collect();
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| texts.iter().zip(&once).for_each(|(text, once)| assert_eq!(&all(text), once)));
        }
    });
}

/// Comments, blank lines and the order of keys carry no meaning: numbers agree to the last bit.
#[test]
fn how_a_plan_is_laid_out() {
    for name in DEMOS {
        let plan = Rewrite::from_text(&demo(name));
        assert_eq!(told(&review::review(&demo(name))), told(&review::review(&plan.text())), "{name}");
    }
}

/// A stock length is the joints that it means, to the last bit.
#[test]
fn stock_is_a_joint_at_every_length() {
    let mut plan = Rewrite::from_text(&demo("two-districts"));
    let before = plan.text();
    assert!(before.contains("stock"));
    for track in 0..plan.tracks() {
        plan.spell_out_stock(track);
    }
    assert!(!plan.text().contains("stock"));
    alike(&told(&review::review(&before)), &told(&review::review(&plan.text()))).expect("the same numbers");
}

/// A rail on the wrong conductor hides the gaps at both its ends, from whichever end it is written.
#[test]
fn every_track_crossed_and_turned() {
    let mut crossed = 0;
    for name in DEMOS {
        let sound = Rewrite::from_text(&demo(name));
        for track in 0..sound.tracks() {
            let mut plan = sound.clone();
            plan.exchange(track);
            let mut turned = plan.clone();
            turned.turn(track);
            let (one, other) = (told(&review::review(&plan.text())), told(&review::review(&turned.text())));
            alike_in_kind(&one, &other).unwrap_or_else(|e| panic!("{name}, track {track}: {e}\n{}", turned.text()));
            crossed += usize::from(!one.findings.is_empty());
        }
    }
    assert!(crossed >= 30, "only {crossed} plans with a crossed track have findings");
}

/// Rayleigh's law on plans: one more feeder from a rail's own conductor, on rail that has that conductor already,
/// lowers no voltage and no fault current, and shorts nothing.
fn one_more_feeder(which: &str, plan: &Rewrite, piece: &FedPiece, at: f64) -> Result<(), TestCaseError> {
    let mut more = plan.clone();
    more.add_feeder(piece, at);
    // What a train elsewhere takes need not fall: Rayleigh's law is of one place, not of two.
    let none_stands = |plan: &Rewrite| {
        let standing = |line: &&str| !line.trim_start().starts_with("stands");
        plan.text().lines().filter(standing).map(|line| format!("{line}\n")).collect::<String>()
    };
    let (before, after) = (review::review(&none_stands(plan)), review::review(&none_stands(&more)));
    // What it may tell is that a storage track is live now although nothing is lined to it.
    let findings = told(&after).findings;
    let harm = findings.iter().find(|f| !f.0.starts_with("storage-") && !told(&before).findings.contains(f));
    prop_assert!(harm.is_none(), "{}: {:?}\n{}", which, harm, more.text());
    let lines = |review: &Review| -> Vec<(String, [Spread<f64>; 2])> {
        let figures = review.figures.as_ref().expect("a demo is fed");
        let tracks = figures.tracks.iter().map(|t| (t.name.clone(), [t.volts, t.fault_amps]));
        tracks.chain(figures.ways.iter().map(|w| (w.name.clone(), [w.volts, w.fault_amps]))).collect()
    };
    let (before, after) = (lines(&before), lines(&after));
    prop_assert_eq!(before.len(), after.len());
    for ((name, before), (same, after)) in before.iter().zip(&after) {
        prop_assert_eq!(name, same);
        for (b, a) in before.iter().zip(after) {
            for (b, a) in [(b.low, a.low), (b.typical, a.typical), (b.high, a.high)] {
                prop_assert!(a >= b - 1e-9, "{}, {}: {} fell to {}\n{}", which, name, b, a, more.text());
            }
        }
    }
    Ok(())
}

/// However near it is to one that is there.
#[test]
fn a_feeder_beside_another_never_harms() {
    let plan = Rewrite::from_text(&demo("seven-tracks"));
    for piece in plan.fed_pieces() {
        for beside in [1e-6, 7e-6, 20e-6, 45e-6, 130e-6, 1e-3] {
            let at = (piece.fed + beside).min(piece.to);
            one_more_feeder("seven-tracks", &plan, &piece, at).unwrap_or_else(|e| panic!("{e}"));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// New names for everything: numbers agree to the last bit.
    #[test]
    fn what_things_are_called((name, plan) in plans(), words in prop::collection::vec("[A-Za-zäß0-9 .'(-]{0,20}", 1..40)) {
        let before = told(&review::review(&plan.text()));
        let mut renamed = plan.clone();
        renamed.rename(|old, number| {
            assert!(!old.is_empty());
            format!("{} {number}", words[number % words.len()]).trim().to_owned()
        });
        prop_assert_ne!(renamed.text(), plan.text());
        prop_assert_eq!(before, told(&review::review(&renamed.text())), "{}", name);
    }

    /// Names handed round among things of a kind: road 1 is called road 7 now.
    #[test]
    fn names_handed_round((name, plan) in plans(), by in 1usize..7) {
        let mut renamed = plan.clone();
        renamed.hand_names_round(by);
        prop_assert_eq!(told(&review::review(&plan.text())), told(&review::review(&renamed.text())), "{}", name);
    }

    /// A track written from its other end is the same track.
    #[test]
    fn which_way_round_a_track_is_written((name, plan) in sound_plans(), turned in prop::collection::vec(any::<bool>(), 1..14)) {
        let mut other = plan.clone();
        for track in (0..plan.tracks()).filter(|t| turned[t % turned.len()]) {
            other.turn(track);
        }
        alike(&told(&review::review(&plan.text())), &told(&review::review(&other.text())))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    /// Nor does it hide or make a fault.
    #[test]
    fn which_way_round_a_faulty_track_is_written((name, plan) in plans(), turned in prop::collection::vec(any::<bool>(), 1..14)) {
        let mut other = plan.clone();
        for track in (0..plan.tracks()).filter(|t| turned[t % turned.len()]) {
            other.turn(track);
        }
        alike_in_kind(&told(&review::review(&plan.text())), &told(&review::review(&other.text())))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    /// A layout in a mirror: every turnout leads to the other side, every left rail is a right one.
    #[test]
    fn seen_in_a_mirror((name, plan) in plans()) {
        let mut other = plan.clone();
        other.mirror();
        prop_assert_ne!(other.text(), plan.text());
        alike(&told(&review::review(&plan.text())), &told(&review::review(&other.text())))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    /// In which order tables and the items of their lists stand.
    #[test]
    fn in_which_order_tables_stand((name, plan) in plans(), seed in any::<u64>()) {
        let mut other = plan.clone();
        other.shuffle(seed);
        let ordered = |plan: &Rewrite| {
            let mut told = told(&review::review(&plan.text()));
            told.tracks.sort_by(|a, b| order(&[a[0], a[1]]).partial_cmp(&order(&[b[0], b[1]])).expect("numbers"));
            told
        };
        alike_in_kind(&ordered(&plan), &ordered(&other))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    /// Metres or inches.
    #[test]
    fn in_which_unit_lengths_are_said((name, plan) in plans()) {
        let mut other = plan.clone();
        other.in_inches();
        alike(&told(&review::review(&plan.text())), &told(&review::review(&other.text())))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    /// One track, or two with a soldered joint between them: its milliohm moves numbers, but no verdict on a sound plan.
    #[test]
    fn a_track_in_two_pieces((name, plan) in sound_plans(), track in 0usize..40, share in 0.2..0.8f64) {
        let mut other = plan.clone();
        if other.split(track % plan.tracks(), share) {
            let errors = |plan: &Rewrite| {
                let told = told(&review::review(&plan.text()));
                (told.findings.into_iter().filter(|f| f.1 == finding::Severity::Error).collect::<Vec<_>>(), told.answers)
            };
            prop_assert_eq!(errors(&plan), errors(&other), "{}\n{}", name, other.text());
        }
    }

    /// Conductor A called B and B called A, all over the layout.
    #[test]
    fn which_conductor_is_called_a((name, plan) in sound_plans()) {
        let mut other = plan.clone();
        other.exchange_poles();
        prop_assert_ne!(other.text(), plan.text());
        alike(&told(&review::review(&plan.text())), &told(&review::review(&other.text())))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    /// Nor does that hide or make a fault.
    #[test]
    fn which_conductor_of_a_faulty_plan_is_called_a((name, plan) in plans()) {
        let mut other = plan.clone();
        other.exchange_poles();
        alike_in_kind(&told(&review::review(&plan.text())), &told(&review::review(&other.text())))
            .map_err(|e| TestCaseError::fail(format!("{name}: {e}\n{}", other.text())))?;
    }

    #[test]
    fn a_feeder_more_never_harms(which in 0..DEMOS.len(), pick in any::<prop::sample::Index>(), along in 0.0..1.0f64) {
        let plan = Rewrite::from_text(&demo(DEMOS[which]));
        let fed = plan.fed_pieces();
        prop_assume!(!fed.is_empty());
        let piece = &fed[pick.index(fed.len())];
        one_more_feeder(DEMOS[which], &plan, piece, piece.from + along * (piece.to - piece.from))?;
    }
}
