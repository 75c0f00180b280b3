//! The rows of the table of rails.

use super::RailProfile;
use crate::quantity::{Metres, OhmsPerMetre, SquareMetres};
use crate::spread::Spread;

const SECTION: &str = "NMRA RP-15.1";
const ESTIMATE: &str = "computed from the NMRA RP-15.1 outline with web and fillets estimated";
const FROM_MEMORY: &str =
    "from memory, confirm: height by its code, the rest in proportion to the sizes of NMRA RP-15.1";
const NICKEL_SILVER: &str =
    "our own default around measured rails (common practice, no source); high: 5.5 % IACS (alloy data sheet C77000)";
const BRASS: &str =
    "measured rail (common practice, no source); high: 28 % IACS (alloy data sheet C26000) over the typical area";
const BRASS_IN_PROPORTION: &str = "computed: that of code 100 brass in proportion to the typical areas";
const STEEL: &str =
    "from memory, confirm: mild steel of 0.1 to 0.18 µΩ·m for a direct current; its skin has more for the track signal";

/// Height, base and head in inches.
type Outline = [f64; 3];

/// What is the same for all rails of one code, whatever the metal.
struct RailSection {
    outline: Outline,
    /// mm², low, middle, high.
    area: [f64; 3],
    /// mm⁴, low, high.
    second_moment: [f64; 2],
    /// Whether outline and what follows from it are from memory, in proportion to the sizes of the standard.
    remembered: bool,
}

const CODE_148: RailSection = RailSection {
    outline: [0.148, 0.137, 0.065],
    area: [4.0, 4.52, 5.8],
    second_moment: [1.60, 2.25],
    remembered: true,
};
const CODE_125: RailSection = RailSection {
    outline: [0.125, 0.110, 0.055],
    area: [2.95, 3.33, 4.25],
    second_moment: [0.76, 1.05],
    remembered: true,
};
const CODE_100: RailSection = RailSection {
    outline: [0.100, 0.090, 0.045],
    area: [1.97, 2.22, 2.85],
    second_moment: [0.34, 0.47],
    remembered: false,
};
const CODE_83: RailSection = RailSection {
    outline: [0.083, 0.080, 0.040],
    area: [1.50, 1.68, 2.15],
    second_moment: [0.21, 0.30],
    remembered: false,
};
const CODE_80: RailSection = RailSection {
    outline: [0.080, 0.078, 0.039],
    area: [1.40, 1.57, 2.01],
    second_moment: [0.18, 0.26],
    remembered: true,
};
const CODE_75: RailSection = RailSection {
    outline: [0.075, 0.074, 0.037],
    area: [1.25, 1.39, 1.78],
    second_moment: [0.15, 0.21],
    remembered: true,
};
const CODE_70: RailSection = RailSection {
    outline: [0.070, 0.070, 0.035],
    area: [1.12, 1.25, 1.60],
    second_moment: [0.125, 0.172],
    remembered: false,
};
const CODE_55: RailSection = RailSection {
    outline: [0.055, 0.055, 0.028],
    area: [0.71, 0.79, 1.00],
    second_moment: [0.048, 0.066],
    remembered: false,
};
const CODE_40: RailSection = RailSection {
    outline: [0.040, 0.040, 0.020],
    area: [0.37, 0.41, 0.52],
    second_moment: [0.013, 0.018],
    remembered: false,
};

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
        section_source: if section.remembered { FROM_MEMORY } else { SECTION },
        area: Spread::new(
            SquareMetres::from_square_millimetres(least),
            SquareMetres::from_square_millimetres(middle),
            SquareMetres::from_square_millimetres(most),
        ),
        lateral_second_moment: Spread::new(weak / 1e12, (weak + stiff) / 2e12, stiff / 1e12),
        estimate_source: if section.remembered { FROM_MEMORY } else { ESTIMATE },
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

pub(super) static RAILS: [RailProfile; 12] = [
    nickel_silver("code 148 nickel silver", &CODE_148, [28.0, 39.0, 70.0]),
    nickel_silver("code 125 nickel silver", &CODE_125, [38.0, 53.0, 96.0]),
    nickel_silver("code 100 nickel silver", &CODE_100, [57.0, 80.0, 146.0]),
    nickel_silver("code 83 nickel silver", &CODE_83, [87.0, 110.0, 192.0]),
    nickel_silver("code 80 nickel silver", &CODE_80, [92.0, 117.0, 200.0]),
    nickel_silver("code 75 nickel silver", &CODE_75, [102.0, 148.0, 226.0]),
    nickel_silver("code 70 nickel silver", &CODE_70, [116.0, 180.0, 257.0]),
    nickel_silver("code 55 nickel silver", &CODE_55, [186.0, 280.0, 407.0]),
    nickel_silver("code 40 nickel silver", &CODE_40, [357.0, 520.0, 780.0]),
    // 17.241 nΩ·m / 0.28 over 2.22 mm² is 27.7 mΩ/m: what a data sheet gives where the one measured rail gives 19.
    described("code 100 brass", "brass", &CODE_100, [19.0, 19.0, 27.7], BRASS),
    described("code 83 brass", "brass", &CODE_83, [25.0, 25.0, 36.6], BRASS_IN_PROPORTION),
    described("code 100 steel", "steel", &CODE_100, [45.0, 65.0, 82.0], STEEL),
];
