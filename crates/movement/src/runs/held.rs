//! Rails that are fast to the base somewhere: they grow from there, all of it to the free end.

use super::{Run, RunCoordinate, RunSearch};
use plan::tables::HeldEnd;

impl RunSearch<'_> {
    /// Notes where the rails of runs are fast: at the ends of tracks that say so. The still point is in the middle of those places.
    pub(super) fn hold(&self, list: &mut [Run], at: &[Option<RunCoordinate>]) {
        for (track, table) in self.plan.track.iter().enumerate() {
            for end in &table.held.0 {
                for line in &self.circuit.segments[track].rails {
                    let node = match end.value {
                        HeldEnd::From => line.stops.first().map(|stop| stop.after),
                        HeldEnd::To => line.stops.last().map(|stop| stop.before),
                    };
                    let Some(standing) = node.and_then(|node| at[node]) else { continue };
                    let run = &mut list[standing.run];
                    let [low, high] = run.held.unwrap_or([standing.coordinate; 2]);
                    let held = [low.min(standing.coordinate), high.max(standing.coordinate)];
                    run.held = Some(held);
                    if !run.closed {
                        run.anchor = 0.5 * (held[0] + held[1]);
                    }
                }
            }
        }
    }
}
