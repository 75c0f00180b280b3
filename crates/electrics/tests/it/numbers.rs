//! The numbers against hand calculation and against direct solves.

use crate::common::{ByHand, Listed, circuit, line, noise, thistle_dock, two_rails, yard, zones};
use circuit::{Probe, RailLine, Stop, ways};
use electrics::worst::WorstSearch;
use electrics::{Demand, Feed, Grid, Level, Load, margin, places, setting_of};
use handbook::Spread;
use plan::tables::RailSide;

fn check_near(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} is not {expected}");
}

#[test]
fn two_rails_by_hand() {
    let (hand, track) = two_rails();
    let grid = Grid::new(&hand.0, &[], Level::Typical).unwrap();
    let profile = grid.resistances().profile(track);
    for (x, ohms) in [(0.0, 0.7), (0.5, 1.2), (1.0, 1.7), (2.0, 2.7)] {
        check_near(profile.at(x).unwrap(), ohms, 1e-14);
    }
    assert_eq!(profile.at(2.1), None);
    let worst = profile.worst().unwrap();
    assert_eq!((worst.place.x, worst.source, worst.place.fraction), (2.0, 0, [1.0, 0.0]));

    // The low end of every band is half, the high end twice.
    let demand = Demand {
        amps: 2.0,
        standing: &[],
        bridge_ohms: Spread::new(0.1, 0.3, 0.6),
        half_bit: Spread::new(55e-6, 58e-6, 61e-6),
    };
    let zone = [(track, [0.0, 2.0])];
    let settings = Listed::all(&hand.0, &zone);
    let mut search = WorstSearch::new(&hand.0, &settings, &zone, demand, 10).unwrap();
    let found = search.worst(0, &[]).unwrap();
    assert!(found.exact);
    for (worst, ohms) in found.worst.into_iter().zip([1.35, 2.7, 5.4]) {
        let worst = worst.unwrap();
        check_near(worst.ohms.0.loop_ohms, ohms, 1e-13);
        check_near(worst.lost.0, 2.0 * ohms, 1e-13);
    }
}

/// Fed at both ends, each rail is `(f1 + t·r)` beside `(f2 + (1−t)·r)`: with r = 2, left f = 0.1 and 0.3, right 0.2 and
/// 0.2 the sum of both is greatest where 4.4 − 8t + 4 − 8t = 0, at t = 0.525, with 2 · 1.15 · 1.25 / 2.4 ohm.
#[test]
fn a_ring_is_worst_inside_a_rail() {
    let mut hand = ByHand::default();
    let [a, b] = hand.source(15.0, 0.4);
    let [l0, l1, r0, r1] = hand.nodes();
    for (pole, rail, ohms) in [(a, l0, 0.1), (a, l1, 0.3), (b, r0, 0.2), (b, r1, 0.2)] {
        hand.edge(pole, rail, ohms);
    }
    let (left, right) = (hand.edge(l0, l1, 2.0), hand.edge(r0, r1, 2.0));
    let track = hand.track([line(&[(0.0, l0), (4.0, l1)], &[left]), line(&[(0.0, r0), (4.0, r1)], &[right])]);
    let grid = Grid::new(&hand.0, &[], Level::Typical).unwrap();
    let resistances = grid.resistances();
    let worst = resistances.profile(track).worst().unwrap();
    check_near(worst.place.x, 0.525 * 4.0, 1e-14);
    check_near(worst.loop_ohms, 0.4 + 2.0 * 1.15 * 1.25 / 2.4, 1e-14);
    check_near(resistances.loop_ohms(&worst.place).unwrap(), worst.loop_ohms, 1e-14);
    check_near(resistances.profile(track).at(1.0).unwrap(), 0.4 + (0.6 * 1.8 + 0.7 * 1.7) / 2.4, 1e-14);
}

/// A track of 5 m from the handbook's values, fed at its start only, 2 m down the bus.
#[test]
fn a_plan_by_hand() {
    let text = r#"
[layout]
name = "shelf"
scale = "OO"
rail = "code 100 nickel silver"
[[supply]]
name = "booster"
voltage = "15 V"
trips = { at = "4 A", after = "100 ms" }
source = "0.08 Ω"
[[supply]]
name = "shelf breaker"
behind = "booster"
trips = { at = "2.5 A", after = "20 ms" }
source = "0.03 Ω"
[[bus]]
name = "bus"
supply = "shelf breaker"
wire = "2.5 mm²"
length = "3 m"
[[track]]
name = "main"
from = "beyond"
to = "buffer"
length = "5 m"
left = "bus.A"
right = "bus.B"
along = { bus = "bus", from = "2 m", to = "2 m" }
feeders = [{ at = "0 m", wire = "1.5 mm²", length = "0.5 m" }]
"#;
    let circuit = circuit(text, &[]);
    let grid = Grid::new(&circuit, &[], Level::Typical).unwrap();
    let worst = grid.resistances().profile(0).worst().unwrap();
    // Per rail: soldered joint 1 mΩ, tap connector 3 mΩ [practice/memory, very uncertain]; flexible copper 7.98 and
    // 13.3 Ω/km [std: IEC 60228, class 5]; code 100 80 mΩ/m [practice: defaults to ship].
    let per_rail = 0.001 + 2.0 * 0.00798 + 0.003 + 0.5 * 0.0133 + 5.0 * 0.080;
    check_near(worst.loop_ohms, 0.08 + 0.03 + 2.0 * per_rail, 1e-12);
    assert_eq!(worst.place.x, 5.0);

    // A fault passes the sub-breaker first, then the booster's own breaker, with all of its current.
    let passed = grid.breakers_passed(&worst.place);
    let names: Vec<usize> = passed.iter().map(|p| circuit.breakers[p.breaker].supply).collect();
    assert_eq!(names, [1, 0]);
    passed.iter().for_each(|p| check_near(p.share, 1.0, 1e-12));
    // 10 A trip the sub-breaker 4 times over, the other only 2.5 times.
    check_near(margin(&circuit, &passed, 10.0).unwrap(), 4.0, 1e-12);
}

/// Places that no loop resistance belongs to: why, and how long.
#[test]
fn what_is_not_powered_is_told_apart() {
    let mut hand = ByHand::default();
    let [a, b] = hand.source(15.0, 0.1);
    let [far_a, far_b] = hand.source(15.0, 0.1);
    let [p, q, island] = hand.nodes();
    hand.edge(a, p, 0.1);
    hand.edge(b, q, 0.1);
    hand.switch(p, q, 0.2, &[0]);
    let grid = Grid::new(&hand.0, &[None], Level::Typical).unwrap();
    for (left, right, feed) in [
        (p, q, Feed::Powered { source: 0 }),
        (q, a, Feed::Powered { source: 0 }),
        (far_b, far_a, Feed::Powered { source: 1 }),
        (p, island, Feed::Dead),
        (island, island, Feed::Dead),
        (p, a, Feed::SamePole),
        (p, far_b, Feed::SeveralSources),
    ] {
        assert_eq!(grid.feed_between(left, right), feed, "{left:?} {right:?}");
    }
    let short = Grid::new(&hand.0, &[Some(1)], Level::Typical).unwrap();
    assert_eq!(short.feed_between(p, q), Feed::Shorted);
    assert_eq!(short.feed_between(far_a, far_b), Feed::Powered { source: 1 });
    // What the shorted source gives: 15 V over 0.1 + 0.1 + 0.2 + 0.1 ohm.
    let point = short.operating_point(&[]).unwrap();
    check_near(point.source_amps[0], 30.0, 1e-13);
    check_near(point.volts[p].unwrap(), 30.0 * 0.3, 1e-13);
    assert_eq!(point.source_amps[1], 0.0);
    assert_eq!(point.volts[island], None);

    // Two boosters side by side share what a train draws: 2 A beside 4 A for 0.2 and 0.1 ohm, both at 15 V.
    let mut hand = ByHand::default();
    let [a, b] = hand.source(15.0, 0.2);
    let [c, d] = hand.source(15.0, 0.1);
    let [p, q] = hand.nodes();
    [(a, p), (c, p), (b, q), (d, q)].iter().for_each(|&(from, to)| {
        hand.edge(from, to, 1e-6);
    });
    let grid = Grid::new(&hand.0, &[], Level::Typical).unwrap();
    assert_eq!(grid.feed_between(p, q), Feed::SeveralSources);
    let point = grid.operating_point(&[Load { left: p, right: q, amps: 6.0 }]).unwrap();
    check_near(point.source_amps[0], 2.0, 1e-4);
    check_near(point.source_amps[1], 4.0, 1e-4);
}

/// Boosters with a common return: the current of each goes back to its own, and the wire between them counts for one of
/// them.
#[test]
fn a_common_return_is_not_a_short_between_boosters() {
    let mut hand = ByHand::default();
    let [near, b] = hand.source(15.0, 0.1);
    let [far, common] = hand.source(12.0, 0.2);
    hand.edge(b, common, 0.5);
    let [near_end, far_end, common_end] = hand.nodes();
    let near_rail = hand.edge(near, near_end, 1.0);
    let far_rail = hand.edge(far, far_end, 2.0);
    let common_rail = hand.edge(common, common_end, 4.0);
    let common_line = line(&[(0.0, common), (1.0, common_end)], &[common_rail]);
    let one = hand.track([line(&[(0.0, near), (1.0, near_end)], &[near_rail]), common_line.clone()]);
    let two = hand.track([common_line, line(&[(0.0, far), (1.0, far_end)], &[far_rail])]);
    let grid = Grid::new(&hand.0, &[], Level::Typical).unwrap();
    for (track, source, volts, ohms) in [(one, 0, 15.0, 0.1 + 1.0 + 4.0 + 0.5), (two, 1, 12.0, 0.2 + 4.0 + 2.0)] {
        let worst = grid.resistances().profile(track).worst().unwrap();
        assert_eq!(worst.source, source);
        check_near(worst.loop_ohms, ohms, 1e-14);
        let total: f64 = grid.shares(&worst.place).unwrap().iter().map(|s| s.ohms).sum();
        check_near(total, ohms, 1e-12);
        let ends = if track == one { [near_end, common_end] } else { [far_end, common_end] };
        let point = grid.operating_point(&[Load { left: ends[1], right: ends[0], amps: 0.7 }]).unwrap();
        let [top, bottom] = ends.map(|node| point.volts[node].unwrap());
        check_near(top - bottom, volts - 0.7 * ohms, 1e-13);
    }
}

/// 10,000 places of the plan as nodes of their own, an ampere through each, for both positions and all levels: the
/// profile agrees everywhere, and no place beats the worst one found without trying any.
#[test]
fn no_place_is_worse_than_the_worst() {
    const PLACES: usize = 10_000;
    const AT_A_TIME: usize = 500;
    let text = thistle_dock();
    let plain = circuit(&text, &[]);
    let per_track = PLACES / plain.tracks;
    let at = |track: usize, k: usize| plain.segments[track].length * k as f64 / (per_track - 1) as f64;
    let mut compared = 0;
    for position in [0, 1] {
        for level in Level::ALL {
            let grid = Grid::new(&plain, &[Some(position)], level).unwrap();
            let resistances = grid.resistances();
            for track in 0..plain.tracks {
                let profile = resistances.profile(track);
                let mut greatest: f64 = 0.0;
                for begin in (0..per_track).step_by(AT_A_TIME) {
                    let xs: Vec<f64> = (begin..per_track.min(begin + AT_A_TIME)).map(|k| at(track, k)).collect();
                    let probes: Vec<Probe> = xs.iter().map(|&at| Probe { track, at }).collect();
                    let probed = circuit(&text, &probes);
                    let direct = Grid::new(&probed, &[Some(position)], level).unwrap();
                    for &x in &xs {
                        let [left, right] = RailSide::ALL.map(|side| probed.at(track, side, x).unwrap());
                        let Feed::Powered { source } = direct.feed_between(left, right) else { continue };
                        let point = direct.operating_point(&[Load { left, right, amps: 1.0 }]).unwrap();
                        let [l, r] = [left, right].map(|node| point.volts[node].unwrap());
                        let ohms = probed.sources[source].volts - (l - r).abs();
                        greatest = greatest.max(ohms);
                        // At a joint the profile gives the worse side, the circuit the far one.
                        let found = profile.at(x).unwrap();
                        assert!(ohms <= found + 1e-12, "{x}: {ohms} is more than {found}");
                        let joint = plain.segments[track].rails.iter().flat_map(|rail| &rail.stops);
                        if !joint.clone().any(|stop| (stop.x - x).abs() < 2e-5) {
                            check_near(found, ohms, 1e-11);
                            compared += 1;
                        }
                    }
                }
                match profile.worst() {
                    Some(worst) => {
                        assert!(greatest <= worst.loop_ohms * (1.0 + 1e-12));
                        check_near(greatest, worst.loop_ohms, 1e-6);
                    }
                    None => assert_eq!(greatest, 0.0),
                }
            }
        }
    }
    assert!(compared > 6 * PLACES / 2, "only {compared} places compared");
}

#[test]
fn shares_add_up_and_are_slopes() {
    let circuit = circuit(&thistle_dock(), &[]);
    let mut random = noise(7);
    for way in ways::ways(&circuit, 100).list {
        let setting = setting_of(&circuit, &way);
        for level in Level::ALL {
            let grid = Grid::new(&circuit, &setting, level).unwrap();
            let resistances = grid.resistances();
            for &(segment, _) in &way.steps {
                let profile = resistances.profile(segment);
                let length = circuit.segments[segment].length;
                let mut asked: Vec<_> = (0..20).flat_map(|_| places(&circuit, segment, length * random())).collect();
                asked.extend(profile.worst().map(|worst| worst.place));
                for place in asked {
                    let Some(ohms) = resistances.loop_ohms(&place) else {
                        assert_eq!(grid.shares(&place), None);
                        continue;
                    };
                    let shares = grid.shares(&place).unwrap();
                    check_near(shares.iter().map(|s| s.ohms).sum(), ohms, 1e-12);
                    assert!(shares.is_sorted_by(|one, other| one.ohms >= other.ohms));
                }
            }
        }
    }

    // A ten-millionth more of one input moves the loop resistance by that part of its share.
    let grid = Grid::new(&circuit, &[Some(1)], Level::Typical).unwrap();
    let worst = grid.resistances().profile(1).worst().unwrap();
    for share in grid.shares(&worst.place).unwrap() {
        let mut more = circuit.clone();
        for edge in more.edges.iter_mut().filter(|edge| edge.input == share.input) {
            edge.ohms.typical *= 1.0 + 1e-7;
        }
        let moved = Grid::new(&more, &[Some(1)], Level::Typical).unwrap();
        let ohms = moved.resistances().loop_ohms(&worst.place).unwrap();
        assert!((ohms - worst.loop_ohms - 1e-7 * share.ohms).abs() < 1e-13, "{share:?}");
    }
}

/// Branch and bound finds what trying every setting finds, in every zone and at every level, and can be had again from
/// its place and its setting; and it asks far fewer.
#[test]
fn the_worst_of_all_settings_is_that_of_trying_each() {
    let mut more_than_one = 0;
    for text in [thistle_dock(), yard(4)] {
        let circuit = circuit(&text, &[]);
        let zones = zones(&circuit);
        let settings = Listed::all(&circuit, &zones);
        let demand = Demand {
            amps: 1.2,
            standing: &[],
            bridge_ohms: Spread::new(0.05, 0.2, 1.0),
            half_bit: Spread::new(55e-6, 58e-6, 61e-6),
        };
        let mut search = WorstSearch::new(&circuit, &settings, &zones, demand, 10_000).unwrap();
        let open = vec![None; circuit.controls.len()];
        let mut by_trying = vec![[0.0f64; 3]; zones.len()];
        for setting in &settings.settings {
            let set: Vec<Option<u8>> = setting.iter().map(|&p| Some(p)).collect();
            for (slot, level) in Level::ALL.into_iter().enumerate() {
                let grid = Grid::new(&circuit, &set, level).unwrap();
                let resistances = grid.resistances();
                for (worst, (segment, [from, to])) in by_trying.iter_mut().zip(&zones) {
                    for piece in resistances.profile(*segment).pieces {
                        if piece.from >= from - 1e-9 && piece.to <= to + 1e-9 {
                            worst[slot] = worst[slot].max(piece.worst().map_or(0.0, |w| w.loop_ohms));
                        }
                    }
                }
            }
        }
        for (zone, by_trying) in by_trying.iter().enumerate() {
            let answer = search.worst(zone, &open).unwrap();
            assert!(answer.exact);
            for (slot, level) in Level::ALL.into_iter().enumerate() {
                let Some(found) = answer.worst[slot] else {
                    assert_eq!(by_trying[slot], 0.0, "zone {zone}");
                    continue;
                };
                check_near(found.ohms.0.loop_ohms, by_trying[slot], 1e-11);
                check_near(found.lost.0, 1.2 * by_trying[slot], 1e-11);
                let grid = Grid::new(&circuit, search.setting(found.ohms.1), level).unwrap();
                let again = grid.resistances().loop_ohms(&found.ohms.0.place).unwrap();
                check_near(again, found.ohms.0.loop_ohms, 1e-12);
            }
        }
        let asked = 10_000 - search.left();
        println!("{asked} of {} settings asked for {} zones", settings.settings.len(), zones.len());
        more_than_one += usize::from(asked < settings.settings.len() && settings.settings.len() > 2);
    }
    assert!(more_than_one >= 1);
}

/// Left rail in three lengths with gaps between, of which a switch feeds the middle one a second time: the setting in which
/// the switch is open is the worse one. Where both feeds are switched, the worst is the worse of the settings in which
/// either is closed; with neither the rail is dead, and that is no number.
#[test]
fn a_zone_is_as_bad_as_its_worst_setting() {
    for both_switched in [false, true] {
        let mut hand = ByHand::default();
        let [a, b] = hand.source(10.0, 1.0);
        let [l0, l1, m1, m2, n2, n3, r0, r3] = hand.nodes();
        let left = [hand.edge(l0, l1, 1.0), hand.edge(m1, m2, 1.0), hand.edge(n2, n3, 1.0)];
        let right = hand.edge(r0, r3, 3.0);
        hand.edge(b, r0, 0.5);
        if both_switched {
            hand.switch(a, m1, 0.5, &[1]);
        } else {
            hand.edge(a, m1, 0.5);
        }
        hand.switch(a, m2, 2.5, &[0]);
        let stop = |x, before, after| Stop { x, before, after };
        let left_stops = vec![stop(0.0, l0, l0), stop(1.0, l1, m1), stop(2.0, m2, n2), stop(3.0, n3, n3)];
        let left = RailLine { stops: left_stops, pieces: left.to_vec() };
        let track = hand.track([left, line(&[(0.0, r0), (3.0, r3)], &[right])]);
        let zones = [(track, [0.0, 1.0]), (track, [1.0, 2.0]), (track, [2.0, 3.0])];
        let settings = Listed::all(&hand.0, &zones);
        let demand = Demand {
            amps: 1.0,
            standing: &[],
            bridge_ohms: Spread::exactly(0.0),
            half_bit: Spread::new(55e-6, 58e-6, 61e-6),
        };
        let mut search = WorstSearch::new(&hand.0, &settings, &zones, demand, 100).unwrap();
        let open = vec![None; hand.0.controls.len()];
        for dead in [0, 2] {
            assert_eq!(search.worst(dead, &open).unwrap().worst, [None; 3]);
        }
        let found = search.worst(1, &open).unwrap();
        assert!(found.exact);
        // With only the first feed at 2 m: 1 + 0.5 + 1 left, 0.5 + 2 right; with only the second at 1 m: 1 + 2.5 + 1, 0.5 + 1,
        // and at 2 m, the same 1 + 2.5 left and 0.5 + 2 right.
        let (ohms, x) = if both_switched { (6.0, 2.0) } else { (5.0, 2.0) };
        let worst = found.worst[1].unwrap().ohms.0;
        check_near(worst.loop_ohms, ohms, 1e-13);
        if !both_switched {
            assert_eq!(worst.place.x, x);
        }
    }
}
