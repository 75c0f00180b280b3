//! Inductance of buses and rails: each conductor has half of its pair's.

use crate::builder::Builder;
use handbook::limits::LOOSE_PAIR;
use handbook::quantity::{Metres, Quantity};
use handbook::wires::{pair_inductance_band, twisted_inductance_per_metre, wire};
use handbook::{Spread, rails, scales};
use plan::tables::{Bus, Pairing};

/// Loop inductance of a bus in henries per metre of the pair, as its wires lie; where the plan does not say how, loosely.
/// None where the wire is not listed, or thicker than it is far from the other.
pub fn bus_henries_per_metre(bus: &Bus) -> Option<Spread<f64>> {
    let wire = wire(&bus.wire.value).ok()?;
    match bus.pair.as_ref().map(|p| &p.value) {
        Some(Pairing::Spacing(spacing)) => pair_inductance_band(Spread::exactly(*spacing), wire.diameter),
        Some(Pairing::Twisted) => twisted_inductance_per_metre(&wire),
        None => pair_inductance_band(LOOSE_PAIR.value, wire.diameter),
    }
}

/// Centres of the two rail heads over the gauge, which is measured between them: OO and HO, 17.5 mm over 16.5 mm.
const CENTRES_OVER_GAUGE: f64 = 17.5 / 16.5;

impl Builder<'_> {
    /// Gives every piece of rail its inductance: that of two round rails of the same area, a gauge apart.
    pub(crate) fn rail_inductance(&mut self) {
        let layout = self.plan.layout.as_ref().map(|l| &l.value);
        let scale = layout.map_or("OO", |l| l.scale.value.as_str());
        let rail = layout.and_then(|l| rails::rail(&l.rail.as_ref()?.value));
        let rail = rail.unwrap_or_else(|| rails::default_rail(scale));
        let Some(scale) = scales::scale(scale).or_else(|| scales::scale("OO")) else { return };
        let spacing = Spread::exactly(Metres(scale.gauge.value.si() * CENTRES_OVER_GAUGE));
        // A thicker round is nearer to the other rail.
        let of_area = |area: f64| pair_inductance_band(spacing, Metres((4.0 * area / std::f64::consts::PI).sqrt()));
        let [Some(thick), Some(usual), Some(thin)] =
            [rail.area.high, rail.area.typical, rail.area.low].map(|area| of_area(area.si()))
        else {
            return;
        };
        let of_steel = if rail.metal == "steel" { rails::STEEL_INDUCTANCE.value } else { 0.0 };
        let per_metre = Spread::new(thick.low, usual.typical, thin.high + of_steel);
        for line in self.circuit.segments.iter().flat_map(|s| &s.rails) {
            for (&edge, stops) in line.pieces.iter().zip(line.stops.windows(2)) {
                self.circuit.edges[edge].henries = per_metre.times(0.5 * (stops[1].x - stops[0].x));
            }
        }
    }
}
