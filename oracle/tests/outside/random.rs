//! Random plans, right by construction, and the same with one fault planted in each.
//!
//! A yard grows outwards from a lead: every turnout's frog contact and gaps follow from which side it
//! diverges to, with A on the left rail of every track seen from the lead. Tracks are written in
//! either direction at random, so that the joining of ends is tried in all ways.

use crate::enumeration::{check, faults_by_enumeration, require};
use libtest_mimic::Failed;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::fmt::Write;

/// What is wrong with a random plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fault {
    None,
    /// The gap behind a frog is missing.
    MissingGap,
    /// Both feeders of a track are on the wrong conductors.
    CrossedFeeders,
    /// The two wires of a frog contact are exchanged.
    ReversedContact,
    /// A track behind gaps has no feeder on its cut rail.
    MissingFeeder,
}

const FAULTS: [Fault; 5] =
    [Fault::None, Fault::MissingGap, Fault::CrossedFeeders, Fault::ReversedContact, Fault::MissingFeeder];

/// How many random plans are tried for each fault.
const PLANS: u64 = 60;

pub fn check_many() -> Result<(), Failed> {
    let mut planted = [0usize; FAULTS.len()];
    for seed in 0..PLANS {
        for (i, &fault) in FAULTS.iter().enumerate() {
            let text = plan(seed, fault);
            let demo = oracle::demo(&format!("random plan {seed} {fault:?}"), text)?;
            check(&demo)?;
            let proof = proof::prove(&demo.circuit, None).map_err(|e| format!("{e:?}"))?;
            let (short, bridged, dead, _) = faults_by_enumeration(&demo)?;
            let told = (!proof.shorts.is_empty(), !proof.bridges.is_empty(), !proof.dead.is_empty());
            // A short for good hides the rest; else both must say the same.
            let always = proof.shorts.iter().any(proof::Short::always);
            let same = if always { short } else { told == (short, bridged, dead) };
            let words = || format!("{}: walking {short} {bridged} {dead}, proof {told:?}\n{}", demo.name, demo.text);
            require(same, words)?;
            let faulty = told != (false, false, false);
            require(faulty == (fault != Fault::None), words)?;
            planted[i] += 1;
        }
    }
    require(planted.iter().all(|&n| n == PLANS as usize), || format!("{planted:?}"))
}

struct Random {
    runner: TestRunner,
}

impl Random {
    fn new(seed: u64) -> Random {
        let mut bytes = [0; 32];
        bytes[..8].copy_from_slice(&seed.to_le_bytes());
        let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
        Random { runner: TestRunner::new_with_rng(Config::default(), rng) }
    }
    fn below(&mut self, n: usize) -> usize {
        (0..n).new_tree(&mut self.runner).unwrap().current()
    }
    fn coin(&mut self) -> bool {
        self.below(2) == 1
    }
}

/// An end that waits for a track: the reference, whether the rail on the left or on the right (seen
/// from the lead) is behind a live frog.
struct Open {
    end: String,
    behind_frog: Option<bool>,
}

fn plan(seed: u64, fault: Fault) -> String {
    let mut random = Random::new(seed);
    let turnouts = 1 + random.below(6);
    let mut text = String::from(
        "[layout]\nname = \"random\"\nscale = \"OO\"\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         trips = { at = \"4 A\" }\n[[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"9 m\"\n",
    );
    // Every turnout has two open ends; the fault sits at one that has what it needs.
    let mut open = vec![Open { end: "beyond".to_owned(), behind_frog: None }];
    let mut made = 0;
    let mut planted = fault == Fault::None;
    let mut tracks = 0;
    while let Some(place) = (!open.is_empty()).then(|| random.below(open.len())) {
        let start = open.swap_remove(place);
        tracks += 1;
        let turnout = (made < turnouts && (open.is_empty() || random.coin())).then(|| {
            made += 1;
            made
        });
        let far = match turnout {
            Some(t) => format!("T{t}.points"),
            None if random.coin() => "buffer".to_owned(),
            None => "beyond".to_owned(),
        };
        let can_be_cut = start.behind_frog.is_some();
        let here = !planted && can_be_cut;
        let missing_gap = here && fault == Fault::MissingGap;
        let crossed = here && fault == Fault::CrossedFeeders;
        // A track that goes on is fed from its other end too.
        let missing_feeder = here && turnout.is_none() && fault == Fault::MissingFeeder;
        planted |= missing_gap || crossed || missing_feeder;
        let flipped = random.coin();
        track(&mut text, tracks, &start, &far, flipped, missing_gap, crossed, missing_feeder);
        if let Some(t) = turnout {
            let reversed = !planted && fault == Fault::ReversedContact;
            let wiring = if reversed { "live-bonded" } else { WIRINGS[random.below(WIRINGS.len())] };
            // The faults in tracks need a live frog to sit behind.
            let wiring = if planted || fault == Fault::ReversedContact { wiring } else { "live-bonded" };
            planted |= reversed;
            let left_hand = random.coin();
            self::turnout(&mut text, t, wiring, left_hand, reversed);
            let live = wiring.starts_with("live");
            // Behind the frog: the through track's near rail and the diverging track's far rail.
            open.push(Open { end: format!("T{t}.through"), behind_frog: live.then_some(left_hand) });
            open.push(Open { end: format!("T{t}.diverging"), behind_frog: live.then_some(!left_hand) });
        }
    }
    assert!(planted, "no place for {fault:?} in plan {seed}");
    text
}

const WIRINGS: [&str; 5] = ["insulated-bonded", "insulated-routed", "metal-tip", "live-bonded", "live-assisted"];

fn turnout(text: &mut String, number: usize, wiring: &str, left_hand: bool, reversed: bool) {
    let hand = if left_hand { "left" } else { "right" };
    let _ = writeln!(text, "[[turnout]]\nname = \"T{number}\"\nhand = \"{hand}\"\nwiring = \"{wiring}\"");
    // The frog has the phase of the stock rail that the closed blade touches: the near one when set through.
    let near = if left_hand { "bus.A" } else { "bus.B" };
    let far = if left_hand { "bus.B" } else { "bus.A" };
    let (through, diverging) = if reversed { (far, near) } else { (near, far) };
    if matches!(wiring, "live-bonded" | "live-assisted" | "metal-tip") {
        let _ = writeln!(
            text,
            "[[motor]]\nname = \"M{number}\"\nmoves = \"T{number}\"\n\
             contact = [{{ common = \"T{number}.frog\", through = \"{through}\", diverging = \"{diverging}\" }}]"
        );
    }
}

#[allow(clippy::too_many_arguments)] // a plan's table simply says that much
fn track(
    text: &mut String,
    number: usize,
    start: &Open,
    far: &str,
    flipped: bool,
    missing_gap: bool,
    crossed: bool,
    missing_feeder: bool,
) {
    // Seen from the lead, A is on the left; a track written the other way round has it on the right.
    let (from, to) = if flipped { (far, start.end.as_str()) } else { (start.end.as_str(), far) };
    let (a, b) = if crossed { ("bus.B", "bus.A") } else { ("bus.A", "bus.B") };
    let (left, right) = if flipped { (b, a) } else { (a, b) };
    let at = |x: f64| format!("{:.2} m", if flipped { 2.0 - x } else { x });
    let side = |left_from_lead: bool| if left_from_lead != flipped { "left" } else { "right" };
    let _ = writeln!(
        text,
        "[[track]]\nname = \"track {number}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"2 m\"\n\
         left = \"{left}\"\nright = \"{right}\""
    );
    if let Some(left_rail) = start.behind_frog {
        if !missing_gap {
            let _ = writeln!(text, "gaps = [{{ at = \"{}\", rail = \"{}\" }}]", at(0.08), side(left_rail));
        }
        if missing_feeder {
            let _ = writeln!(text, "feeders = [{{ at = \"{}\", rail = \"{}\" }}]", at(1.0), side(!left_rail));
            return;
        }
    }
    let _ = writeln!(text, "feeders = [\"{}\"]", at(1.0));
}
