//! A setting of a plan as a SPICE netlist, from words.

use crate::settings::SettingError;
use crate::words::BadReference;
use crate::{Analysis, settings};
use circuit::{Circuit, Probe};
use electrics::{Level, Load};
use handbook::quantity::{Amps, Quantity, QuantityError, parse};
use plan::tables::RailSide;

/// Why there is no netlist.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NetlistError {
    /// The setting does not fit the plan.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// A load has no `=`.
    #[error("`{0}` is no load; write `dock 1 @ 1.2 m=0.7 A`")]
    NoLoad(String),
    /// The place of a load leads nowhere.
    #[error(transparent)]
    Reference(#[from] BadReference),
    /// A load lies beyond the ends of its track.
    #[error("`{load}` is not on the track; `{track}` runs from 0 to {length}")]
    NotOnTrack {
        /// The load.
        load: String,
        /// The track.
        track: String,
        /// Its length, in words.
        length: String,
    },
    /// A load names one rail.
    #[error("`{load}` names one rail; a load lies across both, write `{track} @ {at}`")]
    OneRail {
        /// The load.
        load: String,
        /// The track.
        track: String,
        /// The place on it, in words.
        at: String,
    },
    /// A load's current is none.
    #[error("{}; {}", .0.message, .0.hint)]
    NoCurrent(QuantityError),
    /// A load draws less than nothing, or more than any train.
    #[error("`{0}`: a load draws from 0 A to 100 A")]
    TooMuch(String),
    /// There is no rail where a load lies.
    #[error("a load lies on no rail")]
    NoRail,
}

/// The netlist of a circuit with every control in its first position and nothing drawing current.
pub fn netlist_at_first(circuit: &Circuit) -> String {
    electrics::netlist(circuit, &vec![Some(0); circuit.controls.len()], Level::Typical, &[])
}

impl Analysis<'_> {
    /// Writes the netlist of a setting, given as `T1=diverging`, with loads given as `dock 1 @ 1.2 m=0.7 A`. Controls that are
    /// not named stand in their first position.
    ///
    /// # Errors
    /// When a setting or load does not fit the plan.
    pub fn netlist(&self, setting: &[String], loads: &[String]) -> Result<String, NetlistError> {
        let loads = loads.iter().map(|load| self.load(load)).collect::<Result<Vec<(Probe, f64)>, _>>()?;
        let probes: Vec<Probe> = loads.iter().map(|l| l.0).collect();
        let circuit = Circuit::with_probes(self.plan, self.names, &probes);
        let positions = settings::positions(&circuit, setting)?;
        let mut placed = Vec::new();
        for (probe, amps) in loads {
            let rail = |side| circuit.at(probe.track, side, probe.at);
            let (Some(left), Some(right)) = (rail(RailSide::Left), rail(RailSide::Right)) else {
                return Err(NetlistError::NoRail);
            };
            placed.push(Load { left, right, amps });
        }
        Ok(electrics::netlist(&circuit, &positions, Level::Typical, &placed))
    }

    /// The place of a load, and its amperes.
    fn load(&self, load: &str) -> Result<(Probe, f64), NetlistError> {
        let (place, current) = load.rsplit_once('=').ok_or_else(|| NetlistError::NoLoad(load.to_owned()))?;
        let place = self.names.rail_place(place.trim()).map_err(BadReference)?;
        let table = &self.plan.track[place.track];
        let (track, length) = (table.name.value.clone(), table.length.value);
        let load = load.to_owned();
        if !(0.0..=length.si()).contains(&place.at.si()) {
            return Err(NetlistError::NotOnTrack { load, track, length: self.plan.units().length(length) });
        }
        if place.side.is_some() {
            return Err(NetlistError::OneRail { load, track, at: self.plan.units().length(place.at) });
        }
        let current: Amps = parse(current.trim()).map_err(NetlistError::NoCurrent)?;
        if !(0.0..=100.0).contains(&current.si()) {
            return Err(NetlistError::TooMuch(load));
        }
        Ok((Probe { track: place.track, at: place.at.si() }, current.si()))
    }
}
