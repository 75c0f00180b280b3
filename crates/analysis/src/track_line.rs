//! The line of a track in the table of numbers.

use crate::load_case::LoadCase;
use crate::noticed::{self, Noticed};
use circuit::Circuit;
use electrics::square_short::Sensed;
use electrics::worst::Setting;
use electrics::{Extreme, Extremes, Passed};
use handbook::Spread;

/// The worst places of one track, over all settings in which the plan promises it power.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackLine {
    /// Index of the track.
    pub track: usize,
    /// Its name.
    pub name: String,
    /// The voltage of the supply that feeds the worst place.
    pub supply_volts: f64,
    /// The least voltage under a train, aged to as-new, and where it is met as usual, in metres.
    pub volts: Spread<f64>,
    /// Where.
    pub volts_at: f64,
    /// What of the supply's voltage standing trains take there, in volts.
    pub standing_volts: f64,
    /// What of it stays behind in detectors whatever the current, as in diodes, in volts.
    pub detector_volts: f64,
    /// What a decoder there sees once each reversal of the track signal has turned the current in the wiring's inductance
    /// round, in volts, aged to as-new; and that inductance, in henries. Of a long plan it is known of the weakest tracks
    /// only.
    pub decoder: Option<(Spread<f64>, Spread<f64>)>,
    /// The least prospective short-circuit current, that of a direct voltage: no more than that flows while the track signal reverses.
    pub fault_amps: Spread<f64>,
    /// Where.
    pub fault_at: f64,
    /// What breakers notice of the worst short.
    pub noticed: Noticed,
    /// What breakers notice over the trip current of the one that trips first; none where no trip current is known.
    pub margin: Option<Spread<f64>>,
    /// `fault_amps` over what trips it, the upper bound.
    pub upper_margin: Option<Spread<f64>>,
    /// The setting in which the least current of a short is met, a position for each control; of a bound, with every
    /// contact open, no positions.
    pub fault_setting: Setting,
    /// The setting in which the worst voltage is met, as above.
    pub volts_setting: Setting,
    /// Whether no setting is worse and this one is there. If not, no setting is worse than this bound, or, where contacts
    /// feed the track, it is the worst of those that were tried.
    pub exact: bool,
}

/// Less than this in detectors is not told, in volts.
const HARDLY_ANY: f64 = 0.005;

impl TrackLine {
    /// What stays behind in detectors, in volts, where that is enough to be told.
    pub fn told_detector_volts(&self) -> Option<f64> {
        Some(self.detector_volts).filter(|volts| *volts >= HARDLY_ANY)
    }

    /// How often over its trip current the breakers of a track notice some other short on it; none where no trip current is
    /// known.
    pub fn margin_of(&self, sensed: &Sensed) -> Option<f64> {
        let known = self.noticed.counts(&self.noticed.sensed.typical);
        (known > 0.0).then_some(self.margin?.typical * self.noticed.counts(sensed) / known)
    }
}

/// What a circuit was asked in: the settings by their index.
pub(crate) type InSettings<'c> = (&'c Circuit, &'c [Setting]);

pub(crate) fn amounts(band: &Spread<Extreme>) -> Spread<f64> {
    band.map(|f| f.amount)
}

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
    let fed_volts = circuit.volts_on(volts.at.source, volts.at.place.segment);
    TrackLine {
        track,
        name: circuit.segments[track].name.clone(),
        supply_volts,
        // Where the wiring would take more than the supply has, nothing is left.
        volts: amounts(&extremes.volts).map(|volts| volts.max(0.0)),
        volts_at: volts.at.place.x,
        standing_volts: (fed_volts - asked.train_amps * volts.at.loop_ohms - volts.amount).max(0.0),
        detector_volts: supply_volts - fed_volts,
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
