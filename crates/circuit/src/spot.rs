//! What of the plan a node is a point of, for who counts things and may not rely on their words.

use crate::terminals::{CoilTerminal, DriverTerminal, MotorTerminal};
use crate::trackwork::Words;
use plan::tables::RailSide;
use plan::{Kind, Pole};

/// What of the plan a node is a point of. Things are identified by their index in the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Spot {
    /// A point of no plan, as where a circuit is made by hand.
    #[default]
    Loose,
    /// A place on a rail of a track.
    Rail {
        /// Index of the track.
        track: usize,
        /// Which rail.
        side: RailSide,
        /// Metres from the `from` end.
        x: f64,
        /// Whether it is the far side of a joint or gap there.
        behind: bool,
    },
    /// A local node of special trackwork.
    Work {
        /// What it is.
        kind: Kind,
        /// Which one.
        index: usize,
        /// The node's own words: `left stock rail`.
        part: Words,
    },
    /// A terminal of a contact.
    Terminal {
        /// A motor, relay or toggle.
        kind: Kind,
        /// Which one.
        index: usize,
        /// Which of its contacts, from 0.
        contact: usize,
        /// Its key in the contact's table.
        terminal: &'static str,
    },
    /// A place on a conductor of a bus.
    Bus {
        /// Index of the bus.
        bus: usize,
        /// Which conductor.
        pole: Pole,
        /// Metres from its start.
        x: f64,
    },
    /// The wire's side of a tap on a bus.
    Tap {
        /// Index of the bus.
        bus: usize,
        /// Which conductor.
        pole: Pole,
        /// Metres from its start.
        x: f64,
    },
    /// A terminal of a supply.
    Supply {
        /// Index of the supply.
        supply: usize,
        /// Which terminal.
        pole: Pole,
    },
    /// The inside of a supply, behind its source resistance.
    Inside {
        /// Index of the supply.
        supply: usize,
    },
    /// The middle terminal of a supply.
    Middle {
        /// Index of the supply.
        supply: usize,
    },
    /// A terminal of a driver.
    Driver {
        /// Index of the driver.
        driver: usize,
        /// Which terminal.
        terminal: DriverTerminal,
    },
    /// A terminal of a motor.
    Motor {
        /// Index of the motor.
        motor: usize,
        /// Which terminal.
        terminal: MotorTerminal,
    },
    /// A terminal of a relay's coil.
    Coil {
        /// Index of the relay.
        relay: usize,
        /// Which terminal.
        terminal: CoilTerminal,
    },
    /// An end of a detector.
    Detector {
        /// Index of the detector.
        detector: usize,
        /// Whether it is the end that rails are fed from.
        output: bool,
    },
    /// An output of a reverser.
    Reverser {
        /// Index of the reverser.
        reverser: usize,
        /// Which output.
        pole: Pole,
    },
}
