//! Which way is meant: by its number, its name, or as the worst there is.

use crate::figures::Figures;
use crate::{ways_table, words};
use circuit::ways::Ways;
use circuit::{Circuit, Way};
use plan::{Kind, Names};

/// Names that a message lists where none is near.
const MOST_NAMES: usize = 6;

/// The way of this number or name.
pub fn named(circuit: &Circuit, names: &Names, chosen: Vec<(usize, Way)>, word: &str) -> Result<Way, String> {
    if let Ok(number) = word.parse::<usize>()
        && let Some((_, way)) = number.checked_sub(1).and_then(|index| chosen.get(index))
    {
        return Ok(way.clone());
    }
    let mut ways: Vec<Way> = chosen.into_iter().map(|c| c.1).collect();
    let listed = ways.len();
    // A name that is turned round is understood too.
    ways.extend((0..listed).filter_map(|i| ways_table::back(circuit, &ways[i])).collect::<Vec<_>>());
    if let Some(way) = ways.iter().find(|w| w.name == word) {
        return Ok(way.clone());
    }
    if word.parse::<usize>().is_ok() {
        return Err(match listed {
            0 => format!("there is no way {word}; no way goes over these tracks one after the other"),
            1 => format!("there is no way {word}; `gapwright ways` lists only 1"),
            n => format!("there is no way {word}; `gapwright ways` lists them from 1 to {n}"),
        });
    }
    let hint = match plan::nearest_name(word, ways.iter().map(|w| w.name.as_str())) {
        Some(near) => format!("did you mean `{near}`?"),
        None if names.get(word).is_some_and(|found| found.0 == Kind::Track) => {
            format!("`{word}` is a track; ask for the ways to it with `--to \"{word}\"`")
        }
        None if listed == 0 => "no way goes over these tracks one after the other".to_owned(),
        None => {
            let named: Vec<String> = ways[..listed.min(MOST_NAMES)].iter().map(|w| format!("`{}`", w.name)).collect();
            match listed.saturating_sub(MOST_NAMES) {
                0 => format!("there is {}", words::list(&named)),
                more => format!("there is {} and {more} more", named.join(", ")),
            }
        }
    };
    Err(format!("there is no way `{word}`; {hint}"))
}

/// The way with the least share of its supply's voltage, the first of two alike.
pub fn worst(figures: &Figures, ways: &Ways, chosen: Vec<(usize, Way)>) -> Result<(Way, Option<&'static str>), String> {
    if ways.list.is_empty() {
        return Err("no train can be lined over this plan; it has no ways".to_owned());
    }
    let share = |index: usize| {
        let line = figures.ways.iter().find(|w| w.way == index);
        line.map_or(f64::INFINITY, |w| w.volts.typical / w.supply_volts)
    };
    let why = match chosen.len() {
        1 => "the only one that fits",
        _ if !figures.all_ways => "the worst of those that were reckoned",
        _ => "the worst of all that fit",
    };
    let found = chosen.into_iter().min_by(|a, b| share(a.0).total_cmp(&share(b.0)));
    let (_, way) = found.ok_or("no way goes over these tracks one after the other")?;
    Ok((way, Some(why)))
}
