//! Whether a supply has the energy for all coils of a button at once.
//!
//! A capacitor holds `½·C·V²`. A coil takes `V·I·t`; a diode before it keeps its own drop of that, so that it takes
//! `(V + n·Vd)·I·t` with `n` diodes in a row where the coil is to get its whole voltage. Nothing of this is exact: the capacitor is
//! made to a tolerance, and what a coil draws and how long it is fed is mostly the handbook's.

use crate::fired::MotorCoil;
use analysis::throwing::gives;
use handbook::Spread;
use handbook::limits::{SOLENOID_CURRENT, SOLENOID_PULSE};
use handbook::panel::{CAPACITOR_BAND, DIODE_DROP};
use handbook::quantity::Quantity;
use plan::Plan;

/// What a button asks of a supply, and what that has.
#[derive(Clone, Debug, PartialEq)]
pub struct ButtonEnergy {
    /// How many coils fire at once.
    pub coils: usize,
    /// What they take, joules.
    pub needs: Spread<f64>,
    /// What the capacitor holds, joules; none of a supply without one.
    pub holds: Option<Spread<f64>>,
    /// What they draw at once, amperes.
    pub amps: Spread<f64>,
    /// What the supply gives for hours, amperes, where that is said and it has no capacitor.
    pub gives: Option<f64>,
    /// What of it is the handbook's: `current`, `pulse`.
    pub assumed: Vec<&'static str>,
}

impl ButtonEnergy {
    /// Whether it is enough with typical values; none where nothing says what the supply has.
    pub fn is_enough(&self) -> Option<bool> {
        match (&self.holds, self.gives) {
            (Some(holds), _) => Some(holds.typical >= self.needs.typical),
            (None, Some(amps)) => Some(amps >= self.amps.typical),
            (None, None) => None,
        }
    }

    /// Whether it is enough with the least that the capacitor may hold and the most that the coils may take.
    pub fn is_sure(&self) -> Option<bool> {
        match (&self.holds, self.gives) {
            (Some(holds), _) => Some(holds.low >= self.needs.high),
            (None, Some(amps)) => Some(amps >= self.amps.high),
            (None, None) => None,
        }
    }
}

/// What some coils that fire at once ask of their supply: each with the diodes its current passes.
pub fn energy(plan: &Plan, supply: usize, coils: &[(MotorCoil, usize)]) -> ButtonEnergy {
    let table = &plan.supply[supply];
    let volts = table.voltage.as_ref().map_or(0.0, |v| v.value.si());
    let mut found = ButtonEnergy {
        coils: coils.len(),
        needs: Spread::exactly(0.0),
        holds: None,
        amps: Spread::exactly(0.0),
        gives: None,
        assumed: Vec::new(),
    };
    let note = |assumed: &mut Vec<&'static str>, word| {
        if !assumed.contains(&word) {
            assumed.push(word);
        }
    };
    for &(coil, diodes) in coils {
        let motor = &plan.motor[coil.motor];
        let amps = match &motor.current {
            Some(said) => Spread::exactly(said.value.si()),
            None => {
                note(&mut found.assumed, "current");
                SOLENOID_CURRENT.value.map(|a| a.si())
            }
        };
        let pulse = match &motor.pulse {
            Some(said) => Spread::exactly(said.value.si()),
            None => {
                note(&mut found.assumed, "pulse");
                SOLENOID_PULSE.value.map(|t| t.si())
            }
        };
        let drop = DIODE_DROP.value.map(|v| v.si()).times(diodes as f64);
        let one = |a: f64, t: f64, d: f64| (volts + d) * a * t;
        found.needs = found.needs.plus(Spread::new(
            one(amps.low, pulse.low, drop.low),
            one(amps.typical, pulse.typical, drop.typical),
            one(amps.high, pulse.high, drop.high),
        ));
        found.amps = found.amps.plus(amps);
    }
    let gives = gives(table);
    found.holds = gives.discharge.map(|(joules, _)| {
        let band = CAPACITOR_BAND.value;
        Spread::new(joules * (1.0 - band), joules, joules * (1.0 + band))
    });
    found.gives = if found.holds.is_none() { gives.amps } else { None };
    found
}
