//! A turnout from its number: frog angle, and how far the frog is from the points.

use super::Scale;
use crate::quantity::{Metres, Radians};
use crate::spread::{Sourced, Spread};

/// Where [`turnout_lead`] comes from.
pub const TURNOUT_LEAD_SOURCE: &str = "estimate from NMRA RP-12.7 (N scale leads), in proportion to gauge and number";

/// How far a throwbar moves from one position to the other: gauge less the width over open points for HO, which OO of the
/// same gauge shares. None for scales without a value at hand.
pub fn throw(scale: &Scale) -> Option<Sourced<Metres>> {
    match scale.name {
        "HO" => {
            Some(Sourced::new(Metres::from_inches(0.063), "NMRA S-3.2 (2010), HO: gauge .651 in less points .588 in"))
        }
        "OO" | "On30" => {
            Some(Sourced::new(Metres::from_inches(0.063), "our own default: as HO of the same gauge, NMRA S-3.2"))
        }
        "HOe" | "OO9" => Some(Sourced::new(Metres::from_millimetres(1.2), OTHER_SCALES)),
        "N" => Some(Sourced::new(Metres::from_millimetres(1.2), "NEM, no number given, confirm")),
        "O" => Some(Sourced::new(Metres::from_millimetres(3.2), OTHER_SCALES)),
        "S" => Some(Sourced::new(Metres::from_millimetres(2.2), OTHER_SCALES)),
        "TT" | "HOm" | "HOn3" => Some(Sourced::new(Metres::from_millimetres(1.4), OTHER_SCALES)),
        "Z" => Some(Sourced::new(Metres::from_millimetres(0.9), OTHER_SCALES)),
        _ => None,
    }
}

const OTHER_SCALES: &str = "from memory, confirm: wide open points of ready-made turnouts";

/// Angle of a frog of this number: `N = ½·cot(θ/2)` (NMRA RP-12). Makers' numbers differ, a measured angle is better.
pub fn frog_angle(number: f64) -> Radians {
    Radians(2.0 * (0.5 / number).atan())
}

/// Number of a frog of this angle, the inverse of [`frog_angle`].
pub fn frog_number(angle: Radians) -> f64 {
    0.5 / (angle.0 / 2.0).tan()
}

/// Angle of a frog given the continental way as `1:n`: `1/n = tan θ`.
pub fn continental_frog_angle(n: f64) -> Radians {
    Radians((1.0 / n).atan())
}

/// Distance from the frog point back to where the centre lines of the two roads meet: gauge × number (NMRA RP-12).
pub fn frog_to_centre_lines(scale: &Scale, number: f64) -> Metres {
    Metres(scale.gauge.value.0 * number)
}

/// Distance from the frog point to where straight legs are as far apart as parallel tracks of the scale: what stands
/// beyond is clear of the other leg. `C/(2·sin(θ/2)) − N·G`, with the track centres `C`, the frog's angle `θ` and number
/// `N`, and the gauge `G`; from the geometry of two straight centre lines.
pub fn fouling_from_frog(scale: &Scale, number: f64) -> Metres {
    let from_centre_lines = scale.track_centres.value.0 / (2.0 * (frog_angle(number).0 / 2.0).sin());
    Metres(from_centre_lines - frog_to_centre_lines(scale, number).0)
}

/// NMRA RP-12.7, N scale: frog number and lead (points to frog) in inches.
const LEADS: [(f64, f64); 4] = [(4.0, 2.657), (5.0, 2.971), (6.0, 3.256), (7.0, 4.514)];

/// Gauge those leads were drawn for, in inches: N scale, 9 mm.
const LEAD_GAUGE: f64 = 9.0 / 25.4;

/// Lead (distance from the points to the frog) of a turnout of this number: an estimate.
///
/// The four N scale leads of NMRA RP-12.7 are taken as lead ÷ (gauge × number) and that ratio is used at every gauge:
/// `typical` with the ratio interpolated at this number (beyond 4 and 7 the nearest), `low` and `high` with the least
/// and the greatest ratio of the table. Not a number if the frog number is none.
pub fn turnout_lead(scale: &Scale, number: f64) -> Spread<Metres> {
    let ratios = LEADS.map(|(number, lead)| (number, lead / (LEAD_GAUGE * number)));
    let least = ratios.iter().fold(f64::INFINITY, |least, row| least.min(row.1));
    let most = ratios.iter().fold(0.0, |most: f64, row| most.max(row.1));
    let unit = scale.gauge.value.0 * number;
    Spread::new(least, interpolated(&ratios, number), most).map(|ratio| Metres(ratio * unit))
}

fn interpolated(rows: &[(f64, f64); 4], at: f64) -> f64 {
    let [first, .., last] = rows;
    if at <= first.0 {
        return first.1;
    }
    for pair in rows.windows(2) {
        let ((from, low), (to, high)) = (pair[0], pair[1]);
        if at <= to {
            return low + (high - low) * (at - from) / (to - from);
        }
    }
    last.1
}
