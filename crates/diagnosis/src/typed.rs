//! What somebody types of a meter: `0,4`, `1.1 Ω`, `OL`, `no`.

use crate::observation::{Kit, Value};

/// Why that is no reading.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadValue {
    /// It is none of any instrument.
    #[error("`{typed}` is no reading; {hint}")]
    NoReading {
        /// What was typed.
        typed: String,
        /// What would be one.
        hint: &'static str,
    },
    /// The unit is another instrument's.
    #[error("`{unit}` is not what is read here; {hint}")]
    OtherUnit {
        /// The unit.
        unit: String,
        /// What would be one.
        hint: &'static str,
    },
    /// No meter reads so much.
    #[error("`{0}` is more than anything here can read; look at the range, and type it again")]
    TooMuch(String),
}

impl Kit {
    /// What is typed of it.
    pub fn hint(self) -> &'static str {
        match self {
            Kit::Buzzer => "type `yes` if it sounds, `no` if it does not",
            Kit::Ohmmeter => "type the ohms, such as `0.4`, or `OL` if the meter shows no value",
            Kit::Bench => {
                "type the millivolts, such as `12.4`, or `OL` if the supply shows its 3 V and does not reach 1 A"
            }
            Kit::Volts => "type by how many volts it falls, such as `0.55`, or `dead` if there are no volts at all",
        }
    }

    /// A reading from what was typed of it.
    ///
    /// # Errors
    /// When it is none.
    pub fn value(self, typed: &str) -> Result<Value, BadValue> {
        let hint = self.hint();
        let wrong = || BadValue::NoReading { typed: typed.trim().to_owned(), hint };
        let words = typed.trim().to_lowercase();
        match (self, words.as_str()) {
            (Kit::Buzzer, "yes" | "y" | "beep" | "beeps" | "sounds" | "on" | "1" | "lit") => {
                return Ok(Value::Sounds(true));
            }
            (Kit::Buzzer, "no" | "n" | "silent" | "quiet" | "off" | "0" | "ol" | "open" | "dark") => {
                return Ok(Value::Sounds(false));
            }
            (Kit::Buzzer, _) => return Err(wrong()),
            (_, "ol" | "o.l." | "o.l" | "open" | "inf" | "∞" | "over" | "1.") => return Ok(Value::Open),
            (Kit::Volts, "dead" | "none") => return Ok(Value::Open),
            _ => {}
        }
        let cut =
            words.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+'))).unwrap_or(words.len());
        let (number, unit) = (words[..cut].replace(',', "."), words[cut..].trim());
        let number: f64 = number.parse().map_err(|_| wrong())?;
        let factor = match (self, unit) {
            (Kit::Bench, "" | "mv") => 1e-3,
            (Kit::Bench | Kit::Volts, "v") | (Kit::Volts, "") | (Kit::Bench, "ω" | "ohm" | "ohms") => 1.0,
            (Kit::Volts, "mv") => 1e-3,
            (Kit::Ohmmeter, "" | "ω" | "ohm" | "ohms" | "r") => 1.0,
            (Kit::Ohmmeter, "mω" | "mohm") if typed.contains('M') => 1e6,
            (Kit::Ohmmeter, "mω" | "mohm") => 1e-3,
            (Kit::Ohmmeter, "kω" | "kohm" | "k") => 1e3,
            (_, "") => 1.0,
            (_, unit) => return Err(BadValue::OtherUnit { unit: unit.to_owned(), hint }),
        };
        let ohms = number * factor;
        if !ohms.is_finite() || ohms < -1.0 {
            return Err(wrong());
        }
        if ohms > 1e8 || self != Kit::Ohmmeter && ohms > 100.0 {
            return Err(BadValue::TooMuch(typed.trim().to_owned()));
        }
        // Beyond the range of the sheet it reads open, whatever the digits say.
        Ok(if ohms >= self.errors().most { Value::Open } else { Value::Ohms(ohms) })
    }

    /// A value as the instrument shows it: `12.4 mV`, `0.4 Ω`, `OL`.
    pub fn shown(self, value: Value) -> String {
        match value {
            Value::Open if self == Kit::Volts => "dead".to_owned(),
            Value::Open => "OL".to_owned(),
            Value::Sounds(true) => "sounds".to_owned(),
            Value::Sounds(false) => "silent".to_owned(),
            Value::Ohms(ohms) => match self {
                Kit::Bench if ohms < 2.0 => format!("{:.1} mV", ohms * 1e3),
                Kit::Bench => format!("{:.0} mV", ohms * 1e3),
                Kit::Volts => format!("{ohms:.2} V"),
                _ if ohms >= 1e3 => format!("{:.1} kΩ", ohms / 1e3),
                _ => format!("{ohms:.1} Ω"),
            },
        }
    }
}
