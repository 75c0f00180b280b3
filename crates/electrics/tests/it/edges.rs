//! Edges that take time, and unlike decoders at switch-on: limits that are known, sums in small steps, laws.

use electrics::edges::{FilterUse, over_edges, reversal_peak};
use electrics::inrush::Fleet;
use electrics::mixed_fleet::{MixedFleet, Reservoir};
use electrics::overshoot::{RingingLoop, Start};
use electrics::rc_filter::{Filter, response};
use handbook::Spread;
use proptest::prelude::*;

const LOOP: RingingLoop = RingingLoop { volts: 15.0, ohms: 0.5, henries: 14e-6, farads: 1e-9 };

#[test]
fn quick_edges_ring_as_steps_do_and_slow_ones_hardly() {
    let step = response(&LOOP, None, Start::of_reversal(15.0)).peak.volts;
    assert!((reversal_peak(&LOOP, None, 1e-10) - step).abs() < 1e-2 * step);
    // Undamped: V + 2·V·|sin(ωT/2)/(ωT/2)|, by integration of the cosine.
    let undamped = RingingLoop { ohms: 0.0, ..LOOP };
    let omega = 1.0 / (14e-6_f64 * 1e-9).sqrt();
    for microseconds in [0.1, 0.3, 0.5, 1.0, 2.0] {
        let half = 0.5 * omega * microseconds * 1e-6;
        let expected = 15.0 + 30.0 * (half.sin() / half).abs();
        let found = reversal_peak(&undamped, None, microseconds * 1e-6);
        assert!((found - expected).abs() < 3e-3 * expected, "{microseconds} µs: {found} is not {expected}");
    }
}

#[test]
fn a_filter_is_needed_only_where_it_holds_over_the_band() {
    let filter = Filter { ohms: 100.0, farads: 10e-9 };
    let (edge, farads) = (Spread::new(0.1e-6, 1e-6, 12.5e-6), Spread::new(0.1e-9, 1e-9, 10e-9));
    let found = over_edges(&LOOP, filter, edge, farads);
    assert!(found.without[0] < 20.0 && found.without[1] > 40.0, "{found:?}");
    assert_ne!(found.good_for(27.0), FilterUse::Needed);
    assert_eq!(found.good_for(100.0), FilterUse::NotNeeded);
    let quick = over_edges(&LOOP, filter, Spread::exactly(0.1e-6), Spread::exactly(1e-9));
    assert_eq!(quick.good_for(quick.with[1] + 0.1), FilterUse::Needed, "{quick:?}");
    assert_eq!(quick.good_for(quick.with[1] - 0.1), FilterUse::NotEnough);
}

/// Implicit steps over the network of loop and reservoirs, which know nothing of modes.
fn by_steps(fleet: &MixedFleet, end: f64, steps: usize) -> f64 {
    let step = end / steps as f64;
    let mut charged = vec![0.0; fleet.reservoirs.len()];
    let mut amps = 0.0;
    for _ in 0..steps {
        // At the end of the step: i_k = (V − R·I − v_k − i_k·h/C_k)/r_k, summed over all for I.
        let share = |c: &Reservoir| 1.0 / (c.ohms + step / c.farads);
        let siemens: f64 = fleet.reservoirs.iter().map(share).sum();
        let pushed: f64 =
            fleet.reservoirs.iter().zip(&charged).map(|(c, v)| (fleet.filling_volts - v) * share(c)).sum();
        amps = pushed / (1.0 + fleet.loop_ohms * siemens);
        for (c, v) in fleet.reservoirs.iter().zip(&mut charged) {
            *v += (fleet.filling_volts - fleet.loop_ohms * amps - *v) * share(c) * step / c.farads;
        }
    }
    fleet.steady_amps + amps
}

#[test]
fn unlike_decoders_fill_as_small_steps_say() {
    let reservoirs = vec![
        Reservoir { farads: 4700e-6, ohms: 5.0 },
        Reservoir { farads: 220e-6, ohms: 1.0 },
        Reservoir { farads: 1000e-6, ohms: 22.0 },
        Reservoir { farads: 220e-6, ohms: 1.0 },
    ];
    let fleet = MixedFleet { reservoirs, filling_volts: 13.4, loop_ohms: 0.4, steady_amps: 0.3 };
    for end in [1e-4, 1e-3, 5e-3, 2e-2] {
        let (ours, theirs) = (fleet.amps_at(end), by_steps(&fleet, end, 200_000));
        assert!((ours - theirs).abs() < 1e-3 * theirs, "{end} s: {ours} against {theirs}");
    }
    // At the first moment only the resistances count.
    let siemens = 1.0 / 5.0 + 2.0 + 1.0 / 22.0;
    let first = 0.3 + 13.4 / (0.4 + 1.0 / siemens);
    assert!((fleet.amps_at(0.0) - first).abs() < 1e-6 * first, "{}", fleet.amps_at(0.0));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Decoders that are alike are what the older closed form says; and one more never makes the time above a current shorter.
    #[test]
    fn alike_decoders_and_more_of_them(
        count in 1usize..6,
        (farads, ohms) in (-4.5..-2.0, -0.3..1.5),
        loop_ohms in 0.0..1.0,
        trip in 0.5..8.0,
    ) {
        let (farads, ohms) = (10f64.powf(farads), 10f64.powf(ohms));
        let alike = |count: usize| MixedFleet {
            reservoirs: vec![Reservoir { farads, ohms }; count],
            filling_volts: 13.6,
            loop_ohms,
            steady_amps: 0.2,
        };
        let fleet = Fleet {
            decoders: count as u32,
            farads,
            inrush_ohms: ohms,
            bridge_volts: 1.4,
            volts: 15.0 + loop_ohms * 0.2,
            loop_ohms,
            steady_amps: 0.2,
        };
        let (ours, theirs) = (alike(count).switch_on(trip, 1e-3), fleet.switch_on(trip, 1e-3));
        prop_assert!((ours.first_amps - theirs.first_amps).abs() <= 1e-6 * theirs.first_amps);
        prop_assert!((ours.above_seconds - theirs.above_seconds).abs() <= 1e-6 * theirs.above_seconds + 1e-9);
        prop_assert!(alike(count + 1).switch_on(trip, 1e-3).above_seconds >= ours.above_seconds * (1.0 - 1e-9));
    }
}
