//! Laws that hold whatever the circuit: conservation and Rayleigh's; what is refused; and the deck for a simulator.

use crate::common::{ByHand, circuit, noise, two_rails, yard};
use circuit::{Circuit, NodeId};
use electrics::breaker_chain::{BreakerChain, ChainBreaker, Foldback, Outcome};
use electrics::commutation::SquareLoop;
use electrics::inrush::Fleet;
use electrics::overshoot::{RingingLoop, Start};
use electrics::rc_filter::{Filter, response, volts_at};
use electrics::{Failed, Feed, Grid, Level, Load, netlist, operating_point};
use handbook::Spread;
use proptest::prelude::*;

/// Sums up the currents at every node and the power from what an operating point says, by hand.
fn check_conservation(circuit: &Circuit, grid: &Grid<'_>, loads: &[Load]) {
    let point = grid.operating_point(loads).unwrap();
    let mut left_over = vec![0.0; circuit.nodes.len()];
    let mut flows = |from: NodeId, to: NodeId, amps: f64| {
        left_over[from] -= amps;
        left_over[to] += amps;
    };
    let volts = |node: NodeId| point.volts[node].unwrap();
    let (mut given, mut used) = (0.0, 0.0);
    for (edge, &amps) in circuit.edges.iter().zip(&point.edge_amps) {
        flows(edge.a, edge.b, amps);
        used += amps * amps * grid.level().pick(edge.ohms);
    }
    for (source, &amps) in circuit.sources.iter().zip(&point.source_amps) {
        flows(source.node[1], source.plus, amps);
        given += amps * source.volts;
    }
    for (index, load) in loads.iter().enumerate().filter(|(index, _)| !point.unfed.contains(index)) {
        let fall = volts(load.left) - volts(load.right);
        let turned = grid.feed_between(load.left, load.right) != Feed::Shorted && fall < 0.0;
        let (from, to) = if turned { (load.right, load.left) } else { (load.left, load.right) };
        flows(from, to, load.amps);
        used += load.amps * (volts(from) - volts(to));
        assert!(grid.feed_between(load.left, load.right) != Feed::Dead, "load {index} is fed from nowhere");
    }
    let total: f64 = point.source_amps.iter().map(|amps| amps.abs()).sum();
    for (node, amps) in circuit.nodes.iter().zip(&left_over) {
        assert!(amps.abs() <= 1e-9 * total, "{amps} A left over at {}", node.name);
    }
    assert!((given - used).abs() <= 1e-9 * given.abs(), "{given} W given, {used} W used");
}

/// A position or none for each control.
fn any_setting(controls: usize) -> impl Strategy<Value = Vec<Option<u8>>> {
    prop::collection::vec(prop::option::of(0u8..2), controls)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn currents_and_power_are_conserved(setting in any_setting(8), seed in any::<u64>(), level in 0usize..3) {
        let circuit = circuit(&yard(5), &[]);
        prop_assert_eq!(circuit.controls.len(), 8);
        let grid = Grid::new(&circuit, &setting, Level::ALL[level]).unwrap();
        let mut random = noise(seed);
        let loads: Vec<Load> = (0..6).map(|_| {
            let track = (random() * circuit.tracks as f64) as usize;
            let stop = |side: usize, share: f64| {
                let stops = &circuit.segments[track].rails[side].stops;
                stops[(share * stops.len() as f64) as usize].after
            };
            Load { left: stop(0, random()), right: stop(1, random()), amps: 0.5 * random() }
        }).collect();
        check_conservation(&circuit, &grid, &loads);
    }

    /// Any tangle of resistances around three sources: shorted, side by side, with a common return, or apart.
    #[test]
    fn tangles_of_sources_are_conserved(seed in any::<u64>(), edges in 0usize..100) {
        let mut random = noise(seed);
        let mut hand = ByHand::default();
        for volts in [10.0, 13.0, 16.0] {
            hand.source(volts, 0.05 + random());
        }
        let _: [NodeId; 40] = hand.nodes();
        let nodes = hand.0.nodes.len() as f64;
        for _ in 0..edges {
            let [a, b] = [0, 1].map(|_| NodeId::new((random() * nodes) as usize));
            hand.edge(a, b, 10f64.powf(8.0 * random() - 6.0)); // microohms to 100 ohms
        }
        let mut load = || Load { left: NodeId::new((random() * nodes) as usize), right: NodeId::new((random() * nodes) as usize), amps: random() };
        let loads: Vec<Load> = (0..4).map(|_| load()).collect();
        let grid = Grid::new(&hand.0, &[], Level::Typical).unwrap();
        let point = grid.operating_point(&loads); // with its own check, node by node
        prop_assert!(point.is_ok(), "{:?}", point);
    }

    /// Rayleigh's law, on which the worst of all settings rests.
    #[test]
    fn closing_more_never_raises_a_loop_resistance(few in any_setting(8), others in any_setting(8)) {
        let circuit = circuit(&yard(5), &[]);
        let more: Vec<Option<u8>> = few.iter().zip(&others).map(|(few, other)| few.or(*other)).collect();
        let [few, more] = [few, more].map(|setting| Grid::new(&circuit, &setting, Level::Typical).unwrap());
        let (few_ohms, more_ohms) = (few.resistances(), more.resistances());
        let mut compared = 0;
        for segment in 0..circuit.segments.len() {
            let (before, after) = (few_ohms.profile(segment), more_ohms.profile(segment));
            for (before, after) in before.pieces.iter().zip(&after.pieces) {
                let (Some(before), Some(after)) = (before.loop_ohms, after.loop_ohms) else { continue };
                for s in [0.0, 0.3, 0.5, 0.9, 1.0] {
                    prop_assert!(after.at(s) <= before.at(s) * (1.0 + 1e-12));
                    compared += 1;
                }
            }
        }
        // The approach is powered however anything stands.
        prop_assert!(compared >= 10);
    }
}

/// The law with something to say: a second feeder lowers the worst of its dock, and by more than rounding.
#[test]
fn a_second_feeder_helps() {
    let circuit = circuit(&yard(5), &[]);
    let dock = circuit.segments.iter().position(|s| s.name == "dock 1").unwrap();
    let control = |name: &str| circuit.controls.iter().position(|c| c.name == name).unwrap();
    let mut setting = vec![None; circuit.controls.len()];
    setting[control("T1")] = Some(1);
    let worst = |setting: &[Option<u8>]| {
        Grid::new(&circuit, setting, Level::Typical).unwrap().resistances().profile(dock).worst().unwrap().loop_ohms
    };
    let once = worst(&setting);
    setting[control("S1")] = Some(1);
    assert!(worst(&setting) < 0.9 * once);
}

#[test]
fn loads_nobody_can_draw() {
    let (hand, _) = two_rails();
    let [l, beside, r] = [3, 4, 5].map(NodeId::new);
    for amps in [f64::NAN, f64::INFINITY, -1.0] {
        let loads = [Load { left: l, right: r, amps: 1.0 }, Load { left: l, right: r, amps }];
        let failed = operating_point(&hand.0, &[], Level::Typical, &loads);
        assert!(matches!(failed, Err(Failed::Load { load: 1, .. })), "{failed:?}");
    }
    // Between two points of one rail there is no supply.
    let point = operating_point(&hand.0, &[], Level::Typical, &[Load { left: l, right: beside, amps: 1.0 }]).unwrap();
    assert_eq!((point.unfed.as_slice(), point.source_amps.as_slice()), ([0].as_slice(), [0.0].as_slice()));
}

#[test]
fn resistances_nobody_can_reckon_with() {
    for ohms in [0.0, -1.0, f64::NAN, 1e300] {
        let (mut hand, _) = two_rails();
        hand.0.edges[2].ohms = Spread::exactly(ohms);
        let failed = Grid::new(&hand.0, &[], Level::Typical).map(|_| ()).unwrap_err();
        assert!(failed.to_string().starts_with("`edge 2` has a resistance of "), "{failed}");
    }
}

#[test]
fn the_deck_says_what_is_solved() {
    let mut hand = ByHand::default();
    let [a, b] = hand.source(15.0, 0.1);
    let [_, far_b] = hand.source(12.0, 0.3);
    let island = hand.node("odd\n.end");
    hand.edge(island, island, 1.0);
    hand.switch(a, far_b, 1.0, &[0]);
    let loads = [Load { left: b, right: a, amps: 1.0 }, Load { left: b, right: island, amps: 1.0 }];
    let expected = "\
operating point, resistances typical, 2 loads
* n0 = inside
* n1 = A
* 0 = B
* n3 = inside
* n4 = A
* n5 = B
* n6 = odd .end (left out: joined to no source)
* edge 0
R0 n0 n1 1.0000000000000001e-1
* edge 1
R1 n3 n4 2.9999999999999999e-1
* supply 0
V0 n0 0 dc 1.5000000000000000e1
* supply 1
V1 n3 n5 dc 1.2000000000000000e1
* Nothing joins this source to those before. A simulator wants a way to its reference from
* every node; a source of 0 V, in which no current flows, gives it one and changes nothing else.
Vtie1 n5 0 dc 0
I0 n1 0 dc 1.0000000000000000e0
* load 1 is left out: it is not between two poles
.op
.control
set noaskquit
set numdgt=15
op
print v(n0)
print v(n1)
print v(n3)
print v(n4)
print v(n5)
quit 0
.endc
.end
";
    assert_eq!(netlist(&hand.0, &[None], Level::Typical, &loads), expected);
    // Joined to the first, the second source needs no tie.
    assert!(!netlist(&hand.0, &[Some(1)], Level::Typical, &loads).contains("Vtie"));
}

/// Values over decades: from `low` to `high`, as likely in each.
fn decades(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_wave_exceeds_its_peak(
        (ohms, henries, farads) in (decades(1e-3, 100.0), decades(1e-7, 1e-3), decades(1e-11, 1e-3)),
        (filter_ohms, filter_farads) in (decades(0.1, 1e4), decades(1e-10, 1e-3)),
        (amps, start_volts, volts) in (0.0..20.0, -20.0..20.0, -20.0..20.0),
        more in 1.0..10.0,
    ) {
        let ringing = RingingLoop { volts, ohms, henries, farads };
        let start = Start { amps, volts: start_volts };
        let filter = Filter { ohms: filter_ohms, farads: filter_farads };
        for filter in [None, Some(filter)] {
            let found = response(&ringing, filter, start);
            let swing = 1.0 + (found.peak.volts - volts).abs() + (start_volts - volts).abs();
            prop_assert!(found.peak.volts >= volts.max(start_volts) - 1e-9 * swing);
            // From a thousandth of the quickest time there is to a thousand of the slowest.
            let times = [(henries * farads).sqrt(), henries / ohms, filter_ohms * farads, filter_ohms * filter_farads];
            let (quickest, slowest) = times.iter().fold((f64::MAX, 0.0_f64), |(a, b), &t| (a.min(t), b.max(t)));
            let ratio = (1e6 * slowest / quickest).powf(1.0 / 1000.0);
            for k in 0..1000 {
                let v = volts_at(&ringing, filter, start, 1e-3 * quickest * ratio.powi(k));
                prop_assert!(v <= found.peak.volts + 1e-7 * swing, "{found:?} {v}");
            }
            if found.peak.seconds.is_finite() {
                let v = volts_at(&ringing, filter, start, found.peak.seconds);
                prop_assert!((v - found.peak.volts).abs() <= 1e-7 * swing, "{found:?} {v}");
            }
        }
        let damped = RingingLoop { ohms: ohms * more, ..ringing }.peak(start).volts;
        let plain = ringing.peak(start).volts;
        prop_assert!(damped <= plain + 1e-9 * plain.abs().max(20.0));
        let stronger = ringing.peak(Start { amps: amps * more, ..start }).volts;
        prop_assert!(stronger >= plain - 1e-9 * plain.abs().max(20.0));
    }

    #[test]
    fn more_wiring_leaves_less_voltage(
        (volts, ohms, henries) in (5.0..25.0, decades(1e-4, 10.0), decades(1e-8, 1e-3)),
        (hertz, amps, more) in (decades(1e3, 2e4), 0.0..20.0, 1.0..3.0),
    ) {
        let square = SquareLoop { volts, ohms, henries, hertz };
        let plain = square.rectified(amps).volts();
        prop_assert!((0.0..=volts).contains(&plain));
        prop_assert_eq!(plain > 0.0, amps < square.limit_amps());
        for worse in [
            SquareLoop { ohms: ohms * more, ..square },
            SquareLoop { henries: henries * more, ..square },
            SquareLoop { hertz: hertz * more, ..square },
        ] {
            prop_assert!(worse.rectified(amps).volts() <= plain);
        }
        prop_assert!(square.rectified(amps * more).volts() <= plain);
    }

    #[test]
    fn more_decoders_keep_the_current_up_longer(
        (decoders, farads, inrush_ohms) in (1_u32..50, decades(1e-5, 1e-2), decades(0.1, 100.0)),
        (loop_ohms, steady_amps, trip) in (decades(0.01, 5.0), 0.0..1.0, 1.5..5.0),
    ) {
        let fleet = Fleet { decoders, farads, inrush_ohms, bridge_volts: 1.4, volts: 15.0, loop_ohms, steady_amps };
        let plain = fleet.seconds_above(trip);
        for more in [
            Fleet { decoders: decoders + 1, ..fleet },
            Fleet { farads: 1.1 * farads, ..fleet },
            Fleet { steady_amps: steady_amps + 0.1, ..fleet },
        ] {
            prop_assert!(more.seconds_above(trip) >= plain * (1.0 - 1e-12));
        }
    }

    /// A band is as bad as the worst of its currents, and no worse.
    #[test]
    fn chains_over_bands(
        list in prop::collection::vec((1.0..10.0, 0.001..0.2, 0.3..1.0), 1..4),
        folds in prop::option::of((2.0..8.0, 0.001..0.1, 1.0..6.0)),
        (low, wide) in (1.0..10.0, 0.0..10.0),
    ) {
        let breakers: Vec<ChainBreaker> = (list.into_iter())
            .map(|(trip_amps, delay_seconds, share)| ChainBreaker { trip_amps, delay_seconds, share })
            .collect();
        let foldback =
            folds.map(|(above_amps, after_seconds, to_amps)| Foldback { above_amps, after_seconds, to_amps });
        let chain = BreakerChain { breakers: &breakers, foldback };
        let band = chain.over_band(low, low + wide);
        let (mut longest, mut through, mut nearest) = (0.0_f64, 0.0_f64, true);
        for k in 0..=3000 {
            let amps = f64::min(low + wide, low + wide * f64::from(k) / 3000.0);
            through = through.max(chain.let_through(amps));
            match chain.outcome(amps) {
                Outcome::Cleared { breaker, seconds, margin_seconds } => {
                    longest = longest.max(seconds);
                    nearest &= breaker == 0 && margin_seconds > 0.0;
                }
                Outcome::Never { .. } => (longest, nearest) = (f64::INFINITY, false),
            }
        }
        // What is tried may miss a narrow band between two trip currents, never the other way round.
        prop_assert!(longest <= band.longest_seconds && through <= band.let_through);
        prop_assert!(nearest || !band.always_nearest_first);
    }
}
