//! The line of a track in the table of numbers.

use crate::figures::{InSettings, TrackLine, amounts};
use crate::load_case::LoadCase;
use crate::noticed;
use electrics::{Extremes, Passed};
use handbook::Spread;

pub(crate) fn track_line(
    (circuit, settings): InSettings<'_>,
    track: usize,
    (extremes, exact): (&Extremes, bool),
    passed: &[Passed],
    asked: &LoadCase,
    decoder: Option<(Spread<f64>, Spread<f64>)>,
) -> TrackLine {
    let fault_amps = amounts(&extremes.fault_amps);
    let fault = &extremes.fault_amps.typical;
    let volts = &extremes.volts.typical;
    let supply_volts = circuit.sources[volts.at.source].volts;
    let (noticed, margin, upper_margin) = noticed::noticed(circuit, extremes, passed, asked);
    TrackLine {
        track,
        name: circuit.segments[track].name.clone(),
        supply_volts,
        volts: amounts(&extremes.volts),
        volts_at: volts.at.place.x,
        standing_volts: (supply_volts - asked.train_amps * volts.at.loop_ohms - volts.amount).max(0.0),
        decoder,
        fault_amps,
        fault_at: fault.at.place.x,
        noticed,
        margin,
        upper_margin,
        fault_setting: settings[fault.setting].clone(),
        volts_setting: settings[volts.setting].clone(),
        exact,
    }
}
