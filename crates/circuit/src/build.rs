//! A plan made into a circuit, part by part.

use crate::builder::Builder;
use crate::bus::Buses;
use crate::{Circuit, Probe};
use plan::{Names, Plan};

pub(crate) fn build(plan: &Plan, names: &Names, probes: &[Probe]) -> Circuit {
    let mut builder = Builder::new(plan, names);
    builder.boards();
    builder.controls();
    builder.tracks(probes);
    let mut buses = Buses::default();
    builder.reversers(&mut buses);
    builder.detectors(&mut buses);
    builder.works(&mut buses);
    builder.promises();
    builder.join_ends();
    builder.feeders(&mut buses);
    builder.contacts(&mut buses);
    builder.drivers(&mut buses);
    builder.buses(buses);
    builder.detector_drops();
    builder.rail_inductance();
    builder.finish()
}
