//! Holes that the parts of a panel usually need: what the trade drills, no standard. The thread of the part at hand rules.

use crate::PRACTICE;
use crate::quantity::Metres;
use crate::spread::Sourced;

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
