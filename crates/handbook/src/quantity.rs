//! Quantities with units: what a builder writes (`10 ft 6 in`, `250 mA`, `68 °F`) as SI numbers, and back.
//!
//! Each quantity is a type of its own, so that a length cannot be handed over where a current is due.

mod cursor;
mod error;
mod number;
mod reading;
mod showing;
mod system;
mod units;

pub use error::QuantityError;
pub(crate) use error::{ExpectedQuantity, quoted};
pub use reading::parse;
pub(crate) use reading::read;
pub use showing::{
    show_amps, show_area, show_celsius, show_farads, show_length, show_newtons, show_newtons_per_metre, show_ohms,
    show_ohms_per_metre, show_percent, show_radians, show_seconds, show_volts, show_watts,
};
pub use system::Units;

/// A number with a unit, kept in the SI unit of its kind (temperatures in °C).
pub trait Quantity: Copy {
    /// What it measures.
    const KIND: QuantityKind;
    /// The quantity of this many SI units.
    fn from_si(value: f64) -> Self;
    /// How many SI units it is.
    fn si(self) -> f64;
}

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum QuantityKind {
    /// In metres.
    Length,
    /// In square metres.
    Area,
    /// In volts.
    Voltage,
    /// In amps.
    Current,
    /// In ohms.
    Resistance,
    /// In ohms per metre.
    ResistancePerLength,
    /// In seconds.
    Time,
    /// In degrees Celsius.
    Temperature,
    /// A part of one: 0.05 for "5 %".
    Fraction,
    /// In radians.
    Angle,
    /// In newtons.
    Force,
    /// In farads.
    Capacitance,
    /// In watts.
    Power,
    /// In newtons per metre.
    ForcePerLength,
}

impl QuantityKind {
    /// Every kind there is.
    pub const ALL: [QuantityKind; 14] = [
        QuantityKind::Length,
        QuantityKind::Area,
        QuantityKind::Voltage,
        QuantityKind::Current,
        QuantityKind::Resistance,
        QuantityKind::ResistancePerLength,
        QuantityKind::Time,
        QuantityKind::Temperature,
        QuantityKind::Fraction,
        QuantityKind::Angle,
        QuantityKind::Force,
        QuantityKind::Capacitance,
        QuantityKind::Power,
        QuantityKind::ForcePerLength,
    ];

    /// What a builder calls it: "length", "current".
    pub fn name(self) -> &'static str {
        error::without_article(self.with_article())
    }

    /// Its name behind the right article: "a length", "an area".
    pub(crate) fn with_article(self) -> &'static str {
        match self {
            QuantityKind::Length => "a length",
            QuantityKind::Area => "an area",
            QuantityKind::Voltage => "a voltage",
            QuantityKind::Current => "a current",
            QuantityKind::Resistance => "a resistance",
            QuantityKind::ResistancePerLength => "a resistance per length",
            QuantityKind::Time => "a time",
            QuantityKind::Temperature => "a temperature",
            QuantityKind::Fraction => "a percentage",
            QuantityKind::Angle => "an angle",
            QuantityKind::Force => "a force",
            QuantityKind::Capacitance => "a capacitance",
            QuantityKind::Power => "a power",
            QuantityKind::ForcePerLength => "a force per length",
        }
    }

    /// Units a builder may write for it, best first. More spellings than these are read.
    pub fn units(self) -> &'static [&'static str] {
        match self {
            QuantityKind::Length => &["m", "mm", "cm", "ft", "in", "yd"],
            QuantityKind::Area => &["mm²", "mm2", "sq mm", "cm²", "m²", "sq in"],
            QuantityKind::Voltage => &["V", "mV"],
            QuantityKind::Current => &["A", "mA"],
            QuantityKind::Resistance => &["Ω", "mΩ", "kΩ", "ohm", "mohm", "kohm"],
            QuantityKind::ResistancePerLength => &["mΩ/m", "Ω/m", "mohm/m", "ohm/m", "Ω/km"],
            QuantityKind::Time => &["s", "ms", "µs", "us", "min"],
            QuantityKind::Temperature => &["°C", "°F", "C", "F", "K"],
            QuantityKind::Fraction => &["%", "percent"],
            QuantityKind::Angle => &["°", "deg", "rad"],
            QuantityKind::Force => &["N", "mN", "gf", "ozf"],
            QuantityKind::Capacitance => &["µF", "nF", "uF", "pF", "mF"],
            QuantityKind::Power => &["W", "mW"],
            QuantityKind::ForcePerLength => &["N/m", "mN/m", "gf/cm"],
        }
    }

    /// How it may be written, for a hint: "`3.05 m`, `914 mm` or `10 ft 6 in`".
    pub fn examples(self) -> &'static str {
        match self {
            QuantityKind::Length => "`3.05 m`, `914 mm` or `10 ft 6 in`",
            QuantityKind::Area => "`2.5 mm²` or `2.5 mm2`",
            QuantityKind::Voltage => "`15 V` or `700 mV`",
            QuantityKind::Current => "`4.5 A` or `250 mA`",
            QuantityKind::Resistance => "`0.12 Ω`, `0.12 ohm` or `80 mΩ`",
            QuantityKind::ResistancePerLength => "`57 mΩ/m` or `57 mohm/m`",
            QuantityKind::Time => "`150 ms` or `2 s`",
            QuantityKind::Temperature => "`20 °C` or `68 °F`",
            QuantityKind::Fraction => "`55 %`",
            QuantityKind::Angle => "`9.5°` or `0.166 rad`",
            QuantityKind::Force => "`0.5 N` or `50 gf`",
            QuantityKind::Capacitance => "`470 µF` or `100 nF`",
            QuantityKind::Power => "`0.5 W` or `250 mW`",
            QuantityKind::ForcePerLength => "`5 N/m` or `5 gf/cm`",
        }
    }
}

macro_rules! quantities {
    ($($(#[$words:meta])* $name:ident is $kind:ident;)+) => {$(
        $(#[$words])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl Quantity for $name {
            const KIND: QuantityKind = QuantityKind::$kind;
            fn from_si(value: f64) -> Self {
                Self(value)
            }
            fn si(self) -> f64 {
                self.0
            }
        }
    )+};
}

quantities! {
    /// A length in metres.
    Metres is Length;
    /// An area in square metres.
    SquareMetres is Area;
    /// A voltage in volts.
    Volts is Voltage;
    /// A current in amps.
    Amps is Current;
    /// A resistance in ohms.
    Ohms is Resistance;
    /// A resistance per length of one conductor, in ohms per metre.
    OhmsPerMetre is ResistancePerLength;
    /// A time in seconds.
    Seconds is Time;
    /// A temperature in degrees Celsius.
    Celsius is Temperature;
    /// A part of one: 0.05 for "5 %".
    Fraction is Fraction;
    /// An angle in radians.
    Radians is Angle;
    /// A force in newtons.
    Newtons is Force;
    /// A capacitance in farads.
    Farads is Capacitance;
    /// A power in watts.
    Watts is Power;
    /// A force spread over a length, in newtons per metre.
    NewtonsPerMetre is ForcePerLength;
}

impl Metres {
    /// A length given in millimetres.
    pub const fn from_millimetres(millimetres: f64) -> Self {
        Self(millimetres / 1000.0)
    }

    /// A length given in inches.
    pub const fn from_inches(inches: f64) -> Self {
        Self(inches * 0.0254)
    }

    /// The length in millimetres.
    pub const fn in_millimetres(self) -> f64 {
        self.0 * 1000.0
    }

    /// The length in inches.
    pub const fn in_inches(self) -> f64 {
        self.0 / 0.0254
    }
}

impl SquareMetres {
    /// An area given in square millimetres.
    pub const fn from_square_millimetres(square_millimetres: f64) -> Self {
        Self(square_millimetres / 1e6)
    }

    /// The area in square millimetres.
    pub const fn in_square_millimetres(self) -> f64 {
        self.0 * 1e6
    }
}

impl Ohms {
    /// A resistance given in milliohms.
    pub const fn from_milliohms(milliohms: f64) -> Self {
        Self(milliohms / 1000.0)
    }
}

impl OhmsPerMetre {
    /// A resistance per length given in milliohms per metre, which is also ohms per kilometre.
    pub const fn from_milliohms(milliohms: f64) -> Self {
        Self(milliohms / 1000.0)
    }

    /// Milliohms per metre, which is also ohms per kilometre.
    pub const fn in_milliohms(self) -> f64 {
        self.0 * 1000.0
    }
}

impl Celsius {
    /// A temperature given in degrees Fahrenheit.
    pub const fn from_fahrenheit(fahrenheit: f64) -> Self {
        Self((fahrenheit - 32.0) * 5.0 / 9.0)
    }
}
