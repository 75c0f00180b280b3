//! What track lies on and what it is made of: how it grows with warmth and damp.
//!
//! Expansions are per kelvin, growth with damp is per 10 % of relative humidity, both as parts of the length.

mod wood;

pub use wood::{MOISTURE_TABLE, equilibrium_moisture_content};

use crate::quantity::Fraction;
use crate::spread::{Sourced, Spread};
use crate::{MEMORY, same_name};

/// What the track lies on.
#[derive(Debug, Clone, PartialEq)]
pub struct BaseMaterial {
    /// Its name: "birch plywood".
    pub name: &'static str,
    /// Other names it goes by.
    pub aliases: &'static [&'static str],
    /// Growth per kelvin, in parts of the length.
    pub thermal_expansion: Sourced<Spread<f64>>,
    /// Growth per 10 % of relative humidity, as a part of the length.
    pub growth_per_ten_percent_humidity: Sourced<Spread<Fraction>>,
}

impl BaseMaterial {
    /// Whether it is wood that lies across the track: no rail can follow what damp does to it.
    pub fn is_across_grain(&self) -> bool {
        self.name.ends_with("across grain")
    }
}

/// What rails are made of.
#[derive(Debug, Clone, PartialEq)]
pub struct RailMetal {
    /// Its name: "nickel silver".
    pub name: &'static str,
    /// Growth per kelvin, in parts of the length.
    pub thermal_expansion: Sourced<Spread<f64>>,
    /// Young's modulus in pascals.
    pub elasticity: Sourced<Spread<f64>>,
    /// Conductivity as a part of that of annealed copper (IACS), where one is at hand.
    pub conductivity: Option<Sourced<Spread<Fraction>>>,
    /// How much its resistance grows per kelvin, of its value at 20 °C.
    pub resistance_per_kelvin: Sourced<f64>,
}

/// The base material of this name or alias; letter case and the number of spaces do not matter.
pub fn base_material(name: &str) -> Option<&'static BaseMaterial> {
    BASES.iter().find(|base| same_name(base.name, name) || base.aliases.iter().any(|alias| same_name(alias, name)))
}

/// Every listed base material.
pub fn base_materials() -> &'static [BaseMaterial] {
    &BASES
}

/// The rail metal of this name; letter case and the number of spaces do not matter.
pub fn rail_metal(name: &str) -> Option<&'static RailMetal> {
    RAIL_METALS.iter().find(|metal| same_name(metal.name, name))
}

/// Every listed rail metal.
pub fn rail_metals() -> &'static [RailMetal] {
    &RAIL_METALS
}

/// `per_million`: low, typical, high in 10⁻⁶ per kelvin.
const fn expansion(per_million: [f64; 3], source: &'static str) -> Sourced<Spread<f64>> {
    let [low, typical, high] = per_million;
    Sourced::new(Spread::new(low / 1e6, typical / 1e6, high / 1e6), source)
}

/// What grows by this many mm per metre from 35 to 65 % RH, as growth per 10 % RH. No two boards are alike and the
/// sources give no band; half as much either way is our own default.
const fn from_35_to_65(millimetres_per_metre: f64, source: &'static str) -> Sourced<Spread<Fraction>> {
    let typical = millimetres_per_metre / 1000.0 / 3.0;
    Sourced::new(Spread::new(Fraction(0.5 * typical), Fraction(typical), Fraction(1.5 * typical)), source)
}

const PLYWOOD_DAMP: &str = "0.02 % per 10 % RH in the plane, second hand, confirm; band our own default";
const PANEL_DAMP: &str = "1 part in 1,000 from 35 to 65 % RH, after EWPAA facts (as much from 9 to 12 % moisture content); \
                          band our own default";
const PANEL_WARMTH: &str = "our own default: as plywood, no value at hand";
const ALONG_DAMP: &str = "0.25 parts in 1,000 from 35 to 65 % RH, no source given, confirm; band our own default";
const ACROSS_DAMP: &str = "pine, tangential: 10.7 parts in 1,000 from 35 to 65 % RH, no source given, confirm; \
                           band our own default";
const FIR: &str = "fir, from memory, confirm";
const FOAM_DAMP: &str = "foam does not grow with damp; no source given";
const NO_SOURCE: &str = "no source given, confirm";

/// What wood takes up from 35 to 65 % RH at 20 °C, in per cent of its dry mass: Wood Handbook FPL-GTR-282 eq. 4-5.
pub const MOISTURE_FROM_35_TO_65: f64 = 5.033;

const TABLE_13_5: &str = "Wood Handbook FPL-GTR-282 Table 13-5, radial to tangential, with the moisture of its eq. 4-5";

/// A board of solid wood, across its grain: growth in parts for each per cent of moisture, radial and tangential. A board is
/// sawn somewhere between the two.
const fn across_grain(name: &'static str, radial: f64, tangential: f64) -> BaseMaterial {
    let per_ten = MOISTURE_FROM_35_TO_65 / 3.0;
    let band = Spread::new(
        Fraction(radial * per_ten),
        Fraction(0.5 * (radial + tangential) * per_ten),
        Fraction(tangential * per_ten),
    );
    BaseMaterial {
        name,
        aliases: &[],
        thermal_expansion: expansion([25.0, 29.5, 34.0], FIR),
        growth_per_ten_percent_humidity: Sourced::new(band, TABLE_13_5),
    }
}

const TABLE_13_5_REMEMBERED: &str = "Wood Handbook FPL-GTR-282 Table 13-5, from memory, confirm, radial to tangential, with the moisture of its eq. 4-5";

/// A row of the table that was written down from memory.
const fn remembered_hardwood(name: &'static str, radial: f64, tangential: f64) -> BaseMaterial {
    let mut wood = across_grain(name, radial, tangential);
    wood.growth_per_ten_percent_humidity.source = TABLE_13_5_REMEMBERED;
    wood
}

static BASES: [BaseMaterial; 25] = [
    BaseMaterial {
        name: "birch plywood",
        aliases: &["plywood"],
        thermal_expansion: expansion([6.1, 6.1, 6.1], MEMORY),
        growth_per_ten_percent_humidity: from_35_to_65(0.6, PLYWOOD_DAMP),
    },
    BaseMaterial {
        name: "MDF",
        aliases: &[],
        thermal_expansion: expansion([6.1, 6.1, 6.1], PANEL_WARMTH),
        growth_per_ten_percent_humidity: from_35_to_65(1.0, PANEL_DAMP),
    },
    BaseMaterial {
        name: "particle board",
        aliases: &["particleboard", "chipboard"],
        thermal_expansion: expansion([6.1, 6.1, 6.1], PANEL_WARMTH),
        growth_per_ten_percent_humidity: from_35_to_65(1.0, PANEL_DAMP),
    },
    BaseMaterial {
        name: "softwood along grain",
        aliases: &["softwood along the grain"],
        thermal_expansion: expansion([3.8, 4.45, 5.1], FIR),
        growth_per_ten_percent_humidity: from_35_to_65(0.25, ALONG_DAMP),
    },
    BaseMaterial {
        name: "softwood across grain",
        aliases: &["softwood across the grain"],
        thermal_expansion: expansion([25.0, 29.5, 34.0], FIR),
        growth_per_ten_percent_humidity: from_35_to_65(10.7, ACROSS_DAMP),
    },
    BaseMaterial {
        name: "XPS foam",
        aliases: &["XPS"],
        thermal_expansion: expansion([63.0, 63.0, 63.0], MEMORY),
        growth_per_ten_percent_humidity: from_35_to_65(0.0, FOAM_DAMP),
    },
    BaseMaterial {
        name: "EPS foam",
        aliases: &["EPS"],
        thermal_expansion: expansion([63.0, 63.0, 63.0], MEMORY),
        growth_per_ten_percent_humidity: from_35_to_65(0.0, FOAM_DAMP),
    },
    remembered_hardwood("yellow-poplar across grain", 0.00158, 0.00289),
    remembered_hardwood("hard hickory across grain", 0.00259, 0.00411),
    remembered_hardwood("black cherry across grain", 0.00126, 0.00248),
    remembered_hardwood("soft maple across grain", 0.00137, 0.00289),
    remembered_hardwood("American elm across grain", 0.00144, 0.00338),
    remembered_hardwood("sweetgum across grain", 0.00183, 0.00365),
    remembered_hardwood("black ash across grain", 0.00172, 0.00274),
    remembered_hardwood("quaking aspen across grain", 0.00119, 0.00234),
    remembered_hardwood("cottonwood across grain", 0.00133, 0.00327),
    remembered_hardwood("sycamore across grain", 0.00172, 0.00296),
    across_grain("red oak across grain", 0.00158, 0.00369),
    across_grain("white oak across grain", 0.00180, 0.00365),
    across_grain("sugar maple across grain", 0.00165, 0.00353),
    across_grain("beech across grain", 0.00190, 0.00431),
    across_grain("white ash across grain", 0.00169, 0.00274),
    across_grain("basswood across grain", 0.00230, 0.00330),
    across_grain("yellow birch across grain", 0.00256, 0.00338),
    across_grain("black walnut across grain", 0.00190, 0.00274),
];

static RAIL_METALS: [RailMetal; 3] = [
    RailMetal {
        name: "nickel silver",
        thermal_expansion: expansion([16.0, 16.5, 18.5], "our own default around C77000 16.7 (alloy data sheet)"),
        elasticity: Sourced::new(Spread::new(117e9, 121e9, 125e9), NO_SOURCE),
        // C77000 5.5, C74500 9.0; typical is C75200, from memory.
        conductivity: Some(Sourced::new(
            Spread::new(Fraction(0.055), Fraction(0.06), Fraction(0.09)),
            "alloy data sheets: low C77000, high C74500; typical C75200, from memory, confirm",
        )),
        resistance_per_kelvin: Sourced::new(0.0003, MEMORY),
    },
    RailMetal {
        name: "brass",
        thermal_expansion: expansion([19.9, 19.9, 19.9], MEMORY),
        elasticity: Sourced::new(Spread::exactly(110e9), NO_SOURCE),
        conductivity: Some(Sourced::new(Spread::exactly(Fraction(0.28)), "alloy data sheet C26000")),
        resistance_per_kelvin: Sourced::new(0.0015, MEMORY),
    },
    RailMetal {
        name: "steel",
        thermal_expansion: expansion([11.5, 11.5, 11.5], MEMORY),
        elasticity: Sourced::new(Spread::exactly(206e9), NO_SOURCE),
        conductivity: None,
        resistance_per_kelvin: Sourced::new(0.005, MEMORY),
    },
];
