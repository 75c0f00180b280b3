//! The least copper: sizes of bus, feeder and contact wire, by branch and bound.
//!
//! One size is chosen of each (one-hot), so there are few combinations. A thicker wire never raises a resistance (Rayleigh's
//! monotonicity law), so a combination of sizes no thicker than one that failed fails too. They are tried by the copper in them, the least
//! first: the first that the review passes is the least there is.

use super::ground::{Candidate, Ground, Tuning};
use circuit::{Circuit, Part};
use finding::Finding;
use handbook::quantity::{Quantity, Units};
use handbook::wires;

/// Wires to choose from, thinnest first.
pub(crate) struct Sizes {
    pub(crate) bus: &'static [&'static str],
    pub(crate) contact: &'static [&'static str],
    pub(crate) feeder: &'static [&'static str],
}

const METRIC: Sizes = Sizes {
    bus: &["0.75 mm²", "1 mm²", "1.5 mm²", "2.5 mm²", "4 mm²", "6 mm²"],
    contact: &["0.5 mm²", "0.75 mm²", "1 mm²", "1.5 mm²", "2.5 mm²"],
    feeder: &["0.5 mm²", "0.75 mm²", "1 mm²", "1.5 mm²"],
};
const IMPERIAL: Sizes = Sizes {
    bus: &["18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG"],
    contact: &["20 AWG", "18 AWG", "16 AWG", "14 AWG"],
    feeder: &["20 AWG", "18 AWG", "16 AWG"],
};

/// The sizes a shop has, in a plan's own units.
pub(crate) fn sizes(units: Units) -> &'static Sizes {
    if units == Units::Imperial { &IMPERIAL } else { &METRIC }
}

/// Metres of conductor of each kind.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Lengths {
    pub(crate) bus: f64,
    pub(crate) feeders: f64,
    pub(crate) contacts: f64,
}

/// How much wire of each kind a plan takes.
pub(crate) fn lengths(ground: &Ground<'_, '_>, text: &str) -> Lengths {
    let reading = plan::read(text);
    let circuit = Circuit::from_plan(&reading.plan, &reading.names);
    let mut found = Lengths {
        bus: ground.districts.list.iter().filter(|d| d.is_new).map(|d| 2.0 * d.length).sum(),
        ..Lengths::default()
    };
    for (&edge, run) in &circuit.runs {
        match circuit.edges[edge].part {
            Part::Feeder { .. } => found.feeders += run.metres,
            Part::ContactWire { .. } => found.contacts += run.metres,
            _ => {}
        }
    }
    found
}

/// Grams of copper: 8.93 g/cm³ (IEC 60028, annealed copper, 8.89 g/cm³ rounded for drawn wire; from memory, confirm).
const COPPER: f64 = 8.93e6;

/// The copper of a wire, grams for each metre.
pub(crate) fn grams_per_metre(size: &str) -> f64 {
    wires::wire(size).map_or(0.0, |w| w.area.si() * COPPER)
}

/// The copper of a choice, grams.
pub(crate) fn grams(lengths: Lengths, [bus, feeder, contact]: [&str; 3]) -> f64 {
    lengths.bus * grams_per_metre(bus)
        + lengths.feeders * grams_per_metre(feeder)
        + lengths.contacts * grams_per_metre(contact)
}

/// Takes the sizes with the least copper after which the review finds no more than with the thickest.
pub(crate) fn thin_down(ground: &Ground<'_, '_>, candidate: &Candidate, tuning: &mut Tuning) {
    let sizes = sizes(ground.sketch.plan.units());
    let thickest = ground.build(candidate, tuning);
    let lengths = lengths(ground, &thickest.text);
    let free = |list: &'static [&'static str], metres: f64| if metres > 0.0 { list } else { &list[..1] };
    let (bus, feeder, contact) =
        (free(sizes.bus, lengths.bus), free(sizes.feeder, lengths.feeders), free(sizes.contact, lengths.contacts));
    let mut all: Vec<([usize; 3], f64)> = Vec::new();
    for (b, &of_bus) in bus.iter().enumerate() {
        for (f, &of_feeder) in feeder.iter().enumerate() {
            for (c, &of_contact) in contact.iter().enumerate() {
                all.push(([b, f, c], grams(lengths, [of_bus, of_feeder, of_contact])));
            }
        }
    }
    all.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let was = names(&thickest.found);
    let mut failed: Vec<[usize; 3]> = Vec::new();
    let set = |tuning: &Tuning, [b, f, c]: [usize; 3]| {
        let mut other = tuning.clone();
        (other.choices.bus_wire, other.choices.feeder_wire, other.choices.contact_wire) =
            (bus[b], feeder[f], contact[c]);
        other
    };
    let passes = |choice: [usize; 3], failed: &mut Vec<[usize; 3]>| {
        let no_thicker = |bad: &[usize; 3]| choice.iter().zip(bad).all(|(a, b)| a <= b);
        if failed.iter().any(no_thicker) {
            return false;
        }
        let good = names(&ground.build(candidate, &set(tuning, choice)).found).iter().all(|name| was.contains(name));
        if !good {
            failed.push(choice);
        }
        good
    };
    // The thinnest each may be while the others are the thickest, by halving: nothing thinner is in any choice that passes.
    let most = [bus.len() - 1, feeder.len() - 1, contact.len() - 1];
    for kind in 0..3 {
        let (mut thin, mut thick) = (0, most[kind]);
        while thin < thick {
            let mut choice = most;
            choice[kind] = (thin + thick) / 2;
            if passes(choice, &mut failed) {
                thick = choice[kind];
            } else {
                thin = choice[kind] + 1;
            }
        }
    }
    let best = all.iter().map(|(choice, _)| *choice).find(|&choice| choice == most || passes(choice, &mut failed));
    if let Some(best) = best {
        *tuning = set(tuning, best);
    }
}

fn names(found: &[Finding]) -> Vec<&'static str> {
    found.iter().map(|f| f.name).collect()
}
