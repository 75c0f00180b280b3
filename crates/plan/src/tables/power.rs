//! Supplies and buses.

use super::Plug;
use crate::reader::TableReader;
use crate::value::{At, Value, choice, record};
use handbook::quantity::{Amps, Farads, Metres, Ohms, Seconds, Volts, Watts};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

choice! {
    /// What a supply is.
    SupplyKind, "supply kind" {
        /// Amplifies the track signal.
        Booster = "booster",
        /// A breaker for a part of what a booster feeds.
        SubBreaker = "sub-breaker",
        /// Feeds motors and lamps.
        Accessory = "accessory",
        /// Plain direct current.
        Dc = "dc",
    }
}
choice! {
    /// Which poles a sub-breaker opens.
    Opens, "pole" {
        /// Both.
        Both = "both",
        /// Pole A; B is common with the supply it hangs behind.
        A = "A",
        /// Pole B; A is common with the supply it hangs behind.
        B = "B",
    }
}
choice! {
    /// Which value of a current a breaker compares with its trip current.
    Senses, "sensed value" {
        /// The mean of its size, as behind a rectifier.
        Mean = "mean",
        /// What it heats with: root mean square.
        Rms = "rms",
        /// The greatest there is in a half bit.
        Peak = "peak",
    }
}
record! {
    /// A booster, sub-breaker, accessory or direct-current supply.
    Supply, "supply" {
        /// What the builder calls it.
        name: At<String>,
        /// What it is; a booster where not said, or a sub-breaker where it hangs behind another supply.
        kind: Option<At<SupplyKind>>,
        /// The supply this one hangs behind.
        behind: Option<At<String>>,
        /// Which poles a sub-breaker opens, both where not said; one it does not open is common.
        opens: Option<At<Opens>>,
        /// Its voltage; a sub-breaker has that of the supply it hangs behind.
        voltage: Option<At<Volts>>,
        /// The current it can give for hours.
        rating: Option<At<Amps>>,
        /// When it breaks: `{ at = "4.5 A", after = "120 ms" }`.
        trips: Option<At<Trips>>,
        /// What its breaker measures of a current that reverses: `"mean"`, `"rms"` or `"peak"`; the least of them where not said.
        senses: Option<At<Senses>>,
        /// The capacitor that throws solenoids, where it has one.
        discharge: Option<At<Discharge>>,
        /// Whether it has a terminal in the middle of its voltage, for single-pole switches: 24 V are 12 V to either side.
        middle: Option<At<bool>>,
        /// Its source resistance (of a sub-breaker: what it adds).
        source: Option<At<Ohms>>,
    }
}
record! {
    /// A capacitor discharge unit: throws solenoids from a capacitor that is charged to the supply's voltage.
    Discharge, "discharge unit" {
        /// The capacitor.
        capacitance: At<Farads>,
        /// How long it takes to be full again.
        recharge: Option<At<Seconds>>,
    }
}
record! {
    /// When a supply breaks.
    TripsTable, "trip" {
        /// The current that trips it.
        at: At<Amps>,
        /// How long that current flows before it breaks.
        after: Option<At<Seconds>>,
    }
}
/// When a supply breaks: `{ at = "4.5 A", after = "120 ms" }`, or the current alone.
#[derive(Clone, Debug)]
pub struct Trips {
    /// The current that trips it.
    pub at: At<Amps>,
    /// How long that current flows before it breaks.
    pub after: Option<At<Seconds>>,
}
impl Value for Trips {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        if let DeValue::String(_) = found.get_ref() {
            return Some(Trips { at: At { value: Amps::read(found, reader)?, span: found.span() }, after: None });
        }
        TripsTable::read(found, reader).map(|table| Trips { at: table.at, after: table.after })
    }
    fn schema() -> Json {
        TripsTable::schema()
    }
}
record! {
    /// A pair of conductors, A and B, that carries track power under the table.
    Bus, "bus" {
        /// What the builder calls it.
        name: At<String>,
        /// The supply it starts at.
        supply: Option<At<String>>,
        /// For a branch: the bus and place it starts from, such as `main bus @ 2 m`.
        from: Option<At<String>>,
        /// For a branch: whether a plug joins it to its trunk, as between two boards: `true`, or `{ rating = "8 A" }`.
        plug: Option<At<Plug>>,
        /// Its wire, such as `2.5 mm²` or `14 AWG`.
        wire: At<String>,
        /// Its length.
        length: At<Metres>,
        /// `"twisted"`, or `{ spacing = "10 mm" }` between the two wires.
        pair: Option<At<Pairing>>,
        /// A resistor and a capacitor in series between A and B at its far end.
        filter: Option<At<Filter>>,
        /// The voltage at which a suppressor diode across its far end conducts.
        clamp: Option<At<Volts>>,
    }
}
record! {
    /// A resistor and a capacitor in series across the end of a bus.
    Filter, "filter" {
        /// The resistor.
        resistance: At<Ohms>,
        /// The capacitor.
        capacitance: At<Farads>,
        /// What the resistor can bear for good.
        power: Option<At<Watts>>,
    }
}
/// How the two wires of a bus lie.
#[derive(Clone, Debug, PartialEq)]
pub enum Pairing {
    /// Twisted together.
    Twisted,
    /// Side by side, centres this far apart.
    Spacing(Metres),
}
record! {
    /// Two wires side by side.
    Spaced, "pair" {
        /// The distance between the centres of the two wires.
        spacing: At<Metres>,
    }
}
impl Value for Pairing {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        match found.get_ref() {
            DeValue::Table(_) => Spaced::read(found, reader).map(|p| Pairing::Spacing(p.spacing.value)),
            DeValue::String(text) if text == "twisted" => Some(Pairing::Twisted),
            DeValue::String(text) if text.starts_with(|c: char| c.is_ascii_digit()) => {
                Metres::read(found, reader).map(Pairing::Spacing)
            }
            DeValue::String(text) => {
                reader.unknown_word(found.span(), text, "pairing", &["twisted"]);
                None
            }
            _ => {
                reader.wrong_kind(found, "`\"twisted\"` or `{ spacing = \"10 mm\" }`");
                None
            }
        }
    }
    fn schema() -> Json {
        json!({ "anyOf": [{ "enum": ["twisted"] }, Spaced::schema()] })
    }
}
