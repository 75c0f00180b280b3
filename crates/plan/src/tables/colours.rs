//! The builder's colours of wires.

use crate::value::{At, List, OneOrMany, choice, record};

choice! {
    /// A colour of insulation.
    WireColour, "colour" {
        /// BK of IEC 60757.
        Black = "black",
        /// BN.
        Brown = "brown",
        /// RD.
        Red = "red",
        /// OG.
        Orange = "orange",
        /// YE.
        Yellow = "yellow",
        /// GN.
        Green = "green",
        /// BU.
        Blue = "blue",
        /// VT.
        Violet = "violet",
        /// GY.
        Grey = "grey",
        /// WH.
        White = "white",
        /// PK.
        Pink = "pink",
        /// TQ.
        Turquoise = "turquoise",
    }
}
record! {
    /// The colours of wires. What is not said here has red for A, black for B, blue for what changes its pole and yellow
    /// for motors, or the colours of NEM 605 where the papers are asked for in these.
    Colours, "colours" {
        /// What is joined to an A for good, where `conductors` does not say.
        a: Option<At<WireColour>>,
        /// What is joined to a B for good.
        b: Option<At<WireColour>>,
        /// What changes its pole: wires of frogs, of reversing sections and between contacts.
        changes: Option<At<WireColour>>,
        /// The two wires of each motor.
        motors: Option<At<WireColour>>,
        /// Conductors with a colour of their own: `{ of = "yard bus.A", is = "orange" }`.
        conductors: List<ConductorColour>,
    }
}
record! {
    /// Conductors with a colour of their own.
    ConductorColour, "conductor's colour" {
        /// A conductor of a bus, a terminal of a supply, an output of a reverser or a frog; or a list of them.
        of: OneOrMany<String>,
        /// Its colour.
        is: At<WireColour>,
    }
}
