//! The terminals of drivers, motors and relay coils: typed, with the words a builder reads beside them.

/// A wire of one output of a driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OutputWire {
    /// The side that has + while the output is set to position 1: that of `through`, where the motor is not reversed.
    Plus,
    /// The other side.
    Minus,
    /// What both coils of a solenoid share.
    Common,
    /// The coil that output 1 of its address pulses, or output 0.
    Coil(u8),
    /// A servo's supply.
    Supply,
    /// A servo's return.
    Return,
    /// A servo's signal.
    Signal,
}

impl OutputWire {
    /// The words beside the terminal.
    pub fn words(self) -> &'static str {
        match self {
            OutputWire::Plus => "+",
            OutputWire::Minus => "-",
            OutputWire::Common => "common",
            OutputWire::Coil(0) => "coil 0",
            OutputWire::Coil(_) => "coil 1",
            OutputWire::Supply => "supply",
            OutputWire::Return => "return",
            OutputWire::Signal => "signal",
        }
    }
}

/// A terminal of a driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DriverTerminal {
    /// Where it takes its power.
    Power(plan::Pole),
    /// Where it takes its commands, where that is another bus.
    Commands(plan::Pole),
    /// A wire of an output, which goes to a motor.
    Output {
        /// Which output, from 0.
        output: u32,
        /// Which wire of it.
        wire: OutputWire,
    },
    /// A fixed contact of a change-over switch.
    Side {
        /// Which output, from 0.
        output: u32,
        /// Which pole of the switch, 0 or 1: the one whose common is + or the one whose common is −.
        pole: u8,
        /// Which of the two contacts, 0 or 1.
        side: u8,
    },
}

impl DriverTerminal {
    /// The words beside the terminal, behind the driver's name.
    pub fn words(self) -> String {
        match self {
            DriverTerminal::Power(pole) => format!("power {}", pole.word()),
            DriverTerminal::Commands(pole) => format!("commands {}", pole.word()),
            DriverTerminal::Output { output, wire } => format!("output {} {}", output + 1, wire.words()),
            DriverTerminal::Side { output, pole, side } => {
                format!("output {} pole {} side {}", output + 1, pole + 1, side + 1)
            }
        }
    }
}

/// A terminal of a motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MotorTerminal {
    /// Terminal 1 of a stall motor.
    One,
    /// Terminal 2 of a stall motor.
    Two,
    /// What both coils of a solenoid share.
    Common,
    /// The coil that pulls it into its first or second position, 0 or 1.
    Coil(u8),
    /// A servo's supply.
    Supply,
    /// A servo's return.
    Return,
    /// A servo's signal.
    Signal,
}

impl MotorTerminal {
    /// The terminal that a wire is most easily put on instead; none of those that look like no other.
    pub fn twin(self) -> Option<MotorTerminal> {
        Some(match self {
            MotorTerminal::One => MotorTerminal::Two,
            MotorTerminal::Two => MotorTerminal::One,
            MotorTerminal::Coil(position) => MotorTerminal::Coil(1 - position.min(1)),
            MotorTerminal::Supply => MotorTerminal::Return,
            MotorTerminal::Return => MotorTerminal::Supply,
            MotorTerminal::Common | MotorTerminal::Signal => return None,
        })
    }

    /// The words beside the terminal, behind the motor's name; `positions` are the motor's.
    pub fn words(self, positions: [&'static str; 2]) -> String {
        match self {
            MotorTerminal::One => "terminal 1".to_owned(),
            MotorTerminal::Two => "terminal 2".to_owned(),
            MotorTerminal::Common => "common".to_owned(),
            MotorTerminal::Coil(position) => format!("coil {}", positions[usize::from(position.min(1))]),
            MotorTerminal::Supply => "supply".to_owned(),
            MotorTerminal::Return => "return".to_owned(),
            MotorTerminal::Signal => "signal".to_owned(),
        }
    }
}

/// A terminal of a relay's coil.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CoilTerminal {
    /// The one that is + while the relay is pulled in; the diode is in its wire.
    One,
    /// The other one.
    Two,
}

impl CoilTerminal {
    /// Both, in order.
    pub const ALL: [CoilTerminal; 2] = [CoilTerminal::One, CoilTerminal::Two];

    /// The other one.
    pub fn other(self) -> CoilTerminal {
        match self {
            CoilTerminal::One => CoilTerminal::Two,
            CoilTerminal::Two => CoilTerminal::One,
        }
    }

    /// The words beside the terminal, behind the relay's name.
    pub fn words(self) -> &'static str {
        match self {
            CoilTerminal::One => "coil 1",
            CoilTerminal::Two => "coil 2",
        }
    }
}
