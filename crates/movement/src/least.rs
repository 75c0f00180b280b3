//! The least set of joints that must be left to slide, along one chain of plain rail.

/// What stands at a place of a chain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    /// Rail parts here: a gap or a joint that slides.
    Parts,
    /// A soldered joint, which could be left to slide.
    Soldered,
}

/// A place of a chain where rail parts or could part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChainPlace {
    /// Metres along the chain.
    pub x: f64,
    /// What stands there.
    pub stand: Stand,
    /// How much the width may change over the year, metres.
    pub room: f64,
}

/// How a chain ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChainEnd {
    /// In the open.
    Free,
    /// Against rail that is not of the chain.
    Against {
        /// How much the width may change over the year, metres.
        room: f64,
        /// How much of that the rail beyond takes.
        taken: f64,
    },
}

/// Plain rail from end to end, with all places where it parts or could part.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// Its length in metres, from 0.
    pub length: f64,
    /// Change over the year of a rail's length, in parts of it: the greatest strain less the least, nought among them.
    pub swing: f64,
    /// Its places, in order.
    pub places: Vec<ChainPlace>,
    /// Its ends.
    pub ends: [ChainEnd; 2],
}

impl Chain {
    /// The places at which the rails are open when these soldered joints slide, the ends among them.
    fn open(&self, slides: &[usize]) -> Vec<usize> {
        let parts = |i: &usize| self.places[*i].stand == Stand::Parts || slides.contains(i);
        (0..self.places.len()).filter(parts).collect()
    }

    /// Whether every opening has room when these soldered joints slide: at each the halves of the rails on either side
    /// come and go.
    pub fn holds(&self, slides: &[usize]) -> bool {
        let open = self.open(slides);
        let x =
            |k: isize| usize::try_from(k).ok().map_or(0.0, |k| open.get(k).map_or(self.length, |&p| self.places[p].x));
        let inner = (0..open.len() as isize)
            .all(|k| self.swing * (x(k + 1) - x(k - 1)) / 2.0 <= self.places[open[k as usize]].room + EQUAL);
        inner && self.end_holds(0, x(0)) && self.end_holds(1, self.length - x(open.len() as isize - 1))
    }

    /// Whether an end has room beside rail of this length.
    fn end_holds(&self, end: usize, rail: f64) -> bool {
        match self.ends[end] {
            ChainEnd::Free => true,
            ChainEnd::Against { room, taken } => taken + self.swing * rail / 2.0 <= room + EQUAL,
        }
    }

    /// The fewest soldered joints that, left to slide, give every opening room; by their places. None where no set of
    /// them does.
    ///
    /// Whether an opening has room depends on the openings before and behind it alone. So with `f(j, i)` the fewest slides
    /// up to an opening at place `j` whose last one before is `i`, all openings before `j` having room, `f(k, j)` is one or
    /// nought for `k` and the least of `f(j, i)` over all `i` from which `j` has room with `k`: those not too far back. A
    /// place that parts already cannot be passed over. Every set of slides is a path of such steps, so the least path is
    /// the least set.
    ///
    /// Gives up where that takes more than [`MOST_STEPS`] steps, as it can where rails hardly move and yet have no room.
    ///
    /// # Errors
    /// When that takes too many steps.
    pub fn least(&self) -> Result<Option<Vec<usize>>, GaveUp> {
        // Stops: the start, the places, the end.
        let n = self.places.len();
        let x = |s: usize| {
            if s == 0 {
                0.0
            } else if s == n + 1 {
                self.length
            } else {
                self.places[s - 1].x
            }
        };
        let fixed = |s: usize| s == 0 || s == n + 1 || self.places[s - 1].stand == Stand::Parts;
        // steps[j]: for each i < j that can come just before j, and j has come about: (i, least so far, the one before i).
        let mut steps: Vec<Vec<PathStep>> = vec![Vec::new(); n + 2];
        let mut taken = 0;
        for j in 0..=n {
            // best[m]: the least among steps[j][m..], which are in the order of i.
            let mut best: Vec<usize> = (0..steps[j].len()).collect();
            for m in (0..best.len().saturating_sub(1)).rev() {
                if steps[j][best[m + 1]].slides < steps[j][m].slides {
                    best[m] = best[m + 1];
                }
            }
            if j > 0 && steps[j].is_empty() {
                continue;
            }
            if taken > MOST_STEPS {
                return Err(GaveUp);
            }
            for k in j + 1..=n + 1 {
                let step = if j == 0 {
                    self.end_holds(0, x(k)).then_some((0, 0))
                } else {
                    let back = x(k) - 2.0 * (self.places[j - 1].room + EQUAL) / self.swing;
                    let from = steps[j].partition_point(|s| x(s.before) < back);
                    best.get(from).map(|&b| (steps[j][b].slides, b))
                };
                let Some((slides, through)) = step else { break };
                if k <= n || self.end_holds(1, x(k) - x(j)) {
                    let slides = slides + usize::from(!fixed(k));
                    steps[k].push(PathStep { before: j, slides, through });
                    taken += 1;
                }
                if fixed(k) {
                    break;
                }
            }
        }
        let last = (0..steps[n + 1].len()).min_by_key(|&m| steps[n + 1][m].slides);
        let Some(last) = last else { return Ok(None) };
        let (mut stop, mut number, mut slides) = (n + 1, last, Vec::new());
        while stop > 0 {
            let step = &steps[stop][number];
            (stop, number) = (step.before, step.through);
            if stop > 0 && !fixed(stop) {
                slides.push(stop - 1);
            }
        }
        slides.reverse();
        Ok(Some(slides))
    }
}

/// How many steps the search for the least set may take.
pub const MOST_STEPS: usize = 2_000_000;

/// The search for the least set was given up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GaveUp;

/// Less than this, in metres, is no difference.
const EQUAL: f64 = 1e-9;

/// An opening just before another.
#[derive(Clone, Copy)]
struct PathStep {
    before: usize,
    /// The fewest slides so far.
    slides: usize,
    /// Which of the steps to `before` that is.
    through: usize,
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_search_without_end_is_given_up() {
        let places: Vec<ChainPlace> =
            (1..5000).map(|k| ChainPlace { x: f64::from(k) * 0.1, stand: Stand::Soldered, room: 0.002 }).collect();
        let ends = [ChainEnd::Free, ChainEnd::Against { room: 0.0, taken: 0.0 }];
        let chain = Chain { length: 500.0, swing: 1e-7, places, ends };
        assert_eq!(chain.least(), Err(GaveUp));
    }

    /// Every set of soldered joints, the smallest first.
    fn by_trial(chain: &Chain) -> Option<usize> {
        let soldered: Vec<usize> =
            (0..chain.places.len()).filter(|&i| chain.places[i].stand == Stand::Soldered).collect();
        (0..1u32 << soldered.len())
            .filter(|set| {
                let slides: Vec<usize> =
                    (0..soldered.len()).filter(|b| set >> b & 1 == 1).map(|b| soldered[b]).collect();
                chain.holds(&slides)
            })
            .map(|set| set.count_ones() as usize)
            .min()
    }

    #[test]
    fn the_least_set_is_the_least() {
        // A generator of our own, so that every run tries the same chains.
        let mut state = 7u64;
        let mut random = move || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 40) as f64 / (1u64 << 24) as f64
        };
        let (mut solved, mut slid, mut hopeless) = (0, 0, 0);
        for _ in 0..4000 {
            let count = 1 + (random() * 9.0) as usize;
            let mut x = 0.0;
            let mut places = Vec::new();
            for _ in 0..count {
                x += 0.2 + random();
                let stand = if random() < 0.25 { Stand::Parts } else { Stand::Soldered };
                places.push(ChainPlace { x, stand, room: 0.0004 + 0.0016 * random() });
            }
            let mut end = || match random() < 0.5 {
                true => ChainEnd::Free,
                false => ChainEnd::Against { room: 0.002 * random(), taken: 0.0004 * random() },
            };
            let ends = [end(), end()];
            let chain = Chain { length: x + 0.2 + random(), swing: 0.0002 + 0.001 * random(), places, ends };
            let found = chain.least().unwrap();
            assert_eq!(found.as_ref().map(Vec::len), by_trial(&chain), "{chain:?}");
            match found {
                Some(slides) => {
                    assert!(chain.holds(&slides), "{chain:?}: {slides:?}");
                    solved += 1;
                    slid += usize::from(!slides.is_empty());
                }
                None => hopeless += 1,
            }
        }
        // All three kinds came up, or this would show nothing.
        assert!(solved > 400 && slid > 200 && hopeless > 200, "{solved} {slid} {hopeless}");
    }

    #[test]
    fn one_joint_in_the_middle_of_a_long_rail() {
        let place = |x| ChainPlace { x, stand: Stand::Soldered, room: 0.002 };
        let against = ChainEnd::Against { room: 0.0012, taken: 0.0 };
        let chain =
            Chain { length: 4.0, swing: 0.001, places: vec![place(1.0), place(2.0), place(3.0)], ends: [against; 2] };
        assert!(!chain.holds(&[]) && !chain.holds(&[0]) && chain.holds(&[1]));
        assert_eq!(chain.least(), Ok(Some(vec![1])));
        // With more movement it takes two, with still more three; in the end 1.2 mm is too little for a rail of 1 m.
        assert_eq!(Chain { swing: 0.0013, ..chain.clone() }.least(), Ok(Some(vec![0, 2])));
        assert_eq!(Chain { swing: 0.0016, ..chain.clone() }.least(), Ok(Some(vec![0, 1, 2])));
        assert_eq!(Chain { swing: 0.0035, ..chain }.least(), Ok(None));
    }
}
