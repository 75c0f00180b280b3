//! Air and base: of the layout, and of each board that has its own.

use crate::growth::{Air, Mismatch, mismatch};
use handbook::materials::{self, BaseMaterial};
use handbook::quantity::{NewtonsPerMetre, Quantity};
use plan::At;
use plan::tables::{Board, Climate, Fixing};

/// What holds the track of a part of the layout to its base.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HeldBy {
    /// How it is held.
    pub fixing: Option<Fixing>,
    /// What it takes to push a rail along, newtons per metre; none where it is not measured, and rail is then taken to slide
    /// freely, which moves it most.
    pub grip: Option<f64>,
    /// What it takes to push the track sideways, newtons per metre of rail; none where it is not measured.
    pub sideways: Option<f64>,
}

impl HeldBy {
    /// As tables say it.
    pub(crate) fn new(
        fixing: Option<&At<Fixing>>,
        grip: Option<&At<NewtonsPerMetre>>,
        sideways: Option<&At<NewtonsPerMetre>>,
    ) -> HeldBy {
        let si = |said: Option<&At<NewtonsPerMetre>>| said.map(|said| said.value.si());
        HeldBy { fixing: fixing.map(|f| f.value.clone()), grip: si(grip), sideways: si(sideways) }
    }

    /// Whether anything tells at which strain its rail goes sideways.
    pub(crate) fn can_tell_buckling(&self) -> bool {
        matches!(self.fixing, Some(Fixing::Pins(_))) || self.sideways.is_some()
    }
}

/// The air in which a part of the layout stands over the year, and what its track lies on.
#[derive(Clone, Debug)]
pub struct ClimateOfPart {
    /// The air on the day of laying, the coldest, the hottest.
    pub airs: [Air; 3],
    /// What the track lies on.
    pub base: &'static BaseMaterial,
    /// What holds it there.
    pub held: HeldBy,
    /// Rail against base, day to coldest and day to hottest, for each metal there is.
    mismatches: Vec<(&'static str, [Mismatch; 2])>,
}

impl ClimateOfPart {
    /// What rail and base do there; none where the air has no sense.
    pub(crate) fn new(base: &'static BaseMaterial, held: HeldBy, airs: [Air; 3]) -> Option<ClimateOfPart> {
        let [laid, coldest, hottest] = airs;
        let metals = materials::rail_metals().iter();
        let between = metals.map(|metal| {
            let [cold, hot] = [coldest, hottest].map(|air| mismatch(metal, base, laid, air));
            Some((metal.name, [cold?, hot?]))
        });
        Some(ClimateOfPart { airs, base, held, mismatches: between.collect::<Option<Vec<_>>>()? })
    }

    /// The same on a board: what it says itself, and the rest as here.
    pub(crate) fn on_board(&self, board: &Board, day: Option<Air>) -> Option<ClimateOfPart> {
        let said = [&board.laid, &board.coldest, &board.hottest].map(|said| said.as_ref().map(air_of));
        let own = [day.or(said[0]), said[1], said[2]];
        let airs = [0, 1, 2].map(|k| own[k].unwrap_or(self.airs[k]));
        let base = board.material.as_ref().and_then(|m| materials::base_material(&m.value));
        let own = HeldBy::new(board.fixing.as_ref(), board.grip.as_ref(), board.sideways.as_ref());
        let held = HeldBy {
            fixing: own.fixing.or(self.held.fixing.clone()),
            grip: own.grip.or(self.held.grip),
            sideways: own.sideways.or(self.held.sideways),
        };
        ClimateOfPart::new(base.unwrap_or(self.base), held, airs)
    }

    /// Rail of a metal against the base, from the day to an air.
    pub fn mismatch(&self, metal: &str, air: usize) -> Mismatch {
        self.of(metal)[air]
    }

    /// Change over the year of a metre of rail of a metal against the base, usually: the greatest strain less the least,
    /// that of the day, nought, among them.
    pub fn swing(&self, metal: &str) -> f64 {
        let [cold, hot] = self.of(metal).map(|m| m.strain.typical);
        cold.max(hot).max(0.0) - cold.min(hot).min(0.0)
    }

    fn of(&self, metal: &str) -> [Mismatch; 2] {
        self.mismatches.iter().find(|(name, _)| *name == metal).unwrap_or(&self.mismatches[0]).1
    }
}

/// Air as a plan says it.
pub fn air_of(said: &At<Climate>) -> Air {
    Air { temperature: said.value.temperature.value, humidity: said.value.humidity.value }
}
