//! A setting of a plan as a SPICE netlist, from words.

use crate::{settings, words};
use circuit::{Circuit, Probe};
use electrics::{Level, Load};
use handbook::quantity::{Amps, Quantity, parse, show_length};
use plan::tables::RailSide;

/// The netlist of a circuit with every control in its first position and nothing drawing current.
pub fn netlist_at_first(circuit: &Circuit) -> String {
    electrics::netlist(circuit, &vec![Some(0); circuit.controls.len()], Level::Typical, &[])
}

/// Writes the netlist of a plan in a setting, given as `T1=diverging`, with loads given as
/// `dock 1 @ 1.2 m=0.7 A`. Controls that are not named stand in their first position.
///
/// # Errors
/// In words, when the plan has errors, or a setting or load does not fit it.
pub fn netlist(bytes: &[u8], setting: &[String], loads: &[String]) -> Result<String, String> {
    let (_, reading) = plan::read_bytes(bytes);
    if !reading.understood() {
        return Err("the plan has errors; a netlist of it would not be true".to_owned());
    }
    let mut probes = Vec::new();
    let mut amps = Vec::new();
    for load in loads {
        let (place, current) =
            load.rsplit_once('=').ok_or_else(|| format!("`{load}` is no load; write `dock 1 @ 1.2 m=0.7 A`"))?;
        let place = reading.names.rail_place(place.trim()).map_err(words::reference)?;
        let track = &reading.plan.track[place.track];
        let (name, length) = (&track.name.value, track.length.value);
        if !(0.0..=length.si()).contains(&place.at.si()) {
            return Err(format!("`{load}` is not on the track; `{name}` runs from 0 to {}", show_length(length)));
        }
        if place.side.is_some() {
            let at = show_length(place.at);
            return Err(format!("`{load}` names one rail; a load lies across both, write `{name} @ {at}`"));
        }
        let current: Amps = parse(current.trim()).map_err(|e| format!("{}; {}", e.message, e.hint))?;
        if !(0.0..=100.0).contains(&current.si()) {
            return Err(format!("`{load}`: a load draws from 0 A to 100 A"));
        }
        probes.push(Probe { track: place.track, at: place.at.si() });
        amps.push(current.si());
    }
    let circuit = Circuit::with_probes(&reading.plan, &reading.names, &probes);
    let positions = settings::positions(&circuit, setting)?;
    let mut placed = Vec::new();
    for (probe, amps) in probes.iter().zip(amps) {
        let rail = |side| circuit.at(probe.track, side, probe.at);
        let (Some(left), Some(right)) = (rail(RailSide::Left), rail(RailSide::Right)) else {
            return Err("a load lies on no rail".to_owned());
        };
        placed.push(Load { left, right, amps });
    }
    Ok(electrics::netlist(&circuit, &positions, Level::Typical, &placed))
}
