//! Detectors: what shows that a train stands on a track, by the current that flows to it.

use super::boards::Plug;
use crate::value::{At, List, record};
use handbook::quantity::{Metres, Ohms, Volts};

record! {
    /// A current detector in the feed of rails: everything wired to it, such as a track with `left = "D1"`, has its current
    /// over it.
    Detector, "detector" {
        /// What the builder calls it.
        name: At<String>,
        /// The bus conductor and place it is fed from, such as `main bus.A @ 2 m`.
        from: At<String>,
        /// The tracks whose trains it is to show.
        tracks: List<String>,
        /// The voltage that stays behind in it, as in diodes; 0.7 V where neither this nor a resistance is said.
        drop: Option<At<Volts>>,
        /// Its resistance, where it measures over a resistor; `"0 Ω"` of one that a wire only passes through.
        resistance: Option<At<Ohms>>,
        /// The wire from its bus.
        wire: Option<At<String>>,
        /// The length of that wire.
        wire_length: Option<At<Metres>>,
        /// The plug by which that wire comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        plug: Option<At<Plug>>,
    }
}
