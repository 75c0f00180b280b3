//! The least set of tests that between them notice everything one of them notices: a minimum set cover (hitting set).

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// Tests that were chosen, and how few could do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cover {
    /// The chosen tests, ascending.
    pub chosen: Vec<usize>,
    /// No set with fewer can do. Where it is as many as were chosen, these are the fewest.
    pub at_least: usize,
}

/// Chooses tests so that everything is noticed that any test notices: `notices[t]` is what test `t` notices. Those of
/// `always` are chosen whatever they notice, in ascending order.
///
/// Then comes whatever only one test notices: that test is in every solution. Of what is left, the test that notices
/// most is taken again and again, of equals the first; in the end tests are dropped whose work the others do. How few
/// could do is bounded by things no two of which are noticed by one test (each needs one of its own). Finding the fewest
/// is hard in general (Karp 1972); on wiring nearly everything is decided by the first step.
pub fn cover(notices: &[BTreeSet<usize>], always: &[usize]) -> Cover {
    let mut by: Vec<Vec<usize>> = Vec::new();
    for (test, noticed) in notices.iter().enumerate() {
        for &thing in noticed {
            if by.len() <= thing {
                by.resize(thing + 1, Vec::new());
            }
            by[thing].push(test);
        }
    }
    let by_always: BTreeSet<usize> = always.iter().flat_map(|&test| &notices[test]).copied().collect();
    let mut open: BTreeSet<usize> =
        (0..by.len()).filter(|thing| !by[*thing].is_empty() && !by_always.contains(thing)).collect();
    let at_least = always.len() + apart(&by, &open);
    let mut chosen: BTreeSet<usize> =
        open.iter().map(|&thing| &by[thing]).filter(|tests| tests.len() == 1).map(|tests| tests[0]).collect();
    for &test in &chosen {
        notices[test].iter().for_each(|thing| {
            open.remove(thing);
        });
    }
    chosen.extend(always);
    // What a test would gain only ever falls, so that an old figure is a bound: only the test at the top is asked anew. Of
    // equals the first comes out, so that the same plan gives the same sheet.
    let gain = |test: usize, open: &BTreeSet<usize>| notices[test].iter().filter(|t| open.contains(t)).count();
    let free = (0..notices.len()).filter(|t| !chosen.contains(t));
    let mut heap: BinaryHeap<(usize, Reverse<usize>)> = free.map(|t| (gain(t, &open), Reverse(t))).collect();
    while !open.is_empty() {
        let Some((before, Reverse(test))) = heap.pop() else { break };
        let now = gain(test, &open);
        if now < before {
            heap.push((now, Reverse(test)));
            continue;
        }
        notices[test].iter().for_each(|thing| {
            open.remove(thing);
        });
        chosen.insert(test);
    }
    drop_needless(notices, &by, &mut chosen, always);
    Cover { chosen: chosen.into_iter().collect(), at_least }
}

/// Drops tests whose every thing another chosen test notices too, those that notice least first.
fn drop_needless(notices: &[BTreeSet<usize>], by: &[Vec<usize>], chosen: &mut BTreeSet<usize>, always: &[usize]) {
    let mut order: Vec<usize> = chosen.iter().copied().filter(|test| always.binary_search(test).is_err()).collect();
    order.sort_by_key(|&test| (notices[test].len(), Reverse(test)));
    for test in order {
        let spare = |thing: &usize| by[*thing].iter().any(|other| *other != test && chosen.contains(other));
        if notices[test].iter().all(spare) {
            chosen.remove(&test);
        }
    }
}

/// How many of these things can be found no two of which are noticed by one test: those that fewest tests notice first.
fn apart(by: &[Vec<usize>], things: &BTreeSet<usize>) -> usize {
    let mut order: Vec<usize> = things.iter().copied().collect();
    order.sort_by_key(|&thing| (by[thing].len(), thing));
    let mut used: BTreeSet<usize> = BTreeSet::new();
    let mut count = 0;
    for thing in order {
        if by[thing].iter().all(|test| !used.contains(test)) {
            used.extend(&by[thing]);
            count += 1;
        }
    }
    count
}
