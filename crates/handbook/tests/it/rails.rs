//! Rails, joints and contacts against the tables they were taken from.

use handbook::contacts::{self, contacts};
use handbook::materials::rail_metal;
use handbook::quantity::{Metres, Ohms, OhmsPerMetre, SquareMetres};
use handbook::rails::{RailProfile, rail, rails};
use handbook::wires::COPPER_RESISTIVITY;

#[track_caller]
fn check(value: f64, expected: f64, within: f64) {
    assert!((value - expected).abs() <= within * expected, "{value} is not {expected}");
}

fn nickel_silver(code: u32) -> &'static RailProfile {
    rail(&format!("code {code} nickel silver")).expect("a listed rail")
}

#[test]
fn sections() {
    // [std] NMRA RP-15.1, inches: height, base width, head width
    for (code, height, base, head) in [
        (100, 0.100, 0.090, 0.045),
        (83, 0.083, 0.080, 0.040),
        (70, 0.070, 0.070, 0.035),
        (55, 0.055, 0.055, 0.028),
        (40, 0.040, 0.040, 0.020),
    ] {
        let rail = nickel_silver(code);
        check(rail.height.in_inches(), height, 1e-9);
        check(rail.base_width.in_inches(), base, 1e-9);
        check(rail.head_width.in_inches(), head, 1e-9);
    }
}

#[test]
fn areas_and_second_moments() {
    // [calc] area estimates mm² low/mid/high; lateral second moment mm⁴ low–high
    for (code, [low, mid, high], [weak, stiff]) in [
        (100, [1.97, 2.22, 2.85], [0.34, 0.47]),
        (83, [1.50, 1.68, 2.15], [0.21, 0.30]),
        (70, [1.12, 1.25, 1.60], [0.125, 0.172]),
        (55, [0.71, 0.79, 1.00], [0.048, 0.066]),
        (40, [0.37, 0.41, 0.52], [0.013, 0.018]),
    ] {
        let rail = nickel_silver(code);
        let area = rail.area.map(SquareMetres::in_square_millimetres);
        check(area.low, low, 1e-9);
        check(area.typical, mid, 1e-9);
        check(area.high, high, 1e-9);
        let second_moment = rail.lateral_second_moment.map(|value| value * 1e12);
        check(second_moment.low, weak, 1e-9);
        check(second_moment.high, stiff, 1e-9);
        assert!(weak < second_moment.typical && second_moment.typical < stiff);
    }
}

#[test]
fn default_resistances() {
    // Defaults to ship, mΩ/m low/typical/high
    for (code, low, typical, high) in [
        (100, 57.0, 80.0, 146.0),
        (83, 87.0, 110.0, 192.0),
        (70, 116.0, 180.0, 257.0),
        (55, 186.0, 280.0, 407.0),
        (40, 357.0, 520.0, 780.0),
    ] {
        let resistance = nickel_silver(code).resistance_per_metre.map(OhmsPerMetre::in_milliohms);
        check(resistance.low, low, 1e-9);
        check(resistance.typical, typical, 1e-9);
        check(resistance.high, high, 1e-9);
    }
}

#[test]
fn measured_rails_lie_within_the_band() {
    // [practice] measured, one rail, mΩ/m: common practice, no source
    for (name, measured) in [
        ("code 100 nickel silver", 57.0),
        ("code 100 nickel silver", 76.0),
        ("code 83 nickel silver", 108.0),
        ("code 70 nickel silver", 206.0),
        ("code 100 brass", 19.0),
    ] {
        let band = rail(name).expect(name).resistance_per_metre.map(OhmsPerMetre::in_milliohms);
        assert!(band.low <= measured + 1e-9 && measured <= band.high, "{name}: {measured} outside {band:?}");
    }
}

#[test]
fn the_worst_rail_is_that_of_the_worst_alloy() {
    // [std: alloy data sheets] % IACS: C77000 5.5, C74500 9.0, brass C26000 28; [memory] C75200 6
    let conductivity = |metal: &str| rail_metal(metal).and_then(|metal| metal.conductivity).expect("a value").value;
    let nickel = conductivity("nickel silver");
    assert_eq!((nickel.low.0, nickel.typical.0, nickel.high.0), (0.055, 0.06, 0.09));
    assert_eq!(conductivity("brass").typical.0, 0.28);
    for rail in rails().iter().filter(|rail| rail.metal != "steel") {
        let computed = COPPER_RESISTIVITY / conductivity(rail.metal).low.0 / rail.area.typical.0;
        check(rail.resistance_per_metre.high.0, computed, 0.05);
    }
}

#[test]
fn names_are_found_however_they_are_spaced() {
    assert_eq!(rail("  Code  83 Nickel silver").map(|rail| rail.name), Some("code 83 nickel silver"));
    assert_eq!(rail("code 84 nickel silver"), None);
    assert_eq!(rail(""), None);
    for one in rails() {
        assert_eq!(rail(one.name), Some(one));
        assert!(rail_metal(one.metal).is_some(), "{}", one.metal);
        assert!(one.height > Metres(0.0) && one.resistance_per_metre.low <= one.resistance_per_metre.typical);
    }
    assert_eq!(rails().len(), 12);
}

#[test]
fn joints_and_contacts() {
    // [practice/memory, very uncertain] soldered joint 1 mΩ; sliding joiner new 5, aged 100 mΩ; tap connector 3 mΩ; motor
    // or relay contact 50 (20–100) mΩ; blade contact new 20, aged 500 mΩ; wheel-and-pick-up short 0.2 (0.05–1) Ω
    for (contact, low, typical, high) in [
        (contacts::SOLDERED_JOINT, 0.001, 0.001, 0.001),
        (contacts::SLIDING_JOINT, 0.005, 0.005, 0.1),
        (contacts::TAP_CONNECTOR, 0.003, 0.003, 0.003),
        (contacts::MOTOR_CONTACT, 0.02, 0.05, 0.1),
        (contacts::BLADE_CONTACT, 0.02, 0.02, 0.5),
        (contacts::WHEEL_SHORT, 0.05, 0.2, 1.0),
    ] {
        let band = contact.value;
        assert_eq!((band.low, band.typical, band.high), (Ohms(low), Ohms(typical), Ohms(high)));
        assert!(contact.source.contains("very uncertain"));
        assert!(contacts().iter().any(|(_, listed)| *listed == contact));
    }
}
