//! What a builder chooses about their papers.

use handbook::quantity::{Metres, Quantity, show_length};

/// Paper, units and colours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Choices {
    /// The paper in the printer.
    pub page: PageSize,
    /// The units of lengths.
    pub units: Units,
    /// The colours of wires where the plan does not say.
    pub colours: ColourChoice,
    /// Whether everything is set in large print.
    pub large_print: bool,
}

/// The paper in the printer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PageSize {
    /// 210 mm by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8½ in by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

/// The units of lengths.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Millimetres and metres.
    #[default]
    Metric,
    /// Inches and feet, wires as AWG.
    Imperial,
}

/// Where the colours of wires come from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ColourChoice {
    /// The plan's own code; what it does not say gets a colour of ours.
    #[default]
    Plan,
    /// NEM 605.
    Nem605,
}

impl PageSize {
    /// Width and height in millimetres.
    pub fn millimetres(self) -> [f64; 2] {
        match self {
            PageSize::A4 => [210.0, 297.0],
            PageSize::Letter => [215.9, 279.4],
        }
    }
}

impl Units {
    /// The unit of short lengths.
    pub fn short(self) -> &'static str {
        match self {
            Units::Metric => "mm",
            Units::Imperial => "in",
        }
    }

    /// A length in the unit of short lengths: its value and as it is shown, to the millimetre or the sixteenth's
    /// decimal.
    pub fn length(self, length: Metres) -> (f64, String) {
        match self {
            Units::Metric => (length.si() * 1e3, format!("{:.0}", length.si() * 1e3)),
            Units::Imperial => (length.si() / 0.0254, format!("{:.2}", length.si() / 0.0254)),
        }
    }

    /// A length in words with its unit.
    pub fn words(self, length: Metres) -> String {
        match self {
            Units::Metric => show_length(length),
            Units::Imperial => {
                let inches = length.si() / 0.0254;
                if inches < 36.0 {
                    format!("{inches:.2} in")
                } else {
                    format!("{:.0} ft {:.1} in", (inches / 12.0).floor(), inches % 12.0)
                }
            }
        }
    }
}
