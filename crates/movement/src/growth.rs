//! How far rail and base grow between two airs, in parts of the length.

use handbook::Spread;
use handbook::materials::{BaseMaterial, RailMetal, equilibrium_moisture_content};
use handbook::quantity::{Celsius, Fraction};

/// Air at one time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Its temperature.
    pub temperature: Celsius,
    /// Its relative humidity, 0 to 1.
    pub humidity: Fraction,
}

/// The temperature at which growth from 35 to 65 % RH is taken to have been measured. Our own default.
const MEASURED_AT: Celsius = Celsius(20.0);

/// How far rail and base part company between two airs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mismatch {
    /// Growth of the rail, in parts of its length.
    pub rail: Spread<f64>,
    /// Growth of the base.
    pub base: Spread<f64>,
    /// The part of it that moisture does.
    pub damp: Spread<f64>,
    /// Rail less base: what the rail grows past what it lies on; negative where it shrinks from it.
    pub strain: Spread<f64>,
}

/// Growth of a metal between two temperatures.
pub fn rail_strain(metal: &RailMetal, from: Celsius, to: Celsius) -> Spread<f64> {
    metal.thermal_expansion.value.times(to.0 - from.0)
}

/// Hygroscopic growth of a base, by damp: its growth from 35 to 65 % RH, in proportion to the moisture that wood takes up.
///
/// Moisture is that of the Wood Handbook's equation (FPL-GTR-282 eq. 4-5), so that warm air of the same relative humidity
/// dries wood a little. Between 35 and 65 % RH at 20 °C this is the handbook's growth itself. None where an air has no
/// sense (a humidity beyond 0 to 1).
pub fn damp_strain(base: &BaseMaterial, from: Air, to: Air) -> Option<Spread<f64>> {
    let moisture = |air: Air| equilibrium_moisture_content(air.temperature, air.humidity).map(|m| m.0);
    let measured = |humidity: f64| moisture(Air { temperature: MEASURED_AT, humidity: Fraction(humidity) });
    let measured_over = measured(0.65)? - measured(0.35)?;
    let three_tens = base.growth_per_ten_percent_humidity.value.map(|f| 3.0 * f.0);
    Some(three_tens.times((moisture(to)? - moisture(from)?) / measured_over))
}

/// Growth of rail, of base, and of one past the other. None where an air has no sense.
pub fn mismatch(metal: &RailMetal, base: &BaseMaterial, from: Air, to: Air) -> Option<Mismatch> {
    let rail = rail_strain(metal, from.temperature, to.temperature);
    let damp = damp_strain(base, from, to)?;
    let warmth = base.thermal_expansion.value.times(to.temperature.0 - from.temperature.0);
    let base = warmth.plus(damp);
    Some(Mismatch { rail, base, damp, strain: rail.minus(base) })
}

/// Growth of solid wood across its grain, in the unit of `size`: `ΔD = D·C·ΔM` (Wood Handbook FPL-GTR-282, chapter 13),
/// for moisture contents from 6 to 14 %. `per_percent` is the handbook's coefficient, `moisture_change` is in per cent.
pub fn solid_wood_change(size: f64, per_percent: f64, moisture_change: f64) -> f64 {
    size * per_percent * moisture_change
}
