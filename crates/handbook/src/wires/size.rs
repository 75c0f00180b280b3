//! Reading a wire size: the unit may stand in front, and only listed sizes will do.

use std::fmt;
use std::ops::Range;

use super::{AWG_SIZES, METRIC, WireGauge, WireSize, all_wires};
use crate::quantity::{ExpectedQuantity, Metres, QuantityError, QuantityKind, SquareMetres, parse, quoted, read};

impl fmt::Display for WireSize {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WireSize::Awg(number) => write!(formatter, "{number} AWG"),
            WireSize::Metric(hundredths) => {
                write!(formatter, "{} mm²", f64::from(*hundredths) / 100.0)
            }
            WireSize::Strands { count, micrometres } => {
                write!(formatter, "{count}/{}", f64::from(*micrometres) / 1000.0)
            }
        }
    }
}

/// The listed wire of the size written here; see [`super::wire`].
pub(super) fn listed_wire(text: &str) -> Result<&'static WireGauge, QuantityError> {
    let trimmed = text.trim_end();
    let start = trimmed.len() - trimmed.trim_start().len();
    let size = start..trimmed.len();
    let written = &trimmed[start..];
    if let Some(number) = strip_awg(written) {
        return awg(number, written, size);
    }
    // Anything else with an AWG in it has words around the size.
    if written.to_ascii_uppercase().contains("AWG") {
        let message = format!("{} is more than a wire size", quoted(written));
        return Err(WIRE_SIZE.error(size, message));
    }
    match read(text, WIRE_SIZE) {
        Ok(area) => metric(SquareMetres(area), written, size),
        Err(error) => Err(thickness(text, size).unwrap_or(error)),
    }
}

/// What to say of a wire whose size is written as a length: it may be meant as its area, or be its thickness.
fn thickness(text: &str, at: Range<usize>) -> Option<QuantityError> {
    let thick: Metres = parse(text).ok()?;
    let millimetres = thick.0 * 1e3;
    let area = std::f64::consts::PI / 4.0 * millimetres * millimetres;
    let near =
        all_wires().iter().min_by(|a, b| (a.diameter.0 - thick.0).abs().total_cmp(&(b.diameter.0 - thick.0).abs()))?;
    Some(QuantityError {
        at,
        message: format!("{} is a length, and may be the area of a wire or its thickness", quoted(text.trim())),
        hint: format!(
            "write `{} mm²` if it is the area; a wire so thick has {area:.2} mm², near to `{}`",
            figures(millimetres),
            near.label
        ),
    })
}

fn figures(value: f64) -> String {
    format!("{}", (value * 1e3).round() / 1e3)
}

/// A metric wire size is read as an area, under a name and with hints of its own.
const WIRE_SIZE: ExpectedQuantity = ExpectedQuantity {
    kind: QuantityKind::Area,
    called: "a wire size",
    units: &["AWG", "mm²", "mm2", "sq mm"],
    examples: "`16 AWG`, `2.5 mm²` or `24/0.2`",
};

/// The text without what says that it is an AWG size, in front or behind, whatever its letter case: `16 AWG`, `#16`, `16 ga`,
/// `18 gauge`; or nothing if there is none.
fn strip_awg(text: &str) -> Option<&str> {
    let lower = text.to_ascii_lowercase();
    let rest = |from: usize, to: usize| text.get(from..to).map(str::trim);
    if let Some(front) = ["awg", "#", "gauge"].iter().find(|mark| lower.starts_with(**mark)) {
        return rest(front.len(), text.len());
    }
    let behind = ["awg", "gauge", "ga.", "ga"].iter().find(|mark| lower.ends_with(**mark))?;
    rest(0, text.len() - behind.len())
}

fn awg(number: &str, written: &str, at: Range<usize>) -> Result<&'static WireGauge, QuantityError> {
    if number.is_empty() {
        return Err(WIRE_SIZE.error(at, "the number of the AWG size is missing".into()));
    }
    let plain = number.bytes().all(|digit| digit.is_ascii_digit());
    let size = number.parse().ok().filter(|_| plain).map(WireSize::Awg);
    size.and_then(|size| all_wires().iter().find(|wire| wire.size == size)).ok_or_else(|| {
        let (thick, thin) = (AWG_SIZES.start(), AWG_SIZES.end());
        let hint = format!("whole AWG sizes from {thick} to {thin} are listed, for example `16 AWG`");
        not_listed(written, at, hint)
    })
}

fn metric(area: SquareMetres, written: &str, at: Range<usize>) -> Result<&'static WireGauge, QuantityError> {
    let mut sizes = all_wires().iter().filter(|wire| matches!(wire.size, WireSize::Metric(_)));
    // The builder's number and ours went through different roundings.
    let same = |wire: &&WireGauge| (wire.area.0 - area.0).abs() < 1e-6 * wire.area.0;
    sizes.clone().find(same).ok_or_else(|| {
        let label = |wire: &WireGauge| format!("`{}`", wire.label);
        let below = sizes.clone().rfind(|wire| wire.area < area).map(label);
        let above = sizes.find(|wire| wire.area > area).map(label);
        let nearest: Vec<String> = below.into_iter().chain(above).collect();
        let all: Vec<String> = METRIC.iter().map(|row| (f64::from(row.hundredths) / 100.0).to_string()).collect();
        let listed = format!("listed are {} mm²", all.join(", "));
        not_listed(written, at, format!("nearest: {}; {listed}", nearest.join(" and ")))
    })
}

fn not_listed(written: &str, at: Range<usize>, hint: String) -> QuantityError {
    QuantityError { at, message: format!("{} is not a listed wire size", quoted(written)), hint }
}
