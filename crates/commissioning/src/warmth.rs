//! How much a reading grows with the air's warmth.

use crate::meter::TEST_AMPS;
use crate::test::{Element, How, Test};
use circuit::EdgeKind;
use handbook::materials::rail_metal;
use handbook::rails;
use handbook::wires::COPPER_TEMPERATURE_COEFFICIENT;
use schedule::Job;

/// How much the reading of a test grows per kelvin, as a part of what it is at 20 °C: the copper of what it proves by copper's
/// coefficient, the rest by that of the rails' metal. Ways beside what is measured are left out: they are of the same copper and rail.
pub fn per_kelvin(job: &Job<'_>, test: &Test) -> f64 {
    let in_ohms = match test.how {
        How::Millivolts => TEST_AMPS * 1e3,
        How::Joined => 1.0,
        // What reads open, volts and what is watched depend on the air by more than resistance.
        _ => return 0.0,
    };
    let Some(whole) = test.expected.map(|e| e.typical / in_ohms).filter(|ohms| ohms.is_finite() && *ohms > 0.0) else {
        return 0.0;
    };
    let copper = test.proves.iter().filter_map(|element| match element {
        Element::Edge(edge) => {
            let edge = &job.facts.circuit.edges[*edge];
            matches!(edge.kind, EdgeKind::Feeder | EdgeKind::Wire | EdgeKind::BusWire).then_some(edge.ohms.typical)
        }
        Element::Gap(..) => None,
    });
    let share = (copper.sum::<f64>() / whole).min(1.0);
    share * COPPER_TEMPERATURE_COEFFICIENT + (1.0 - share) * of_rails(job)
}

fn of_rails(job: &Job<'_>) -> f64 {
    let layout = job.facts.plan.layout.as_ref().map(|layout| &layout.value);
    let named = layout.and_then(|layout| rails::rail(&layout.rail.as_ref()?.value));
    let rail = named.unwrap_or_else(|| rails::default_rail(layout.map_or("OO", |layout| layout.scale.value.as_str())));
    rail_metal(rail.metal).map_or(0.0, |metal| metal.resistance_per_kelvin.value)
}
