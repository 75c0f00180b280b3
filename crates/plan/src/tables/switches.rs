//! Motors, relays, toggles and reversers, and their contacts.

use super::{Plug, Trips};
use crate::reader::TableReader;
use crate::value::{At, List, OneOrMany, Value, choice, record};
use handbook::quantity::{Amps, Metres, Seconds, Volts};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

choice! {
    /// What moves the points.
    MotorKind, "motor kind" {
        /// Turns until it stalls against its stop, and stays powered.
        Stall = "stall",
        /// Two coils, a pulse each.
        Solenoid = "solenoid",
        /// A radio-control servo.
        Servo = "servo",
        /// A lever or a wire, by hand.
        Hand = "hand",
    }
}
record! {
    /// One change-over contact and what each of its terminals is wired to.
    ContactTable, "contact" {
        /// The terminal that is joined to one of the others.
        common: OneOrMany<WiredTo>,
        /// Joined to `common` when what moves it is set through.
        through: OneOrMany<WiredTo>,
        /// Joined to `common` when what moves it is set diverging.
        diverging: OneOrMany<WiredTo>,
        /// Joined to `common` when a wye turnout is set to its left track.
        left: OneOrMany<WiredTo>,
        /// Joined to `common` when a wye turnout is set to its right track.
        right: OneOrMany<WiredTo>,
        /// Joined to `common` when a toggle is on.
        on: OneOrMany<WiredTo>,
        /// Joined to `common` when a toggle is off.
        off: OneOrMany<WiredTo>,
        /// The length of each wire of this contact, where not its owner's `wire_length`.
        length: Option<At<Metres>>,
        /// The wire of this contact, where not its owner's.
        wire: Option<At<String>>,
        /// The bus that the wires of this contact are led along, where they do not go the shortest way along the track.
        run: Option<At<String>>,
    }
}
/// What a terminal of a contact is wired to: `"main bus.A"`, or a table that says more of this one wire.
#[derive(Clone, Debug)]
pub struct WiredTo {
    /// What the wire ends at.
    pub to: At<String>,
    /// Its length, where not the contact's.
    pub length: Option<At<Metres>>,
    /// What it is made of, where not the contact's wire.
    pub wire: Option<At<String>>,
    /// The bus that it is led along, where not the contact's.
    pub run: Option<At<String>>,
    /// The plug by which it comes apart.
    pub plug: Option<At<Plug>>,
}
record! {
    /// A wire of a contact in full.
    WiredToTable, "wire" {
        /// What it ends at.
        to: At<String>,
        /// Its length, where not the contact's.
        length: Option<At<Metres>>,
        /// Its size, where not the contact's.
        wire: Option<At<String>>,
        /// The bus that it is led along, where it does not go the shortest way along the track.
        run: Option<At<String>>,
        /// The plug by which it comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        plug: Option<At<Plug>>,
    }
}
impl Value for WiredTo {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        if let DeValue::Table(_) = found.get_ref() {
            let t = WiredToTable::read(found, reader)?;
            return Some(WiredTo { to: t.to, length: t.length, wire: t.wire, run: t.run, plug: t.plug });
        }
        let to = At { value: String::read(found, reader)?, span: found.span() };
        Some(WiredTo { to, length: None, wire: None, run: None, plug: None })
    }
    fn schema() -> Json {
        json!({ "anyOf": [String::schema(), WiredToTable::schema()] })
    }
}
impl OneOrMany<WiredTo> {
    /// What the wires end at, in the plan's words.
    pub fn references(&self) -> impl Iterator<Item = &At<String>> {
        self.0.iter().map(|wired| &wired.value.to)
    }
}
impl ContactTable {
    /// Its terminals by their keys, with what is wired to them.
    pub fn terminals(&self) -> [(&'static str, &OneOrMany<WiredTo>); 7] {
        [
            ("common", &self.common),
            ("through", &self.through),
            ("diverging", &self.diverging),
            ("left", &self.left),
            ("right", &self.right),
            ("on", &self.on),
            ("off", &self.off),
        ]
    }

    /// Every wire of it.
    pub fn wires(&self) -> impl Iterator<Item = &WiredTo> {
        self.terminals().into_iter().flat_map(|(_, wired)| wired.0.iter().map(|w| &w.value))
    }
}
choice! {
    /// How the lower end of a throw wire is held.
    WireEnd, "wire end" {
        /// Fast in the arm.
        Clamped = "clamped",
        /// In a hole of the arm, where it can turn.
        Pinned = "pinned",
    }
}
record! {
    /// The wire from a motor's arm over a fulcrum up to the throwbar.
    ThrowWireTable, "throw wire" {
        /// Its diameter.
        diameter: At<Metres>,
        /// How far the arm moves the wire's lower end, from one position to the other.
        travel: At<Metres>,
        /// From the arm up to the fulcrum.
        below: At<Metres>,
        /// From the fulcrum up to the throwbar; the thickness of the base and 3 mm where not said.
        above: Option<At<Metres>>,
        /// How its lower end is held: `clamped`, or `pinned` in a hole where it can turn; clamped where not said.
        end: Option<At<WireEnd>>,
        /// The diameter of the hole it goes through in the base.
        hole: Option<At<Metres>>,
    }
}
record! {
    /// What throws a turnout, and the contacts that change with it.
    Motor, "motor" {
        /// What the builder calls it.
        name: At<String>,
        /// The turnout it moves, or a list of turnouts that it moves together. Of a three-way turnout `W1.left` or
        /// `W1.right`, of a slip `S1.west` or `S1.east`.
        moves: OneOrMany<String>,
        /// What it is; where not said, what its driver throws.
        kind: Option<At<MotorKind>>,
        /// The driver's output that throws it: `D1.3`, or `D1` where that has one only. Several stall motors may share one.
        driver: Option<At<String>>,
        /// The voltage it is made for.
        voltage: Option<At<Volts>>,
        /// The current it draws while it moves.
        current: Option<At<Amps>>,
        /// How long a solenoid is fed for a throw.
        pulse: Option<At<Seconds>>,
        /// The supply it draws from, where it has no driver that says so.
        supply: Option<At<String>>,
        /// The length of each wire from its driver to it.
        lead_length: Option<At<Metres>>,
        /// The plug by which each of those wires comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        lead_plug: Option<At<Plug>>,
        /// Its accessory address, in the builder's numbering, 1 to 2048; `addresses` of the layout says how that counts.
        address: Option<At<u32>>,
        /// Whether it throws the other way round than is common: set through, a stall motor has + on its terminal 2, and
        /// output 1 of its address sets it diverging, output 0 through.
        reversed: Option<At<bool>>,
        /// Its contacts, in order.
        contact: List<ContactTable>,
        /// How many change-over contacts it has.
        contacts: Option<At<u32>>,
        /// The current each of its contacts can carry.
        contact_rating: Option<At<Amps>>,
        /// The length of each wire from its contacts.
        wire_length: Option<At<Metres>>,
        /// The wire from its contacts.
        wire: Option<At<String>>,
        /// The wire that moves the throwbar: `{ diameter = "0.8 mm", travel = "4 mm", below = "25 mm" }`.
        throw_wire: Option<At<ThrowWireTable>>,
    }
}
record! {
    /// A relay that follows a motor, a toggle or another relay, and its contacts.
    Relay, "relay" {
        /// What the builder calls it.
        name: At<String>,
        /// The motor, toggle or relay it follows.
        follows: At<String>,
        /// The driver's output that its coil lies across, with a diode in series: that of the motor it follows, or a switch
        /// that follows the same toggle.
        driver: Option<At<String>>,
        /// What the two ends of its coil are wired to, where no driver's output lies across it: a terminal of a contact of what it
        /// follows, and a conductor: `["R1.2.diverging", "points bus.B"]`.
        coil: OneOrMany<String>,
        /// The length of each wire from its driver, or from what its coil is wired to, to its coil.
        lead_length: Option<At<Metres>>,
        /// The plug by which each of those wires comes apart, where not its board's: `true`, or `{ rating = "3 A" }`.
        lead_plug: Option<At<Plug>>,
        /// The supply of its coil.
        supply: Option<At<String>>,
        /// Its contacts, in order.
        contact: List<ContactTable>,
        /// How many change-over contacts it has.
        contacts: Option<At<u32>>,
        /// The current each of its contacts can carry.
        contact_rating: Option<At<Amps>>,
        /// The length of each wire from its contacts.
        wire_length: Option<At<Metres>>,
        /// The wire from its contacts.
        wire: Option<At<String>>,
    }
}
record! {
    /// A switch under the operator's hand, on or off, and its contacts.
    Toggle, "toggle" {
        /// What the builder calls it.
        name: At<String>,
        /// The position it usually stands in, `off` where not said; routes and tests take it so where they do not ask for
        /// another one.
        usual: Option<At<TogglePosition>>,
        /// `"off"` where it has a third position between the two, in which `common` is joined to nothing.
        centre: Option<At<Centre>>,
        /// Its contacts, in order.
        contact: List<ContactTable>,
        /// The length of each wire from its contacts.
        wire_length: Option<At<Metres>>,
        /// The wire from its contacts.
        wire: Option<At<String>>,
    }
}
choice! {
    /// A position of a toggle.
    TogglePosition, "position" {
        /// `common` is joined to `off`.
        Off = "off",
        /// `common` is joined to `on`.
        On = "on",
        /// In the middle, where it has one: `common` is joined to nothing.
        Centre = "centre",
    }
}
choice! {
    /// What a third position of a toggle does.
    Centre, "centre" {
        /// `common` is joined to nothing.
        Off = "off",
    }
}
record! {
    /// Positions that the builder promises never to set together, as where an interlocking forbids it.
    Never, "promise" {
        /// The positions, two or more of different things: `["T1 diverging", "T4 through"]`.
        together: List<String>,
    }
}
choice! {
    /// What makes a reverser change over.
    ReverserKind, "reverser kind" {
        /// It changes over when it sees a short.
        ShortSensing = "short-sensing",
        /// It follows a motor or a toggle.
        Following = "following",
    }
}
record! {
    /// Swaps the two phases of what it feeds; its outputs are `NAME.A` and `NAME.B`.
    Reverser, "reverser" {
        /// What the builder calls it.
        name: At<String>,
        /// What makes it change over.
        kind: At<ReverserKind>,
        /// The motor or toggle it follows.
        follows: Option<At<String>>,
        /// The bus and place it is fed from, such as `main bus @ 3 m`.
        from: At<String>,
        /// Of one that senses shorts: the current that makes it change over, and how soon: `{ at = "2 A", after = "5 ms" }`.
        trips: Option<At<Trips>>,
    }
}
