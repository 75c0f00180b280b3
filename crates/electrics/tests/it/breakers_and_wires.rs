//! Breakers in a chain, and the wires behind them: the published values, and each verdict.

use electrics::breaker_chain::{BreakerChain, ChainBreaker, Foldback, Outcome};
use electrics::conductor::{WireDuty, WireUnderFault, judge, stands_let_through};
use handbook::contacts::insulation_k;
use handbook::wires::{WireGauge, wire};

fn awg(number: u32) -> WireGauge {
    wire(&format!("{number} AWG")).unwrap()
}

#[track_caller]
fn check_near(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} is not {expected}");
}

const FAULT: WireDuty = WireDuty { load_amps: 3.0, fault_amps: 20.0, clear_seconds: 0.1, breaker_amps: Some(5.0) };

#[test]
fn withstand_and_melting() {
    // [calc from IEC 60364-4-43] k 143: 24 AWG, 20 A → 2.1 s; 22 AWG, 20 A → 5.4 s; half a unit of the last figure
    for (size, seconds) in [(24, 2.1), (22, 5.4)] {
        let judged = judge(&awg(size), 143.0, &FAULT);
        assert!((judged.withstand_seconds - seconds).abs() < 0.05, "{judged:?}");
        assert_eq!(judged.fault, WireUnderFault::Cleared);
    }
    // A wrong area would be noticed.
    assert!((judge(&awg(23), 143.0, &FAULT).withstand_seconds - 2.1).abs() > 0.5);
    // [calc from Onderdonk] 16 AWG, 5 s, 25 °C → 168.9 A; the last digit depends on the melting point, so 0.1 %
    let melting = judge(&awg(16), 115.0, &WireDuty { clear_seconds: 5.0, ..FAULT }).melting_amps.unwrap();
    assert!((melting - 168.9).abs() < 0.17, "{melting}");
}

#[test]
fn verdicts() {
    let pvc = insulation_k("PVC").unwrap().value;
    let verdict = |wire: &WireGauge, fault_amps, clear_seconds| {
        judge(wire, pvc, &WireDuty { fault_amps, clear_seconds, ..FAULT }).fault
    };
    // 24 AWG, 0.205 mm², PVC: (115 · 0.205 / 20)² = 1.39 s; carries 3.5 A [practice].
    assert_eq!(verdict(&awg(24), 20.0, 1.3), WireUnderFault::Cleared);
    assert_eq!(verdict(&awg(24), 20.0, 1.5), WireUnderFault::Overheats);
    assert_eq!(verdict(&awg(24), 3.5, f64::INFINITY), WireUnderFault::Carried);
    assert_eq!(verdict(&awg(24), 3.6, f64::INFINITY), WireUnderFault::Overheats);
    // Metric sizes have no such figure: unknown beyond 5 s, and not before.
    let metric = wire("0.5 mm²").unwrap();
    assert_eq!(verdict(&metric, 20.0, f64::INFINITY), WireUnderFault::Unknown);
    assert_eq!(verdict(&metric, 30.0, f64::INFINITY), WireUnderFault::Overheats);
    assert_eq!(verdict(&metric, 0.0, f64::INFINITY), WireUnderFault::Cleared);
    assert_eq!(judge(&metric, pvc, &WireDuty { clear_seconds: f64::INFINITY, ..FAULT }).melting_amps, None);
}

#[test]
fn load_and_breaker() {
    // [practice] chassis wiring, 24 AWG 3.5 A; [std] NEC 240.4(D) 18 AWG 7 A
    let judged =
        |size, load_amps, breaker| judge(&awg(size), 115.0, &WireDuty { load_amps, breaker_amps: breaker, ..FAULT });
    let load = judged(24, 3.6, None).load.unwrap();
    assert!(!load.within && load.limit.value.0 == 3.5 && load.limit.source == "common practice, no source");
    assert!(judged(24, 3.5, None).load.unwrap().within);
    let breaker = judged(18, 1.0, Some(8.0)).breaker.unwrap();
    assert!(!breaker.within && breaker.limit.value.0 == 7.0 && breaker.limit.source == "NEC 240.4(D)");
    assert!(judged(18, 1.0, Some(7.0)).breaker.unwrap().within);
    assert_eq!(judged(20, 1.0, Some(7.0)).breaker, None);
    assert_eq!(judged(18, 1.0, None).breaker, None);
    assert_eq!(judged(23, 1.0, None).load, None);
}

#[test]
fn let_through() {
    // (115 · 0.2047)² = 554 A²s
    assert!(stands_let_through(&awg(24), 115.0, 550.0) && !stands_let_through(&awg(24), 115.0, 560.0));
    assert!(!stands_let_through(&awg(10), 143.0, f64::INFINITY));
}

#[test]
fn chains_of_breakers() {
    let breaker = |trip_amps, delay_seconds| ChainBreaker { trip_amps, delay_seconds, share: 1.0 };
    let cleared = |breaker, seconds, margin_seconds| Outcome::Cleared { breaker, seconds, margin_seconds };
    // The sub-breaker opens at 3 A after 20 ms, the booster's own at 5 A after 100 ms.
    let breakers = [breaker(3.0, 0.02), breaker(5.0, 0.1)];
    let chain = BreakerChain { breakers: &breakers, foldback: None };
    assert_eq!(chain.outcome(2.9), Outcome::Never { amps: 2.9 });
    assert_eq!(chain.outcome(3.0), cleared(0, 0.02, f64::INFINITY));
    assert_eq!(chain.outcome(10.0), cleared(0, 0.02, 0.1 - 0.02));
    let band = chain.over_band(3.0, 10.0);
    assert!(band.always_nearest_first);
    assert_eq!((band.least_margin_seconds, band.longest_seconds), (0.1 - 0.02, 0.02));
    check_near(band.let_through, 2.0, 1e-14);
    assert_eq!(chain.over_band(1.0, 10.0).longest_seconds, f64::INFINITY);
    assert_eq!(chain.over_band(1.0, 10.0).let_through, f64::INFINITY);

    // The other way round: above 5 A the wrong one opens, at a current that neither end of the band shows.
    let wrong = [breaker(3.0, 0.1), breaker(5.0, 0.02), breaker(6.0, 0.01)];
    let chain = BreakerChain { breakers: &wrong[..2], foldback: None };
    assert_eq!(chain.outcome(4.9), cleared(0, 0.1, f64::INFINITY));
    assert_eq!(chain.outcome(5.0), cleared(1, 0.02, 0.1 - 0.02));
    let band = chain.over_band(3.0, 20.0);
    assert!(!band.always_nearest_first);
    // The most gets through just below 5 A, not at 20 A.
    check_near(band.let_through, f64::max(25.0 * 0.1, 400.0 * 0.02), 1e-12);
    check_near(chain.over_band(3.0, 8.0).let_through, 2.5, 1e-12);
    assert_eq!(BreakerChain { breakers: &wrong, foldback: None }.outcome(7.0), cleared(2, 0.01, 0.02 - 0.01));
    let twins = [breaker(3.0, 0.02), breaker(3.0, 0.02)];
    assert_eq!(BreakerChain { breakers: &twins, foldback: None }.outcome(4.0), cleared(0, 0.02, 0.0));
    // Half of the current each, of two beside one another.
    let shared = [ChainBreaker { share: 0.5, ..breaker(3.0, 0.02) }, breaker(f64::INFINITY, 0.0)];
    assert_eq!(BreakerChain { breakers: &shared, foldback: None }.outcome(5.9), Outcome::Never { amps: 5.9 });
    assert_eq!(BreakerChain { breakers: &shared, foldback: None }.outcome(6.0), cleared(0, 0.02, f64::INFINITY));

    // A supply that gives 2 A once it has given more than 5 A for 10 ms: too short for the sub-breaker.
    let foldback = Foldback { above_amps: 5.0, after_seconds: 0.01, to_amps: 2.0 };
    let chain = BreakerChain { breakers: &breakers, foldback: Some(foldback) };
    assert_eq!(chain.outcome(10.0), Outcome::Never { amps: 2.0 });
    assert_eq!(chain.outcome(5.0), cleared(0, 0.02, 0.1 - 0.02));
    assert!(!chain.over_band(3.0, 10.0).always_nearest_first);
    // To 4 A, it is long enough, and the booster's own never opens.
    let chain = BreakerChain { breakers: &breakers, foldback: Some(Foldback { to_amps: 4.0, ..foldback }) };
    assert_eq!(chain.outcome(10.0), cleared(0, 0.02, f64::INFINITY));
    check_near(chain.let_through(10.0), 100.0 * 0.01 + 16.0 * 0.01, 1e-12);
    // After 50 ms it is too late to keep the sub-breaker closed; and no supply gives more than the fault draws.
    let chain = BreakerChain { breakers: &breakers, foldback: Some(Foldback { after_seconds: 0.05, ..foldback }) };
    assert_eq!(chain.outcome(10.0), cleared(0, 0.02, f64::INFINITY));
    let generous = Foldback { above_amps: 1.0, to_amps: 4.0, ..foldback };
    assert_eq!(
        BreakerChain { breakers: &breakers, foldback: Some(generous) }.outcome(2.0),
        Outcome::Never { amps: 2.0 }
    );
}
