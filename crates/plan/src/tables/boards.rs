//! Boards that come apart, and the plugs that carry buses from one to the next.

use super::{Climate, Fixing};
use crate::reader::TableReader;
use crate::value::{At, List, Value, record};
use handbook::quantity::{Amps, NewtonsPerMetre, Ohms};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

record! {
    /// A board that comes apart from the rest, or stands in another room: what it holds, and what is otherwise there than
    /// `[room]` and `[base]` say. What no board holds is the rest of the layout.
    Board, "board" {
        /// What the builder calls it.
        name: At<String>,
        /// What lies on it, or hangs under it, by name: tracks, turnouts and other trackwork, buses, drivers, detectors.
        holds: List<String>,
        /// The air when its track was laid, where not the room's.
        laid: Option<At<Climate>>,
        /// The coldest or dampest air it stands in, where not the room's.
        coldest: Option<At<Climate>>,
        /// The hottest or driest air it stands in, where not the room's.
        hottest: Option<At<Climate>>,
        /// What its track lies on, where not the base of the rest.
        material: Option<At<String>>,
        /// How its track is held, where not as that of the rest: `"glued"`, or `{ pins = "150 mm" }`.
        fixing: Option<At<Fixing>>,
        /// What it takes there to push one rail along in its fastenings, for each metre of it; measured.
        grip: Option<At<NewtonsPerMetre>>,
        /// What it takes there to push the track sideways, for each metre of one rail; measured.
        sideways: Option<At<NewtonsPerMetre>>,
        /// The plug by which each single wire from it to another board or to the rest comes apart: `true`, or `{ rating = "3 A" }`. Buses
        /// have plugs of their own.
        plug: Option<At<Plug>>,
    }
}
/// A plug in a wire, or with which a branch starts on its trunk: `true`, or a table.
#[derive(Clone, Debug, Default)]
pub struct Plug {
    /// The resistance of one contact, where not the handbook's.
    pub resistance: Option<At<Ohms>>,
    /// What one contact bears for good, where not a usual one's.
    pub rating: Option<At<Amps>>,
}
record! {
    /// A plug whose sheet is known.
    PlugTable, "plug" {
        /// The resistance of one contact, pin and socket; measured, or as on its sheet.
        resistance: Option<At<Ohms>>,
        /// What one contact bears for good, as on its sheet.
        rating: Option<At<Amps>>,
    }
}
impl Value for Plug {
    fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
        match found.get_ref() {
            DeValue::Table(_) => {
                PlugTable::read(found, reader).map(|t| Plug { resistance: t.resistance, rating: t.rating })
            }
            DeValue::Boolean(true) => Some(Plug::default()),
            _ => {
                reader.wrong_kind(found, "`true` or `{ rating = \"8 A\" }`");
                None
            }
        }
    }
    fn schema() -> Json {
        json!({ "anyOf": [{ "enum": [true] }, PlugTable::schema()] })
    }
}
