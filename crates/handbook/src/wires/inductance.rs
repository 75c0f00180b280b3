//! Inductance of two wires side by side.

use crate::quantity::Metres;

/// Permeability of free space in H/m: 4π·10⁻⁷ (the 2019 SI value differs from the tenth figure on).
pub const MU_0: f64 = 4e-7 * std::f64::consts::PI;

/// Inductance of a loop of two round wires side by side, there and back, in henries per metre of run:
/// `(µ0/π)·arccosh(D/2a)`, D from centre to centre, 2a the diameter of the conductor without its insulation.
///
/// External inductance only. What is left out, the field within the copper, is at most `µ0/4π` per wire, 200 nH/m in
/// all, and vanishes as the frequency grows. Rails: take the diameter of a round of the rail's area. Nothing where the
/// conductors would overlap, or where a length is not a number.
pub fn pair_inductance_per_metre(spacing: Metres, diameter: Metres) -> Option<f64> {
    (diameter.0 > 0.0 && spacing >= diameter).then(|| MU_0 / std::f64::consts::PI * (spacing.0 / diameter.0).acosh())
}
