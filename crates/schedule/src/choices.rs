//! What a builder chooses about their papers.

pub use handbook::quantity::Units;
use plan::Plan;

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

/// Where the colours of wires come from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ColourChoice {
    /// The plan's own code; what it does not say gets a colour of ours.
    #[default]
    Plan,
    /// NEM 605.
    Nem605,
}

impl Choices {
    /// The units of a plan, and the paper that goes with them.
    pub fn usual(plan: &Plan) -> Choices {
        let units = plan.units();
        Choices { page: PageSize::usual(units), units, ..Choices::default() }
    }
}

impl PageSize {
    /// The paper that is sold where one measures so.
    pub fn usual(units: Units) -> PageSize {
        match units {
            Units::Metric => PageSize::A4,
            Units::Imperial => PageSize::Letter,
        }
    }

    /// Width and height in millimetres.
    pub fn millimetres(self) -> [f64; 2] {
        match self {
            PageSize::A4 => [210.0, 297.0],
            PageSize::Letter => [215.9, 279.4],
        }
    }
}

/// A length in the unit of short lengths: its value and as it is shown, to the millimetre or a hundredth of an inch.
pub(crate) fn in_short_units(units: Units, metres: f64) -> (f64, String) {
    let value = units.in_short(metres);
    match units {
        Units::Metric => (value, format!("{value:.0}")),
        Units::Imperial => (value, format!("{value:.2}")),
    }
}
