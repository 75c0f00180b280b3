//! When rail that is pressed goes sideways.
//!
//! SI throughout; `bending` is Young's modulus times second moment of area against bending sideways, in N·m².

use std::f64::consts::PI;

/// The strain at which a rail between two fixings buckles: `(π·r/(K·L))²` with `r² = I/A`. `hold` is K: 1 where the rail
/// can turn over its fixings, as it can where the spans beside it go the other way; ½ where they clamp it.
pub fn euler_strain(area: f64, second_moment: f64, spacing: f64, hold: f64) -> f64 {
    PI * PI * second_moment / (area * (hold * spacing).powi(2))
}

/// The spacing at which it buckles under a strain: [`euler_strain`] turned round.
pub fn euler_spacing(area: f64, second_moment: f64, strain: f64, hold: f64) -> f64 {
    PI * (second_moment / (area * strain)).sqrt() / hold
}

/// The force under which a long beam on an elastic foundation buckles: `2·√(k·E·I)`, `foundation` in N per metre of
/// length and metre of give.
pub fn foundation_load(foundation: f64, bending: f64) -> f64 {
    2.0 * (foundation * bending).sqrt()
}

/// Track with a resistance to moving sideways that does not depend on how far it has moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldSideways {
    /// Young's modulus times second moment, N·m².
    pub bending: f64,
    /// Young's modulus times area, N.
    pub stiffness: f64,
    /// Resistance sideways, newtons per metre.
    pub sideways: f64,
    /// Resistance lengthways, newtons per metre.
    pub lengthways: f64,
}

/// A shape in which such track buckles (Kerr 1974, Hobbs 1984).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BucklingShape {
    /// One half wave.
    First,
    /// Two half waves, to either side.
    Second,
    /// Waves without end, which nothing holds lengthways.
    Endless,
}

impl BucklingShape {
    /// All of them.
    pub const ALL: [BucklingShape; 3] = [BucklingShape::First, BucklingShape::Second, BucklingShape::Endless];
}

impl HeldSideways {
    /// The force in the straight rail far off that keeps a buckle of this length in balance:
    /// `P0 = k1·EI/L² + k3·r·L·[√(1 + k2·E·A·q²·L⁵/(r·(EI)²)) − 1]`, for endless waves
    /// `4π²·EI/L² + 4.7050·10⁻⁵·E·A·(q/EI)²·L⁶`.
    pub fn load(&self, shape: BucklingShape, length: f64) -> f64 {
        let HeldSideways { bending, stiffness, sideways, lengthways } = *self;
        let [k1, k2, k3] = match shape {
            BucklingShape::First => [80.76, 6.391e-5, 0.5],
            BucklingShape::Second => [4.0 * PI * PI, 1.743e-4, 1.0],
            BucklingShape::Endless => {
                let waves = ENDLESS * stiffness * (sideways / bending).powi(2) * length.powi(6);
                return 4.0 * PI * PI * bending / (length * length) + waves;
            }
        };
        let pull = k2 * stiffness * sideways * sideways * length.powi(5) / (lengthways * bending * bending);
        k1 * bending / (length * length) + k3 * lengthways * length * ((1.0 + pull).sqrt() - 1.0)
    }

    /// The least such force over all lengths, and the length: below it no rise of temperature can start a buckle of this
    /// shape, however large the knock.
    pub fn least_load(&self, shape: BucklingShape) -> (f64, f64) {
        // With endless waves the least stands where dP0/dL = 0: L⁸ = 4π²·EI/(3c).
        let c = ENDLESS * self.stiffness * (self.sideways / self.bending).powi(2);
        let endless = (4.0 * PI * PI * self.bending / (3.0 * c)).powf(0.125);
        if shape == BucklingShape::Endless {
            return (self.load(shape, endless), endless);
        }
        // The other shapes have one hollow, found by golden section within a factor of a hundred either way.
        let inverse_golden = (5f64.sqrt() - 1.0) / 2.0;
        let of = |log: f64| self.load(shape, log.exp());
        let [mut low, mut high] = [(endless / 100.0).ln(), (endless * 100.0).ln()];
        for _ in 0..120 {
            let [one, other] = [high - inverse_golden * (high - low), low + inverse_golden * (high - low)];
            if of(one) < of(other) {
                high = other;
            } else {
                low = one;
            }
        }
        let length = ((low + high) / 2.0).exp();
        (self.load(shape, length), length)
    }

    /// The least strain at which this track can buckle, in whichever shape comes first.
    pub fn least_strain(&self) -> f64 {
        let loads = BucklingShape::ALL.map(|shape| self.least_load(shape).0);
        loads.into_iter().fold(f64::INFINITY, f64::min) / self.stiffness
    }
}

const ENDLESS: f64 = 4.7050e-5;
