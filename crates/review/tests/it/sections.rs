//! Sections that change their phase or their supply: which of their gaps is missing.

use finding::Finding;

/// A triangle with a tail on which trains turn. The tail takes its phase from the wye's motor; its section ends behind the wye.
const TRIANGLE: &str = r#"[layout]
name = "triangle"
scale = "OO"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[bus]]
name = "bus"
supply = "booster"
wire = "1.5 mm²"
length = "3 m"

[[track]]
name = "west"
from = "beyond"
to = "T2.points"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "base"
from = "T2.through"
to = "T3.through"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "east"
from = "T3.points"
to = "beyond"
length = "1 m"
left = "bus.A"
right = "bus.B"
feeders = ["0.5 m"]

[[track]]
name = "west leg"
from = "T2.diverging"
to = "T1.left"
length = "1 m"
left = "bus.A"
right = "bus.B"
gaps = ["900 mm"]
feeders = ["0.5 m"]

[[track]]
name = "east leg"
from = "T3.diverging"
to = "T1.right"
length = "1 m"
left = "bus.B"
right = "bus.A"
gaps = ["900 mm"]
feeders = ["0.5 m"]

[[track]]
name = "tail"
from = "T1.points"
to = "buffer"
length = "2 m"

[[turnout]]
name = "T1"
hand = "wye"
wiring = "insulated-bonded"

[[turnout]]
name = "T2"
hand = "right"
wiring = "insulated-bonded"

[[turnout]]
name = "T3"
hand = "left"
wiring = "insulated-bonded"

[[motor]]
name = "M1"
moves = "T1"
contact = [
  { common = "tail.left @ 1 m", left = "bus.A", right = "bus.B" },
  { common = "tail.right @ 1 m", left = "bus.B", right = "bus.A" },
]
"#;

/// A spur that a toggle puts on one of two supplies; all other track is on the first.
const SPUR: &str = r#"[layout]
name = "two supplies"
scale = "OO"

[[supply]]
name = "west booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[supply]]
name = "east booster"
voltage = "15 V"
trips = { at = "4.5 A" }

[[bus]]
name = "west bus"
supply = "west booster"
wire = "1.5 mm²"
length = "3 m"

[[bus]]
name = "east bus"
supply = "east booster"
wire = "1.5 mm²"
length = "3 m"

[[track]]
name = "main"
from = "beyond"
to = "T1.points"
length = "1 m"
left = "west bus.A"
right = "west bus.B"
feeders = ["0.5 m"]

[[track]]
name = "on"
from = "T1.through"
to = "beyond"
length = "1 m"
left = "west bus.A"
right = "west bus.B"
feeders = ["0.5 m"]

[[track]]
name = "spur"
from = "T1.diverging"
to = "buffer"
length = "2 m"
gaps = ["100 mm"]

[[turnout]]
name = "T1"
hand = "right"
wiring = "insulated-bonded"

[[toggle]]
name = "S1"
contact = [
  { common = "spur.left @ 1 m", off = "west bus.A", on = "east bus.A" },
  { common = "spur.right @ 1 m", off = "west bus.B", on = "east bus.B" },
]
"#;

/// The findings of one name in a plan.
fn told(text: &str, name: &str) -> Vec<Finding> {
    let review = review::review(text);
    assert!(review.summary.understood, "{:#?}", review.findings);
    review.findings.into_iter().filter(|f| f.name == name).collect()
}

/// Cuts one rail only of a track that is cut in both, and asks which gap is said to be missing, and that cutting it ends the fault.
fn one_gap_missing(plan: &str, name: &str, (track, at, end): (&str, &str, &str), needs: &str) {
    assert_eq!(told(plan, name), []);
    for (cut, lacks) in [("left", "right"), ("right", "left")] {
        let (before, table) = plan.split_once(&format!("name = \"{track}\"")).unwrap();
        let both = format!("gaps = [\"{at}\"]");
        assert!(table.contains(&both));
        let table = table.replacen(&both, &format!("gaps = [{{ at = \"{at}\", rail = \"{cut}\" }}]"), 1);
        let text = format!("{before}name = \"{track}\"{table}");
        let found = told(&text, name);
        assert_eq!(found.len(), 1, "{found:#?}");
        let said = format!(
            "{needs}: the {lacks} rail of `{track}` has none at the `{end}` end, where the other rail has one at {at}"
        );
        assert!(found[0].facts.contains(&said), "{:#?}", found[0].facts);
        let mend = found[0].proposal.as_ref().unwrap();
        assert_eq!(mend.says, format!("cut a gap in the {lacks} rail of `{track}` at {at}"));
        assert_eq!(told(&finding::apply(&text, &mend.edits).unwrap(), name), []);
    }
}

#[test]
fn a_tail_that_turns_and_lacks_a_gap_behind_its_wye_is_told_which_one() {
    let needs = "a section that changes its phase needs a gap in both rails at both ends";
    for leg in ["west leg", "east leg"] {
        one_gap_missing(TRIANGLE, "short-circuit", (leg, "900 mm", "to"), needs);
    }
    // Of two gaps in the other rail between the wye and the feeder the one nearer to the wye is meant.
    let further = |rail: &str| format!("\"900 mm\", {{ at = \"700 mm\", rail = \"{rail}\" }}");
    for (cut, lacks) in [("left", "right"), ("right", "left")] {
        let one = format!("{{ at = \"900 mm\", rail = \"{cut}\" }}, {{ at = \"700 mm\", rail = \"{cut}\" }}");
        let text = TRIANGLE.replacen("\"900 mm\"", &one, 1);
        assert_eq!(told(&TRIANGLE.replacen("\"900 mm\"", &further(cut), 1), "short-circuit"), []);
        let found = told(&text, "short-circuit");
        let said = format!(
            "{needs}: the {lacks} rail of `west leg` has none at the `to` end, where the other rail has one at 900 mm"
        );
        assert_eq!(found.iter().map(|f| f.facts.clone()).collect::<Vec<_>>(), [[said]]);
    }
}

/// The reverser takes the sense in which nothing shorts, and is wrong for the other leg.
#[test]
fn a_tail_on_a_reverser_that_lacks_a_gap_behind_its_wye_is_told_which_one() {
    let (before, motor) = TRIANGLE.split_once("[[motor]]").unwrap();
    assert!(motor.contains("tail.left"));
    let fed = "to = \"buffer\"\nlength = \"2 m\"\nleft = \"R.A\"\nright = \"R.B\"\nfeeders = [\"1 m\"]";
    let plan = before.replace("to = \"buffer\"\nlength = \"2 m\"", fed)
        + "[[reverser]]\nname = \"R\"\nkind = \"short-sensing\"\nfrom = \"bus @ 2 m\"\n";
    let needs = "a section that changes its phase needs a gap in both rails at both ends";
    for leg in ["west leg", "east leg"] {
        one_gap_missing(&plan, "bridged-gap", (leg, "900 mm", "to"), needs);
    }
}

#[test]
fn a_rail_that_changes_its_supply_and_lacks_its_gap_is_told() {
    let needs = "a rail that changes its supply needs a gap at both ends";
    one_gap_missing(SPUR, "supplies-meet", ("spur", "100 mm", "from"), needs);
    // A rail that is on one supply for good needs none.
    let common = SPUR
        .replace("gaps = [\"100 mm\"]", "gaps = [{ at = \"100 mm\", rail = \"left\" }]")
        .replace("  { common = \"spur.right @ 1 m\", off = \"west bus.B\", on = \"east bus.B\" },\n", "");
    assert_eq!(told(&common, "supplies-meet"), []);
}

/// A yard behind a breaker of its own, beside the main line of the booster.
const YARD: &str = r#"[layout]
name = "yard behind a breaker"
scale = "HO"
joint = "soldered"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }

[[supply]]
name = "yard breaker"
behind = "booster"
trips = { at = "2 A", after = "20 ms" }

[[bus]]
name = "main"
supply = "booster"
wire = "2.5 mm²"
length = "8 m"

[[bus]]
name = "yard bus"
supply = "yard breaker"
wire = "1.5 mm²"
length = "4 m"

[[turnout]]
name = "T"
hand = "left"
wiring = "insulated-bonded"

[[track]]
name = "in"
from = "beyond"
to = "T.points"
length = "3 m"
left = "main.A"
right = "main.B"
feeders = ["1 m"]

[[track]]
name = "out"
from = "T.through"
to = "beyond"
length = "3 m"
left = "main.A"
right = "main.B"
feeders = ["1 m"]

[[track]]
name = "yard"
from = "T.diverging"
to = "buffer"
length = "2 m"
left = "yard bus.A"
right = "yard bus.B"
gaps = ["0.1 m"]
feeders = ["0.5 m", "1.5 m"]
"#;

#[test]
fn districts_that_are_joined_are_parted_where_the_slip_is() {
    let of_two_boosters = YARD.replace("behind = \"booster\"", "voltage = \"15 V\"");
    for (plan, name) in [(YARD, "districts-joined"), (&of_two_boosters, "supplies-meet")] {
        assert_eq!(review::review(plan).findings, []);
        for (was, is, says) in [
            (
                "gaps = [\"0.1 m\"]",
                "gaps = [{ at = \"0.1 m\", rail = \"left\" }]",
                "cut a gap in the right rail of `yard` at 100 mm",
            ),
            ("gaps = [\"0.1 m\"]\n", "", "cut a gap in both rails where `yard` meets `T diverging`"),
            (
                "\"1.5 m\"]",
                "{ at = \"1.5 m\", rail = \"right\", to = \"main.B\" }]",
                "move the feeder of `yard`'s right rail at 1.5 m from `main.B` to `yard bus.B`",
            ),
        ] {
            assert_eq!(plan.matches(was).count(), 1, "{was}");
            let text = plan.replace(was, is);
            let found = told(&text, name);
            let proposals: Vec<_> = found.iter().filter_map(|f| f.proposal.as_ref()).collect();
            assert_eq!(proposals.first().map(|p| p.says.as_str()), Some(says), "{found:#?}");
            let mended = finding::apply(&text, &proposals[0].edits).unwrap();
            assert_eq!(review::review(&mended).findings, [], "{mended}");
        }
    }
}

/// A line that ends in a loop, fed from one bus all along, with a train that fits into the loop.
const LOOP: &str = r#"[layout]
name = "loop"
scale = "HO"
joint = "soldered"

[[train]]
name = "longest"
length = "1.5 m"

[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A" }

[[bus]]
name = "main"
supply = "booster"
wire = "2.5 mm²"
length = "8 m"

[[turnout]]
name = "T"
hand = "left"
wiring = "insulated-bonded"

[[track]]
name = "line"
from = "beyond"
to = "T.points"
length = "5 m"
left = "main.A"
right = "main.B"
feeders = ["1 m", "4 m"]

[[track]]
name = "the \"loop\""
from = "T.diverging"
to = "T.through"
length = "4 m"
left = "main.A"
right = "main.B"
feeders = ["2 m"]
"#;

#[test]
fn a_loop_that_is_fed_for_good_is_made_a_section() {
    let live = LOOP.replace("insulated-bonded", "live-bonded")
        + "[[motor]]\nname = \"M\"\nmoves = \"T\"\ncontact = [{ common = \"T.frog\", through = \"main.A\", diverging = \"main.B\" }]\n";
    let feeders = "feeders = [\"2 m\"]\n";
    let cut = |gaps: &str| LOOP.replace(feeders, &format!("{feeders}gaps = [{gaps}]\n"));
    let turned = LOOP.replace(
        "left = \"main.A\"\nright = \"main.B\"\nfeeders = [\"2 m\"]",
        "left = \"main.B\"\nright = \"main.A\"\nfeeders = [\"2 m\"]",
    );
    for (plan, says) in [
        (LOOP.to_owned(), "cut it at 80 mm and at 3.92 m, and feed it"),
        (live, "cut it at 80 mm and at 3.92 m, and feed it"),
        (turned, "cut it at 80 mm and at 3.92 m, and feed it"),
        (cut("\"0.1 m\", \"3.9 m\""), "a reversing section: feed it"),
        (cut("\"0.1 m\", { at = \"3.9 m\", rail = \"left\" }"), "cut it at 3.9 m, and feed it"),
    ] {
        let found = review::review(&plan).findings;
        let proposal = found[0].proposal.as_ref().unwrap_or_else(|| panic!("{found:#?}"));
        assert!(proposal.says.contains(says), "{}", proposal.says);
        let mended = finding::apply(&plan, &proposal.edits).unwrap();
        assert_eq!(review::review(&mended).findings, [], "{mended}");
    }
    // A train that does not fit is no reason to make a section of it.
    let long = LOOP.replace("1.5 m", "4.5 m");
    assert!(review::review(&long).findings.iter().all(|f| f.proposal.is_none()));
}

/// A feeder of its own would be wrong in every other position.
#[test]
fn rail_behind_a_live_frog_that_nothing_feeds_is_the_frogs() {
    let live = YARD.replace("insulated-bonded", "live-bonded").replace(
        "[[track]]\nname = \"out\"",
        "[[track]]\ngaps = [{ at = \"80 mm\", rail = \"left\" }]\nname = \"out\"",
    );
    let found = told(&live, "dead-rail");
    let help = found.iter().filter_map(|f| f.help.as_deref()).collect::<Vec<_>>();
    assert!(help.iter().any(|h| h.starts_with("it is the frog of `T`: feed it from a contact")), "{found:#?}");
    let fed = live
        + "[[motor]]\nname = \"M\"\nmoves = \"T\"\ncontact = [{ common = \"T.frog\", through = \"main.A\", diverging = \"main.B\" }]\n";
    assert_eq!(told(&fed, "dead-rail"), []);
}
