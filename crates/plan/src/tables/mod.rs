//! Every table of the plan. What is declared here is the language: reader and schema follow.

mod boards;
mod colours;
mod composites;
mod detectors;
mod drivers;
mod layout;
mod panel;
mod power;
mod switches;
mod track;
mod trackwork;

pub use boards::*;
pub use colours::*;
pub use composites::*;
pub use detectors::*;
pub use drivers::*;
pub use layout::*;
pub use panel::*;
pub use power::*;
pub use switches::*;
pub use track::*;
pub use trackwork::*;

use crate::value::{At, OptionalTable, TableOrTables, TablePlace, record};
use handbook::quantity::{Metres, Units};
use std::collections::BTreeMap;

record! {
    /// A layout's plan: what lies on the table, what hangs under it and what the room does.
    Plan, "plan" {
        /// The whole layout.
        layout: OptionalTable<Layout>,
        /// Temperature and humidity.
        room: OptionalTable<Room>,
        /// What the track lies on.
        base: OptionalTable<Base>,
        /// Boards that come apart.
        board: Vec<Board>,
        /// What the builder accepts.
        limits: OptionalTable<Limits>,
        /// Tracks where trains wait.
        storage: TableOrTables<Storage>,
        /// Colours of wires.
        colours: OptionalTable<Colours>,
        /// What runs.
        train: Vec<Train>,
        /// What feeds.
        supply: Vec<Supply>,
        /// Pairs of conductors under the table.
        bus: Vec<Bus>,
        /// Plain line.
        track: Vec<Track>,
        /// Simple turnouts and wye turnouts.
        turnout: Vec<Turnout>,
        /// Crossings on the level.
        crossing: Vec<Crossing>,
        /// Slips.
        slip: Vec<Slip>,
        /// Three-way turnouts.
        three_way: Vec<ThreeWay>,
        /// Turntables and sector plates.
        turntable: Vec<Turntable>,
        /// What throws motors.
        driver: Vec<Driver>,
        /// What throws the points.
        motor: Vec<Motor>,
        /// Relays.
        relay: Vec<Relay>,
        /// Switches under the operator's hand.
        toggle: Vec<Toggle>,
        /// What swaps phases.
        reverser: Vec<Reverser>,
        /// What shows where trains are.
        detector: Vec<Detector>,
        /// Where the operator stands.
        panel: Vec<Panel>,
        /// What is never set together.
        never: Vec<Never>,
        /// Ladders: turnouts in a row with their tracks.
        ladder: Vec<Ladder>,
        /// Yards with a ladder at either end.
        yard: Vec<Yard>,
        /// Turning loops.
        turning_loop: Vec<TurningLoop>,
        /// Crossovers.
        crossover: Vec<Crossover>,
        /// Rows of turnouts that are alike.
        turnout_row: Vec<TurnoutRow>,
        /// Buses with tracks above them.
        bus_run: Vec<BusRun>,
    }
}

impl Plan {
    /// The storage policy that a track stands in, by its name.
    pub fn storage_of(&self, track: &str) -> Option<&At<Storage>> {
        self.storage.iter().find(|policy| policy.value.tracks.iter().any(|t| t.value == track))
    }
}

impl Plan {
    /// The widths that tracks say of gaps and joints one by one, by where each gap or joint starts in the text.
    pub fn said_widths(&self) -> BTreeMap<usize, &At<Metres>> {
        let spots = self.track.iter().flat_map(|t| t.gaps.iter().chain(t.slides.iter()));
        let spots = spots.filter_map(|s| Some((s.span.start, s.value.width.as_ref()?)));
        let joints = self.track.iter().flat_map(|t| t.joints.iter());
        spots.chain(joints.filter_map(|j| Some((j.span.start, j.value.width.as_ref()?)))).collect()
    }

    /// The units in which everything is said back to the builder.
    pub fn units(&self) -> Units {
        let said = self.layout.as_ref().and_then(|layout| layout.value.units.as_ref());
        said.map_or(Units::Metric, |said| said.value.units())
    }

    /// Takes these units where the plan does not say.
    pub(crate) fn usual_units(&mut self, usual: Units) {
        let said = self.layout.as_ref().and_then(|layout| layout.value.units.as_ref());
        if said.is_none() {
            self.set_units(usual);
        }
    }

    /// Takes these units, whatever the plan says.
    pub(crate) fn set_units(&mut self, units: Units) {
        if let Some(layout) = &mut self.layout.0 {
            let system = if units == Units::Imperial { UnitSystem::Imperial } else { UnitSystem::Metric };
            let place = layout.span.clone();
            layout.value.units = Some(At { value: system, span: place });
        }
    }
}

impl Default for Plan {
    /// A plan with nothing in it.
    fn default() -> Self {
        Plan {
            layout: OptionalTable::default(),
            room: OptionalTable::default(),
            base: OptionalTable::default(),
            board: Vec::new(),
            limits: OptionalTable::default(),
            storage: TableOrTables::default(),
            colours: OptionalTable::default(),
            train: Vec::new(),
            supply: Vec::new(),
            bus: Vec::new(),
            track: Vec::new(),
            turnout: Vec::new(),
            crossing: Vec::new(),
            slip: Vec::new(),
            three_way: Vec::new(),
            turntable: Vec::new(),
            driver: Vec::new(),
            motor: Vec::new(),
            relay: Vec::new(),
            toggle: Vec::new(),
            reverser: Vec::new(),
            detector: Vec::new(),
            panel: Vec::new(),
            never: Vec::new(),
            ladder: Vec::new(),
            yard: Vec::new(),
            turning_loop: Vec::new(),
            crossover: Vec::new(),
            turnout_row: Vec::new(),
            bus_run: Vec::new(),
            place: TablePlace::default(),
        }
    }
}
