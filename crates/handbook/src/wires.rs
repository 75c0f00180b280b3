//! Wires: sizes, resistances, and what they carry.
//!
//! An AWG size is a diameter; a metric size is a greatest resistance (IEC 60228), and its area is only a name.

mod copper;
mod inductance;
mod size;
mod strands;

use std::sync::LazyLock;

pub use copper::{
    ADIABATIC_LIMIT, COPPER_RESISTIVITY, COPPER_TEMPERATURE_COEFFICIENT, adiabatic_k, adiabatic_withstand_seconds,
    awg_area, awg_diameter, copper_resistance_at, onderdonk_fusing_current, preece_fusing_current,
};
pub use inductance::{
    MU_0, WITHIN_THE_COPPER, insulation_wall, pair_inductance_band, pair_inductance_per_metre,
    twisted_inductance_per_metre,
};

use crate::PRACTICE;
use crate::quantity::{Amps, Metres, OhmsPerMetre, QuantityError, SquareMetres};
use crate::spread::{Sourced, Spread};

/// The name of a wire size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WireSize {
    /// American wire gauge, 4 (thick) to 36 (thin).
    Awg(i8),
    /// A metric size in hundredths of a square millimetre, one of those listed here: 250 for 2.5 mm².
    Metric(u16),
    /// So many strands of a diameter in micrometres: 24 of 200 for `24/0.2`.
    Strands {
        /// How many.
        count: u16,
        /// How thick each is.
        micrometres: u16,
    },
}

impl WireSize {
    /// Whether two sizes are of one system: both American, or both metric.
    pub fn same_system(self, other: WireSize) -> bool {
        matches!(self, WireSize::Awg(_)) == matches!(other, WireSize::Awg(_))
    }

    /// Whether shops have it: odd AWG numbers are hardly sold. Common practice, no source.
    pub fn is_sold(self) -> bool {
        !matches!(self, WireSize::Awg(number) if number % 2 != 0)
    }
}

/// A wire size and what the handbook knows of it. Everything is for one conductor of copper.
#[derive(Debug, Clone, PartialEq)]
pub struct WireGauge {
    /// Its size.
    pub size: WireSize,
    /// Its size as people write it: "16 AWG", "2.5 mm²".
    pub label: String,
    /// Diameter of a solid conductor of this size; a stranded one is thicker.
    pub diameter: Metres,
    /// Copper area; for a metric size the nominal one.
    pub area: SquareMetres,
    /// Resistance of one conductor at 20 °C. AWG: low and typical solid, high stranded. Metric: typical and high the
    /// greatest a flexible (class 5) conductor may have, low the greatest a solid or stranded (class 1-2) one may have.
    pub resistance_per_metre: Spread<OhmsPerMetre>,
    /// Where size and resistance come from.
    pub source: &'static str,
    /// Largest overcurrent device that may stand before it, where a code says so.
    pub overcurrent_limit: Option<Sourced<Amps>>,
    /// What a single wire in free air carries, as the trade calculates.
    pub chassis_current: Option<Sourced<Amps>>,
}

/// The wire of this size, written `16 AWG`, `AWG 16`, `2.5 mm²`, `2.5 mm2`, `2.5 sq mm`, or by its strands: `24/0.2`.
///
/// # Errors
/// If the text is no wire size, or one that is not listed; the hint then names the nearest sizes that are.
pub fn wire(size_text: &str) -> Result<WireGauge, QuantityError> {
    let trimmed = size_text.trim();
    let start = size_text.len() - size_text.trim_start().len();
    match strands::strands(trimmed, start..start + trimmed.len()) {
        Some(by_strands) => by_strands,
        None => size::listed_wire(size_text).cloned(),
    }
}

/// Every listed wire: AWG from thick to thin, then metric from thin to thick.
pub fn all_wires() -> &'static [WireGauge] {
    static WIRES: LazyLock<Vec<WireGauge>> =
        LazyLock::new(|| AWG_SIZES.map(awg_wire).chain(METRIC.iter().map(metric_wire)).collect());
    &WIRES
}

/// The listed AWG sizes.
const AWG_SIZES: std::ops::RangeInclusive<i8> = 4..=36;

/// One metric size: hundredths of mm², greatest Ω/km at 20 °C.
struct MetricRow {
    hundredths: u16,
    /// Class 1-2, solid or stranded.
    stiff: f64,
    /// Class 5, flexible.
    flexible: f64,
    source: &'static str,
}

const IEC: &str = "IEC 60228 greatest resistance, class 1-2 and class 5 plain";
const BELOW_IEC: &str =
    "from memory, confirm: conservative flexible value; low computed from 1.7241e-8 Ω·m over the nominal area";

const fn metric(hundredths: u16, stiff: f64, flexible: f64) -> MetricRow {
    MetricRow { hundredths, stiff, flexible, source: IEC }
}

/// A size below the standard: only a flexible value is at hand, so pure copper over the nominal area bounds it below.
const fn small_metric(hundredths: u16, flexible: f64) -> MetricRow {
    let stiff = COPPER_RESISTIVITY * 1e9 / (hundredths as f64 / 100.0);
    MetricRow { hundredths, stiff, flexible, source: BELOW_IEC }
}

const METRIC: [MetricRow; 10] = [
    small_metric(14, 138.0),
    small_metric(25, 79.0),
    small_metric(34, 57.0),
    metric(50, 36.0, 39.0),
    metric(75, 24.5, 26.0),
    metric(100, 18.1, 19.5),
    metric(150, 12.1, 13.3),
    metric(250, 7.41, 7.98),
    metric(400, 4.61, 4.95),
    metric(600, 3.08, 3.30),
];

/// How much more a stranded AWG conductor has than a solid one: NEC chapter 9 table 8 gives 1.8 to 2.6 %.
const STRANDED_OVER_SOLID: f64 = 1.03;

const AWG_SOURCE: &str = "ASTM B258 diameter, annealed copper (100 % IACS); high: stranded, NEC chapter 9 table 8";

/// NEC 240.4(D): AWG size, amps.
const OVERCURRENT: [(i8, f64); 5] = [(18, 7.0), (16, 10.0), (14, 15.0), (12, 20.0), (10, 30.0)];

/// Chassis wiring in free air, common practice without a source: AWG size, amps.
const CHASSIS: [(i8, f64); 11] = [
    (10, 55.0),
    (12, 41.0),
    (14, 32.0),
    (16, 22.0),
    (18, 16.0),
    (20, 11.0),
    (22, 7.0),
    (24, 3.5),
    (26, 2.2),
    (28, 1.4),
    (30, 0.86),
];

fn awg_wire(number: i8) -> WireGauge {
    let diameter = awg_diameter(number);
    let area = awg_area(number);
    let solid = COPPER_RESISTIVITY / area.0;
    let amps = |table: &[(i8, f64)], source| {
        table.iter().find(|row| row.0 == number).map(|row| Sourced::new(Amps(row.1), source))
    };
    let size = WireSize::Awg(number);
    WireGauge {
        size,
        label: size.to_string(),
        diameter,
        area,
        resistance_per_metre: Spread::new(solid, solid, solid * STRANDED_OVER_SOLID).map(OhmsPerMetre),
        source: AWG_SOURCE,
        overcurrent_limit: amps(&OVERCURRENT, "NEC 240.4(D)"),
        chassis_current: amps(&CHASSIS, PRACTICE),
    }
}

fn metric_wire(row: &MetricRow) -> WireGauge {
    let area = SquareMetres::from_square_millimetres(f64::from(row.hundredths) / 100.0);
    let size = WireSize::Metric(row.hundredths);
    WireGauge {
        size,
        label: size.to_string(),
        diameter: Metres((area.0 / std::f64::consts::FRAC_PI_4).sqrt()),
        area,
        resistance_per_metre: Spread::new(row.stiff, row.flexible, row.flexible).map(OhmsPerMetre::from_milliohms),
        source: row.source,
        overcurrent_limit: None,
        chassis_current: None,
    }
}
