//! How much water wood holds in air of a given warmth and damp.

use crate::quantity::{Celsius, Fraction};
use crate::spread::Sourced;

/// The air for which the Wood Handbook tables moisture, and to whose table [`equilibrium_moisture_content`] was fitted: least and
/// greatest temperature, least and greatest relative humidity.
pub const MOISTURE_TABLE: Sourced<([Celsius; 2], [Fraction; 2])> = Sourced::new(
    ([Celsius::from_fahrenheit(30.0), Celsius::from_fahrenheit(130.0)], [Fraction(0.05), Fraction(0.95)]),
    "Wood Handbook FPL-GTR-282 Table 4-2: 30 to 130 °F, 5 to 95 % relative humidity",
);

/// Equilibrium moisture content of wood, as a part of its dry mass: Wood Handbook FPL-GTR-282 eq. 4-5.
///
/// The handbook's table, which the equation was fitted to, runs from 30 to 130 °F. Nothing if the relative humidity is
/// not between 0 and 1, or the temperature so far off that the equation has no value.
pub fn equilibrium_moisture_content(temperature: Celsius, humidity: Fraction) -> Option<Fraction> {
    let (t, h) = (temperature.0, humidity.0);
    if !(0.0..=1.0).contains(&h) {
        return None;
    }
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
    let k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
    let bound = k1 * k * h;
    let twice = k1 * k2 * k * k * h * h;
    let percent = 1800.0 / w * (k * h / (1.0 - k * h) + (bound + 2.0 * twice) / (1.0 + bound + twice));
    (percent.is_finite() && percent >= 0.0).then_some(Fraction(percent / 100.0))
}
