//! Wires against their duty: the published values, and each verdict.
#![allow(clippy::unwrap_used)]

use electrics::conductor::{Duty, Fault, judge, stands_let_through};
use handbook::contacts::insulation_k;
use handbook::wires::{Wire, wire};

fn awg(number: u32) -> Wire {
    wire(&format!("{number} AWG")).unwrap()
}

const FAULT: Duty = Duty { load_amps: 3.0, fault_amps: 20.0, clear_seconds: 0.1, breaker_amps: Some(5.0) };

#[test]
fn withstand_and_melting() {
    // [calc from IEC 60364-4-43] k 143: 24 AWG, 20 A → 2.1 s; 22 AWG, 20 A → 5.4 s; half a unit of the last figure
    for (size, seconds) in [(24, 2.1), (22, 5.4)] {
        let judged = judge(&awg(size), 143.0, &FAULT);
        assert!((judged.withstand_seconds - seconds).abs() < 0.05, "{judged:?}");
        assert_eq!(judged.fault, Fault::Cleared);
    }
    // A wrong area would be noticed.
    assert!((judge(&awg(23), 143.0, &FAULT).withstand_seconds - 2.1).abs() > 0.5);
    // [calc from Onderdonk] 16 AWG, 5 s, 25 °C → 168.9 A; the last digit hangs on the melting point, so 0.1 %
    let melting = judge(&awg(16), 115.0, &Duty { clear_seconds: 5.0, ..FAULT }).melting_amps.unwrap();
    assert!((melting - 168.9).abs() < 0.17, "{melting}");
}

#[test]
fn verdicts() {
    let pvc = insulation_k("PVC").unwrap().value;
    let verdict =
        |wire: &Wire, fault_amps, clear_seconds| judge(wire, pvc, &Duty { fault_amps, clear_seconds, ..FAULT }).fault;
    // 24 AWG, 0.205 mm², PVC: (115 · 0.205 / 20)² = 1.39 s; carries 3.5 A [practice].
    assert_eq!(verdict(&awg(24), 20.0, 1.3), Fault::Cleared);
    assert_eq!(verdict(&awg(24), 20.0, 1.5), Fault::Overheats);
    assert_eq!(verdict(&awg(24), 3.5, f64::INFINITY), Fault::Carried);
    assert_eq!(verdict(&awg(24), 3.6, f64::INFINITY), Fault::Overheats);
    // Metric sizes have no such figure: unknown beyond 5 s, and not before.
    let metric = wire("0.5 mm²").unwrap();
    assert_eq!(verdict(&metric, 20.0, f64::INFINITY), Fault::Unknown);
    assert_eq!(verdict(&metric, 30.0, f64::INFINITY), Fault::Overheats);
    assert_eq!(verdict(&metric, 0.0, f64::INFINITY), Fault::Cleared);
    assert_eq!(judge(&metric, pvc, &Duty { clear_seconds: f64::INFINITY, ..FAULT }).melting_amps, None);
}

#[test]
fn load_and_breaker() {
    // [practice] chassis wiring, 24 AWG 3.5 A; [std] NEC 240.4(D) 18 AWG 7 A
    let judged =
        |size, load_amps, breaker| judge(&awg(size), 115.0, &Duty { load_amps, breaker_amps: breaker, ..FAULT });
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
