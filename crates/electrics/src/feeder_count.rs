//! The fewest feeders that one track needs, and where they belong.
//!
//! The track is taken by itself, with nothing but its own feeders and the piece of bus under it: a ladder of rail, feeders and bus,
//! both poles alike, so that every value stands for there and back. Along the rail between two feeders the loop resistance is a
//! parabola (see the crate's page), and its greatest value is known exactly; the inductance is that of currents that share themselves
//! out as direct ones do, `Σ i²·L` for one ampere (see [`crate::square_short`]). What a place costs is the caller's measure of both. From one
//! arrangement to a better one feeders are moved alone and together, by ever smaller steps (pattern search), until no move is of
//! advantage. That no other arrangement of as many is better is held against all arrangements on a fine grid by the tests.

/// What a pair of conductors has, there and back: ohms or henries. All values finite, none negative.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LoneValues {
    /// Both rails, for each metre of track.
    pub rail: f64,
    /// From the source to the bus beside the nearer end of the track.
    pub supply: f64,
    /// Both wires of the bus, for each metre of track it runs along.
    pub bus: f64,
    /// Both wires of one feeder with its taps.
    pub feeder: f64,
}

/// A track by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoneTrack {
    /// Its length, metres; more than none.
    pub length: f64,
    /// Whether the supply lies at the track's far end.
    pub from_far_end: bool,
    /// Resistances; `rail` more than none.
    pub ohms: LoneValues,
    /// Inductances.
    pub henries: LoneValues,
}

/// What a place costs by its loop's ohms and henries. Grows with either.
pub type PlaceCost<'c> = &'c dyn Fn(f64, f64) -> f64;

/// Feeders of a track and what they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Feeding {
    /// Where, metres from the start of the track, in order.
    pub at: Vec<f64>,
    /// What the place costs that costs most.
    pub worst: f64,
}

/// How near to the best place each feeder is put, metres.
const NEAR: f64 = 1e-3;

/// Less than this no piece has, so that two nodes are never one.
const LEAST_OHMS: f64 = 1e-9;

/// The ladder with its feeders at certain places, solved.
struct Fed<'t> {
    track: &'t LoneTrack,
    at: &'t [f64],
    /// Volts of each node (bus at each feeder, then rail at each feeder) for an ampere into each.
    inverse: Vec<Vec<f64>>,
}

impl Fed<'_> {
    /// Each piece but the supply's as its two nodes and its values.
    fn pieces(&self) -> impl Iterator<Item = ([usize; 2], f64, f64)> {
        let (n, LoneTrack { ohms, henries, .. }) = (self.at.len(), *self.track);
        let feeders = (0..n).map(move |k| ([k, n + k], ohms.feeder, henries.feeder));
        let runs = (1..n).flat_map(move |k| {
            let run = self.at[k] - self.at[k - 1];
            let piece = |from: usize, ohms: f64, henries: f64| ([from + k - 1, from + k], ohms * run, henries * run);
            [piece(0, ohms.bus, henries.bus), piece(n, ohms.rail, henries.rail)]
        });
        feeders.chain(runs)
    }

    /// Ohms and henries of the loop at a share of the way from feeder k to the next.
    fn at(&self, k: usize, share: f64) -> (f64, f64) {
        let n = self.at.len();
        let (LoneTrack { ohms, henries, .. }, a, b) = (*self.track, n + k, n + (k + 1).min(n - 1));
        let volts = |node: usize| (1.0 - share) * self.inverse[node][a] + share * self.inverse[node][b];
        let run = if k + 1 < n { self.at[k + 1] - self.at[k] } else { 0.0 };
        let own = ohms.rail * run;
        let here = (1.0 - share) * volts(a) + share * volts(b) + share * (1.0 - share) * own;
        let supply = henries.supply + henries.bus * self.at[0];
        let mut loop_henries = supply;
        for ([from, to], piece_ohms, piece_henries) in self.pieces() {
            // The piece of rail under the place has two currents.
            if [from, to] != [a, b] {
                let amps = (volts(from) - volts(to)) / piece_ohms.max(LEAST_OHMS);
                loop_henries += amps * amps * piece_henries;
            }
        }
        for (part, node) in [(share, a), (1.0 - share, b)] {
            if part * own > 0.0 {
                let amps = (here - volts(node)) / (part * own);
                loop_henries += amps * amps * part * run * henries.rail;
            }
        }
        (here, loop_henries)
    }

    /// The share of the way from feeder k to the next at which the loop has most ohms.
    fn most_ohms(&self, k: usize) -> f64 {
        let n = self.at.len();
        let ohms = |a: usize, b: usize| self.inverse[n + a][n + b];
        let (start, end) = (ohms(k, k), ohms(k + 1, k + 1));
        // `(1 − t)·start + t·end + t·(1 − t)·bow`
        let bow = self.track.ohms.rail * (self.at[k + 1] - self.at[k]) - (start + end - 2.0 * ohms(k, k + 1));
        if bow > 0.0 { (0.5 + (end - start) / (2.0 * bow)).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// What the place between two feeders costs that costs most: where the loop has most ohms, and, as inductance puts it elsewhere,
    /// the best of eighths and what is found between its neighbours.
    fn between(&self, k: usize, cost: PlaceCost<'_>) -> f64 {
        let at = |share: f64| {
            let (ohms, henries) = self.at(k, share);
            cost(ohms, henries)
        };
        let most = at(self.most_ohms(k)).max(at(0.0)).max(at(1.0));
        if self.track.henries == LoneValues::default() {
            return most;
        }
        let eighths = (1..8).map(|i| f64::from(i) / 8.0);
        let Some(near) = eighths.max_by(|a, b| at(*a).total_cmp(&at(*b))) else { return most };
        let (mut from, mut to) = (near - 0.125, near + 0.125);
        for _ in 0..12 {
            let third = (to - from) / 3.0;
            if at(from + third) < at(to - third) { from += third } else { to -= third }
        }
        most.max(at(0.5 * (from + to)))
    }
}

impl LoneTrack {
    /// What the place costs that costs most, with feeders at these places, which are in order.
    pub fn worst(&self, at: &[f64], cost: PlaceCost<'_>) -> f64 {
        if at.is_empty() {
            return f64::INFINITY;
        }
        // Seen from the end that the supply is nearer to.
        let at: Vec<f64> =
            if self.from_far_end { at.iter().rev().map(|x| self.length - x).collect() } else { at.to_vec() };
        let n = at.len();
        let mut fed = Fed { track: self, at: &at, inverse: Vec::new() };
        // The source is ground.
        let mut matrix = vec![vec![0.0; 2 * n]; 2 * n];
        matrix[0][0] += 1.0 / (self.ohms.supply + self.ohms.bus * at[0]).max(LEAST_OHMS);
        for ([a, b], ohms, _) in fed.pieces() {
            let siemens = 1.0 / ohms.max(LEAST_OHMS);
            matrix[a][a] += siemens;
            matrix[b][b] += siemens;
            matrix[a][b] -= siemens;
            matrix[b][a] -= siemens;
        }
        fed.inverse = inverse(matrix);
        let end = |k: usize, beyond: f64| {
            let (ohms, henries) = fed.at(k, 0.0);
            cost(ohms + self.ohms.rail * beyond, henries + self.henries.rail * beyond)
        };
        let ends = [end(0, at[0]), end(n - 1, self.length - at[n - 1])];
        (1..n).map(|k| fed.between(k - 1, cost)).chain(ends).fold(0.0, f64::max)
    }

    /// So many feeders where they do most.
    pub fn best(&self, feeders: usize, cost: PlaceCost<'_>) -> Feeding {
        // Evenly; drawn together and apart; and towards either end.
        let starts = [(1.0, 0.0), (0.6, 0.0), (1.5, 0.0), (0.8, -0.15), (0.8, 0.15)];
        let found = starts.into_iter().map(|(spread, shift)| {
            let even = |k: usize| (k as f64 + 0.5) / feeders as f64 - 0.5;
            let at = (0..feeders).map(|k| self.length * (0.5 + shift + spread * even(k)).clamp(0.0, 1.0));
            self.improved(at.collect(), cost)
        });
        found.min_by(|a, b| a.worst.total_cmp(&b.worst)).unwrap_or(Feeding { at: Vec::new(), worst: f64::INFINITY })
    }

    fn improved(&self, mut at: Vec<f64>, cost: PlaceCost<'_>) -> Feeding {
        let feeders = at.len();
        let mut worst = self.worst(&at, cost);
        let mut step = 0.5 * self.length / feeders.max(1) as f64;
        let mut noise = 1_u64;
        while step > NEAR {
            let mut better = false;
            for direction in directions(feeders, &mut noise) {
                for step in [step, -step] {
                    let mut moved: Vec<f64> =
                        at.iter().zip(&direction).map(|(x, d)| (x + step * d).clamp(0.0, self.length)).collect();
                    moved.sort_by(f64::total_cmp);
                    let there = self.worst(&moved, cost);
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

    /// No arrangement of so many feeders leaves less ohms: with all their rail ends and bus ends joined (Rayleigh's law) there are the supply
    /// and all feeders side by side, and from there a quarter of the longest piece between two of them or all of the longest end.
    fn no_less_than(&self, feeders: usize) -> f64 {
        let feeders = feeders as f64;
        self.ohms.supply + self.ohms.feeder / feeders + self.ohms.rail * self.length / (4.0 * (feeders - 0.5))
    }

    /// The fewest feeders with which no place costs more than so much, and where; none where `most` are not enough.
    pub fn fewest(&self, limit: f64, most: usize, cost: PlaceCost<'_>) -> Option<Feeding> {
        let hopeful = (1..=most).filter(|&feeders| cost(self.no_less_than(feeders), 0.0) <= limit * (1.0 + 1e-6));
        hopeful.map(|feeders| self.best(feeders, cost)).find(|found| found.worst <= limit)
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
