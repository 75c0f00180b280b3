//! Joints and contacts, and what insulation withstands.
//!
//! The resistances are common practice or from memory and very uncertain. What the ends of the bands mean: where the
//! trade gives a value for new and one for aged, `low` and `typical` are new and `high` is aged, so that a plan is not
//! condemned for faults it does not have yet but the aged case is at hand; where it gives a band, the band. A joint or
//! contact may also fail open, which no number tells.

use crate::quantity::{Amps, Celsius, Ohms};
use crate::same_name;
use crate::spread::{Sourced, Spread};
use crate::wires::{WireGauge, WireSize, awg_area};

const VERY_UNCERTAIN: &str = "common practice or from memory, very uncertain; confirm";

const fn milliohms(low: f64, typical: f64, high: f64) -> Sourced<Spread<Ohms>> {
    let band = Spread::new(Ohms::from_milliohms(low), Ohms::from_milliohms(typical), Ohms::from_milliohms(high));
    Sourced::new(band, VERY_UNCERTAIN)
}

/// A soldered rail joint.
pub const SOLDERED_JOINT: Sourced<Spread<Ohms>> = milliohms(1.0, 1.0, 1.0);

/// A rail joiner left unsoldered: low and typical new, high aged. May fail open.
pub const SLIDING_JOINT: Sourced<Spread<Ohms>> = milliohms(5.0, 5.0, 100.0);

/// A tap connector, or suitcase connector: a blade through the insulation.
pub const TAP_CONNECTOR: Sourced<Spread<Ohms>> = milliohms(3.0, 3.0, 3.0);

/// A contact of a turnout motor or a relay.
pub const MOTOR_CONTACT: Sourced<Spread<Ohms>> = milliohms(20.0, 50.0, 100.0);

/// A point blade touching its stock rail: low and typical new, high aged. May fail open.
pub const BLADE_CONTACT: Sourced<Spread<Ohms>> = milliohms(20.0, 20.0, 500.0);

/// A short through wheels and pick-ups, as a derailed train makes it.
pub const WHEEL_SHORT: Sourced<Spread<Ohms>> = milliohms(50.0, 200.0, 1000.0);

/// A contact of a plug between two boards, pin and socket: low and typical new, high aged.
pub const PLUG_CONTACT: Sourced<Spread<Ohms>> = milliohms(3.0, 5.0, 20.0);

/// What a contact of a plug bears for good where nothing is written on it. Plugs made for data or sound bear less, those of
/// vehicles more.
pub const PLUG_RATING: Sourced<Amps> = Sourced::new(Amps(5.0), crate::MEMORY);

/// All of the above by the names a report uses.
pub fn contacts() -> [(&'static str, Sourced<Spread<Ohms>>); 7] {
    [
        ("soldered joint", SOLDERED_JOINT),
        ("sliding joint", SLIDING_JOINT),
        ("tap connector", TAP_CONNECTOR),
        ("motor contact", MOTOR_CONTACT),
        ("blade contact", BLADE_CONTACT),
        ("wheel short", WHEEL_SHORT),
        ("contact of a plug", PLUG_CONTACT),
    ]
}

/// What a contact of a motor or relay bears where nothing is written on it: snap-action and slide contacts differ by that much.
pub const CONTACT_RATING: Sourced<Spread<Amps>> =
    Sourced::new(Spread::new(Amps(1.0), Amps(3.0), Amps(5.0)), crate::MEMORY);

/// A colour of tap connector and the wires it is made for, run and tap alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapColour {
    /// Its colour: "red".
    pub name: &'static str,
    /// AWG numbers of its thinnest and its thickest wire.
    pub awg: [i8; 2],
    /// Its thinnest and its thickest metric wire, mm².
    pub metric: [f64; 2],
}

/// The colours of tap connectors, thinnest wires first. Makers differ by a size: what is printed on the packet rules.
pub const TAP_COLOURS: Sourced<[TapColour; 3]> = Sourced::new(
    [
        TapColour { name: "red", awg: [22, 18], metric: [0.5, 1.5] },
        TapColour { name: "blue", awg: [18, 14], metric: [1.0, 2.5] },
        TapColour { name: "yellow", awg: [12, 10], metric: [2.5, 6.0] },
    ],
    crate::PRACTICE,
);

impl TapColour {
    /// Whether a wire is within its range: an AWG size by number, a metric one by what is printed in mm² or by its area within
    /// the AWG range.
    pub fn takes(&self, wire: &WireGauge) -> bool {
        let [thin, thick] = self.awg.map(|number| awg_area(number).0);
        let rounding = 1e-9;
        let within =
            |thin: f64, thick: f64, area: f64| thin * (1.0 - rounding) <= area && area <= thick * (1.0 + rounding);
        let metric = match wire.size {
            WireSize::Awg(_) => false,
            WireSize::Metric(hundredths) => within(self.metric[0], self.metric[1], f64::from(hundredths) / 100.0),
            // 16/0.2 is sold as 0.5 mm² and has 0.503 mm².
            WireSize::Strands { .. } => within(self.metric[0], self.metric[1], (wire.area.0 * 1e8).round() / 100.0),
        };
        metric || within(thin, thick, wire.area.0)
    }
}

/// What an insulation on a copper wire withstands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insulation {
    /// Its name: "PVC".
    pub name: &'static str,
    /// The conductor at its highest running temperature, where the fault finds it.
    pub running: Celsius,
    /// The conductor at its highest temperature at the end of a fault.
    pub fault: Celsius,
    /// The factor of the adiabatic equation in A·√s/mm².
    pub k: Sourced<f64>,
}

const fn insulation(name: &'static str, running: f64, fault: f64, k: f64) -> Insulation {
    Insulation { name, running: Celsius(running), fault: Celsius(fault), k: Sourced::new(k, "IEC 60364-4-43") }
}

/// Every listed insulation, most tender first.
pub const INSULATIONS: [Insulation; 3] = [
    insulation("90 °C PVC", 90.0, 160.0, 100.0),
    insulation("PVC", 70.0, 160.0, 115.0),
    insulation("XLPE", 90.0, 250.0, 143.0),
];

/// The `k` of an insulation on copper, for [`crate::wires::adiabatic_withstand_seconds`]. Nothing if it is not listed.
pub fn insulation_k(name: &str) -> Option<Sourced<f64>> {
    INSULATIONS.iter().find(|insulation| same_name(insulation.name, name)).map(|insulation| insulation.k)
}
