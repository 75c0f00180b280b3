//! Stranded wire by its strands: `24/0.2` is 24 strands of 0.2 mm, as metric wire is sold in the trade.
//!
//! The notation is common practice, no source. What it comes to is geometry and copper: `n·π/4·d²` of copper.

use super::{COPPER_RESISTIVITY, WireGauge, WireSize};
use crate::quantity::{Metres, OhmsPerMetre, QuantityError, SquareMetres, quoted};
use crate::spread::Spread;
use std::ops::Range;

/// How much more a bundle of strands has than its copper laid straight: NEC chapter 9 table 8 gives 1.8 to 2.6 %.
const LAY: f64 = 1.03;
/// How much more IEC 60228 lets a conductor of class 5 (thin strands) have than the copper of its strands: 26.0 mΩ/m for 0.75 mm²,
/// which is sold as 24/0.2, and much the same for its neighbours.
const MOST_STRANDED: f64 = 1.138;
/// The same of class 1, one solid wire: 36.0 mΩ/m for 0.5 mm².
const MOST_SOLID: f64 = 1.05;

const SOURCE: &str = "strands as common practice writes them, no source; annealed copper (100 % IACS); high: as IEC 60228 lets class 5 (one strand: class 1)";

/// Wire of so many strands of a diameter, if the text is of that form.
pub(super) fn strands(written: &str, at: Range<usize>) -> Option<Result<WireGauge, QuantityError>> {
    let (count, diameter) = written.split_once('/')?;
    let diameter = diameter.trim();
    // Behind the diameter may stand its unit; 24/0.2 is understood without.
    let diameter = diameter.strip_suffix("mm").map_or(diameter, str::trim_end);
    let plain = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let count = count.trim();
    let number = count.parse::<u16>().ok().filter(|_| plain(count));
    let millimetres = diameter.parse::<f64>().ok().filter(|_| plain(diameter));
    let (Some(count), Some(millimetres)) = (number, millimetres) else {
        return Some(Err(QuantityError {
            at,
            message: format!("{} is not a number of strands and their diameter", quoted(written)),
            hint: "24 strands of 0.2 mm are written `24/0.2`; a fraction of a square millimetre as `0.75 mm²`".into(),
        }));
    };
    let micrometres = (millimetres * 1000.0).round();
    let wire = (1..=2000).contains(&count) && (30.0..=5000.0).contains(&micrometres);
    let found = wire.then(|| wire_of(count, micrometres as u16)).filter(|w| {
        let area = w.area.0 * 1e6;
        (0.01..=25.0).contains(&area)
    });
    Some(found.ok_or_else(|| QuantityError {
        at,
        message: format!("{} is no wire that is sold", quoted(written)),
        hint: "strands are from 0.03 mm thick, and all of them together from 0.01 mm² to 25 mm²; such as `7/0.2` or `24/0.2`"
            .into(),
    }))
}

fn wire_of(count: u16, micrometres: u16) -> WireGauge {
    let strand = f64::from(micrometres) * 1e-6;
    let area = SquareMetres(f64::from(count) * std::f64::consts::FRAC_PI_4 * strand * strand);
    let copper = COPPER_RESISTIVITY / area.0;
    let (typical, high) =
        if count == 1 { (copper, copper * MOST_SOLID) } else { (copper * LAY, copper * MOST_STRANDED) };
    let size = WireSize::Strands { count, micrometres };
    WireGauge {
        size,
        label: size.to_string(),
        diameter: Metres((area.0 / std::f64::consts::FRAC_PI_4).sqrt()),
        area,
        resistance_per_metre: Spread::new(copper, typical, high).map(OhmsPerMetre),
        source: SOURCE,
        overcurrent_limit: None,
        chassis_current: None,
    }
}
