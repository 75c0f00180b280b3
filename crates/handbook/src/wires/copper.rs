//! Copper: its resistance, what a short pulse of current does to it, and when it melts.

use crate::quantity::{Amps, Celsius, Metres, OhmsPerMetre, Seconds, SquareMetres};
use crate::spread::Sourced;

/// Resistivity of annealed copper at 20 °C in Ω·m, 100 % IACS (wire tables as NBS Handbook 100 / Circular 31).
pub const COPPER_RESISTIVITY: f64 = 1.7241e-8;

/// How much the resistance of copper grows per kelvin, of its value at 20 °C (wire tables as NBS Handbook 100 /
/// Circular 31).
pub const COPPER_TEMPERATURE_COEFFICIENT: f64 = 0.00393;

/// Beyond this time the wire sheds heat while the current flows and [`adiabatic_withstand_seconds`] no longer holds.
pub const ADIABATIC_LIMIT: Sourced<Seconds> = Sourced::new(Seconds(5.0), "IEC 60364-4-43");

/// Diameter of an AWG size: `0.127 mm · 92^((36−n)/39)` (ASTM B258).
pub fn awg_diameter(number: i8) -> Metres {
    Metres::from_millimetres(0.127 * 92_f64.powf((36.0 - f64::from(number)) / 39.0))
}

/// Copper area of a solid wire of an AWG size.
pub fn awg_area(number: i8) -> SquareMetres {
    SquareMetres(std::f64::consts::FRAC_PI_4 * awg_diameter(number).0.powi(2))
}

/// Resistance of copper at a temperature, from that at 20 °C: linear, near room temperature.
pub fn copper_resistance_at(at_20_celsius: OhmsPerMetre, temperature: Celsius) -> OhmsPerMetre {
    OhmsPerMetre(at_20_celsius.0 * (1.0 + COPPER_TEMPERATURE_COEFFICIENT * (temperature.0 - 20.0)))
}

/// How long the insulation of a copper wire of this area stands a current: `t = (k·S/I)²` (IEC 60364-4-43, -5-54).
/// `k` in A·√s/mm² is of the insulation, see [`crate::contacts::insulation_k`]. Holds up to [`ADIABATIC_LIMIT`];
/// a longer time means "longer than that". Endless without a current.
pub fn adiabatic_withstand_seconds(area: SquareMetres, k: f64, current: Amps) -> Seconds {
    Seconds((k * area.in_square_millimetres() / current.0).powi(2))
}

/// The `k` of copper heated from one temperature to another, in A·√s/mm²:
/// `√(Qc·(β+20)/ρ20 · ln((β+Tf)/(β+Ti)))` with β 234.5 °C, Qc 3.45·10⁻³ J/(K·mm³), ρ20 17.241·10⁻⁶ Ω·mm
/// (IEC 60364-5-54). Not a number if the last temperature is below the first.
pub fn adiabatic_k(first: Celsius, last: Celsius) -> f64 {
    const BETA: f64 = 234.5;
    const HEAT_CAPACITY: f64 = 3.45e-3;
    const RESISTIVITY: f64 = 17.241e-6;
    (HEAT_CAPACITY * (BETA + 20.0) / RESISTIVITY * ((BETA + last.0) / (BETA + first.0)).ln()).sqrt()
}

/// The current that melts a copper wire in free air sooner or later: Preece, `I = 10244·d^1.5`, d in inches.
/// Not a safety limit: the insulation fails first.
pub fn preece_fusing_current(diameter: Metres) -> Amps {
    Amps(10244.0 * diameter.in_inches().powf(1.5))
}

/// The current that melts a copper wire of this area within a time: Onderdonk,
/// `33·(I/A)²·t = log10((Tm−Ta)/(234+Ta)+1)`, A in circular mils, Tm 1083 °C.
/// Not a safety limit: the insulation fails first.
pub fn onderdonk_fusing_current(area: SquareMetres, time: Seconds, ambient: Celsius) -> Amps {
    const COPPER_MELTS_AT: f64 = 1083.0;
    let mil = Metres::from_inches(0.001).0;
    let circular_mils = area.0 / (std::f64::consts::FRAC_PI_4 * mil * mil);
    let heat = ((COPPER_MELTS_AT - ambient.0) / (234.0 + ambient.0) + 1.0).log10();
    Amps(circular_mils * (heat / (33.0 * time.0)).sqrt())
}
