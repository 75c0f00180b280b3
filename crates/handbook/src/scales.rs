//! Scales: gauge, voltages, currents and clearances, and what follows for a turnout.

mod turnout;
mod wheel;

pub use turnout::{
    TURNOUT_LEAD_SOURCE, continental_frog_angle, fouling_from_frog, frog_angle, frog_number, frog_to_centre_lines,
    throw, turnout_lead,
};
pub use wheel::{Wheel, insulation_behind_frog, wheel};

use crate::quantity::{Amps, Metres, Volts};
use crate::same_name;
use crate::spread::{Sourced, Spread};
use crate::{MEMORY, PRACTICE};

/// A modelling scale with its usual gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Its name: "OO".
    pub name: &'static str,
    /// Other names it goes by: "H0" for HO.
    pub aliases: &'static [&'static str],
    /// How many times larger the full-sized railway is.
    pub ratio: f64,
    /// Distance between the inner sides of the rail heads.
    pub gauge: Sourced<Metres>,
    /// Usual track voltage of a digital layout.
    pub nominal_voltage: Sourced<Volts>,
    /// Track voltage every decoder must withstand.
    pub decoder_withstand: Sourced<Volts>,
    /// Current of a running train without sound.
    pub train_running_current: Sourced<Spread<Amps>>,
    /// Distance between the centre lines of straight parallel tracks.
    pub track_centres: Sourced<Metres>,
    /// Width to be kept clear around a straight track, over all.
    pub clear_width: Sourced<Metres>,
}

/// The scale of this name or alias; letter case does not matter. Nothing if it is not listed.
pub fn scale(name: &str) -> Option<&'static Scale> {
    SCALES.iter().find(|scale| same_name(scale.name, name) || scale.aliases.iter().any(|alias| same_name(alias, name)))
}

/// Every listed scale: standard gauge, largest first, then narrow gauge.
pub fn scales() -> &'static [Scale] {
    &SCALES
}

const S_9_1: &str = "NMRA S-9.1";
const S_9_1_NEIGHBOUR: &str = "our own default after NMRA S-9.1, which names O, S, HO and N";
const NEM_102: &str = "NEM 102";
const NEM_010: &str = "NEM 010, from memory, confirm";
const NMRA_GAUGE: &str = "NMRA S-1.2, from memory, confirm";
const NARROW: &str =
    "our own default: narrow gauge vehicles 2.3 m wide at full size, with 0.3 m to either side, 1 m between two tracks";
const BETWEEN: &str = "our own default between N and HO";
const TRADE_GAUGE: &str = "scale table, no source given";

const fn millimetres(value: f64, source: &'static str) -> Sourced<Metres> {
    Sourced::new(Metres::from_millimetres(value), source)
}

const fn inches(value: f64, source: &'static str) -> Sourced<Metres> {
    Sourced::new(Metres::from_inches(value), source)
}

const fn volts(value: f64, source: &'static str) -> Sourced<Volts> {
    Sourced::new(Volts(value), source)
}

/// A band of currents; where the trade gives two ends, typical is their middle.
const fn amps(low: f64, typical: f64, high: f64, source: &'static str) -> Sourced<Spread<Amps>> {
    Sourced::new(Spread::new(Amps(low), Amps(typical), Amps(high)), source)
}

static SCALES: [Scale; 12] = [
    Scale {
        name: "O",
        aliases: &["0"],
        ratio: 48.0,
        gauge: inches(1.25, MEMORY),
        nominal_voltage: volts(15.0, S_9_1),
        decoder_withstand: volts(27.0, S_9_1),
        train_running_current: amps(1.0, 1.5, 2.0, PRACTICE),
        track_centres: inches(3.25, MEMORY),
        clear_width: millimetres(94.0, NEM_102),
    },
    Scale {
        name: "S",
        aliases: &[],
        ratio: 64.0,
        gauge: millimetres(22.5, MEMORY),
        nominal_voltage: volts(15.0, S_9_1),
        decoder_withstand: volts(27.0, S_9_1),
        train_running_current: amps(0.3, 0.8, 2.0, "our own default between HO and O"),
        track_centres: inches(2.4375, MEMORY),
        clear_width: millimetres(66.0, NEM_102),
    },
    Scale {
        name: "OO",
        aliases: &["00"],
        ratio: 76.2,
        gauge: millimetres(16.5, TRADE_GAUGE),
        nominal_voltage: volts(15.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(27.0, S_9_1),
        train_running_current: amps(0.3, 0.45, 0.6, PRACTICE),
        track_centres: inches(2.0, PRACTICE),
        // 48 mm · 87.1 / 76.2
        clear_width: millimetres(54.9, "our own default: NEM 102 for H0 enlarged to 1:76.2"),
    },
    Scale {
        name: "HO",
        aliases: &["H0"],
        ratio: 87.1,
        gauge: millimetres(16.5, TRADE_GAUGE),
        nominal_voltage: volts(15.0, S_9_1),
        decoder_withstand: volts(27.0, S_9_1),
        train_running_current: amps(0.3, 0.45, 0.6, PRACTICE),
        track_centres: inches(2.0, PRACTICE),
        clear_width: millimetres(48.0, NEM_102),
    },
    Scale {
        name: "TT",
        aliases: &[],
        ratio: 120.0,
        gauge: millimetres(12.0, TRADE_GAUGE),
        nominal_voltage: volts(12.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(27.0, S_9_1),
        train_running_current: amps(0.25, 0.4, 0.6, "our own default between N and HO"),
        track_centres: millimetres(34.0, MEMORY),
        clear_width: millimetres(36.0, NEM_102),
    },
    Scale {
        name: "N",
        aliases: &[],
        ratio: 160.0,
        gauge: millimetres(9.0, TRADE_GAUGE),
        nominal_voltage: volts(12.0, S_9_1),
        decoder_withstand: volts(24.0, S_9_1),
        // The trade gives this one figure.
        train_running_current: amps(0.25, 0.25, 0.25, PRACTICE),
        track_centres: millimetres(25.0, "NEM, from memory, confirm"),
        clear_width: millimetres(27.0, NEM_102),
    },
    Scale {
        name: "Z",
        aliases: &[],
        ratio: 220.0,
        gauge: millimetres(6.5, TRADE_GAUGE),
        nominal_voltage: volts(12.0, S_9_1_NEIGHBOUR),
        // Taken with N: the lower of the two values cannot be too high.
        decoder_withstand: volts(24.0, S_9_1_NEIGHBOUR),
        train_running_current: amps(0.25, 0.25, 0.25, "our own default: as N"),
        // 25 mm · 160 / 220
        track_centres: millimetres(18.2, "our own default: N reduced to 1:220"),
        clear_width: millimetres(20.0, NEM_102),
    },
    Scale {
        name: "On30",
        aliases: &["0n30", "0e", "Oe"],
        ratio: 48.0,
        gauge: millimetres(16.5, NMRA_GAUGE),
        nominal_voltage: volts(15.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(27.0, S_9_1_NEIGHBOUR),
        train_running_current: amps(0.3, 0.45, 0.6, "our own default: as HO of the same gauge"),
        track_centres: millimetres(68.8, NARROW),
        clear_width: millimetres(60.4, NARROW),
    },
    Scale {
        name: "OO9",
        aliases: &["009"],
        ratio: 76.2,
        gauge: millimetres(9.0, TRADE_GAUGE),
        nominal_voltage: volts(15.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(24.0, S_9_1_NEIGHBOUR),
        train_running_current: amps(0.2, 0.3, 0.5, BETWEEN),
        track_centres: millimetres(43.3, NARROW),
        clear_width: millimetres(38.1, NARROW),
    },
    Scale {
        name: "HOm",
        aliases: &["H0m"],
        ratio: 87.1,
        gauge: millimetres(12.0, NEM_010),
        nominal_voltage: volts(15.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(27.0, S_9_1_NEIGHBOUR),
        train_running_current: amps(0.25, 0.4, 0.6, BETWEEN),
        track_centres: millimetres(37.9, NARROW),
        clear_width: millimetres(33.3, NARROW),
    },
    Scale {
        name: "HOn3",
        aliases: &["H0n3"],
        ratio: 87.1,
        gauge: millimetres(10.5, NMRA_GAUGE),
        nominal_voltage: volts(15.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(27.0, S_9_1_NEIGHBOUR),
        train_running_current: amps(0.25, 0.4, 0.6, BETWEEN),
        track_centres: millimetres(37.9, NARROW),
        clear_width: millimetres(33.3, NARROW),
    },
    Scale {
        name: "HOe",
        aliases: &["H0e", "HOn30", "H0n30"],
        ratio: 87.1,
        gauge: millimetres(9.0, NEM_010),
        nominal_voltage: volts(15.0, S_9_1_NEIGHBOUR),
        decoder_withstand: volts(24.0, S_9_1_NEIGHBOUR),
        train_running_current: amps(0.2, 0.3, 0.5, BETWEEN),
        track_centres: millimetres(37.9, NARROW),
        clear_width: millimetres(33.3, NARROW),
    },
];
