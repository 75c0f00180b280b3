//! Music wire, of which throw wires are made.

use crate::MEMORY;
use crate::quantity::{Metres, Newtons};
use crate::spread::{Sourced, Spread};

/// A size of music wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MusicWire {
    /// Diameter.
    pub diameter: Metres,
    /// Least tensile strength, pascals.
    pub strength: f64,
}

/// Young's modulus of music wire, pascals; typical is our own default within the band.
pub const ELASTICITY: Sourced<Spread<f64>> =
    Sourced::new(Spread::new(190e9, 203e9, 207e9), "190 to 207 GPa, no source given, confirm");

/// How much of its strength a wire may be bent to, again and again, and still come back straight.
pub const BENDING_SHARE: Sourced<f64> = Sourced::new(0.75, MEMORY);

/// With what force a throwbar should be held.
pub const HOLDING_FORCE: Sourced<[Newtons; 2]> = Sourced::new([Newtons(0.3), Newtons(1.0)], MEMORY);

/// Where the strengths come from.
pub const STRENGTH_SOURCE: &str = "ASTM A228, least tensile strength";

const KSI: f64 = 6.894757293168e6;

const fn size(inches: f64, ksi: f64) -> MusicWire {
    MusicWire { diameter: Metres::from_inches(inches), strength: ksi * KSI }
}

/// The usual sizes, thinnest first. Those at .020, .025, .032, .039 and .047 in are listed in the standard; the others are from
/// memory, confirm, and lie between or beyond them as the standard's values fall.
pub const SIZES: [MusicWire; 10] = [
    size(0.016, 362.0),
    size(0.018, 356.0),
    size(0.020, 350.0),
    size(0.025, 340.0),
    size(0.029, 332.0),
    size(0.032, 327.0),
    size(0.039, 316.0),
    size(0.047, 307.0),
    size(0.055, 300.0),
    size(0.063, 293.0),
];

/// The least strength of a wire of this diameter, pascals: between the listed sizes in proportion. None beyond them.
pub fn strength(diameter: Metres) -> Option<f64> {
    // Metric sizes stand a hair beside those in inches.
    let hair = 0.02e-3;
    let (first, last) = (SIZES[0], SIZES[SIZES.len() - 1]);
    if diameter.0 < first.diameter.0 - hair || diameter.0 > last.diameter.0 + hair {
        return None;
    }
    let d = diameter.0.clamp(first.diameter.0, last.diameter.0);
    SIZES.windows(2).find(|pair| d <= pair[1].diameter.0).map(|pair| {
        let share = (d - pair[0].diameter.0) / (pair[1].diameter.0 - pair[0].diameter.0);
        pair[0].strength + share * (pair[1].strength - pair[0].strength)
    })
}
