//! Detectors: a bus conductor that feeds them, and tracks that they are to show.

use super::{Check, unclear};
use crate::names::{Kind, Terminal};

impl Check<'_, '_> {
    pub(super) fn detectors(&mut self) {
        let plan = self.plan;
        for detector in &plan.detector {
            if let Some(found) = self.terminal(&detector.from)
                && !matches!(found, Terminal::Bus(..))
            {
                self.reader.tell(
                    unclear("no-such-name", "a detector is fed from one conductor of a bus")
                        .at(detector.from.span.clone(), "no bus conductor")
                        .help("write `main bus.A @ 2 m`"),
                );
            }
            for track in detector.tracks.iter() {
                let found = self.names.of_kind(&track.value, &[Kind::Track]);
                self.resolve(track, found);
            }
            if detector.tracks.is_empty() {
                self.reader.tell(
                    unclear("missing-key", format!("detector `{}` shows no track", detector.name.value))
                        .at(detector.name.span.clone(), "`tracks` is missing")
                        .help("name the tracks whose trains it is to show: `tracks = [\"dock 1\"]`"),
                );
            }
        }
    }

    pub(super) fn detector_ranges(&mut self) {
        for d in &self.plan.detector {
            self.quantity("voltage drop", d.drop.as_ref(), 0.0, 5.0, "from 0 V to 5 V");
            self.quantity("resistance", d.resistance.as_ref(), 0.0, 100.0, "from 0 Ω to 100 Ω");
            self.wire_length(d.wire_length.as_ref());
        }
    }
}
