//! Centre lines of track in the plane: straights and arcs laid end to end, and where two of them are clear of each other.
//!
//! Lengths in metres, headings in radians, counter-clockwise; curvature is one over the radius, positive to the left.

/// A piece of centre line of one curvature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Its length, not negative.
    pub length: f64,
    /// One over its radius; 0 is straight.
    pub curvature: f64,
}

/// A piece that lies somewhere.
#[derive(Debug, Clone, Copy, PartialEq)]
struct PlacedLine {
    /// How far from the start of the line it starts.
    from: f64,
    start: [f64; 2],
    heading: f64,
    arc: Arc,
}

/// Arcs laid end to end from a place.
#[derive(Debug, Clone, PartialEq)]
pub struct CentreLine {
    pieces: Vec<PlacedLine>,
    length: f64,
    end: ([f64; 2], f64),
}

/// Below this a curvature turns less than a rounding over any length that is believed.
const STRAIGHT: f64 = 1e-12;

impl PlacedLine {
    /// Place and heading so far along it.
    fn at(&self, s: f64) -> ([f64; 2], f64) {
        let [x, y] = self.start;
        let k = self.arc.curvature;
        let turned = self.heading + k * s;
        if k.abs() < STRAIGHT {
            return ([x + s * self.heading.cos(), y + s * self.heading.sin()], self.heading);
        }
        ([x + (turned.sin() - self.heading.sin()) / k, y - (turned.cos() - self.heading.cos()) / k], turned)
    }

    /// Distance of a point from the nearest place of it.
    fn distance(&self, [x, y]: [f64; 2]) -> f64 {
        let ends = [self.at(0.0).0, self.at(self.arc.length).0].map(|[a, b]| (x - a).hypot(y - b));
        let to_ends = ends[0].min(ends[1]);
        let k = self.arc.curvature;
        let [dx, dy] = [x - self.start[0], y - self.start[1]];
        let (sin, cos) = self.heading.sin_cos();
        if k.abs() < STRAIGHT {
            let along = dx * cos + dy * sin;
            let across = (dy * cos - dx * sin).abs();
            return if (0.0..=self.arc.length).contains(&along) { across } else { to_ends };
        }
        // Seen from the middle of the circle: how far round from the start, in the direction of travel.
        let middle = [-sin / k, cos / k];
        let from_middle = [dx - middle[0], dy - middle[1]];
        let angle = (from_middle[1].atan2(from_middle[0]) - (-middle[1]).atan2(-middle[0])) * k.signum();
        let along = angle.rem_euclid(2.0 * std::f64::consts::PI) / k.abs();
        let across = (from_middle[0].hypot(from_middle[1]) - 1.0 / k.abs()).abs();
        if along <= self.arc.length { across } else { to_ends }
    }
}

impl CentreLine {
    /// Arcs laid end to end from a place, the first one in this direction.
    pub fn new(start: [f64; 2], heading: f64, arcs: &[Arc]) -> CentreLine {
        let mut line = CentreLine { pieces: Vec::with_capacity(arcs.len()), length: 0.0, end: (start, heading) };
        for &arc in arcs.iter().filter(|arc| arc.length > 0.0) {
            let piece = PlacedLine { from: line.length, start: line.end.0, heading: line.end.1, arc };
            line.end = piece.at(arc.length);
            line.length += arc.length;
            line.pieces.push(piece);
        }
        line
    }

    /// Its length.
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Where it ends, and in which direction.
    pub fn end(&self) -> ([f64; 2], f64) {
        self.end
    }

    /// How far it is straight from its start; endless where all of it is.
    pub fn straight_until(&self) -> f64 {
        self.pieces.iter().find(|p| p.arc.curvature.abs() >= STRAIGHT).map_or(f64::INFINITY, |p| p.from)
    }

    /// The sharpest curvature of it, without a sign.
    pub fn sharpest(&self) -> f64 {
        self.pieces.iter().map(|p| p.arc.curvature.abs()).fold(0.0, f64::max)
    }

    /// Distance of a point from the nearest place of it; endless of a line without length.
    pub fn distance(&self, point: [f64; 2]) -> f64 {
        self.pieces.iter().map(|p| p.distance(point)).fold(f64::INFINITY, f64::min)
    }

    /// From where on, metres along this line, every place of it is so far from the other line as `need` says for its
    /// curvature. None where even its end is nearer.
    ///
    /// Found from the end backwards: a distance from a line changes by no more than the way that is gone, so that going as
    /// far as there is distance to spare passes over no place that is too near.
    pub fn clear_from(&self, other: &CentreLine, need: impl Fn(f64) -> f64) -> Option<f64> {
        for piece in self.pieces.iter().rev() {
            let need = need(piece.arc.curvature);
            let mut s = piece.arc.length;
            loop {
                let spare = other.distance(piece.at(s).0) - need;
                if spare < NEARLY {
                    let at = piece.from + s;
                    return (at < self.length).then_some(at);
                }
                if s == 0.0 {
                    break;
                }
                s = (s - spare).max(0.0);
            }
        }
        Some(0.0)
    }
}

/// Nearer to the limit than this is at it.
const NEARLY: f64 = 1e-7;

/// A vehicle that swings out in curves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vehicle {
    /// Over all.
    pub length: f64,
    /// Between the middles of its bogies or its outer axles.
    pub bogies: f64,
}

impl Vehicle {
    /// By how much it stands out from the centre line in a curve, at its middle or at its ends, whichever is more:
    /// `d²/8·k` and `(l² − d²)/8·k`, from the geometry of a chord in a circle.
    pub fn throw(&self, curvature: f64) -> f64 {
        let inside = self.bogies * self.bogies;
        let outside = self.length * self.length - inside;
        inside.max(outside) / 8.0 * curvature.abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn near(found: f64, due: f64) {
        assert!((found - due).abs() < 1e-9, "{found} is not {due}");
    }

    #[test]
    fn a_quarter_circle_ends_where_it_must() {
        let line = CentreLine::new([0.0, 0.0], 0.0, &[Arc { length: FRAC_PI_2, curvature: 1.0 }]);
        let ([x, y], heading) = line.end();
        near(x, 1.0);
        near(y, 1.0);
        near(heading, FRAC_PI_2);
        let right = CentreLine::new([0.0, 0.0], FRAC_PI_2, &[Arc { length: PI, curvature: -1.0 }]);
        near(right.end().0[0], 2.0);
        near(right.end().0[1], 0.0);
    }

    #[test]
    fn distances_are_those_of_the_nearest_of_many_places() {
        let arcs = [
            Arc { length: 0.4, curvature: 0.0 },
            Arc { length: 0.9, curvature: 1.6 },
            Arc { length: 0.3, curvature: 0.0 },
            Arc { length: 1.2, curvature: -2.1 },
        ];
        let line = CentreLine::new([0.1, -0.2], 0.3, &arcs);
        let places: Vec<[f64; 2]> =
            line.pieces.iter().flat_map(|p| (0..=4000).map(|k| p.at(p.arc.length * f64::from(k) / 4000.0).0)).collect();
        for k in 0..500 {
            let angle = f64::from(k) * 2.399963;
            let point =
                [0.6 + 1.5 * angle.cos() * f64::from(k) / 500.0, 0.4 + 1.5 * angle.sin() * f64::from(k) / 500.0];
            let tried = places.iter().map(|p| (p[0] - point[0]).hypot(p[1] - point[1])).fold(f64::INFINITY, f64::min);
            let measured = line.distance(point);
            assert!(measured <= tried + 1e-12 && tried - measured < 2e-4, "{point:?}: {measured}, tried {tried}");
        }
    }

    /// Straight legs are clear at s/sin θ; legs that bend apart sooner, legs that come back never.
    #[test]
    fn clear_from_where_the_spare_distance_ends() {
        let theta: f64 = 0.166;
        let straight = |heading| CentreLine::new([0.0, 0.0], heading, &[Arc { length: 2.0, curvature: 0.0 }]);
        let found = straight(0.0).clear_from(&straight(theta), |_| 0.0508).expect("they part");
        assert!((found - 0.0508 / theta.sin()).abs() < 1e-5, "{found}");
        let bent = |k| CentreLine::new([0.0, 0.0], theta, &[Arc { length: 2.0, curvature: k }]);
        let apart = straight(0.0).clear_from(&bent(0.8), |_| 0.0508).expect("they part");
        assert!(apart < found, "{apart} {found}");
        // What is nearer than the place found is too near, what is farther is clear.
        for k in 0..200 {
            let s = 2.0 * f64::from(k) / 200.0;
            let clear = bent(0.8).distance([s, 0.0]) >= 0.0508 - 1e-6;
            assert_eq!(clear, s >= apart - 1e-6, "{s}");
        }
        let back = CentreLine::new([0.0, 0.0], theta, &[Arc { length: 0.5, curvature: -0.9 }]);
        let short = CentreLine::new([0.0, 0.0], 0.0, &[Arc { length: 0.45, curvature: 0.0 }]);
        assert_eq!(short.clear_from(&back, |_| 0.0508), None);
        // Beyond the end of the other line there is nothing in the way.
        assert!(straight(0.0).clear_from(&back, |_| 0.0508).is_some_and(|s| s > 0.5));
        // Laid parallel at the spacing but for a rounding, they are clear from where they are parallel.
        let parallel = [
            Arc { length: 0.1, curvature: 0.0 },
            Arc { length: theta / 1.5, curvature: -1.5 },
            Arc { length: 1.0, curvature: 0.0 },
        ];
        let other = CentreLine::new([0.0, 0.0], theta, &parallel);
        let spacing = other.end().0[1];
        let found = other.clear_from(&straight(0.0), |_| spacing - 1e-6).expect("they are parallel at last");
        assert!(found < 0.1 + theta / 1.5 && found > 0.1, "{found}");
        assert_eq!(other.clear_from(&straight(0.0), |_| spacing + 1e-4), None);
    }

    #[test]
    fn throws_of_a_vehicle() {
        let coach = Vehicle { length: 0.3, bogies: 0.2 };
        near(coach.throw(1.0 / 0.5), 0.05 / 8.0 / 0.5);
        near(Vehicle { length: 0.2, bogies: 0.18 }.throw(-2.0), 0.0324 / 4.0);
        near(coach.throw(0.0), 0.0);
    }
}
