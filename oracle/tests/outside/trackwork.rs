//! Small plans of each kind of special trackwork, wired well and wired wrong: the proof against every setting, one by
//! one, and both against what is known of the plan.

use crate::enumeration::{check, require};
use crate::walker::faults_over_all;
use circuit::ControlId;
use libtest_mimic::{Failed, Trial};
use plan::Pole;

type Check = fn() -> Result<(), Failed>;

/// What is known: whether it can be shorted, whether a gap is bridged under a train, whether a train stands dead.
type Known = (bool, bool, bool);
const WELL: Known = (false, false, false);
const SHORT: Known = (true, false, false);
const BRIDGED: Known = (false, true, false);
/// A frog on the wrong phase: its gaps are bridged, and over the frog both rails are on one pole.
const CROSSED: Known = (false, true, true);

pub fn trials() -> Vec<Trial> {
    let kinds: [(&str, Check); 8] = [
        ("three_way", three_way),
        ("crossing", crossing),
        ("slip", slip),
        ("turntable", turntable),
        ("reverser", reverser),
        ("one_pole_breakers", one_pole_breakers),
        ("scissors", scissors),
        ("what_never_happens_is_never_told", never_happens),
    ];
    kinds.into_iter().map(|(name, run)| Trial::test(format!("trackwork::{name}"), run)).collect()
}

/// The proof of a plan agrees with the walk over all its settings, and both with what is known.
fn agree(name: &str, text: &str, known: Known) -> Result<proof::Proof, Failed> {
    let demo = oracle::demo(name, text.to_owned())?;
    check(&demo)?;
    let storage = analysis::storage(&demo.reading.plan, &demo.reading.names);
    let proof = proof::prove(&demo.circuit, storage.as_ref()).map_err(|e| format!("{e:?}"))?;
    let walked = faults_over_all(&demo.circuit, storage.as_ref());
    let (short, bridged, dead) = (walked.short, !walked.bridges.is_empty(), !walked.dead.is_empty());
    let live = walked.storage.iter().any(|s| s.1);
    let told = (!proof.shorts.is_empty(), !proof.bridges.is_empty(), !proof.dead.is_empty());
    let words = |what: &str, found: Known| format!("{name}: {what} {found:?}, known {known:?}\n{text}\n{proof:#?}");
    // Where it is shorted in every setting, the proof asks on as if that short were parted.
    let same = if proof.shorts.iter().any(proof::Short::always) { told.0 == known.0 } else { told == known };
    require(same, || words("proof", told))?;
    require((short, bridged, dead) == known, || words("walking", (short, bridged, dead)))?;
    require(live == proof.storage.iter().any(|s| s.live), || format!("{name}: storage, walking {live}"))?;
    for short in &proof.shorts {
        let positions: Vec<Option<u8>> = (0..demo.circuit.controls.len())
            .map(|c| short.witness.setting.iter().find(|l| l.control == ControlId::new(c)).map(|l| l.position))
            .collect();
        require(demo.circuit.is_legal(&positions), || format!("{name}: a short that never happens"))?;
    }
    Ok(proof)
}

const HEAD: &str = "[layout]\nname = \"t\"\nscale = \"OO\"\n\
    [[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\ntrips = { at = \"4 A\" }\n\
    [[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"1.5 mm²\"\nlength = \"9 m\"\n";

/// A track of 2 m, fed in the middle, left A and right B; `gaps` as `left @ 0.08`.
fn track(name: &str, from: &str, to: &str, gaps: &[&str]) -> String {
    on(name, from, to, ["bus.A", "bus.B"], gaps)
}

fn on(name: &str, from: &str, to: &str, [left, right]: [&str; 2], gaps: &[&str]) -> String {
    format!("{}left = \"{left}\"\nright = \"{right}\"\nfeeders = [\"1 m\"]\n", unfed(name, from, to, gaps))
}

fn unfed(name: &str, from: &str, to: &str, gaps: &[&str]) -> String {
    let gap = |text: &&str| {
        let (rail, at) = text.split_once(" @ ").unwrap();
        format!("{{ at = \"{at} m\", rail = \"{rail}\" }}")
    };
    let gaps: Vec<String> = gaps.iter().map(gap).collect();
    format!(
        "[[track]]\nname = \"{name}\"\nfrom = \"{from}\"\nto = \"{to}\"\nlength = \"2 m\"\ngaps = [{}]\n",
        gaps.join(", ")
    )
}

/// A motor with contacts, each `common, through, diverging`.
fn motor(name: &str, moves: &str, contacts: &[[&str; 3]]) -> String {
    let contact = |[c, t, d]: &[&str; 3]| format!("{{ common = \"{c}\", through = \"{t}\", diverging = \"{d}\" }}");
    let contacts: Vec<String> = contacts.iter().map(contact).collect();
    format!("[[motor]]\nname = \"{name}\"\nmoves = {moves}\ncontact = [{}]\n", contacts.join(", "))
}

fn toggle(name: &str, contacts: &[[&str; 3]]) -> String {
    let contact = |[c, off, on]: &[&str; 3]| format!("{{ common = \"{c}\", off = \"{off}\", on = \"{on}\" }}");
    let contacts: Vec<String> = contacts.iter().map(contact).collect();
    format!("[[toggle]]\nname = \"{name}\"\ncontact = [{}]\n", contacts.join(", "))
}

const A: &str = "bus.A";
const B: &str = "bus.B";

fn three_way_plan(frogs: &str, left_gaps: &[&str], motors: &str) -> String {
    let gaps = |all: &'static [&'static str]| if frogs == "live" { all } else { &[] };
    [
        HEAD,
        &format!("[[three_way]]\nname = \"W1\"\nnumber = 6\nfrogs = \"{frogs}\"\n"),
        motors,
        &track("lead", "beyond", "W1.points", &[]),
        &track("left", "W1.left", "buffer", left_gaps),
        &track("middle", "W1.middle", "beyond", gaps(&["left @ 0.08", "right @ 0.08"])),
        &track("right", "W1.right", "buffer", gaps(&["left @ 0.08"])),
    ]
    .concat()
}

fn three_way() -> Result<(), Failed> {
    let left = motor("ML", "\"W1.left\"", &[["W1.left frog", A, B], ["W1.centre frog", A, B]]);
    let right = motor("MR", "\"W1.right\"", &[["W1.right frog", B, A]]);
    let gaps: &[&str] = &["right @ 0.08"];
    agree("three-way", &three_way_plan("live", gaps, &(left.clone() + &right)), WELL)?;
    agree("three-way, insulated", &three_way_plan("insulated", &[], ""), WELL)?;
    // The centre frog may as well depend on the other motor, with its own wires.
    let alone = motor("ML", "\"W1.left\"", &[["W1.left frog", A, B]]);
    let with_centre = motor("MR", "\"W1.right\"", &[["W1.right frog", B, A], ["W1.centre frog", B, A]]);
    agree("three-way, centre frog by the right motor", &three_way_plan("live", gaps, &(alone + &with_centre)), WELL)?;
    let crossed = motor("MR", "\"W1.right\"", &[["W1.right frog", A, B]]);
    let proof = agree("three-way, crossed frog", &three_way_plan("live", gaps, &(left.clone() + &crossed)), CROSSED)?;
    // One position is enough to tell it: the other motor's is its only legal one, or does not matter.
    let sizes: Vec<usize> = proof.bridges.iter().map(|b| b.witness.setting.len()).collect();
    require(sizes.iter().all(|&n| n <= 2) && sizes.contains(&1), || format!("{:#?}", proof.bridges))?;
    agree("three-way, no gap behind the frog", &three_way_plan("live", &[], &(left + &right)), SHORT)?;
    let unfed_centre = motor("ML", "\"W1.left\"", &[["W1.left frog", A, B]]);
    agree(
        "three-way, centre frog unfed",
        &three_way_plan("live", gaps, &(unfed_centre + &right)),
        (false, false, true),
    )?;
    Ok(())
}

fn legs(name: &str, second: [&str; 2], gapped: bool) -> String {
    let gaps = |all: &'static [&'static str]| if gapped { all } else { &[] };
    let end = |word: &str| format!("{name}.{word}");
    [
        track("w1", "beyond", &end("west 1"), gaps(&["right @ 1.92"])),
        track("e1", &end("east 1"), "beyond", gaps(&["left @ 0.08"])),
        on("w2", "beyond", &end("west 2"), second, gaps(&["left @ 1.92"])),
        on("e2", &end("east 2"), "beyond", second, gaps(&["right @ 0.08"])),
    ]
    .concat()
}

fn crossing() -> Result<(), Failed> {
    let live = |phases: &str, follows: &str| {
        format!(
            "[[crossing]]\nname = \"X1\"\nnumber = 5\nfrogs = \"live\"\nphases = \"{phases}\"\nfollows = \"{follows}\"\n"
        )
    };
    let same = [HEAD, &live("same", "route"), &legs("X1", [A, B], true)].concat();
    let frogs = |west: [&str; 2], east: [&str; 2]| {
        toggle("route", &[["X1.west frog", west[0], west[1]], ["X1.east frog", east[0], east[1]]])
    };
    agree("crossing", &(same.clone() + &frogs([B, A], [A, B])), WELL)?;
    let proof = agree("crossing, crossed west frog", &(same.clone() + &frogs([A, B], [A, B])), CROSSED)?;
    let told: Vec<_> = proof.bridges.iter().map(|b| !b.frogs.is_empty()).collect();
    require(told.iter().all(|&frog| frog), || format!("{:#?}", proof.bridges))?;
    // A relay may stand between.
    let relay = format!(
        "{}[[relay]]\nname = \"K1\"\nfollows = \"route\"\ncontact = [{{ common = \"X1.west frog\", off = \"{B}\", on = \
         \"{A}\" }}, {{ common = \"X1.east frog\", off = \"{A}\", on = \"{B}\" }}]\n",
        toggle("route", &[])
    );
    agree("crossing, by a relay", &([HEAD, &live("same", "K1"), &legs("X1", [A, B], true)].concat() + &relay), WELL)?;
    // Phases that disagree meet in the obtuse crossings, for good.
    let mixed = [HEAD, &live("same", "route"), &legs("X1", [B, A], true), &frogs([B, A], [A, B])].concat();
    agree("crossing, tracks of opposite phases", &mixed, SHORT)?;
    let frogs = toggle("route", &[["X1.north frog", A, B], ["X1.south frog", B, A]]);
    let opposite = [HEAD, &live("opposite", "route"), &legs("X1", [B, A], false), &frogs].concat();
    agree("crossing of opposite phases", &opposite, WELL)?;
    let swapped = toggle("route", &[["X1.north frog", B, A], ["X1.south frog", B, A]]);
    let swapped = [HEAD, &live("opposite", "route"), &legs("X1", [B, A], false), &swapped].concat();
    agree("crossing of opposite phases, crossed", &swapped, CROSSED)?;
    let plastic = "[[crossing]]\nname = \"X1\"\nfrogs = \"insulated\"\n";
    for second in [[A, B], [B, A]] {
        agree("crossing, plastic", &[HEAD, plastic, &legs("X1", second, false)].concat(), WELL)?;
    }
    Ok(())
}

fn slip() -> Result<(), Failed> {
    for kind in ["single", "double"] {
        let slip = format!("[[slip]]\nname = \"X1\"\nkind = \"{kind}\"\nfrogs = \"live\"\n");
        let base = [HEAD, &slip, &legs("X1", [A, B], true)].concat();
        // Each acute frog by the motor at the opposite end.
        let west = motor("MW", "\"X1.west\"", &[["X1.east frog", A, B]]);
        let east = motor("ME", "\"X1.east\"", &[["X1.west frog", B, A]]);
        agree(kind, &[base.as_str(), &west, &east].concat(), WELL)?;
        let west = motor("MW", "\"X1.west\"", &[["X1.west frog", B, A]]);
        let east = motor("ME", "\"X1.east\"", &[["X1.east frog", A, B]]);
        agree(&format!("{kind}, by the own end"), &[base.as_str(), &west, &east].concat(), CROSSED)?;
        let plastic = format!("[[slip]]\nname = \"X1\"\nkind = \"{kind}\"\nfrogs = \"insulated\"\n");
        agree(&format!("{kind}, plastic"), &[HEAD, &plastic, &legs("X1", [A, B], false)].concat(), WELL)?;
        agree(&format!("{kind}, mixed"), &[HEAD, &plastic, &legs("X1", [B, A], false)].concat(), SHORT)?;
    }
    Ok(())
}

fn turntable() -> Result<(), Failed> {
    // The deck between a line that comes in, seen from there left A, and two sheds that lead away.
    let plan = |deck: &str, sheds: &dyn Fn(&str, &str) -> String, more: &str| {
        format!(
            "{HEAD}[[turntable]]\nname = \"TT\"\nlength = \"0.3 m\"\nstalls = 3\n{deck}\n{}{}{}{more}",
            track("line", "beyond", "TT.stall 1", &[]),
            sheds("shed 1", "TT.stall 2"),
            sheds("shed 2", "TT.stall 3"),
        )
    };
    // Left and right of a track that leads away are exchanged for somebody who looks at the deck.
    let fed = |name: &str, end: &str| on(name, end, "buffer", [B, A], &[]);
    let dead = |name: &str, end: &str| unfed(name, end, "buffer", &[]);
    let own = "left = \"bus.A\"\nright = \"bus.B\"";
    agree("turntable, stalls fed", &plan("", &fed, ""), WELL)?;
    agree("turntable, sheds unfed", &plan("", &dead, ""), (false, false, true))?;
    let storage = "[storage]\ntracks = [\"shed 1\", \"shed 2\"]\nlive = \"lined\"\n";
    agree("sector plate, fed deck", &plan(&format!("kind = \"sector plate\"\n{own}"), &dead, storage), WELL)?;
    // Four tracks side by side on it, fed by what they stand before, by feeds of their own, and by feeds the wrong way round.
    let four = "kind = \"sector plate\"\ntracks = 4\n";
    agree("sector plate of four tracks", &plan(four, &fed, ""), WELL)?;
    agree("sector plate of four tracks, fed", &plan(&format!("{four}{own}"), &fed, ""), WELL)?;
    let turned = "left = \"bus.B\"\nright = \"bus.A\"";
    agree("sector plate of four tracks, fed wrongly", &plan(&format!("{four}{turned}"), &fed, ""), SHORT)?;
    // The deck turned by half before a track that is fed.
    let proof = agree("turntable, fed deck", &plan(own, &dead, storage), SHORT)?;
    let setting = proof.shorts.first().map(|s| s.witness.setting.clone()).unwrap_or_default();
    require(setting.len() == 1 && setting[0].position == 1, || format!("{setting:?}"))?;
    // With nothing but wheels between deck and stall it is no short until a train runs over.
    agree("turntable, fed deck, gaps", &plan(&format!("{own}\njoint = \"gap\""), &fed, ""), BRIDGED)?;
    let reversed = "left = \"R1.A\"\nright = \"R1.B\"";
    let sensing = "[[reverser]]\nname = \"R1\"\nkind = \"short-sensing\"\nfrom = \"bus @ 1 m\"\n";
    let split_ring = "[[motor]]\nname = \"MT\"\nmoves = \"TT\"\n\
        [[reverser]]\nname = \"R1\"\nkind = \"following\"\nfollows = \"MT\"\nfrom = \"bus @ 1 m\"\n";
    for reverser in [sensing, split_ring] {
        agree("turntable, reversed deck", &plan(reversed, &dead, &format!("{storage}{reverser}")), WELL)?;
        let gaps = format!("{reversed}\njoint = \"gap\"");
        agree("turntable, reversed deck, gaps", &plan(&gaps, &fed, reverser), WELL)?;
    }
    Ok(())
}

/// A balloon loop off a turnout, its phase by a reverser.
fn balloon(loop_gaps: &[&str], reverser: &str, frog: [&str; 2]) -> String {
    let turnout = "[[turnout]]\nname = \"T1\"\nhand = \"left\"\nwiring = \"live-bonded\"\n";
    [
        HEAD,
        turnout,
        reverser,
        &motor("M1", "\"T1\"", &[["T1.frog", frog[0], frog[1]]]),
        &track("line", "beyond", "T1.points", &[]),
        &on("loop", "T1.diverging", "T1.through", ["R1.A", "R1.B"], loop_gaps),
    ]
    .concat()
}

fn reverser() -> Result<(), Failed> {
    let all: &[&str] = &["left @ 0.08", "right @ 0.08", "left @ 1.92", "right @ 1.92"];
    let sensing = "[[reverser]]\nname = \"R1\"\nkind = \"short-sensing\"\nfrom = \"bus @ 1 m\"\n";
    agree("balloon, short-sensing", &balloon(all, sensing, [A, B]), WELL)?;
    // The frog's phase is nothing a reverser can help.
    agree("balloon, short-sensing, crossed frog", &balloon(all, sensing, [B, A]), CROSSED)?;
    // One end of one rail left whole: with the reverser in one sense there is no short, so it stays there, and the
    // gap at the other end is bridged.
    agree("balloon, a gap missing", &balloon(&all[1..], sensing, [A, B]), BRIDGED)?;
    // Both ends of a rail left whole: A at one end, B at the other.
    agree("balloon, two gaps missing", &balloon(&[all[1], all[3]], sensing, [A, B]), SHORT)?;
    let following = "[[reverser]]\nname = \"R1\"\nkind = \"following\"\nfollows = \"M1\"\nfrom = \"bus @ 1 m\"\n";
    // Entered by the diverging leg with the line's phase, left with the other: changed over when the motor diverges.
    let turned = following.replace("follows = \"M1\"", "follows = \"hand\"");
    let by_hand = format!("{turned}{}", toggle("hand", &[]));
    agree("balloon, by hand", &balloon(all, &by_hand, [A, B]), BRIDGED)?;
    let proof = agree("balloon, following the wrong way round", &balloon(all, following, [A, B]), BRIDGED)?;
    require(proof.bridges.iter().any(|b| b.witness.setting.len() == 1), || format!("{:#?}", proof.bridges))?;
    let right = balloon(all, following, [A, B])
        .replace("left = \"R1.A\"\nright = \"R1.B\"", "left = \"R1.B\"\nright = \"R1.A\"");
    agree("balloon, following", &right, WELL)?;
    Ok(())
}

fn one_pole_breakers() -> Result<(), Failed> {
    // Two districts behind breakers of their own; the right rail runs on, or is gapped.
    let plan = |opens: &str, gaps: &[&str]| {
        let breaker = |name: &str| {
            format!(
                "[[supply]]\nname = \"{name} breaker\"\nbehind = \"booster\"\n{opens}\ntrips = {{ at = \"2 A\" }}\n\
                 [[bus]]\nname = \"{name}\"\nsupply = \"{name} breaker\"\nwire = \"1.5 mm²\"\nlength = \"3 m\"\n"
            )
        };
        [
            HEAD,
            &breaker("west"),
            &breaker("east"),
            &on("west track", "beyond", "east track.from", ["west.A", "west.B"], gaps),
            &on("east track", "west track.to", "beyond", ["east.A", "east.B"], &[]),
        ]
        .concat()
    };
    let joined = |name: &str, text: &str, pole: Option<Pole>| {
        let proof = agree(name, text, WELL)?;
        let found: Vec<Pole> = proof.joined.iter().map(|j| j.pole).collect();
        require(found.first().copied() == pole, || format!("{name}: joined at {found:?}"))
    };
    let left: &[&str] = &["left @ 1.99"];
    joined("both poles", &plan("", &["left @ 1.99", "right @ 1.99"]), None)?;
    joined("both poles, right rail whole", &plan("", left), Some(Pole::B))?;
    joined("pole A only", &plan("opens = \"A\"", left), None)?;
    joined("pole A only, nothing gapped", &plan("opens = \"A\"", &[]), Some(Pole::A))?;
    joined("pole B only", &plan("opens = \"B\"", left), Some(Pole::B))?;
    joined("pole B only, left rail whole", &plan("opens = \"B\"", &["right @ 1.99"]), None)?;
    Ok(())
}

/// Two parallel tracks, both crossovers between them, crossing in the middle: four turnouts and a live crossing. Nothing
/// else knows of it.
fn scissors() -> Result<(), Failed> {
    let plan = |crossing: [&str; 4]| {
        let turnout = |name: &str, hand: &str| {
            format!("[[turnout]]\nname = \"{name}\"\nhand = \"{hand}\"\nwiring = \"live-bonded\"\n")
        };
        let [w0, w1, e0, e1] = crossing;
        // Tracks run eastwards, north rail (left) A. The eastern turnouts are seen from the east.
        [
            HEAD,
            &turnout("NW", "right"),
            &turnout("SW", "left"),
            &turnout("NE", "left"),
            &turnout("SE", "right"),
            "[[crossing]]\nname = \"X\"\nfrogs = \"live\"\nfollows = \"up\"\n",
            // The diagonal from north-west to south-east, and the one from south-west to north-east.
            &motor("down", "[\"NW\", \"SE\"]", &[["NW.frog", B, A], ["SE.frog", A, B]]),
            &motor(
                "up",
                "[\"SW\", \"NE\"]",
                &[["SW.frog", A, B], ["NE.frog", B, A], ["X.west frog", w0, w1], ["X.east frog", e0, e1]],
            ),
            &track("north-west", "beyond", "NW.points", &[]),
            &track("south-west", "beyond", "SW.points", &[]),
            &track("north-east", "NE.points", "beyond", &[]),
            &track("south-east", "SE.points", "beyond", &[]),
            &track("north", "NW.through", "NE.through", &["right @ 0.08", "right @ 1.92"]),
            &track("south", "SW.through", "SE.through", &["left @ 0.08", "left @ 1.92"]),
            &track("d1 west", "NW.diverging", "X.west 1", &["left @ 0.08", "right @ 1.92"]),
            &track("d1 east", "X.east 1", "SE.diverging", &["left @ 0.08", "right @ 1.92"]),
            &track("d2 west", "SW.diverging", "X.west 2", &["right @ 0.08", "left @ 1.92"]),
            &track("d2 east", "X.east 2", "NE.diverging", &["right @ 0.08", "left @ 1.92"]),
        ]
        .concat()
    };
    agree("scissors", &plan([B, A, A, B]), WELL)?;
    agree("scissors, crossed crossing", &plan([A, B, A, B]), CROSSED)?;
    Ok(())
}

/// A short that needs both pairs of a three-way turnout's blades thrown is none; one that needs two turnouts is.
fn never_happens() -> Result<(), Failed> {
    let chain = |one: &str, other: &str| {
        format!(
            "[[motor]]\nname = \"M1\"\nmoves = \"{one}\"\ncontact = [{{ common = \"{A}\", diverging = \"M2.1.common\" }}]\n\
             [[motor]]\nname = \"M2\"\nmoves = \"{other}\"\ncontact = [{{ diverging = \"{B}\" }}]\n"
        )
    };
    agree("both blades", &three_way_plan("insulated", &[], &chain("W1.left", "W1.right")), WELL)?;
    let turnouts = |name: &str, lead: &str| {
        [
            format!("[[turnout]]\nname = \"{name}\"\nhand = \"left\"\nwiring = \"insulated-bonded\"\n"),
            track(&format!("{name} lead"), lead, &format!("{name}.points"), &[]),
            track(&format!("{name} through"), &format!("{name}.through"), "beyond", &[]),
            track(&format!("{name} diverging"), &format!("{name}.diverging"), "buffer", &[]),
        ]
        .concat()
    };
    let two = [HEAD, &turnouts("T1", "beyond"), &turnouts("T2", "beyond"), &chain("T1", "T2")].concat();
    let proof = agree("two turnouts", &two, SHORT)?;
    require(proof.shorts[0].witness.setting.len() == 2, || format!("{:#?}", proof.shorts))
}
