//! The system of units a builder measures in: the same quantities, said in metres and degrees Celsius or in feet and
//! degrees Fahrenheit.

use super::showing::{figures, on_ladder, show_celsius, show_length, show_ohms_per_metre, trimmed, with_unit};
use super::units::{GRAVITY, INCH, OUNCE};
use super::{Celsius, Metres, Newtons, NewtonsPerMetre, OhmsPerMetre, SquareMetres};
use super::{show_area, show_newtons, show_newtons_per_metre};

/// In which units lengths, temperatures and forces are said.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Metres and millimetres, °C, mm², newtons.
    #[default]
    Metric,
    /// Feet and inches, °F, AWG, ounces-force.
    Imperial,
}

/// From here on an inch is parted into sixteenths; smaller lengths are said in thousandths.
const LEAST_SIXTEENTHS: f64 = 0.25 * INCH;
/// From here on lengths are said in feet and inches.
const LEAST_FEET: i64 = 24 * 16;

impl Units {
    /// The finest mark of a rule, in metres: a millimetre, or a sixteenth of an inch.
    pub const fn rule_mark(self) -> f64 {
        match self {
            Units::Metric => 1e-3,
            Units::Imperial => 0.0254 / 16.0,
        }
    }

    /// A length in metres at the nearest mark of a rule, so that a plan's words and its numbers agree.
    pub fn ruled(self, metres: f64) -> f64 {
        let mark = self.rule_mark();
        (metres / mark).round() * mark
    }

    /// The system that a quantity was written in, where its unit belongs to one only.
    ///
    /// Ohms, volts and seconds are the same in both. Wire sizes count too: `16 AWG`, `2.5 mm²`.
    pub fn of_text(text: &str) -> Option<Units> {
        let words = text.split(|c: char| !c.is_alphabetic() && !matches!(c, '\'' | '"' | '°' | '²'));
        let imperial = |word: &str| {
            let small = word.to_lowercase();
            word.contains(['\'', '"'])
                || matches!(
                    small.as_str(),
                    "ft" | "foot"
                        | "feet"
                        | "in"
                        | "ins"
                        | "inch"
                        | "inches"
                        | "yd"
                        | "yds"
                        | "yard"
                        | "yards"
                        | "thou"
                        | "awg"
                        | "ga"
                        | "gauge"
                        | "°f"
                        | "f"
                        | "ozf"
                )
        };
        let metric = |word: &str| {
            matches!(word, "m" | "mm" | "cm" | "mm²" | "°C" | "C" | "N" | "mN" | "gf")
                || word.to_lowercase().ends_with("metre")
                || word.to_lowercase().ends_with("metres")
                || word.to_lowercase().ends_with("meter")
                || word.to_lowercase().ends_with("meters")
        };
        // `#16` is a gauge.
        if text.trim_start().starts_with('#') {
            return Some(Units::Imperial);
        }
        words
            .filter(|word| !word.is_empty())
            .find_map(|word| if imperial(word) { Some(Units::Imperial) } else { metric(word).then_some(Units::Metric) })
    }

    /// A length as one would measure it: `2.35 m`, `90 mm`, `0.8 mm`; `7 ft 8 1/2 in`, `3 9/16 in`, `0.031 in`.
    pub fn length(self, length: Metres) -> String {
        match self {
            Units::Metric if (0.01..0.9995).contains(&length.0.abs()) => format!("{:.0} mm", length.0 * 1e3),
            Units::Metric => show_length(length),
            Units::Imperial if !length.0.is_finite() => with_unit(&figures(length.0, 0), "in"),
            Units::Imperial if length.0.abs() < LEAST_SIXTEENTHS => {
                with_unit(&trimmed(format!("{:.3}", length.0 / INCH)), "in")
            }
            Units::Imperial => feet_and_inches(length.0 / INCH),
        }
    }

    /// So many metres, as [`Units::length`] says them.
    pub fn metres(self, metres: f64) -> String {
        self.length(Metres(metres))
    }

    /// A length for narrow columns: as [`Units::length`], but `7'8-1/2"`.
    pub fn narrow(self, metres: f64) -> String {
        let long = self.metres(metres);
        if self == Units::Metric {
            long
        } else {
            long.replace(" ft ", "'").replace(" ft", "'").replace(" in", "\"").replace(' ', "-")
        }
    }

    /// A length as it is written into a plan, to the millimetre or the sixteenth of an inch: `90 mm`, `1.235 m`, `4 1/2 in`.
    pub fn written(self, metres: f64) -> String {
        let millimetres = (metres * 1e3).round();
        match self {
            Units::Metric if millimetres < 1e3 => format!("{millimetres} mm"),
            Units::Metric => format!("{} m", millimetres / 1e3),
            Units::Imperial => in_sixteenths((metres / INCH * 16.0).round() as i64),
        }
    }

    /// A short length as a calliper reads it, to 0.01 mm or a thousandth of an inch: `0.85 mm`, `0.033 in`.
    pub fn fine(self, metres: f64) -> String {
        match self {
            Units::Metric => with_unit(&trimmed(format!("{:.2}", metres * 1e3)), "mm"),
            Units::Imperial => with_unit(&trimmed(format!("{:.3}", metres / INCH)), "in"),
        }
    }

    /// A stress: `1690 MPa`, `245 ksi`.
    pub fn stress(self, pascals: f64) -> String {
        match self {
            Units::Metric => format!("{:.0} MPa", pascals / 1e6),
            Units::Imperial => format!("{:.0} ksi", pascals * INCH * INCH / (16.0 * OUNCE * GRAVITY) / 1e3),
        }
    }

    /// What a stretch of [`Units::growth_length`] grows by: `0.17 mm` a metre, `0.02 in` in ten feet.
    pub fn growth(self, strain: f64) -> String {
        match self {
            Units::Metric => self.fine(strain),
            Units::Imperial => self.fine(strain * 120.0 * INCH),
        }
    }

    /// The stretch that growth is said of.
    pub fn growth_length(self) -> &'static str {
        match self {
            Units::Metric => "a metre",
            Units::Imperial => "ten feet",
        }
    }

    /// A temperature: `20 °C`, `68 °F`.
    pub fn temperature(self, temperature: Celsius) -> String {
        match self {
            Units::Metric => show_celsius(temperature),
            Units::Imperial => with_unit(&trimmed(format!("{:.1}", temperature.0 * 1.8 + 32.0)), "°F"),
        }
    }

    /// A step of temperature: `5 °C`, `9 °F`.
    pub fn temperature_step(self, kelvins: f64) -> String {
        match self {
            Units::Metric => show_celsius(Celsius(kelvins)),
            Units::Imperial => with_unit(&trimmed(format!("{:.1}", kelvins * 1.8)), "°F"),
        }
    }

    /// A resistance per length: `57 mΩ/m`, `17.4 mΩ/ft`.
    pub fn ohms_per_length(self, resistance: OhmsPerMetre) -> String {
        match self {
            Units::Metric => show_ohms_per_metre(resistance),
            Units::Imperial => on_ladder(resistance.0 * 12.0 * INCH, &[("Ω/ft", 1.0), ("mΩ/ft", 1e-3)]),
        }
    }

    /// An area: `2.5 mm²`, `0.004 sq in`.
    pub fn area(self, area: SquareMetres) -> String {
        match self {
            Units::Metric => show_area(area),
            Units::Imperial => with_unit(&figures(area.0 / (INCH * INCH), 4), "sq in"),
        }
    }

    /// A force: `0.5 N`, `1.8 ozf`.
    pub fn force(self, force: Newtons) -> String {
        match self {
            Units::Metric => show_newtons(force),
            Units::Imperial if force.0.abs() >= 16.0 * OUNCE * GRAVITY => {
                with_unit(&figures(force.0 / (16.0 * OUNCE * GRAVITY), 0), "lbf")
            }
            Units::Imperial => with_unit(&trimmed(format!("{:.2}", force.0 / (OUNCE * GRAVITY))), "ozf"),
        }
    }

    /// A force per length: `5 N/m`, `0.34 lbf/ft`.
    pub fn force_per_length(self, force: NewtonsPerMetre) -> String {
        match self {
            Units::Metric => show_newtons_per_metre(force),
            Units::Imperial => with_unit(&figures(force.0 * 12.0 * INCH / (16.0 * OUNCE * GRAVITY), 2), "lbf/ft"),
        }
    }

    /// The unit of short lengths in the heads of tables.
    pub fn short(self) -> &'static str {
        match self {
            Units::Metric => "mm",
            Units::Imperial => "in",
        }
    }

    /// So many metres in the unit of short lengths.
    pub fn in_short(self, metres: f64) -> f64 {
        match self {
            Units::Metric => metres * 1e3,
            Units::Imperial => metres / INCH,
        }
    }

    /// So many of the unit of short lengths in metres.
    pub fn from_short(self, value: f64) -> f64 {
        match self {
            Units::Metric => value * 1e-3,
            Units::Imperial => value * INCH,
        }
    }
}

/// To the sixteenth of an inch; from 20 ft on to the inch, from 100 ft on to the foot.
fn feet_and_inches(inches: f64) -> String {
    let sign = if inches < 0.0 { "-" } else { "" };
    let step = match inches.abs() {
        long if long >= 1200.0 => 192,
        middling if middling >= 240.0 => 16,
        _ => 1,
    };
    let sixteenths = (inches.abs() * 16.0 / f64::from(step)).round() as i64 * i64::from(step);
    format!("{sign}{}", in_sixteenths(sixteenths))
}

fn in_sixteenths(sixteenths: i64) -> String {
    if sixteenths <= 0 {
        return "0 in".to_owned();
    }
    let (feet, rest) = if sixteenths >= LEAST_FEET { (sixteenths / 192, sixteenths % 192) } else { (0, sixteenths) };
    let (whole, part) = (rest / 16, rest % 16);
    let mut words = Vec::new();
    if feet > 0 {
        words.push(format!("{feet} ft"));
    }
    if whole > 0 || part > 0 {
        let mut inch = String::new();
        if whole > 0 {
            inch = whole.to_string();
        }
        if part > 0 {
            let halvings = part.trailing_zeros();
            let gap = if whole > 0 { " " } else { "" };
            inch = format!("{inch}{gap}{}/{}", part >> halvings, 16 >> halvings);
        }
        words.push(format!("{inch} in"));
    }
    words.join(" ")
}
