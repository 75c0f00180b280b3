//! What one more or one less edge does to resistances already known.

/// Below this share of an edge's conductance, what else joins its ends is taken for nothing: of the 16 digits the
/// closed forms would have only 7 left.
const CUT: f64 = 1e-9;

/// A conductance added across two nodes `u`, `v` of a network whose resistances are known, or taken away. Closed forms
/// (Sherman and Morrison 1950, in the words of resistances): nothing is factored again.
///
/// With `Z_ab` the transfer resistance between `a` and `b` before, `R` the resistance between `u` and `v` before and
/// `g` the conductance added: `Z_ab − (Z_au − Z_av)·(Z_bu − Z_bv) / (1/g + R)`.
///
/// ```
/// use network::EdgeChange;
/// // 1 ohm from u to ground, v at ground; 1 S more beside it.
/// let closed = EdgeChange::new(1.0, 1.0).expect("the ends are joined");
/// assert_eq!(closed.driving_point(1.0, 1.0, 0.0), 0.5);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeChange {
    resistance: f64,
    added: f64,
}

impl EdgeChange {
    /// The change of `added` siemens (negative: taken away, infinite: shorted) between two nodes that had
    /// `resistance_between_ends` ohms between them. None where that is not finite (an edge that joins an island to
    /// something else is no such change: factor again), or `added` is not a number or minus infinity.
    pub fn new(resistance_between_ends: f64, added: f64) -> Option<EdgeChange> {
        let known = resistance_between_ends.is_finite() && resistance_between_ends >= 0.0;
        (known && added > f64::NEG_INFINITY).then_some(EdgeChange { resistance: resistance_between_ends, added })
    }

    /// Whether the edge taken away was the only way between its ends, or all but a billionth of it.
    pub fn cuts(&self) -> bool {
        1.0 + self.added * self.resistance <= CUT
    }

    /// Resistance between the two ends afterwards; infinite where the change [cuts](EdgeChange::cuts).
    pub fn resistance_between_ends(&self) -> f64 {
        if self.cuts() {
            f64::INFINITY
        } else if self.added.is_infinite() {
            0.0
        } else {
            self.resistance / (1.0 + self.added * self.resistance)
        }
    }

    /// Driving-point resistance of node `a` afterwards, from its own `Z_aa` and its transfer resistances `Z_au`, `Z_av`
    /// to the two ends (for an end itself: `driving_point(Z_uu, Z_uu, Z_uv)`). Infinite where the change cuts `a` off.
    pub fn driving_point(&self, z_aa: f64, z_au: f64, z_av: f64) -> f64 {
        self.transfer(z_aa, [z_au, z_av], [z_au, z_av])
    }

    /// Transfer resistance between `a` and `b` afterwards, from `Z_ab`, `[Z_au, Z_av]` and `[Z_bu, Z_bv]`. Infinite
    /// where the change cuts `a` or `b` off.
    pub fn transfer(&self, z_ab: f64, a: [f64; 2], b: [f64; 2]) -> f64 {
        self.transfer_across(z_ab, a[0] - a[1], b[0] - b[1])
    }

    /// The same from the differences `Z_au − Z_av` and `Z_bu − Z_bv`: potentials of `a` and `b` with one ampere put
    /// into `u` and taken out of `v`. One [`solve`](crate::Factor::solve) gives those of all nodes; for the
    /// driving-point resistance of a node the two are one.
    pub fn transfer_across(&self, z_ab: f64, across_a: f64, across_b: f64) -> f64 {
        if self.cuts() {
            // One ampere into a node beyond the cut went all through the edge, one into a node before it not at all.
            let beyond = |across: f64| across.abs() > 0.5 * self.resistance;
            return if beyond(across_a) || beyond(across_b) { f64::INFINITY } else { z_ab };
        }
        if self.added == 0.0 || self.resistance == 0.0 {
            return z_ab;
        }
        z_ab - across_a * across_b / (1.0 / self.added + self.resistance)
    }
}
