//! Rails: sections and resistances.
//!
//! The standard gives height, base and head but no web, so areas and stiffness are estimates; and the alloys sold as
//! nickel silver differ by a factor of two. A measured value in the plan beats everything here.

mod rows;

use crate::quantity::{Metres, OhmsPerMetre, SquareMetres};
use crate::same_name;
use crate::spread::{Sourced, Spread};

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

/// The rail of this name; letter case and the number of spaces do not matter, `NS` is nickel silver, and a code alone will do where
/// one rail of it is listed. Nothing if it is not listed.
pub fn rail(name: &str) -> Option<&'static RailProfile> {
    let said = rows::RAILS.iter().find(|rail| same_name(rail.name, name));
    said.or_else(|| match of_code(name).as_slice() {
        [only] => Some(*only),
        _ => None,
    })
}

/// The rails that a name such as `code 83`, `83` or `code 83 NS` may mean.
pub fn of_code(name: &str) -> Vec<&'static RailProfile> {
    let lower = name.to_lowercase().replace(['-', '_'], " ");
    let mut words = lower.split_whitespace().skip_while(|word| *word == "code");
    let Some(code) = words.next().map(|word| word.trim_start_matches("code")) else { return Vec::new() };
    let metal = match words.collect::<Vec<_>>().join(" ").as_str() {
        "ns" | "n/s" | "nickel" | "nickel silver" => "nickel silver".to_owned(),
        other => other.to_owned(),
    };
    let is_meant =
        |rail: &&RailProfile| rail.name.split_whitespace().nth(1) == Some(code) && rail.name.ends_with(&metal);
    rows::RAILS.iter().filter(is_meant).collect()
}

/// Every listed rail, heaviest first.
pub fn rails() -> &'static [RailProfile] {
    &rows::RAILS
}

/// The rail to calculate with in a scale where the plan names none: the commonest of ready-made track.
/// Common practice, no source.
pub fn default_rail(scale: &str) -> &'static RailProfile {
    let name = match scale {
        "N" | "HOe" | "OO9" => "code 55 nickel silver",
        "Z" => "code 40 nickel silver",
        "TT" | "HOm" | "HOn3" => "code 83 nickel silver",
        _ => "code 100 nickel silver",
    };
    rail(name).unwrap_or(&rows::RAILS[0])
}

/// What the metal of steel rails adds to the inductance of a track at the track signal's frequency, both rails together, in
/// henries per metre: the current keeps to a skin some 0.15 mm deep, and half of `ρ/(δ·p)` over the angular frequency is the
/// field within it.
pub const STEEL_INDUCTANCE: Sourced<f64> = Sourced::new(
    5e-6,
    "computed for mild steel of 0.15 µΩ·m and relative permeability 200, round a code 100 rail, at 8.6 kHz; permeability from memory",
);
