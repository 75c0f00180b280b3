//! Rails: sections and resistances.
//!
//! The standard gives height, base and head but no web, so areas and stiffness are estimates; and the alloys sold as
//! nickel silver differ by a factor of two. A measured value in the plan beats everything here.

use crate::quantity::{Metres, OhmsPerMetre, SquareMetres};
use crate::same_name;
use crate::spread::Spread;

/// A rail and what the handbook knows of it.
#[derive(Debug, Clone, PartialEq)]
pub struct RailProfile {
    /// Its name: "code 100 nickel silver". The code is the height in thousandths of an inch.
    pub name: &'static str,
    /// Its metal, a name in [`crate::materials::rail_metals`].
    pub metal: &'static str,
    /// Height.
    pub height: Metres,
    /// Width of the foot.
    pub base_width: Metres,
    /// Width of the head.
    pub head_width: Metres,
    /// Where height and widths come from.
    pub section_source: &'static str,
    /// Area of the section.
    pub area: Spread<SquareMetres>,
    /// Second moment of area against bending sideways, in m⁴; typical is the middle of the band.
    pub lateral_second_moment: Spread<f64>,
    /// Where area and second moment come from.
    pub estimate_source: &'static str,
    /// Resistance of one rail.
    pub resistance_per_metre: Spread<OhmsPerMetre>,
    /// Where the resistance comes from.
    pub resistance_source: &'static str,
}

/// The rail of this name; letter case and the number of spaces do not matter. Nothing if it is not listed.
pub fn rail(name: &str) -> Option<&'static RailProfile> {
    RAILS.iter().find(|rail| same_name(rail.name, name))
}

/// Every listed rail, heaviest first.
pub fn rails() -> &'static [RailProfile] {
    &RAILS
}

/// The rail to calculate with in a scale where the plan names none: the commonest of ready-made track.
/// Common practice, no source.
pub fn default_rail(scale: &str) -> &'static RailProfile {
    let place = match scale {
        "N" => 3,
        "Z" => 4,
        "TT" => 1,
        _ => 0,
    };
    &RAILS[place]
}

const SECTION: &str = "NMRA RP-15.1";
const ESTIMATE: &str = "computed from the NMRA RP-15.1 outline with web and fillets estimated";
const NICKEL_SILVER: &str =
    "our own default around measured rails (common practice, no source); high: 5.5 % IACS (alloy data sheet C77000)";
const BRASS: &str =
    "measured rail (common practice, no source); high: 28 % IACS (alloy data sheet C26000) over the typical area";

/// Height, base and head in inches.
type Outline = [f64; 3];

/// What is the same for all rails of one code, whatever the metal.
struct RailSection {
    outline: Outline,
    /// mm², low, middle, high.
    area: [f64; 3],
    /// mm⁴, low, high.
    second_moment: [f64; 2],
}

const CODE_100: RailSection =
    RailSection { outline: [0.100, 0.090, 0.045], area: [1.97, 2.22, 2.85], second_moment: [0.34, 0.47] };
const CODE_83: RailSection =
    RailSection { outline: [0.083, 0.080, 0.040], area: [1.50, 1.68, 2.15], second_moment: [0.21, 0.30] };
const CODE_70: RailSection =
    RailSection { outline: [0.070, 0.070, 0.035], area: [1.12, 1.25, 1.60], second_moment: [0.125, 0.172] };
const CODE_55: RailSection =
    RailSection { outline: [0.055, 0.055, 0.028], area: [0.71, 0.79, 1.00], second_moment: [0.048, 0.066] };
const CODE_40: RailSection =
    RailSection { outline: [0.040, 0.040, 0.020], area: [0.37, 0.41, 0.52], second_moment: [0.013, 0.018] };

/// `resistance` in mΩ/m: low, typical, high.
const fn described(
    name: &'static str,
    metal: &'static str,
    section: &RailSection,
    resistance: [f64; 3],
    resistance_source: &'static str,
) -> RailProfile {
    let [height, base, head] = section.outline;
    let [least, middle, most] = section.area;
    let [weak, stiff] = section.second_moment;
    RailProfile {
        name,
        metal,
        height: Metres::from_inches(height),
        base_width: Metres::from_inches(base),
        head_width: Metres::from_inches(head),
        section_source: SECTION,
        area: Spread::new(
            SquareMetres::from_square_millimetres(least),
            SquareMetres::from_square_millimetres(middle),
            SquareMetres::from_square_millimetres(most),
        ),
        lateral_second_moment: Spread::new(weak / 1e12, (weak + stiff) / 2e12, stiff / 1e12),
        estimate_source: ESTIMATE,
        resistance_per_metre: Spread::new(
            OhmsPerMetre::from_milliohms(resistance[0]),
            OhmsPerMetre::from_milliohms(resistance[1]),
            OhmsPerMetre::from_milliohms(resistance[2]),
        ),
        resistance_source,
    }
}

const fn nickel_silver(name: &'static str, section: &RailSection, resistance: [f64; 3]) -> RailProfile {
    described(name, "nickel silver", section, resistance, NICKEL_SILVER)
}

static RAILS: [RailProfile; 6] = [
    nickel_silver("code 100 nickel silver", &CODE_100, [57.0, 80.0, 146.0]),
    nickel_silver("code 83 nickel silver", &CODE_83, [87.0, 110.0, 192.0]),
    nickel_silver("code 70 nickel silver", &CODE_70, [116.0, 180.0, 257.0]),
    nickel_silver("code 55 nickel silver", &CODE_55, [186.0, 280.0, 407.0]),
    nickel_silver("code 40 nickel silver", &CODE_40, [357.0, 520.0, 780.0]),
    // 17.241 nΩ·m / 0.28 over 2.22 mm² is 27.7 mΩ/m: what a data sheet gives where the one measured rail gives 19.
    described("code 100 brass", "brass", &CODE_100, [19.0, 19.0, 27.7], BRASS),
];
