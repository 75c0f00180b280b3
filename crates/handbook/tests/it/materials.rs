//! Base materials, rail metals and wood against published values.

use handbook::materials::{
    MOISTURE_FROM_35_TO_65, base_material, base_materials, equilibrium_moisture_content, rail_metal, rail_metals,
};
use handbook::quantity::{Celsius, Fraction};
use handbook::rails::rail;

#[test]
fn moisture_of_wood() {
    // [std] Wood Handbook FPL-GTR-282 table 4-2, °F, % RH, % moisture content, tolerance 0.1
    for (fahrenheit, humidity, expected) in [
        (30.0, 30.0, 6.3),
        (30.0, 50.0, 9.5),
        (30.0, 80.0, 16.5),
        (30.0, 95.0, 24.3),
        (50.0, 50.0, 9.5),
        (50.0, 75.0, 14.8),
        (70.0, 5.0, 1.3),
        (70.0, 30.0, 6.2),
        (70.0, 50.0, 9.2),
        (70.0, 65.0, 12.0),
        (70.0, 85.0, 17.9),
        (90.0, 20.0, 4.3),
        (90.0, 60.0, 10.5),
        (110.0, 40.0, 7.0),
        (130.0, 70.0, 11.3),
    ] {
        let content = equilibrium_moisture_content(Celsius::from_fahrenheit(fahrenheit), Fraction(humidity / 100.0));
        let percent = content.expect("within the table").0 * 100.0;
        assert!((percent - expected).abs() <= 0.1, "{fahrenheit} °F, {humidity} %: {percent}, table {expected}");
    }
}

#[test]
fn moisture_of_wood_without_sense() {
    let content = |temperature, humidity| equilibrium_moisture_content(Celsius(temperature), Fraction(humidity));
    assert_eq!(content(20.0, 0.0), Some(Fraction(0.0)));
    assert_eq!(content(20.0, -0.01), None);
    assert_eq!(content(20.0, 1.01), None);
    assert_eq!(content(20.0, f64::NAN), None);
    assert_eq!(content(f64::NAN, 0.5), None);
    assert!(content(20.0, 1.0).is_some_and(|wet| wet.0 > 0.25 && wet.0 < 0.35));
}

#[test]
fn growth_with_damp() {
    // 35→65 % RH (no tag): plywood 0.6, MDF 1.0, wood along grain 0.25, pine across tangential 10.7 mm/m; foam 0
    for (name, millimetres_per_metre) in [
        ("plywood", 0.6),
        ("MDF", 1.0),
        ("softwood along grain", 0.25),
        ("softwood across grain", 10.7),
        ("XPS foam", 0.0),
        ("EPS foam", 0.0),
    ] {
        let growth = base_material(name).expect(name).growth_per_ten_percent_humidity;
        assert!((growth.value.typical.0 * 3.0 * 1000.0 - millimetres_per_metre).abs() < 1e-9, "{name}");
    }
    // [second hand] plywood in plane 0.02 % per 10 % RH
    let plywood = base_material("birch plywood").expect("plywood").growth_per_ten_percent_humidity;
    assert!((plywood.value.typical.0 - 0.0002).abs() < 1e-12 && plywood.source.contains("second hand"));
    // [std: EWPAA facts] 9→12 % moisture content 1 mm/m, for MDF and particle board alike
    assert_eq!(
        base_material("particle board").map(|board| board.growth_per_ten_percent_humidity),
        base_material("mdf").map(|board| board.growth_per_ten_percent_humidity)
    );
}

#[test]
fn growth_with_warmth() {
    let check = |value: f64, per_million: f64| assert!((value * 1e6 - per_million).abs() < 1e-9, "{value}");
    // [memory] plywood in plane 6.1, fir along/across 3.8–5.1 / 25–34, XPS and EPS 63 · 10⁻⁶/K
    for (name, low, high) in [
        ("birch plywood", 6.1, 6.1),
        ("softwood along grain", 3.8, 5.1),
        ("softwood across grain", 25.0, 34.0),
        ("XPS foam", 63.0, 63.0),
        ("EPS foam", 63.0, 63.0),
    ] {
        let expansion = base_material(name).expect(name).thermal_expansion;
        check(expansion.value.low, low);
        check(expansion.value.high, high);
        assert!(expansion.source.contains("from memory"), "{name}");
    }
    // [std] nickel silver C77000 16.7 (default 16.5, band 16–18.5); [memory] brass 19.9, rail steel 11.5 · 10⁻⁶/K
    for (name, low, typical, high) in
        [("nickel silver", 16.0, 16.5, 18.5), ("brass", 19.9, 19.9, 19.9), ("steel", 11.5, 11.5, 11.5)]
    {
        let expansion = rail_metal(name).expect(name).thermal_expansion.value;
        check(expansion.low, low);
        check(expansion.typical, typical);
        check(expansion.high, high);
    }
}

#[test]
fn warmth_of_rail_metals_follows_matthiessens_rule() {
    // What alloying adds to resistivity does not depend on temperature (A. Matthiessen and C. Vogt, 1864): per kelvin an alloy of copper
    // grows by copper's coefficient times its conductivity as a part of copper's. The handbook's values are from memory: within half.
    for metal in rail_metals() {
        let Some(conductivity) = &metal.conductivity else { continue };
        let due = handbook::wires::COPPER_TEMPERATURE_COEFFICIENT * conductivity.value.typical.0;
        let ratio = metal.resistance_per_kelvin.value / due;
        assert!((0.5..=1.5).contains(&ratio), "{}: {} and {due}", metal.name, metal.resistance_per_kelvin.value);
    }
}

#[test]
fn stiffness_of_rail_metals() {
    // E GPa (no tag): nickel silver 117–125, brass 110, steel 206
    for (name, low, high) in [("nickel silver", 117.0, 125.0), ("brass", 110.0, 110.0), ("steel", 206.0, 206.0)] {
        let elasticity = rail_metal(name).expect(name).elasticity.value;
        assert!((elasticity.low / 1e9 - low).abs() < 1e-9 && (elasticity.high / 1e9 - high).abs() < 1e-9, "{name}");
        assert!(elasticity.low <= elasticity.typical && elasticity.typical <= elasticity.high);
    }
}

#[test]
fn rails_buckle_where_the_sections_say() {
    // [calc] Euler between fixings ΔT_cr = π²·I/(α·A·(K·L)²), 20 K, K 1 / 0.5: code 83 68 / 135 mm, code 100 75 / 150,
    // code 55 47 / 94, ±10 %
    let expansion = rail_metal("nickel silver").expect("nickel silver").thermal_expansion.value.typical;
    for (name, pinned, clamped) in [
        ("code 83 nickel silver", 68.0, 135.0),
        ("code 100 nickel silver", 75.0, 150.0),
        ("code 55 nickel silver", 47.0, 94.0),
    ] {
        let rail = rail(name).expect(name);
        let radius_squared = rail.lateral_second_moment.typical / rail.area.typical.0;
        let free = std::f64::consts::PI * (radius_squared / (expansion * 20.0)).sqrt() * 1000.0;
        assert!((free / pinned - 1.0).abs() < 0.1, "{name}: {free} mm pinned");
        assert!((free / 0.5 / clamped - 1.0).abs() < 0.1, "{name}: {} mm clamped", free / 0.5);
    }
}

/// Boards across their grain grow by the published coefficient for each per cent of moisture, radial at least and tangential
/// at most; what they take up from 35 to 65 % RH is that of the published equation.
#[test]
fn boards_across_their_grain() {
    let moisture = |humidity| equilibrium_moisture_content(Celsius(20.0), Fraction(humidity)).expect("air").0 * 100.0;
    let taken_up = moisture(0.65) - moisture(0.35);
    assert!((taken_up - MOISTURE_FROM_35_TO_65).abs() < 0.005, "{taken_up}");
    // [std] Wood Handbook FPL-GTR-282 Table 13-5, radial and tangential, for each per cent of moisture
    for (wood, radial, tangential) in [
        ("red oak", 0.00158, 0.00369),
        ("white oak", 0.00180, 0.00365),
        ("sugar maple", 0.00165, 0.00353),
        ("beech", 0.00190, 0.00431),
        ("white ash", 0.00169, 0.00274),
        ("basswood", 0.00230, 0.00330),
        ("yellow birch", 0.00256, 0.00338),
        ("black walnut", 0.00190, 0.00274),
    ] {
        let board = base_material(&format!("{wood} across grain")).expect(wood);
        let growth = board.growth_per_ten_percent_humidity.value.map(|g| 3.0 * g.0 / taken_up);
        assert!((growth.low / radial - 1.0).abs() < 2e-3, "{wood}: {growth:?}");
        assert!((growth.high / tangential - 1.0).abs() < 2e-3, "{wood}: {growth:?}");
        assert!(growth.low < growth.typical && growth.typical < growth.high);
    }
}

#[test]
fn names_are_found_however_they_are_spaced() {
    assert_eq!(base_material(" Birch  PLYWOOD").map(|base| base.name), Some("birch plywood"));
    assert_eq!(base_material("jelly"), None);
    assert_eq!(rail_metal("Nickel  silver").map(|metal| metal.name), Some("nickel silver"));
    assert_eq!(rail_metal("tin"), None);
    assert_eq!((base_materials().len(), rail_metals().len()), (25, 3));
    for base in base_materials() {
        assert_eq!(base_material(base.name), Some(base));
    }
}
