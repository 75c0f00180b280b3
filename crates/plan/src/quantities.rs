//! Quantities as values of a plan: words in quotes with a unit.

use crate::reader::TableReader;
use crate::value::Value;
use handbook::quantity::{self, Quantity};
use handbook::quantity::{
    Amps, Celsius, Farads, Fraction, Metres, Newtons, NewtonsPerMetre, Ohms, OhmsPerMetre, Radians, Seconds, Volts,
    Watts,
};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

fn read_quantity<Q: Quantity>(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Q> {
    match found.get_ref() {
        DeValue::String(text) => match quantity::parse::<Q>(text) {
            Ok(value) => {
                reader.note_units(text);
                Some(value)
            }
            Err(error) => {
                reader.unclear_quantity(found.span(), text, error);
                None
            }
        },
        DeValue::Integer(_) | DeValue::Float(_) => {
            reader.bare_number::<Q>(found);
            None
        }
        _ => {
            let kind = Q::KIND;
            let due = format!("a {} in double quotes, such as {}", kind.name(), kind.examples());
            reader.wrong_kind(found, &due);
            None
        }
    }
}

macro_rules! quantities {
    ($($quantity:ty),*) => {$(
        impl Value for $quantity {
            fn read(found: &Spanned<DeValue<'_>>, reader: &mut TableReader<'_>) -> Option<Self> {
                read_quantity::<$quantity>(found, reader)
            }
            fn schema() -> Json {
                let kind = <$quantity as Quantity>::KIND;
                json!({
                    "type": "string",
                    "description": format!("a {}, such as {}", kind.name(), kind.examples()),
                })
            }
        }
    )*};
}
quantities!(
    Metres,
    Volts,
    Amps,
    Ohms,
    OhmsPerMetre,
    Seconds,
    Celsius,
    Fraction,
    Radians,
    Farads,
    Watts,
    Newtons,
    NewtonsPerMetre
);
