//! Tests with power on: volts without and with a load, the coin, phases across gaps, storage, reversing, motors.

use crate::candidates::settings;
use crate::hot_words::{Hot, SUPPLY_SHARE, thing, watch};
use crate::meter::{self, Range};
use crate::mistake::BAD_JOINT_OHMS;
use crate::test::{Element, How, Test, TestKind, Topic, WouldRead, Wrong};
use crate::test_load::TestLoad;
use crate::words::set_words;
use circuit::{Circuit, EdgeId, EdgeKind, Literal};
use electrics::{Feed, Grid, Level, TrainPlace, places, setting_of};
use handbook::quantity::Quantity;
use handbook::{Sourced, Spread, limits};
use plan::Kind;
use proof::{Conditions, StorageStanding};
use schedule::Job;
use std::collections::{BTreeMap, BTreeSet};

/// What a coin pressed on both rails has, in ohms.
const COIN_OHMS: Sourced<Spread<f64>> =
    Sourced::new(Spread::new(0.0, 0.02, 0.1), "our own default; nobody has published one");
/// The setting in which a track is tested, and what of it is.
struct TestedTrack {
    setting: Vec<Option<u8>>,
    set: Vec<(String, String)>,
    source: usize,
}

/// A place where a coin is laid, with its loop at each level.
struct CoinPlace {
    place: TrainPlace,
    x: f64,
    loop_ohms: Spread<f64>,
}

/// Edges times settings beyond which no more settings are tried.
const MOST_WORK: usize = 1_000_000;
/// Ways times storage tracks beyond which no more ways are asked.
const MOST_STORAGE: usize = 5_000;

/// The hot tests of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HotSheet {
    /// The tests, in the order in which they are made.
    pub tests: Vec<Test>,
    /// What is not on the sheet, in words.
    pub left_out: Vec<String>,
}

/// The hot tests of a plan.
///
/// # Errors
/// When a resistance is none that can be calculated with.
pub fn hot_sheet(job: &Job<'_>, load: TestLoad) -> Result<HotSheet, electrics::Failed> {
    let circuit = &job.facts.circuit;
    let mut tests = Vec::new();
    let mut left_out = Vec::new();
    if circuit.sources.is_empty() {
        left_out.push("nothing feeds the track of this plan".to_owned());
        return Ok(HotSheet { tests, left_out });
    }
    let hot = Hot::new(job);
    let mut tried = settings(circuit);
    let lined = job.facts.ways().list.iter().map(|way| setting_of(circuit, way));
    tried.extend(lined.map(|s| circuit.complete(&s)));
    tried.retain(|setting: &Vec<Option<u8>>| circuit.is_legal(setting));
    if tried.is_empty() {
        left_out.push("no setting is left that the promises of this plan allow".to_owned());
        return Ok(HotSheet { tests, left_out });
    }
    // Those that take least to set first.
    let usual = circuit.complete(&[]);
    let thrown =
        |setting: &Vec<Option<u8>>| setting.iter().zip(&usual).filter(|(position, usual)| position != usual).count();
    tried.sort_by_key(thrown);
    let affordable = (MOST_WORK / circuit.edges.len().max(1)).max(1);
    if tried.len() > affordable {
        let words = "the plan is so long that only {} of {} settings were tried; tracks and phases that need others are left out";
        left_out.push(words.replacen("{}", &affordable.to_string(), 1).replacen("{}", &tried.len().to_string(), 1));
        tried.truncate(affordable);
    }
    let mut of_track: Vec<Option<[Vec<Test>; 2]>> = vec![None; circuit.tracks];
    let mut proved: BTreeSet<usize> = BTreeSet::new();
    let mut grid = Grid::new(circuit, &tried[0], Level::Typical)?;
    for alike in tried.chunk_by(|one, other| thrown(one) == thrown(other)) {
        let open: Vec<usize> = (0..circuit.tracks).filter(|&track| of_track[track].is_none()).collect();
        if open.is_empty() {
            break;
        }
        for (setting, tracks) in weakest(circuit, &mut grid, alike, &open)? {
            for (track, found, spots) in powered(circuit, &mut grid, setting, &tracks)? {
                let breakers = grid.breakers_passed(&spots[0].place);
                let new: Vec<usize> = breakers.iter().map(|p| p.breaker).filter(|b| proved.insert(*b)).collect();
                // A solve over the whole circuit: where the loop is longest must do for the other places.
                let (alone, chain) = hot.all_current(&grid, &spots[0].place);
                let coins = spots.iter().enumerate().map(|(index, spot)| {
                    let first = index == 0;
                    let proves = if first { hot.inside(&new) } else { Vec::new() };
                    coin(
                        &hot,
                        track,
                        &found,
                        spot,
                        breakers.first().map(|p| p.breaker),
                        (first.then_some(&alone), proves),
                    )
                });
                let coins = coins.collect();
                of_track[track] = Some([volts(&hot, track, &found, &spots, load, (&alone, chain)).to_vec(), coins]);
            }
        }
    }
    let mut coins = Vec::new();
    for (track, of) in of_track.into_iter().enumerate() {
        match of {
            Some([volts, coin]) => {
                tests.extend(volts);
                coins.extend(coin);
            }
            None => left_out.push(format!("{}: no setting that was tried powers it", circuit.segments[track].name)),
        }
    }
    tests.extend(coins);
    tests.extend(crate::hot_phase::phases(&hot, &tried)?);
    tests.extend(storage(&hot, &mut left_out));
    tests.extend(reversing(&hot, &mut left_out));
    tests.extend(hot.motors());
    let mut taken = BTreeSet::new();
    for test in &mut tests {
        let base = test.name.clone();
        let mut count = 1;
        while !taken.insert(test.name.clone()) {
            count += 1;
            test.name = format!("{base}, {count}");
        }
    }
    Ok(HotSheet { tests, left_out })
}

/// Of some settings for each track that one powers the one in which its loop is longest: which it is must not depend on the order of
/// the plan.
fn weakest<'s>(
    circuit: &Circuit,
    grid: &mut Grid<'_>,
    settings: &'s [Vec<Option<u8>>],
    tracks: &[usize],
) -> Result<BTreeMap<&'s Vec<Option<u8>>, Vec<usize>>, electrics::Failed> {
    let mut longest: BTreeMap<usize, (f64, &Vec<Option<u8>>)> = BTreeMap::new();
    if let [only] = settings {
        return Ok(BTreeMap::from([(only, tracks.to_vec())]));
    }
    for setting in settings {
        for (track, _, spots) in powered(circuit, grid, setting, tracks)? {
            let ohms = spots[0].loop_ohms.typical;
            let known = longest.entry(track).or_insert((ohms, setting));
            // What differs by rounding only is alike.
            if ohms > known.0 * (1.0 + 1e-9) {
                *known = (ohms, setting);
            }
        }
    }
    let mut of_setting: BTreeMap<&Vec<Option<u8>>, Vec<usize>> = BTreeMap::new();
    for (track, (_, setting)) in longest {
        of_setting.entry(setting).or_default().push(track);
    }
    Ok(of_setting)
}

/// Those of some tracks that a setting powers, and the places on each where a coin is laid: both ends, and no more than
/// [`limits::COIN_TEST_SPACING`] between; the first of them has the greatest loop. The grid is left in that setting.
fn powered(
    circuit: &Circuit,
    grid: &mut Grid<'_>,
    setting: &[Option<u8>],
    tracks: &[usize],
) -> Result<Vec<(usize, TestedTrack, Vec<CoinPlace>)>, electrics::Failed> {
    grid.set(setting, Level::Typical)?;
    let mut found: Vec<(usize, TestedTrack, Vec<CoinPlace>)> = Vec::new();
    for &track in tracks {
        let length = circuit.segments[track].length;
        let steps = (length / limits::COIN_TEST_SPACING.value.si()).ceil().max(1.0) as usize;
        let mut source = None;
        let spots = (0..=steps).filter_map(|k| {
            let x = length * k as f64 / steps as f64;
            let place = places(circuit, track, x).into_iter().next()?;
            let Feed::Powered { source: feeds } = grid.feed(&place) else { return None };
            source.get_or_insert(feeds);
            Some(CoinPlace { place, x, loop_ohms: Spread::exactly(0.0) })
        });
        let spots: Vec<CoinPlace> = spots.collect();
        if let Some(source) = source {
            found.push((
                track,
                TestedTrack { setting: setting.to_vec(), set: set_words(circuit, setting), source },
                spots,
            ));
        }
    }
    if found.is_empty() {
        return Ok(found);
    }
    for level in [Level::Low, Level::High, Level::Typical] {
        grid.set(setting, level)?;
        let resistances = grid.resistances();
        for spot in found.iter_mut().flat_map(|f| &mut f.2) {
            let ohms = resistances.loop_ohms(&spot.place).unwrap_or(f64::INFINITY);
            match level {
                Level::Low => spot.loop_ohms.low = ohms,
                Level::Typical => spot.loop_ohms.typical = ohms,
                Level::High => spot.loop_ohms.high = ohms,
            }
        }
    }
    for (_, _, spots) in &mut found {
        spots.sort_by(|a, b| b.loop_ohms.typical.total_cmp(&a.loop_ohms.typical));
    }
    Ok(found)
}

fn volts(
    hot: &Hot<'_, '_>,
    track: usize,
    found: &TestedTrack,
    spots: &[CoinPlace],
    load: TestLoad,
    (alone, chain): (&str, Vec<EdgeId>),
) -> [Test; 2] {
    let supply = hot.circuit.sources[found.source].volts;
    let worst = &spots[0];
    let expected = Spread::exactly(supply);
    let range = meter::VOLTS;
    let base = hot.at(track, worst.x);
    let wrong = if alone.is_empty() {
        Vec::new()
    } else {
        vec![WouldRead {
            what: format!("{alone} open"),
            reading: 0.0,
            in_any_of: Some((Wrong::Open, alone.to_owned())),
            at_own: vec![Wrong::Open],
        }]
    };
    let no_load = Test {
        name: format!("hot volts at {base}"),
        number: 0,
        kind: TestKind::Hot,
        topic: Topic::Volts,
        about: "nothing on the track".to_owned(),
        between: Some(hot.points(track, &worst.place, worst.x)),
        on: Vec::new(),
        setting: found.setting.clone(),
        set: found.set.clone(),
        how: How::Volts,
        range: range.words.to_owned(),
        expected: Some(expected),
        passes: [
            supply * (1.0 - SUPPLY_SHARE.value) - range.error(supply),
            supply * (1.0 + SUPPLY_SHARE.value) + range.error(supply),
        ],
        chain,
        proves: Vec::new(),
        mistakes: wrong,
    };
    // A detector of diodes keeps its volts as soon as a current flows.
    let behind = hot.circuit.volts_on(found.source, track);
    let kept = supply - behind;
    let drop = worst.loop_ohms.map(|ohms| kept + load.drop(behind, ohms));
    // Both readings are taken on one range by one meter: their difference keeps its scale and two last digits.
    let difference = Range { words: range.words, most: range.most, share: range.share, digits: 0.02 };
    let with_load = Test {
        name: format!("hot drop at {base}"),
        about: "volts without less volts with the load".to_owned(),
        how: How::Drop,
        expected: Some(drop),
        passes: meter::limits(drop, &difference),
        mistakes: too_much(alone, kept + load.drop(behind, worst.loop_ohms.typical + BAD_JOINT_OHMS)),
        ..no_load.clone()
    };
    [no_load, with_load]
}

/// What an ohm too much reads in pieces that carry all of the current: it adds to the loop, whatever the rest is.
fn too_much(alone: &str, reading: f64) -> Vec<WouldRead> {
    let what = format!("{BAD_JOINT_OHMS} Ω in {alone}");
    let in_any_of = Some((Wrong::Resistive, alone.to_owned()));
    if alone.is_empty() {
        Vec::new()
    } else {
        vec![WouldRead { what, reading, in_any_of, at_own: vec![Wrong::Resistive] }]
    }
}

fn coin(
    hot: &Hot<'_, '_>,
    track: usize,
    found: &TestedTrack,
    spot: &CoinPlace,
    breaker: Option<usize>,
    (alone, proves): (Option<&String>, Vec<Element>),
) -> Test {
    let supply = hot.circuit.volts_on(found.source, track);
    let coin = COIN_OHMS.value;
    let amps = |ohms: f64| supply / ohms;
    // The most resistance gives the least current.
    let expected = Spread::new(
        amps(spot.loop_ohms.high + coin.high),
        amps(spot.loop_ohms.typical + coin.typical),
        amps(spot.loop_ohms.low + coin.low),
    );
    let trip = breaker.and_then(|b| hot.circuit.breakers[b].trip_amps);
    let words = breaker.map_or_else(String::new, |b| hot.breaker_words(b));
    let with_more = amps(spot.loop_ohms.low + coin.low + BAD_JOINT_OHMS);
    Test {
        name: format!("hot coin at {}", hot.at(track, spot.x)),
        number: 0,
        kind: TestKind::Hot,
        topic: Topic::Coin,
        about: words,
        between: Some(hot.points(track, &spot.place, spot.x)),
        on: Vec::new(),
        setting: found.setting.clone(),
        set: found.set.clone(),
        how: How::Coin,
        range: "coin; clamp meter".to_owned(),
        expected: Some(expected),
        passes: [trip.unwrap_or(0.0), f64::INFINITY],
        chain: Vec::new(),
        proves,
        // Only what keeps the breaker from opening shows.
        mistakes: too_much(alone.map_or("", String::as_str), with_more)
            .into_iter()
            .filter(|m| trip.is_some_and(|trip| m.reading < trip))
            .collect(),
    }
}

/// Ways against storage tracks.
fn storage(hot: &Hot<'_, '_>, left_out: &mut Vec<String>) -> Vec<Test> {
    let facts = &hot.job.facts;
    let Some(storage) = analysis::storage(facts.plan, facts.names) else { return Vec::new() };
    let Ok(conditions) = Conditions::from_circuit(hot.circuit) else { return Vec::new() };
    let mut tests = Vec::new();
    let most = MOST_STORAGE / storage.tracks.len().max(1);
    if facts.ways().list.len() > most || !facts.ways().complete {
        left_out.push(format!("storage on routes beyond the first {most}"));
    }
    for (number, way) in facts.ways().list.iter().enumerate().take(most) {
        let literals: Vec<Literal> =
            way.setting.iter().map(|(&control, &position)| Literal { control, position }).collect();
        let set: Vec<(String, String)> = literals.iter().map(|&l| hot.circuit.literal_words(l)).collect();
        for &track in &storage.tracks {
            let name = &hot.circuit.segments[track].name;
            let live = match conditions.standing(track, storage.pick_up, &literals) {
                Ok(StorageStanding::Always) => true,
                Ok(StorageStanding::Never) => false,
                _ => continue,
            };
            let setting = hot.circuit.complete(&setting_of(hot.circuit, way));
            let mut test = watch(
                Topic::Storage { way: number, track, live },
                format!("hot storage {name} with {}", way.name),
                way.name.clone(),
                format!("{name} is {}", if live { "live" } else { "dead" }),
            );
            (test.set, test.setting) = (set.clone(), setting);
            test.on = vec![thing((Kind::Track, track), "")];
            tests.push(test);
        }
    }
    tests
}

/// The longest train through each reversing section.
fn reversing(hot: &Hot<'_, '_>, left_out: &mut Vec<String>) -> Vec<Test> {
    let facts = &hot.job.facts;
    let Ok(proof) = facts.proof() else { return Vec::new() };
    if proof.shorts.iter().any(proof::Short::always) {
        left_out
            .push("reversing sections: something is shorted in every setting, so nothing is proved of them".to_owned());
        return Vec::new();
    }
    let longest = facts.plan.train.iter().max_by(|a, b| a.length.value.si().total_cmp(&b.length.value.si()));
    let train = longest.map_or_else(|| "the longest train".to_owned(), |t| format!("train `{}`", t.name.value));
    let mut tests = Vec::new();
    for section in &proof.reversing {
        let names: BTreeSet<&str> = section.parts.iter().map(|p| hot.circuit.segments[p.0].name.as_str()).collect();
        let names: Vec<&str> = names.into_iter().collect();
        let gaps: BTreeSet<String> =
            section.gaps.iter().map(|&g| &hot.circuit.gaps[g]).map(|g| hot.words.gap(g.before, g.after)).collect();
        let gaps: Vec<String> = gaps.into_iter().collect();
        let mut test = watch(
            Topic::Reversing,
            format!("hot reversing {}", names.join(", ")),
            format!("{train}, both ways over {}", gaps.join(", ")),
            "it runs on, no breaker opens".to_owned(),
        );
        let tracks = section.parts.iter().map(|p| p.0).filter(|&segment| segment < hot.circuit.tracks);
        test.on = tracks.map(|track| thing((Kind::Track, track), "")).collect();
        let settles = |l: &Literal| hot.circuit.controls.get(l.control.index()).is_some_and(|c| c.settles);
        let edges = EdgeId::each(&hot.circuit.edges);
        test.proves = edges
            .filter(|(_, e)| e.kind == EdgeKind::Contact && e.guard.iter().any(settles))
            .filter(|(_, e)| e.guard.iter().any(|l| section.controls.contains(&l.control)))
            .map(|(id, _)| Element::Edge(id))
            .collect();
        tests.push(test);
    }
    tests
}
