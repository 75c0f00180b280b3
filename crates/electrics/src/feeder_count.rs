//! The fewest feeders that one track needs, and where they belong.
//!
//! The track is taken by itself, with nothing but its own feeders and the piece of bus under it: a ladder of rail, feeders and bus,
//! both poles alike, so that every resistance stands for there and back. Along the rail between two feeders the loop resistance is a
//! parabola (see the crate's page), and its greatest value is known exactly; from one arrangement to a better one feeders are moved alone and
//! together, by ever smaller steps (pattern search), until no move is of advantage. That no other arrangement of as many is better is held against all
//! arrangements on a fine grid by the tests.

/// A track by itself. Ohms of both poles together. All values finite, none negative, `length` and `rail` more than none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoneTrack {
    /// Its length, metres.
    pub length: f64,
    /// Of both its rails, for each metre of track.
    pub rail: f64,
    /// From the source to the bus beside the nearer end of the track.
    pub supply: f64,
    /// Of both wires of the bus, for each metre of track it runs along.
    pub bus: f64,
    /// Whether the supply lies at the track's far end.
    pub from_far_end: bool,
    /// Of both wires of one feeder with its taps.
    pub feeder: f64,
}

/// Feeders of a track and what they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Feeding {
    /// Where, metres from the start of the track, in order.
    pub at: Vec<f64>,
    /// The greatest loop resistance anywhere on the track, ohms.
    pub worst: f64,
}

/// How near to the best place each feeder is put, metres.
const NEAR: f64 = 1e-3;

impl LoneTrack {
    /// The greatest loop resistance with feeders at these places, which are in order.
    pub fn worst(&self, at: &[f64]) -> f64 {
        if at.is_empty() {
            return f64::INFINITY;
        }
        // Seen from the end that the supply is nearer to.
        let at: Vec<f64> =
            if self.from_far_end { at.iter().rev().map(|x| self.length - x).collect() } else { at.to_vec() };
        let n = at.len();
        // Nodes: bus at each feeder, then rail at each feeder; the source is ground.
        let mut matrix = vec![vec![0.0; 2 * n]; 2 * n];
        let mut join = |a: usize, b: Option<usize>, ohms: f64| {
            let siemens = 1.0 / ohms.max(1e-9);
            matrix[a][a] += siemens;
            if let Some(b) = b {
                matrix[b][b] += siemens;
                matrix[a][b] -= siemens;
                matrix[b][a] -= siemens;
            }
        };
        join(0, None, self.supply + self.bus * at[0]);
        for k in 0..n {
            join(k, Some(n + k), self.feeder);
            if k + 1 < n {
                join(k, Some(k + 1), self.bus * (at[k + 1] - at[k]));
                join(n + k, Some(n + k + 1), self.rail * (at[k + 1] - at[k]));
            }
        }
        let inverse = inverse(matrix);
        let ohms = |a: usize, b: usize| inverse[n + a][n + b];
        let ends = [ohms(0, 0) + self.rail * at[0], ohms(n - 1, n - 1) + self.rail * (self.length - at[n - 1])];
        let between = (1..n).map(|k| {
            let (start, end) = (ohms(k - 1, k - 1), ohms(k, k));
            let own = self.rail * (at[k] - at[k - 1]);
            let bow = (own - (start + end - 2.0 * ohms(k - 1, k))).max(0.0);
            // `(1 − t)·start + t·end + t·(1 − t)·bow`
            let top = if bow > 0.0 { (0.5 + (end - start) / (2.0 * bow)).clamp(0.0, 1.0) } else { 0.0 };
            let value = |t: f64| (1.0 - t) * start + t * end + t * (1.0 - t) * bow;
            value(top).max(start).max(end)
        });
        between.chain(ends).fold(0.0, f64::max)
    }

    /// So many feeders where they do most.
    pub fn best(&self, feeders: usize) -> Feeding {
        // Evenly; drawn together and apart; and towards either end.
        let starts = [(1.0, 0.0), (0.6, 0.0), (1.5, 0.0), (0.8, -0.15), (0.8, 0.15)];
        let found = starts.into_iter().map(|(spread, shift)| {
            let even = |k: usize| (k as f64 + 0.5) / feeders as f64 - 0.5;
            let at = (0..feeders).map(|k| self.length * (0.5 + shift + spread * even(k)).clamp(0.0, 1.0));
            self.improved(at.collect())
        });
        found.min_by(|a, b| a.worst.total_cmp(&b.worst)).unwrap_or(Feeding { at: Vec::new(), worst: f64::INFINITY })
    }

    fn improved(&self, mut at: Vec<f64>) -> Feeding {
        let feeders = at.len();
        let mut worst = self.worst(&at);
        let mut step = 0.5 * self.length / feeders.max(1) as f64;
        let mut noise = 1_u64;
        while step > NEAR {
            let mut better = false;
            for direction in directions(feeders, &mut noise) {
                for step in [step, -step] {
                    let mut moved: Vec<f64> =
                        at.iter().zip(&direction).map(|(x, d)| (x + step * d).clamp(0.0, self.length)).collect();
                    moved.sort_by(f64::total_cmp);
                    let there = self.worst(&moved);
                    if there < worst * (1.0 - 1e-9) {
                        (worst, at, better) = (there, moved, true);
                    }
                }
            }
            if !better {
                step *= 0.5;
            }
        }
        Feeding { at, worst }
    }

    /// No arrangement of so many feeders leaves less: with all their rail ends and bus ends joined (Rayleigh's law) there are the supply
    /// and all feeders side by side, and from there a quarter of the longest piece between two of them or all of the longest end.
    fn no_less_than(&self, feeders: usize) -> f64 {
        let feeders = feeders as f64;
        self.supply + self.feeder / feeders + self.rail * self.length / (4.0 * (feeders - 0.5))
    }

    /// The fewest feeders with which no place has more than so many ohms, and where; none where `most` are not enough.
    pub fn fewest(&self, limit_ohms: f64, most: usize) -> Option<Feeding> {
        let hopeful = (1..=most).filter(|&feeders| self.no_less_than(feeders) <= limit_ohms * (1.0 + 1e-6));
        hopeful.map(|feeders| self.best(feeders)).find(|found| found.worst <= limit_ohms)
    }
}

/// Directions to move feeders in: each by itself, all from one on, all apart, and some more at random (a linear congruence, Knuth's
/// MMIX), for the least of a greatest value lies where several are equal and no single feeder can be moved to advantage.
fn directions(feeders: usize, noise: &mut u64) -> Vec<Vec<f64>> {
    let each = (0..feeders).map(|k| (0..feeders).map(|j| f64::from(u8::from(j == k))).collect());
    let from = (0..feeders).map(|k| (0..feeders).map(|j| f64::from(u8::from(j >= k))).collect());
    let apart = (0..feeders).map(|j| (2.0 * j as f64 + 1.0) / feeders as f64 - 1.0).collect();
    let mut all: Vec<Vec<f64>> = each.chain(from).chain([apart]).collect();
    let mut random = || {
        *noise = noise.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (*noise >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    };
    all.extend((0..4 + 3 * feeders).map(|_| (0..feeders).map(|_| random()).collect::<Vec<f64>>()));
    all
}

/// The inverse of a positive definite matrix of a few rows (Gauss and Jordan).
fn inverse(mut matrix: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    for k in 0..matrix.len() {
        let pivot = matrix[k][k];
        let mut row: Vec<f64> = matrix[k].iter().map(|x| x / pivot).collect();
        row[k] = 1.0 / pivot;
        for (_, other) in matrix.iter_mut().enumerate().filter(|(i, _)| *i != k) {
            let times = other[k];
            for (_, (x, own)) in other.iter_mut().zip(&row).enumerate().filter(|(j, _)| *j != k) {
                *x -= times * own;
            }
            other[k] = -times / pivot;
        }
        matrix[k] = row;
    }
    matrix
}
