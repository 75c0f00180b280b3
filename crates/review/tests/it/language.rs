//! What the language says of detectors, several storage policies, toggles, promises and relays in a row, and what comes of it.

use crate::ask;
use finding::Severity;

const DOCK: &str = include_str!("../../src/rules/detectors/examples/detector-sees-too-much.near-miss.toml");
const YARD: &str = include_str!("../../src/rules/wiring/examples/wire-too-short.near-miss.toml");

/// The errors that a review finds, by name.
fn errors(text: &str) -> Vec<&'static str> {
    let review = review::review(text);
    review.findings.iter().filter(|f| f.severity == Severity::Error).map(|f| f.name).collect()
}

/// Volts, amperes of a short, what is noticed of it and the train's current at the worst place of the dock, as usual.
fn at_dock(detector: &str) -> [f64; 4] {
    let text = DOCK.replace("drop = \"0.7 V\"", detector);
    let review = review::review(&text);
    let figures = review.figures.unwrap();
    let line = figures.tracks.iter().find(|t| t.name == "dock 1").unwrap();
    let noticed = line.noticed.amps().typical;
    [line.volts.typical, line.fault_amps.typical, noticed, figures.load_case.train_amps]
}

#[track_caller]
fn near(found: f64, due: f64) {
    // No edge is better than 1 µΩ, and so `0 Ω` comes to that.
    assert!((found - due).abs() < 1e-5 * due.abs(), "{found} is not {due}");
}

#[test]
fn diodes_take_volts_and_a_resistor_ohms() {
    let [volts, fault, noticed, amps] = at_dock("resistance = \"0 Ω\"");
    // V − V_d − I·R and (V − V_d) / (R + r): the loop's resistance is the same, and 15 V are 14.3 V.
    let [behind, short, seen, _] = at_dock("drop = \"0.7 V\"\nresistance = \"0 Ω\"");
    near(volts - behind, 0.7);
    near(short / fault, 14.3 / 15.0);
    near(seen / noticed, 14.3 / 15.0);
    // Half an ohm more in the loop: V − I·(R + 0.5) and V / (V / I_short + 0.5).
    let [behind, short, ..] = at_dock("resistance = \"0.5 Ω\"");
    near(volts - behind, 0.5 * amps);
    near(short, 15.0 / (15.0 / fault + 0.5));
    // What is not said is as usual, and is told.
    let [usual, ..] = at_dock("");
    let [said, ..] = at_dock("drop = \"0.7 V\"");
    assert_eq!(usual.to_bits(), said.to_bits());
    let notes = review::review(&DOCK.replace("drop = \"0.7 V\"", "")).summary.notes;
    assert!(notes.iter().any(|n| n.contains("`D1` keeps 0.7 V, as is usual: rails of dock 1")), "{notes:?}");
}

#[test]
fn what_lies_before_a_detector_keeps_its_volts() {
    let line = |text: &str| {
        let figures = review::review(text).figures.unwrap();
        figures.tracks.iter().find(|t| t.name == "lead").unwrap().volts.typical
    };
    let without = DOCK.replace("drop = \"0.7 V\"", "resistance = \"0 Ω\"");
    assert_eq!(line(DOCK).to_bits(), line(&without).to_bits());
}

/// The yard with these storage tables.
fn stored(storage: &str) -> Vec<(String, bool)> {
    let text = format!("{YARD}\n{storage}");
    ask(&text, |facts| {
        let proof = facts.proof().unwrap();
        proof.storage.iter().map(|f| (facts.circuit.segments[f.track].name.clone(), f.live)).collect()
    })
}

#[test]
fn each_storage_track_has_the_policy_it_stands_in() {
    // Both roads are switched by the turnout: live when it is set for them.
    let one = |live: &str| format!("[storage]\ntracks = [\"road 1\", \"road 2\"]\nlive = \"{live}\"\n");
    let two = |first: &str, second: &str| {
        format!(
            "[[storage]]\ntracks = [\"road 1\"]\nlive = \"{first}\"\n\n[[storage]]\ntracks = [\"road 2\"]\nlive = \"{second}\"\n"
        )
    };
    let road = |n: usize| (format!("road {n}"), false);
    assert!(stored(&one("lined")).is_empty() && stored(&two("lined", "lined")).is_empty());
    assert_eq!(stored(&one("always")), [road(1), road(2)]);
    assert_eq!(stored(&two("lined", "always")), [road(2)]);
    assert_eq!(stored(&two("always", "lined")), [road(1)]);
    assert_eq!(stored(&two("by hand", "always")), [road(2)]);
    // A single table in double brackets is the same as in single ones.
    assert_eq!(stored(&one("always").replace("[storage]", "[[storage]]")), stored(&one("always")));
    let answers = review::review(&format!("{YARD}\n{}", two("lined", "always"))).summary.answers;
    let words: Vec<&str> = answers.iter().filter(|a| a.question == "storage").map(|a| a.words.as_str()).collect();
    assert_eq!(words, ["road 1 is live exactly when wanted (`lined`)", "against the policy: road 2"]);
}

#[test]
fn a_track_in_two_policies_is_told() {
    let twice = "[[storage]]\ntracks = [\"road 1\", \"road 2\"]\nlive = \"lined\"\n\n\
                 [[storage]]\ntracks = [\"road 2\"]\nlive = \"always\"\n";
    assert_eq!(errors(&format!("{YARD}\n{twice}")), ["contradiction"]);
}

/// A shed behind a toggle, and two toggles that short the bus if both are on.
fn shed(toggle: &str, rest: &str) -> String {
    format!(
        "[layout]\nname = \"shed\"\nscale = \"OO\"\njoint = \"soldered\"\n\
         [[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\ntrips = {{ at = \"3 A\", after = \"100 ms\" }}\n\
         [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"3 m\"\n\
         [[toggle]]\nname = \"K1\"\n{toggle}\ncontact = [{{ common = \"shed.left @ 0.2 m\", on = \"bus.A @ 1 m\" }}]\n\
         [[track]]\nname = \"shed\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"0.8 m\"\nright = \"bus.B\"\n\
         feeders = [{{ at = \"0.2 m\", rail = \"right\" }}]\n{rest}"
    )
}

#[test]
fn a_toggle_with_a_centre_has_three_positions() {
    let live = |text: &str| {
        ask(text, |facts| {
            let control = &facts.circuit.controls[0];
            let conditions = proof::Conditions::from_circuit(&facts.circuit).unwrap();
            let rail = facts.circuit.at(0, plan::tables::RailSide::Left, 0.2).unwrap();
            let pole = facts.circuit.poles().next().unwrap();
            let live = (0..control.positions.len()).map(|p| conditions.live(rail, pole, &[p as u8]));
            (control.positions.clone(), live.collect::<Vec<_>>())
        })
    };
    let centre = "centre = \"off\"\nusual = \"centre\"";
    let of = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
    assert_eq!(live(&shed("", "")), (of(&["off", "on"]), vec![false, true]));
    assert_eq!(live(&shed(centre, "")), (of(&["off", "on", "centre"]), vec![false, true, false]));
    assert!(review::review(&shed(centre, "")).summary.extent.ends_with("3 settings"));
}

#[test]
fn what_nobody_sets_stands_as_usual() {
    let setting = |toggle: &str, said: &[&str]| {
        let said: Vec<String> = said.iter().map(|s| (*s).to_owned()).collect();
        ask(&shed(toggle, ""), |facts| analysis::setting_positions(&facts.circuit, &said).unwrap())
    };
    assert_eq!(setting("", &[]), [Some(0)]);
    assert_eq!(setting("usual = \"on\"", &[]), [Some(1)]);
    assert_eq!(setting("usual = \"on\"", &["K1=off"]), [Some(0)]);
    assert_eq!(setting("centre = \"off\"\nusual = \"centre\"", &[]), [Some(2)]);
    // A trace without a word of the toggle takes it so.
    let volts = |toggle: &str| {
        ask(&shed(toggle, ""), |facts| facts.trace("shed @ 0.4 m", &[]).unwrap().between.unwrap().volts.typical)
    };
    assert!(volts("usual = \"on\"") > 14.0 && volts("") == 0.0);
    assert_eq!(errors(&shed("usual = \"centre\"", "")), ["contradiction"]);
    let follower = "[[relay]]\nname = \"R1\"\nfollows = \"K1\"\n";
    assert_eq!(errors(&shed("centre = \"off\"", follower)), ["contradiction"]);
}

/// Two more toggles: both on, they short the bus.
const SHORTING: &str = "[[toggle]]\nname = \"K2\"\ncontact = [{ common = \"shed.left @ 0.4 m\", on = \"bus.A @ 1 m\" }]\n\
                        [[toggle]]\nname = \"K3\"\ncontact = [{ common = \"shed.left @ 0.6 m\", on = \"bus.B @ 1 m\" }]\n";

#[test]
fn what_is_promised_never_to_be_set_is_no_fault() {
    let with = |promises: &[&str]| {
        let tables: String = promises.iter().map(|p| format!("[[never]]\ntogether = [{p}]\n")).collect();
        shed("", &format!("{SHORTING}{tables}"))
    };
    assert!(errors(&with(&[])).contains(&"short-circuit"));
    // One of the two ways to the short is still open.
    assert!(errors(&with(&["\"K2 on\", \"K3 on\""])).contains(&"short-circuit"));
    let both = with(&["\"K2 on\", \"K3 on\"", "\"K1 = on\", \"K3 = on\""]);
    assert!(!errors(&both).contains(&"short-circuit"), "{:?}", errors(&both));
    let review = review::review(&both);
    let promised = review.summary.notes.iter().filter(|n| n.starts_with("you promised")).count();
    assert_eq!(promised, 2, "{:?}", review.summary.notes);
    // Of 8 settings those with K3 on and another on are gone.
    assert!(review.summary.extent.ends_with("5 settings"), "{}", review.summary.extent);
}

#[test]
fn usual_positions_give_way_to_a_promise() {
    let text = shed("usual = \"on\"", &format!("{SHORTING}[[never]]\ntogether = [\"K1 on\", \"K2 off\"]\n"));
    ask(&text, |facts| {
        let circuit = &facts.circuit;
        let usual = circuit.complete(&[]);
        assert!(circuit.is_legal(&usual), "{usual:?}");
        // What is given stays.
        let given = analysis::setting_positions(circuit, &["K2=off".to_owned()]).unwrap();
        assert_eq!(given, [Some(0), Some(0), Some(0)]);
        let given = analysis::setting_positions(circuit, &["K1=on".to_owned()]).unwrap();
        assert_eq!(given, [Some(1), Some(1), Some(0)]);
    });
}

#[test]
fn promises_that_make_no_sense_are_told() {
    let told = |together: &str| errors(&shed("", &format!("{SHORTING}[[never]]\ntogether = [{together}]\n")));
    assert_eq!(told("\"K1 on\""), ["missing-key"]);
    assert_eq!(told(""), ["missing-key"]);
    assert_eq!(told("\"K1 on\", \"K1 off\""), ["contradiction"]);
    assert_eq!(told("\"K1 on\", \"K1 on\""), ["contradiction"]);
    assert_eq!(told("\"K1 on\", \"K2 centre\""), ["no-such-name"]);
    assert_eq!(told("\"K1 on\", \"K2\""), ["no-such-name"]);
    assert_eq!(told("\"K1 on\", \"shed on\""), ["no-such-name"]);
    assert_eq!(told("\"K1 on\", \"nothing on\""), ["no-such-name"]);
}

/// A motor and relays; the last relay's contact feeds the frog.
fn relays(tables: &str, feeds: &str) -> String {
    YARD.replace("  { common = \"T1.frog\", through = \"bus.A\", diverging = \"bus.B\" },\n", "")
        + &format!(
            "\n{tables}\n[[relay]]\nname = \"last\"\nfollows = \"{feeds}\"\n\
         contact = [{{ common = \"T1.frog\", through = \"bus.A\", diverging = \"bus.B\" }}]\n"
        )
}

#[test]
fn a_relay_may_follow_a_relay_in_any_order() {
    let between = |name: &str, follows: &str| format!("[[relay]]\nname = \"{name}\"\nfollows = \"{follows}\"\n");
    assert!(errors(&relays("", "M1")).is_empty(), "{:?}", errors(&relays("", "M1")));
    // The first of them stands behind the one that follows it.
    let chain = between("two", "one") + &between("one", "M1");
    assert!(errors(&relays(&chain, "two")).is_empty());
    let same = |text: &str| ask(text, |facts| facts.circuit.edges.iter().filter(|e| !e.guard.is_empty()).count());
    assert_eq!(same(&relays(&chain, "two")), same(&relays("", "M1")));
    // What follows nothing that moves would leave the frog dead.
    let circle = between("two", "one") + &between("one", "two");
    assert_eq!(errors(&relays(&circle, "two")), ["relay-loop"]);
    assert_eq!(errors(&relays("", "last")), ["relay-loop"]);
}
