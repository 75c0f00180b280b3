//! Wheels: how wide they are, which says what they can bridge.

use super::Scale;
use crate::MEMORY;
use crate::quantity::Metres;
use crate::spread::Sourced;

/// A wheel of a scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheel {
    /// Over flange and tread.
    pub width: Metres,
    /// Of its flange.
    pub flange: Metres,
}

impl Wheel {
    /// How far its tread lies over the rail and beyond, from the rail's gauge face outwards.
    pub fn tread(&self) -> Metres {
        Metres(self.width.0 - self.flange.0)
    }
}

/// The usual wheel of ready-made stock of a scale, with a thin flange: for HO .110 in over .030 in, as NMRA RP-25 has its code 110;
/// others about as wide as NEM 310 allows. All from memory.
pub fn wheel(scale: &Scale) -> Option<Sourced<Wheel>> {
    let (width, flange) = match scale.name {
        "O" => (4.7, 1.1),
        "S" => (3.5, 0.9),
        "OO" | "HO" | "On30" => (2.794, 0.762),
        "TT" | "HOm" | "HOn3" => (2.4, 0.7),
        "N" | "HOe" | "OO9" => (2.2, 0.55),
        "Z" => (1.7, 0.45),
        _ => return None,
    };
    Some(Sourced::new(
        Wheel { width: Metres::from_millimetres(width), flange: Metres::from_millimetres(flange) },
        MEMORY,
    ))
}

/// How far behind the point of an insulated frog its two metal rails must begin, so that no tread on the one reaches the other:
/// `(tread + head)·N`. Behind the point the gauge faces part by one part in N of the way (NMRA RP-12, `N = ½·cot(θ/2)`); a tread
/// covers its width from the one face, the other rail's head stands its width inside the other face.
pub fn insulation_behind_frog(wheel: &Wheel, head: Metres, number: f64) -> Metres {
    Metres((wheel.tread().0 + head.0) * number)
}
