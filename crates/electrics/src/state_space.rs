//! Time courses of three linear equations, for [`crate::rc_filter`]: exact up to rounding at any time, by the matrix
//! exponential, also where two of the natural modes fall together and a sum of exponentials would lose its digits. Of
//! the sixteen digits each power of ten between the quickest and the slowest rate costs one: some six for a bus of
//! metres and a short of a tenth of an ohm.

pub(crate) type State = [f64; 3];

/// `dx/dt = A·x` of a circuit without sources: nothing grows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Modes(pub(crate) [State; 3]);

/// The natural modes, roots of the characteristic cubic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Roots {
    /// The one that is real in any case.
    pub(crate) real: f64,
    /// The other two: real part, and imaginary part where they ring; else the two real ones.
    pub(crate) pair: RootPair,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum RootPair {
    Rings { decay: f64, speed: f64 },
    Real(f64, f64),
}

/// A time and the state at it.
pub(crate) type Sample = (f64, State);

impl Modes {
    pub(crate) fn roots(&self) -> Roots {
        let a = &self.0;
        let minor = |i: usize, j: usize| a[i][i] * a[j][j] - a[i][j] * a[j][i];
        // s³ + c2·s² + c1·s + c0, no coefficient negative.
        let c2 = -(a[0][0] + a[1][1] + a[2][2]);
        let c1 = minor(0, 1) + minor(0, 2) + minor(1, 2);
        let c0 = -(a[0][0] * minor(1, 2) - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0])
            + a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0]));
        // Since nothing grows, c2·c1 ≥ c0 and the cubic changes its sign between −c2 and 0.
        let (mut below, mut above) = (-c2, 0.0);
        for _ in 0..200 {
            let middle = 0.5 * (below + above);
            if ((middle + c2) * middle + c1) * middle + c0 < 0.0 { below = middle } else { above = middle }
        }
        let real = 0.5 * (below + above);
        // What is left is s² + b·s + c; the way of dividing that does not subtract like from like.
        let c = if real == 0.0 { c1 } else { -c0 / real };
        let b = if real < -0.5 * c2 { (c - c1) / real } else { c2 + real };
        let quarter = 0.25 * b * b - c;
        let pair = if quarter < 0.0 {
            RootPair::Rings { decay: 0.5 * b, speed: (-quarter).sqrt() }
        } else {
            let far = -(0.5 * b + quarter.sqrt());
            RootPair::Real(far, if far == 0.0 { 0.0 } else { c / far })
        };
        Roots { real, pair }
    }

    /// `e^(A·t)`: Taylor's series of a small enough part of the time, squared up.
    pub(crate) fn after(&self, time: f64) -> [State; 3] {
        let size = self.0.iter().flatten().fold(0.0_f64, |most, x| most.max(x.abs())) * 3.0 * time;
        let halvings = if size > 0.5 { (size * 2.0).log2().ceil().min(1000.0) as i32 } else { 0 };
        let part = self.0.map(|row| row.map(|x| x * time / 2.0_f64.powi(halvings)));
        let mut power = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let mut sum = power;
        // 0.5^16/16! is below the rounding of one.
        for term in 1..16 {
            power = times(&power, &part).map(|row| row.map(|x| x / f64::from(term)));
            (0..3).for_each(|i| (0..3).for_each(|j| sum[i][j] += power[i][j]));
        }
        (0..halvings).for_each(|_| sum = times(&sum, &sum));
        sum
    }

    pub(crate) fn at(&self, start: &State, time: f64) -> State {
        apply(&self.after(time), start)
    }

    /// Walks from `start` in steps that miss no turn of a mode that still matters; `visit` is given two neighbouring
    /// samples and says whether to go on.
    pub(crate) fn walk(&self, start: State, mut visit: impl FnMut(Sample, Sample) -> bool) {
        const STEPS: usize = 20_000;
        let roots = self.roots();
        let (ring_step, ring_end, mut rates) = match roots.pair {
            RootPair::Rings { decay, speed } => {
                (std::f64::consts::PI / speed / 24.0, FORGOTTEN / decay, vec![roots.real.abs(), decay])
            }
            RootPair::Real(one, other) => (f64::INFINITY, 0.0, vec![roots.real.abs(), one.abs(), other.abs()]),
        };
        rates.retain(|&rate| rate > 0.0);
        let fastest = rates.iter().copied().fold(1.0 / ring_step, f64::max);
        let slowest = rates.iter().copied().fold(f64::INFINITY, f64::min);
        let mut before: Sample = (0.0, start);
        let (mut last_step, mut over_step) = (0.0, self.0);
        for _ in 0..STEPS {
            let grown = (0.03 * before.0).max(0.01 / fastest);
            let step = if before.0 < ring_end { grown.min(ring_step) } else { grown };
            if step != last_step {
                (last_step, over_step) = (step, self.after(step));
            }
            let next = (before.0 + step, apply(&over_step, &before.1));
            if !visit(before, next) || next.0 * slowest > FORGOTTEN {
                return;
            }
            before = next;
        }
    }

    /// When `value`, of different signs at the two samples, is nothing.
    pub(crate) fn between(&self, from: Sample, to: Sample, value: impl Fn(&State) -> f64) -> Sample {
        let (mut low, mut high) = (0.0, to.0 - from.0);
        let rising = value(&to.1) > 0.0;
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if (value(&self.at(&from.1, middle)) > 0.0) == rising { high = middle } else { low = middle }
        }
        let time = 0.5 * (low + high);
        (from.0 + time, self.at(&from.1, time))
    }
}

/// After so many time constants a mode is below the rounding of what it was.
const FORGOTTEN: f64 = 37.0;

fn times(a: &[State; 3], b: &[State; 3]) -> [State; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

fn apply(a: &[State; 3], x: &State) -> State {
    std::array::from_fn(|i| (0..3).map(|k| a[i][k] * x[k]).sum())
}
