//! Which of an earlier plan's wires, gaps and joints is which of this one's.

use crate::items::{ItemKey, KeyPoint};
use std::collections::BTreeMap;

/// How much must be the same, the strictest first.
const LEVELS: [fn(&ItemKey) -> Option<ItemKey>; 6] =
    [all, whatever_it_is, tap_elsewhere, elsewhere, first_end, second_end];

/// Groups in which every pair is compared by how far it is apart; larger ones are matched in their order.
const MOST_COMPARED: usize = 200;

/// For each new key, which of the old ones it is. Both name their things by the same numbers.
pub(crate) fn recognise(old: &[ItemKey], new: &[ItemKey]) -> Vec<Option<usize>> {
    let mut of: Vec<Option<usize>> = vec![None; new.len()];
    let mut taken = vec![false; old.len()];
    for level in LEVELS {
        let mut groups: BTreeMap<ItemKey, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for (i, key) in old.iter().enumerate().filter(|(i, _)| !taken[*i]) {
            level(key).into_iter().for_each(|k| groups.entry(k).or_default().0.push(i));
        }
        for (i, key) in new.iter().enumerate().filter(|(i, _)| of[*i].is_none()) {
            level(key).into_iter().for_each(|k| groups.entry(k).or_default().1.push(i));
        }
        for (olds, news) in groups.into_values() {
            for (o, n) in nearest(old, &olds, new, &news) {
                of[n] = Some(o);
                taken[o] = true;
            }
        }
    }
    of
}

fn all(key: &ItemKey) -> Option<ItemKey> {
    Some(key.clone())
}

fn whatever_it_is(key: &ItemKey) -> Option<ItemKey> {
    Some(ItemKey { what: String::new(), ..key.clone() })
}

/// One end is where it was, the other elsewhere on the same part of the same thing.
fn tap_elsewhere(key: &ItemKey) -> Option<ItemKey> {
    let [one, other] = key.ends.clone();
    Some(ItemKey { what: String::new(), class: key.class, ends: [one, nowhere(other)] })
}

fn elsewhere(key: &ItemKey) -> Option<ItemKey> {
    Some(ItemKey { what: String::new(), class: key.class, ends: key.ends.clone().map(nowhere) })
}

fn first_end(key: &ItemKey) -> Option<ItemKey> {
    only(key, 0)
}

fn second_end(key: &ItemKey) -> Option<ItemKey> {
    only(key, 1)
}

fn only(key: &ItemKey, end: usize) -> Option<ItemKey> {
    let kept = key.ends[end].clone();
    let none = KeyPoint { thing: None, own: false, is_member: false, part: String::new(), place: None };
    // That something taps the same bus does not make it the same wire.
    kept.own.then(|| ItemKey { what: key.what.clone(), class: key.class, ends: [kept, none] })
}

fn nowhere(point: KeyPoint) -> KeyPoint {
    // What is at another part of a panel is another wire.
    if point.is_member { point } else { KeyPoint { place: None, ..point } }
}

/// Pairs of those that are alike: the nearest first.
fn nearest(old: &[ItemKey], olds: &[usize], new: &[ItemKey], news: &[usize]) -> Vec<(usize, usize)> {
    if olds.len().max(news.len()) > MOST_COMPARED || (olds.len() == 1 && news.len() == 1) {
        return olds.iter().copied().zip(news.iter().copied()).collect();
    }
    let apart = |o: usize, n: usize| -> i64 {
        let ends = old[o].ends.iter().zip(&new[n].ends);
        ends.map(|(a, b)| (a.place.unwrap_or(0) - b.place.unwrap_or(0)).abs()).sum()
    };
    let mut pairs: Vec<(i64, usize, usize)> =
        olds.iter().flat_map(|&o| news.iter().map(move |&n| (o, n))).map(|(o, n)| (apart(o, n), o, n)).collect();
    pairs.sort_unstable();
    let mut used = (std::collections::BTreeSet::new(), std::collections::BTreeSet::new());
    pairs.retain(|&(_, o, n)| {
        let free = !used.0.contains(&o) && !used.1.contains(&n);
        free && used.0.insert(o) && used.1.insert(n)
    });
    pairs.into_iter().map(|(_, o, n)| (o, n)).collect()
}
