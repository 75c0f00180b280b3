//! One mistake in a good plan: one fault is told, its edit puts the plan right, and nothing worse comes.

use finding::Severity;

const OVAL: &str = include_str!("../cases/planted/double-oval.toml");
const YARD: &str = include_str!("../cases/planted/yard.toml");
const DOG_BONE: &str = include_str!("../cases/planted/dog-bone.toml");
const BOOSTERS: &str = include_str!("../cases/planted/two-boosters.toml");
const BLOCKS: &str = include_str!("../cases/planted/blocks.toml");
const BALLOON: &str = include_str!("../cases/planted/balloon-with-siding.toml");
const LADDER: &str = include_str!("../cases/planted/ladder.toml");
const SLIP: &str = include_str!("../cases/planted/slip.toml");

/// A plan with words of it exchanged for others, each where they stand first.
fn planted(plan: &str, changes: &[(&str, &str)]) -> String {
    changes.iter().fold(plan.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

fn faults(text: &str) -> Vec<finding::Finding> {
    let (_, review) = review::review_bytes(text.as_bytes());
    review.findings.into_iter().filter(|f| f.severity == Severity::Error).collect()
}

/// One fault of this name, whose fix begins with these words and leaves no fault.
fn one_fault(plan: &str, changes: &[(&str, &str)], name: &str, fix: &str) {
    assert!(faults(plan).is_empty(), "{:#?}", faults(plan));
    let text = planted(plan, changes);
    let found = faults(&text);
    let [only] = found.as_slice() else { panic!("{changes:?}: {found:#?}") };
    assert_eq!(only.name, name, "{changes:?}");
    let says = only.proposal.as_ref().map(|p| p.says.as_str()).unwrap_or_default();
    assert!(says.starts_with(fix), "{changes:?}: {says}");
    let fixed = review::fix_all(text.as_bytes());
    assert!(!fixed.errors_left, "{changes:?}: {:#?}", faults(&fixed.text));
}

const OUTER: &str = r#"gaps = [{ at = "3 in", rail = "right" }, { at = "5 ft 9 in", rail = "right" }]"#;
const INNER: &str = r#"gaps = [{ at = "3 in", rail = "left" }, { at = "19 ft 9 in", rail = "left" }]"#;

#[test]
fn gaps_forgotten_behind_frogs() {
    let gap = "cut a gap";
    one_fault(OVAL, &[(OUTER, r#"gaps = [{ at = "3 in", rail = "right" }]"#)], "short-circuit", gap);
    one_fault(OVAL, &[(INNER, r#"gaps = [{ at = "19 ft 9 in", rail = "left" }]"#)], "short-circuit", gap);
    one_fault(YARD, &[(r#"{ at = "40 mm", rail = "right" }, "#, "")], "short-circuit", gap);
    one_fault(YARD, &[(r#"gaps    = [{ at = "48 mm", rail = "right" }]"#, "")], "short-circuit", gap);
}

/// Where two or four are forgotten, the two conductors of the track between must not be exchanged: one short in every setting is no
/// less than two that need a turnout thrown.
#[test]
fn two_gaps_forgotten_are_no_crossed_conductors() {
    for changes in [&[(OUTER, "")][..], &[(OUTER, ""), (INNER, "")]] {
        let text = planted(OVAL, changes);
        let fixed = review::fix_all(text.as_bytes());
        assert!(!fixed.errors_left, "{:#?}", faults(&fixed.text));
        for step in &fixed.steps {
            assert!(step.says.starts_with("cut a gap"), "{}", step.says);
        }
    }
}

#[test]
fn feeders_crossed() {
    let feeders = r#"feeders = ["0.4 m", "1.2 m", "2 m"]"#;
    let both = r#"feeders = ["0.4 m", { at = "1.2 m", rail = "left", to = "bus.B" }, { at = "1.2 m", rail = "right", to = "bus.A" }, "2 m"]"#;
    one_fault(YARD, &[(feeders, both)], "short-circuit", "exchange the two feeders of `yard 1`");
    let one = r#"feeders = ["0.4 m", "2 m", { at = "1.2 m", rail = "right", to = "bus.A" }]"#;
    one_fault(YARD, &[(feeders, one)], "short-circuit", "move the feeder of `yard 1`'s right rail");
    let before_gap = [(r#"feeders = ["40 mm"]"#, r#"feeders = ["40 mm", { at = "6 mm", rail = "left" }]"#)];
    one_fault(YARD, &before_gap, "short-circuit", "move the feeder of `yard ladder 1`'s left rail from 6 mm");
    let none = [(feeders, r#"feeders = [{ at = "0.4 m", rail = "left" }]"#)];
    one_fault(YARD, &none, "storage-not-live", "give `yard 1`'s right rail a feeder");
    one_fault(
        OVAL,
        &[(r#"feeders = ["4 ft", "10 ft", "16 ft"]"#, "")],
        "dead-rail",
        "give `inner back`'s left rail a feeder",
    );
}

#[test]
fn conductors_of_a_track_crossed() {
    let main = [("left = \"bus.A\"\nright = \"bus.B\"\nalong", "left = \"bus.B\"\nright = \"bus.A\"\nalong")];
    one_fault(DOG_BONE, &main, "bridged-gap", "exchange the two conductors of `main`");
    let east = [("left=\"bus.A\"\nright=\"bus.B\"", "left=\"bus.B\"\nright=\"bus.A\"")];
    one_fault(YARD, &east, "short-circuit", "exchange the two conductors of `east lead`");
}

#[test]
fn contacts_wired_wrongly() {
    let frog = r#""yard T2.frog", through = "bus.A", diverging = "bus.B""#;
    let exchanged = r#""yard T2.frog", through = "bus.B", diverging = "bus.A""#;
    one_fault(YARD, &[(frog, exchanged)], "frog-on-wrong-phase", "exchange the two outer wires");
    let same = r#""yard T2.frog", through = "bus.A", diverging = "bus.A""#;
    one_fault(YARD, &[(frog, same)], "frog-on-wrong-phase", "move the wire on terminal `diverging`");
    let other = r#""yard T3.frog", through = "bus.A", diverging = "bus.B""#;
    one_fault(YARD, &[(frog, other)], "short-circuit", "wire contact yard M2.1 to `yard T2.frog`");
    let loop_rail = r#"through = "bus.B", diverging = "bus.A" },
  { common = ["east loop.right"#;
    let turned = r#"through = "bus.A", diverging = "bus.B" },
  { common = ["east loop.right"#;
    one_fault(DOG_BONE, &[(loop_rail, turned)], "bridged-gap", "exchange the two outer wires of contact east loop M.2");
    // A contact with two wires on one terminal.
    let tree = r#"{ diverging = ["store 2.right @ 300 mm", "store 2.right @ 1.28 m"], through = "store M3.1.common" }"#;
    let swapped =
        r#"{ through = ["store 2.right @ 300 mm", "store 2.right @ 1.28 m"], diverging = "store M3.1.common" }"#;
    one_fault(LADDER, &[(tree, swapped)], "dead-rail", "exchange the two outer wires of contact store M2.1");
    let (west, east) =
        (r#"{ common = "S.east frog", through = "bus.A""#, r#"{ common = "S.west frog", through = "bus.B""#);
    let frogs = [
        (west, r#"{ common = "S.new frog", through = "bus.A""#),
        (east, r#"{ common = "S.east frog", through = "bus.B""#),
        ("S.new frog", "S.west frog"),
    ];
    one_fault(SLIP, &frogs, "frog-on-wrong-phase", "exchange the wires to");
}

#[test]
fn districts_and_blocks_without_a_gap() {
    let gaps = r#"gaps=["3 m"]"#;
    one_fault(BOOSTERS, &[(gaps, "")], "supplies-meet", "cut a gap in both rails where `west` meets `east`");
    let left = [(gaps, r#"gaps=[{at="3 m",rail="left"}]"#)];
    one_fault(BOOSTERS, &left, "supplies-meet", "cut a gap in the right rail of `west` at 3 m");
    let block = r#"gaps=[{at="2 m",rail="left"}]"#;
    let cut = "cut a gap in the left rail where `block 1` meets `block 2`";
    one_fault(BLOCKS, &[(block, "")], "detector-sees-too-much", cut);
    one_fault(BLOCKS, &[(block, r#"gaps=[{at="2 m",rail="right"}]"#)], "detector-sees-too-much", cut);
}

/// A siding lies within the section: gaps are due at the ends of the whole of it, not around its turnouts.
#[test]
fn section_with_a_siding_lacks_two_gaps() {
    let text = planted(BALLOON, &[(r#"gaps=["1.1 m"]"#, "")]);
    let found = faults(&text);
    let [only] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!(only.facts.iter().filter(|f| f.contains("has none at")).count(), 2, "{:#?}", only.facts);
    let fixed = review::fix_all(text.as_bytes());
    assert!(!fixed.errors_left);
    assert_eq!(plan::read(&fixed.text).plan.track.iter().map(|t| t.gaps.items.len()).sum::<usize>(), 3);
}

/// A turnout that leads to the other side than the plan says: only the builder can see it, so nothing is edited.
#[test]
fn wrong_hand_is_asked() {
    let t2 =
        ("name   = \"yard T2\"\nnumber = 6\nhand   = \"left\"", "name   = \"yard T2\"\nnumber = 6\nhand   = \"right\"");
    let found = faults(&planted(YARD, &[t2]));
    let [only] = found.as_slice() else { panic!("{found:#?}") };
    assert!(only.proposal.is_none());
    assert!(
        only.help.as_deref().unwrap_or_default().starts_with("look which way `yard T2` really leads"),
        "{:?}",
        only.help
    );
}

/// Volts that stay in diodes are no fault of the wiring.
#[test]
fn diodes_of_a_detector_are_named() {
    let text = planted(BLOCKS, &[("drop = \"6 %\"", "drop = \"5 %\"")]);
    let (_, review) = review::review_bytes(text.as_bytes());
    let drop = review.findings.iter().find(|f| f.name == "voltage-drop").unwrap();
    assert!(drop.facts.iter().any(|f| f.starts_with("0.7 V of it stays in the diodes")), "{:#?}", drop.facts);
    assert!(drop.help.as_deref().unwrap_or_default().starts_with("the wiring is good enough"), "{:?}", drop.help);
}

/// Composites put their gaps where vehicles stand clear, in small scales and behind short turnouts too.
#[test]
fn gaps_of_composites_are_near_enough() {
    let ladder = |scale: &str, number: u32| {
        format!(
            r#"[layout]
name = "small"
scale = "{scale}"

[[supply]]
name = "booster"
voltage = "13 V"

[[bus_run]]
name = "bus"
supply = "booster"
wire = "1.5 mm²"
length = "8 m"
tracks = ["lead"]

[[track]]
name = "lead"
from = "beyond"
length = "1 m"

[[ladder]]
name = "yard"
from = "lead"
turnout = {{ number = {number}, hand = "left", wiring = "live-bonded" }}
tracks = ["1.8 m", "1.7 m", "1.6 m"]
motor = {{ kind = "stall" }}
live = "always"
"#
        )
    };
    for scale in ["O", "S", "OO", "HO", "TT", "N", "Z", "HOm", "HOe"] {
        for number in [4, 5, 6, 8] {
            let review = review::review(&ladder(scale, number));
            assert!(review.summary.understood, "{scale} {number}: {:#?}", review.findings);
            let told: Vec<_> = review.findings.iter().filter(|f| f.name == "gap-beyond-fouling").collect();
            assert!(told.is_empty(), "{scale} {number}: {told:#?}");
        }
    }
}

/// Two or three mistakes at once, one of which shorts in every setting and hides the others: each is put right.
#[test]
fn a_short_that_hides_other_mistakes_is_ended() {
    let frog = (
        r#""yard T3.frog", through = "bus.B", diverging = "bus.A""#,
        r#""yard T3.frog", through = "bus.A", diverging = "bus.B""#,
    );
    let east = ("left=\"bus.A\"\nright=\"bus.B\"", "left=\"bus.B\"\nright=\"bus.A\"");
    let gap = (r#"{ at = "40 mm", rail = "right" }, "#, "");
    let feeder = (
        r#"feeders = ["0.4 m", "1.2 m", "2 m"]"#,
        r#"feeders = ["0.4 m", "2 m", { at = "1.2 m", rail = "left", to = "bus.B" }]"#,
    );
    for (changes, steps) in [(&[frog, east][..], 2), (&[gap, feeder, frog], 3), (&[gap, frog], 2), (&[gap, east], 2)] {
        let fixed = review::fix_all(planted(YARD, changes).as_bytes());
        let says: Vec<&str> = fixed.steps.iter().map(|step| step.says.as_str()).collect();
        assert!(!fixed.errors_left, "{says:?}: {:#?}", faults(&fixed.text));
        assert_eq!(says.len(), steps, "{says:?}");
    }
}
