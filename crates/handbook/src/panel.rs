//! Holes that the parts of a panel usually need: what the trade drills, no standard. The thread of the part at hand rules.

use crate::PRACTICE;
use crate::quantity::{Amps, Metres, Volts};
use crate::spread::{Sourced, Spread};

/// A part of a panel and the drill for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PanelHole {
    /// The part, with what tells it from those that look alike.
    pub part: &'static str,
    /// The metric drill.
    pub metric: Metres,
    /// The nearest drill in inches that lets it through, as drills are called: `1/4`.
    pub inch: &'static str,
}

const fn hole(part: &'static str, millimetres: f64, inch: &'static str) -> PanelHole {
    PanelHole { part, metric: Metres::from_millimetres(millimetres), inch }
}

/// The usual holes.
pub const PANEL_HOLES: Sourced<[PanelHole; 7]> = Sourced::new(
    [
        hole("miniature toggle, 6 mm or 1/4 in thread", 6.5, "1/4"),
        hole("full-size toggle, 12 mm or 15/32 in thread", 12.5, "1/2"),
        hole("miniature push button, 7 mm thread", 7.0, "9/32"),
        hole("full-size push button, 12 mm thread", 12.5, "1/2"),
        hole("rotary switch, 10 mm or 3/8 in thread", 10.0, "13/32"),
        hole("holder of a 3 mm lamp", 6.5, "1/4"),
        hole("holder of a 5 mm lamp", 8.0, "5/16"),
    ],
    PRACTICE,
);

/// A round hole that parts of panels are made for, and how far apart the middles of two such holes must be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MountingHole {
    /// Its diameter.
    pub diameter: Metres,
    /// How far apart the middles of two are at least, side by side.
    pub across: Metres,
    /// The same, one above the other.
    pub down: Metres,
    /// Where the diameter is from.
    pub source: &'static str,
    /// Where the distances are from.
    pub pitch_source: &'static str,
}

const STANDARD: &str = "IEC 60947-5-1, single-hole mounted control devices";
const STANDARD_PITCH: &str = "IEC 60947-5-1, from memory, confirm";

const fn mounting(diameter: f64, [across, down]: [f64; 2], source: &'static str, pitch: &'static str) -> MountingHole {
    MountingHole {
        diameter: Metres::from_millimetres(diameter),
        across: Metres::from_millimetres(across),
        down: Metres::from_millimetres(down),
        source,
        pitch_source: pitch,
    }
}

/// Holes that parts of panels are made for, the smallest first.
pub const MOUNTING_HOLES: [MountingHole; 7] = [
    mounting(3.0, [8.0, 8.0], PRACTICE, PRACTICE),
    mounting(5.0, [10.0, 10.0], PRACTICE, PRACTICE),
    mounting(6.0, [16.0, 20.0], PRACTICE, PRACTICE),
    mounting(12.0, [19.0, 24.0], PRACTICE, PRACTICE),
    mounting(16.2, [25.0, 25.0], STANDARD, STANDARD_PITCH),
    mounting(22.3, [30.0, 50.0], STANDARD, STANDARD_PITCH),
    mounting(30.5, [50.0, 65.0], STANDARD, STANDARD_PITCH),
];

/// The hole of the table that a diameter is nearest to.
pub fn mounting_hole(diameter: Metres) -> MountingHole {
    let off = |hole: &MountingHole| (hole.diameter.0 - diameter.0).abs();
    MOUNTING_HOLES.into_iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(MOUNTING_HOLES[0])
}

/// The hole of a push button where nothing says which.
pub const BUTTON_HOLE: Sourced<Metres> = Sourced::new(Metres::from_millimetres(12.0), PRACTICE);
/// The hole of a small toggle switch.
pub const SWITCH_HOLE: Sourced<Metres> = Sourced::new(Metres::from_millimetres(6.0), PRACTICE);
/// The hole of a lamp.
pub const LAMP_HOLE: Sourced<Metres> = Sourced::new(Metres::from_millimetres(5.0), PRACTICE);

/// How far a panel is from the eyes of whoever reads it.
pub const VIEWED: Sourced<Metres> = Sourced::new(Metres::from_millimetres(700.0), PRACTICE);
/// The angle that capitals fill for the eye, in minutes of arc: the upper end of 20 to 22.
pub const LETTER_ANGLE: Sourced<f64> = Sourced::new(22.0, "ISO 9241-3, 20 to 22 minutes of arc");

/// How high capitals must be to be read from a distance: the angle's tangent times the distance.
pub fn letter_height(viewed: Metres) -> Metres {
    Metres(viewed.0 * (LETTER_ANGLE.value / 60.0).to_radians().tan())
}

/// What a silicon diode keeps of the voltage while some amperes flow.
pub const DIODE_DROP: Sourced<Spread<Volts>> = Sourced::new(Spread::new(Volts(0.7), Volts(0.9), Volts(1.1)), PRACTICE);
/// How far the capacitance of an electrolytic capacitor may be off either way, as a share.
pub const CAPACITOR_BAND: Sourced<f64> =
    Sourced::new(0.2, "usual tolerance of electrolytic capacitors, from memory, confirm");
/// What a lamp, a light-emitting diode, keeps of the voltage.
pub const LAMP_DROP: Sourced<Volts> = Sourced::new(Volts(2.0), PRACTICE);
/// The current that a lamp is lit with.
pub const LAMP_CURRENT: Sourced<Amps> = Sourced::new(Amps(0.005), PRACTICE);
/// The wire inside a panel and from there to the layout, metric and imperial.
pub const PANEL_WIRE: Sourced<[&str; 2]> = Sourced::new(["0.5 mm²", "20 AWG"], PRACTICE);
/// What a wire inside a panel is longer than the straight way along its edges: two bends and two ends to strip.
pub const PANEL_SLACK: Sourced<Metres> = Sourced::new(Metres::from_millimetres(120.0), PRACTICE);
