//! Inductance of two wires side by side.

use super::WireGauge;
use crate::MEMORY;
use crate::quantity::Metres;
use crate::spread::{Sourced, Spread};

/// Permeability of free space in H/m: 4π·10⁻⁷ (the 2019 SI value differs from the tenth figure on).
pub const MU_0: f64 = 4e-7 * std::f64::consts::PI;

/// What the field within the copper adds to a pair at most, in H/m: `µ0/8π` for each of its wires (Maxwell, a round wire with
/// its current spread evenly). At the frequency of the track signal the skin is 0.7 mm deep, so that wires up to 2.5 mm² have
/// nearly all of it.
pub const WITHIN_THE_COPPER: f64 = MU_0 / (4.0 * std::f64::consts::PI);

/// Inductance of a loop of two round wires side by side, there and back, in henries per metre of run:
/// `(µ0/π)·arccosh(D/2a)`, D from centre to centre, 2a the diameter of the conductor without its insulation.
///
/// External inductance only. What is left out, the field within the copper, is at most [`WITHIN_THE_COPPER`] and vanishes as
/// the frequency grows. Rails: take the diameter of a round of the rail's area. Nothing where the conductors would overlap, or
/// where a length is not a number.
pub fn pair_inductance_per_metre(spacing: Metres, diameter: Metres) -> Option<f64> {
    (diameter.0 > 0.0 && spacing >= diameter).then(|| MU_0 / std::f64::consts::PI * (spacing.0 / diameter.0).acosh())
}

/// The same over a band of distances: low without, high with all of the field within the copper.
pub fn pair_inductance_band(spacing: Spread<Metres>, diameter: Metres) -> Option<Spread<f64>> {
    let outside = |spacing: Metres| pair_inductance_per_metre(spacing, diameter);
    let (typical, high) = (outside(spacing.typical)?, outside(spacing.high)?);
    // Where the band's low end would have the conductors overlap they touch.
    Some(Spread::new(outside(spacing.low).unwrap_or(0.0), typical, high + WITHIN_THE_COPPER))
}

/// Thickness of the insulation of a single wire: least of thin-wall equipment wire, usual of the wire sold for fixed and
/// flexible wiring, and of what is made for outdoors.
pub fn insulation_wall(wire: &WireGauge) -> Sourced<Spread<Metres>> {
    let usual = match wire.area.in_square_millimetres() {
        ..0.45 => 0.4,
        ..1.2 => 0.6,
        ..1.8 => 0.7,
        ..7.0 => 0.8,
        _ => 1.0,
    };
    let wall = Spread::new(0.25, usual, 1.5 * usual).map(Metres::from_millimetres);
    Sourced::new(wall, MEMORY)
}

/// Inductance of two wires twisted together, in henries per metre of run: as of a pair whose insulations touch. That the
/// wire is a little longer than the run is left out, and that a stranded conductor is thicker, which lowers it.
pub fn twisted_inductance_per_metre(wire: &WireGauge) -> Option<Spread<f64>> {
    let apart = |wall: Metres| Metres(wire.diameter.0 + 2.0 * wall.0);
    pair_inductance_band(insulation_wall(wire).value.map(apart), wire.diameter)
}
