//! A throw wire: music wire from a motor's arm over a fulcrum up to the throwbar.
//!
//! ```text
//!        throwbar  ──o──   throw
//!                    │
//!              above │         base
//!                    │
//!        fulcrum   ──▲──
//!              below │
//!        motor's arm o     travel
//! ```
//! SI throughout.

use std::f64::consts::PI;

/// How the wire's lower end is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LowerEnd {
    /// Fast in the arm: it cannot turn there.
    Clamped,
    /// In a hole of the arm: it can.
    Pinned,
}

/// A throw wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThrowWire {
    /// Diameter.
    pub diameter: f64,
    /// From the motor's arm to the fulcrum.
    pub below: f64,
    /// From the fulcrum to the throwbar.
    pub above: f64,
    /// How the lower end is held.
    pub lower_end: LowerEnd,
    /// Young's modulus, pascals.
    pub elasticity: f64,
}

/// Second moment of area of a round wire: `π·d⁴/64`.
pub fn second_moment(diameter: f64) -> f64 {
    PI * diameter.powi(4) / 64.0
}

impl ThrowWire {
    /// How far a force at the throwbar bends the upper end while the arm stands still, metres per newton: clamped below
    /// `b²(3a+4b)/(12·E·I)`, pinned `b²(a+b)/(3·E·I)`, a below and b above the fulcrum.
    pub fn give(&self) -> f64 {
        let (a, b) = (self.below, self.above);
        let bending = self.elasticity * second_moment(self.diameter);
        match self.lower_end {
            LowerEnd::Clamped => b * b * (3.0 * a + 4.0 * b) / (12.0 * bending),
            LowerEnd::Pinned => b * b * (a + b) / (3.0 * bending),
        }
    }

    /// How far the upper end would go if nothing stopped it, for a travel of the arm from end to end.
    pub fn free_travel(&self, travel: f64) -> f64 {
        travel * self.above / self.below
    }

    /// How far the wire is bent once the points lie: half of what free travel has over the throw. Less than nothing where
    /// the points do not get there.
    pub fn bent(&self, travel: f64, throw: f64) -> f64 {
        (self.free_travel(travel) - throw) / 2.0
    }

    /// The force with which it then holds the points, newtons.
    pub fn holding_force(&self, travel: f64, throw: f64) -> f64 {
        self.bent(travel, throw).max(0.0) / self.give()
    }

    /// The stress in the wire at its fulcrum, where it is greatest, pascals: `32·F·b/(π·d³)`.
    pub fn stress(&self, force: f64) -> f64 {
        32.0 * force * self.above / (PI * self.diameter.powi(3))
    }

    /// How far the wire stands from the middle at a height above its fulcrum, with the arm at one end of its travel and
    /// the points home: the straight line of the free wire, less what the holding force bends it back.
    pub fn stands(&self, travel: f64, throw: f64, height: f64) -> f64 {
        let bending = self.elasticity * second_moment(self.diameter);
        let turned = self.turned_at_fulcrum();
        let back = turned * height + height * height * (3.0 * self.above - height) / (6.0 * bending);
        travel / 2.0 * height / self.below - self.holding_force(travel, throw) * back
    }

    /// By how much a newton at the throwbar turns the wire at its fulcrum: `b·a/(4·E·I)` clamped below, `b·a/(3·E·I)`
    /// pinned.
    fn turned_at_fulcrum(&self) -> f64 {
        let part = match self.lower_end {
            LowerEnd::Clamped => 4.0,
            LowerEnd::Pinned => 3.0,
        };
        self.above * self.below / (part * self.elasticity * second_moment(self.diameter))
    }

    /// The farthest from the middle that the wire comes anywhere up to a height.
    pub fn sweep(&self, travel: f64, throw: f64, height: f64) -> f64 {
        let at = |height: f64| self.stands(travel, throw, height);
        // It bulges most where it stands upright: b − √(b² − 2·E·I·c/F), c the slope at the fulcrum.
        let force = self.holding_force(travel, throw);
        let slope = travel / 2.0 / self.below - force * self.turned_at_fulcrum();
        let bending = self.elasticity * second_moment(self.diameter);
        let bulge = self.above - (self.above * self.above - 2.0 * bending * slope / force).sqrt();
        if bulge.is_finite() && (0.0..height).contains(&bulge) { at(bulge).max(at(height)) } else { at(height) }
    }
}
