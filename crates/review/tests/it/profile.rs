//! Profiles of ways: the numbers against a solve of each place by itself, the table, the values and the plot by what
//! they must hold.

use crate::ask;
use analysis::way_profile::{WantedProfile, WayProfile};
use circuit::{Circuit, NodeId, Probe, Way};
use electrics::{Level, Load, setting_of};
use handbook::Spread;
use oracle::long_plans as plans;
use plan::TrackEnd;
use plan::tables::RailSide;
use report::profile_csv::to_csv;
use report::profile_plot::to_svg;
use report::profile_print::render;

mod drawing;
mod values;

/// The demo plans.
pub const DEMOS: [&str; 7] = [
    include_str!("../../../../plans/thistle-dock/plan.toml"),
    include_str!("../../../../plans/thistle-dock-mended/plan.toml"),
    include_str!("../../../../plans/seven-tracks/plan.toml"),
    include_str!("../../../../plans/two-ladders/plan.toml"),
    include_str!("../../../../plans/balloon/plan.toml"),
    include_str!("../../../../plans/wye/plan.toml"),
    include_str!("../../../../plans/two-districts/plan.toml"),
];

/// The dock with gaps cut into `dock 1` beyond which nothing feeds it: both rails at 0.9 m, and the left rail alone
/// at 1.4 m.
pub fn broken() -> String {
    let gap = "gaps    = [{ at = \"0.09 m\", rail = \"right\" }]";
    let more = "gaps = [{ at = \"0.09 m\", rail = \"right\" }, \"0.9 m\", { at = \"1.4 m\", rail = \"left\" }]";
    assert!(DEMOS[0].contains(gap));
    DEMOS[0].replacen(gap, more, 1)
}

/// The profile of a way by its name, or of the worst.
pub fn profile(text: &str, way: Option<&str>) -> WayProfile {
    let wanted = WantedProfile { way: way.map(str::to_owned), ..WantedProfile::default() };
    ask(text, |facts| facts.way_profile(&wanted)).expect("there is such a way")
}

/// Profiles of every way of the plans, and of every way that can be gone backwards too.
pub fn all_profiles(texts: &[&str]) -> Vec<WayProfile> {
    let mut found = Vec::new();
    for text in texts {
        let reading = plan::read(text);
        let circuit = Circuit::from_plan(&reading.plan, &reading.names);
        for way in circuit::ways::ways(&circuit, 500).list {
            found.push(profile(text, Some(&way.name)));
            let mut words = way.name.splitn(2, " to ");
            if let (Some(from), Some(rest)) = (words.next(), words.next()) {
                let (to, which) = rest.split_once(", ").map_or((rest, String::new()), |r| (r.0, format!(", {}", r.1)));
                found.push(profile(text, Some(&format!("{to} to {from}{which}"))));
            }
        }
    }
    assert!(found.len() > texts.len(), "there are more ways than plans");
    found
}

/// What a load of its own gets at a place between two nodes: volts across it while it draws `amps`; none where it draws
/// nothing.
fn across(circuit: &Circuit, way: &Way, level: Level, [left, right]: [NodeId; 2], amps: f64) -> Option<f64> {
    let load = Load { left, right, amps };
    let point = electrics::operating_point(circuit, &setting_of(circuit, way), level, &[load]).expect("it balances");
    let volts = |node: NodeId| point.volts[node];
    point.unfed.is_empty().then(|| Some((volts(left)? - volts(right)?).abs())).flatten()
}

/// Holds what a profile says of a place against solves with a train and with a short there; whether it is powered.
fn hold(profile: &WayProfile, along: f64, circuit: &Circuit, way: &Way, nodes: [NodeId; 2]) -> bool {
    let got = profile.got(along);
    let of = |band: Spread<f64>, level: Level| level.pick(Spread::new(band.high, band.typical, band.low));
    for level in Level::ALL {
        let train = across(circuit, way, level, nodes, profile.load_case.train_amps);
        assert_eq!(got.is_some(), train.is_some(), "{} at {along} m", profile.name);
        let (Some(got), Some(volts)) = (got, train) else { continue };
        let told = of(got.volts, level);
        assert!((told - volts).abs() <= 1e-9 * volts.abs(), "{} at {along} m: {told} for {volts}", profile.name);
        // A short draws what leaves just its own drop between the rails.
        let amps = of(got.fault_amps, level);
        let left = across(circuit, way, level, nodes, amps).expect("it is fed");
        let due = amps * level.pick(profile.load_case.bridge_ohms);
        assert!((left - due).abs() <= 1e-9 * 15.0, "{} at {along} m, shorted: {left} for {due}", profile.name);
    }
    got.is_some()
}

/// Volts under a train and amperes of a short at many places of every way, as new, as usual and aged, each against an
/// operating point with a load on nodes of its own there.
#[test]
fn the_numbers_are_those_of_a_load_at_each_place() {
    let broken = broken();
    let (mut held, mut dead) = (0, 0);
    for text in DEMOS.into_iter().chain([broken.as_str()]).map(none_stands) {
        let text = text.as_str();
        let reading = plan::read(text);
        assert!(reading.understood());
        // Places that fall on no stop.
        let fractions = [0.003, 0.1117, 0.31, 0.4871, 0.6503, 0.777, 0.9397, 0.998];
        let probes: Vec<Probe> = (reading.plan.track.iter().enumerate())
            .flat_map(|(track, t)| fractions.map(|f| Probe { track, at: f * t.length.value.0 }))
            .collect();
        let circuit = Circuit::with_probes(&reading.plan, &reading.names, &probes);
        for way in circuit::ways::ways(&circuit, 500).list {
            let profile = profile(text, Some(&way.name));
            for (&(segment, entered), step) in way.steps.iter().zip(&profile.steps) {
                assert_eq!(step.turned, entered == TrackEnd::To);
                for probe in probes.iter().filter(|p| p.track == segment) {
                    let nodes =
                        RailSide::ALL.map(|side| circuit.at(segment, side, probe.at).expect("a probe has nodes"));
                    let powered = hold(&profile, step.along(probe.at), &circuit, &way, nodes);
                    if powered { held += 1 } else { dead += 1 }
                }
                // In trackwork, its ends: there both rails have a node.
                let rails = &circuit.segments[segment].rails;
                let ends = [
                    rails.each_ref().map(|r| r.stops[0].after),
                    rails.each_ref().map(|r| r.stops[r.stops.len() - 1].before),
                ];
                for (nodes, x) in ends.into_iter().zip([1e-6, circuit.segments[segment].length - 1e-6]) {
                    let piece = profile.pieces.iter().find(|p| {
                        let along = step.along(x);
                        p.from < along && along < p.to
                    });
                    let piece = piece.expect("a way has pieces from end to end");
                    // The end of the piece itself: what lies on the other side of the joint is another place.
                    let end = if (step.along(x) - piece.from).abs() < 1e-5 { piece.from } else { piece.to };
                    let Some(got) = piece.point_result(end, &profile.load_case) else { continue };
                    let volts =
                        across(&circuit, &way, Level::High, nodes, profile.load_case.train_amps).expect("it is fed");
                    assert!((got.volts.low - volts).abs() <= 1e-9 * volts, "{} of {}", step.name, profile.name);
                    held += 1;
                }
            }
        }
    }
    assert!(held > 900, "{held} places were held");
    assert!(dead >= 4, "{dead} places are dead");
}

/// The worst of a profile is what the list of ways says of it, found by other code from the same parabolas.
#[test]
fn the_worst_of_a_profile_is_that_of_the_list_of_ways() {
    for text in DEMOS {
        let table = ask(text, |facts| facts.all_ways());
        for (number, row) in table.ways.iter().enumerate() {
            let by_number = profile(text, Some(&(number + 1).to_string()));
            assert_eq!((&by_number.name, &by_number.set), (&row.name, &row.set));
            assert!((by_number.length - row.length).abs() < 1e-12);
            let line = row.numbers.as_ref().expect("it is powered");
            let worst = by_number.least(|_| true, Level::Typical, |g| g.volts).expect("it is powered");
            assert!((worst.got - line.volts.typical).abs() < 1e-12, "{}", row.name);
            let worst = by_number.least(|_| true, Level::High, |g| g.fault_amps).expect("it is powered");
            assert!((worst.got - line.fault_amps.low).abs() < 1e-12, "{}", row.name);
        }
        // Without a name, the one with the least of them all; one supply voltage in each of these plans.
        let least = |w: &analysis::ways_table::WayRow| w.numbers.as_ref().map_or(f64::INFINITY, |n| n.volts.typical);
        let due = table.ways.iter().map(least).fold(f64::INFINITY, f64::min);
        let found = profile(text, None);
        let worst = found.least(|_| true, Level::Typical, |g| g.volts).expect("it is powered");
        assert!((worst.got - due).abs() < 1e-12, "{} is not the worst", found.name);
        assert_eq!(found.chosen, Some("the worst of all that fit"));
    }
}

/// No place tried is worse than what is said to be the worst, and the worst is met.
#[test]
fn no_place_is_worse_than_the_worst_of_its_piece() {
    for profile in all_profiles(&DEMOS) {
        for piece in &profile.pieces {
            let worst = piece.most_lost(&profile.load_case).expect("every place of these plans is powered");
            let (at, lost) = worst.high;
            let of = |along: f64| piece.point_result(along, &profile.load_case).expect("it is powered").volts.low;
            let due = piece.feed.as_ref().map_or(0.0, |f| f.supply_volts) - lost;
            assert!((of(at) - due).abs() < 1e-12, "{} at {at} m", profile.name);
            for k in 0..=50 {
                let along = piece.from + (piece.to - piece.from) * f64::from(k) / 50.0;
                assert!(of(along) >= due - 1e-12, "{} at {along} m", profile.name);
            }
        }
    }
}

/// The inductance of the loop between the four places it was asked at: the same as when asked there.
#[test]
fn inductance_along_a_stretch_is_that_of_each_place() {
    let text = DEMOS[2];
    let found = profile(text, None);
    let reading = plan::read(text);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let way = circuit::ways::ways(&circuit, 500).list.into_iter().find(|w| w.name == found.name).expect("it is a way");
    let grid = electrics::Grid::new(&circuit, &setting_of(&circuit, &way), Level::Typical).expect("it is fed");
    let mut held = 0;
    for piece in &found.pieces {
        let (step, fed) = (&found.steps[piece.step], piece.feed.as_ref().expect("it is powered"));
        let segment = circuit.segments.iter().position(|s| s.name == step.name).expect("a segment");
        for s in [0.1, 0.5, 0.85] {
            let x = step.place(piece.from + s * (piece.to - piece.from));
            let due = electrics::places(&circuit, segment, x)
                .iter()
                .find_map(|p| grid.loop_henries(p))
                .expect("powered")
                .typical;
            let told = fed.henries(s).expect("it was reckoned").typical;
            assert!((told - due).abs() < 1e-12 * due, "{} @ {x}: {told} for {due}", step.name);
            held += 1;
        }
    }
    assert!(held > 60, "{held} places");
}

/// The plan without the trains that stand.
fn none_stands(text: &str) -> String {
    let standing = |line: &&str| !line.trim_start().starts_with("stands");
    text.lines().filter(standing).map(|line| format!("{line}\n")).collect()
}

/// A train that stands on another road takes its volts on the way, and none on its own road; the worst place of a piece is
/// still exact.
#[test]
fn standing_trains_take_theirs_along_a_way() {
    let train = "\n[[train]]\nname = \"waiting\"\nlength = \"1 m\"\nstands = \"yard lead\"\n\
                 draws = { running = \"0.1 A\", standing = \"0.4 A\" }\n";
    let alone = none_stands(DEMOS[2]);
    let with = profile(&format!("{alone}{train}"), Some("yard lead to road 7"));
    let without = profile(&alone, Some("yard lead to road 7"));
    assert_eq!(with.load_case.standing.len(), 1);
    let lead = without.steps.iter().position(|s| s.name == "yard lead").expect("the lead");
    for (one, other) in with.pieces.iter().zip(&without.pieces) {
        let lost = |p: &analysis::way_piece::WayPiece, of| p.most_lost(of).expect("powered").typical;
        let (at, most) = lost(one, &with.load_case);
        for k in 0..=40 {
            let along = one.from + (one.to - one.from) * f64::from(k) / 40.0;
            let [a, b] =
                [(one, &with), (other, &without)].map(|(p, w)| p.point_result(along, &w.load_case).expect("powered"));
            assert!(15.0 - a.volts.typical <= most + 1e-12, "{along} m loses more than {at} m");
            let same = a.volts.typical == b.volts.typical;
            assert_eq!(same, one.step == lead, "{along} m: {} and {}", a.volts.typical, b.volts.typical);
            assert!(a.volts.typical <= b.volts.typical && a.fault_amps == b.fault_amps);
        }
    }
    let row = report::profile_print::render(&with, 80);
    assert!(row.contains("standing elsewhere: `waiting` 400 mA"), "{row}");
}

#[test]
fn a_way_gone_backwards_has_the_same_numbers_from_its_other_end() {
    let there = profile(DEMOS[0], Some("approach to dock 1"));
    let back = profile(DEMOS[0], Some("dock 1 to approach"));
    assert!((there.length - back.length).abs() < 1e-12);
    for k in 0..=400 {
        let along = there.length * (f64::from(k) + 0.123) / 401.0;
        let (a, b) = (there.got(along).expect("fed"), back.got(there.length - along).expect("fed"));
        assert!((a.volts.low - b.volts.low).abs() < 1e-12, "{along} m");
        assert!((a.fault_amps.typical - b.fault_amps.typical).abs() < 1e-10, "{along} m");
    }
    let places = |p: &WayProfile| p.marks.iter().map(|m| (m.words(), p.steps[m.step].name.clone())).collect::<Vec<_>>();
    let sorted = |mut list: Vec<(String, String)>| {
        list.retain(|m| !m.0.contains("joint")); // those between two segments are told of the one before
        list.sort();
        list
    };
    assert_eq!(sorted(places(&there)), sorted(places(&back)));
}

#[test]
fn what_is_asked_for_and_not_there_is_refused_with_what_is_near() {
    let refused = |way: &str, from: Option<&str>, to: Option<&str>| {
        let own = |word: Option<&str>| word.map(str::to_owned);
        let wanted = WantedProfile { way: own(Some(way).filter(|w| !w.is_empty())), from: own(from), to: own(to) };
        ask(DEMOS[0], |facts| facts.way_profile(&wanted)).expect_err("there is no such way").to_string()
    };
    for (way, from, to, due) in [
        ("aproach to dok 1", None, None, "did you mean `approach to dock 1`?"),
        ("dock 1 to aproach", None, None, "did you mean `dock 1 to approach`?"),
        ("dock 1", None, None, "ask for the routes to it with `--to \"dock 1\"`"),
        ("zzz", None, None, "there is `approach to dock 1` and `approach to dock 2`"),
        ("3", None, None, "from 1 to 2"),
        ("0", None, None, "from 1 to 2"),
        ("2", None, Some("dock 1"), "lists only 1"),
        ("", Some("dock 2"), Some("dock 1"), "no route goes over these tracks"),
        ("1", Some("dock 2"), Some("dock 1"), "no route goes over these tracks"),
        ("", None, Some("dok 1"), "did you mean `dock 1`?"),
    ] {
        let told = refused(way, from, to);
        assert!(told.contains(due), "{way} {from:?} {to:?} should say {due:?}: {told}");
    }
    let unfed = "[layout]\nname = \"x\"\nscale = \"OO\"\n[[track]]\nname = \"a\"\nfrom = \"buffer\"\nto = \"buffer\"\nlength = \"1 m\"\n";
    let told = ask(unfed, |facts| facts.way_profile(&WantedProfile::default())).expect_err("no voltage").to_string();
    assert!(told.contains("nothing feeds"), "{told}");
}

/// Which of several ways `--from` and `--to` leave is reported, and the direction is the one asked for.
#[test]
fn from_and_to_leave_the_ways_that_fit() {
    let wanted = WantedProfile { from: Some("dock 2".into()), to: Some("approach".into()), ..WantedProfile::default() };
    let found = ask(DEMOS[0], |facts| facts.way_profile(&wanted)).expect("there is one");
    assert_eq!((found.name.as_str(), found.chosen), ("dock 2 to approach", Some("the only one that fits")));
    assert!(found.steps[0].turned && found.steps[0].name == "dock 2");
}

/// The rails are the same whatever is reported of them: the table, the values and the plot agree about what has no power.
#[test]
fn a_stretch_without_power_is_a_break() {
    let text = broken();
    let found = profile(&text, Some("approach to dock 1"));
    let breaks = found.breaks();
    let dock = found.steps.last().expect("it ends on the dock");
    assert_eq!(breaks.len(), 1);
    assert!((breaks[0].0 - dock.along(0.9)).abs() < 1e-9 && (breaks[0].1 - found.length).abs() < 1e-9);
    assert_eq!(breaks[0].2, "no power");
    assert!(found.got(dock.along(1.2)).is_none() && found.got(dock.along(0.8)).is_some());
    let table = render(&found, 120);
    assert!(table.contains("from here no voltage") && table.contains("up to here no voltage"), "{table}");
    let row = table.lines().find(|l| l.contains("@ 1.4 m")).expect("a row for the gap at 1.4 m");
    assert_eq!(row.split_whitespace().collect::<Vec<_>>()[5..8], ["-", "-", "-"], "{row}");
    assert!(to_svg(&found).contains(">no power</text>"));
    let csv = to_csv(&found);
    let dead: Vec<&str> = csv.lines().filter(|l| l.contains(",no power,")).collect();
    assert!(!dead.is_empty() && dead.iter().all(|l| l.ends_with(&",".repeat(46))), "{dead:?}");
}
