//! Which way is meant: by its number, its name, or as the worst there is.

use crate::figures::Figures;
use crate::words::BadReference;
use crate::{ways_table, words};
use circuit::ways::Ways;
use circuit::{Circuit, Way};
use electrics::Failed;
use plan::{Kind, Names};

/// Names that a message lists where none is near.
const MOST_NAMES: usize = 6;

/// Why there is no such way, or nothing can be said along it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WayError {
    /// A track that it is to lead over is none.
    #[error(transparent)]
    Track(#[from] BadReference),
    /// No way has the number.
    #[error("there is no way {number}; {}", numbered(*.listed))]
    NoNumber {
        /// The number, as it was asked for.
        number: String,
        /// How many ways are listed.
        listed: usize,
    },
    /// No way has the name.
    #[error("there is no route `{name}`; {hint}")]
    NoName {
        /// The name.
        name: String,
        /// What would do.
        hint: String,
    },
    /// The plan has no ways.
    #[error("no train can be lined over this plan; it has no ways")]
    NoWays,
    /// No way leads over the tracks.
    #[error("no route goes over these tracks one after the other")]
    NotOverThese,
    /// A supply is shorted, whatever is set.
    #[error(
        "something is shorted in every setting: there is no voltage to tell before that is fixed; `gapwright check` says what"
    )]
    Shorted,
    /// Nothing feeds the rails.
    #[error("nothing feeds the rails of this plan; there is no voltage along them")]
    Unfed,
    /// There are no numbers.
    #[error(transparent)]
    NoNumbers(#[from] Failed),
}

/// Which numbers there are.
fn numbered(listed: usize) -> String {
    match listed {
        0 => "no route goes over these tracks one after the other".to_owned(),
        1 => "`gapwright routes` lists only 1".to_owned(),
        n => format!("`gapwright routes` lists them from 1 to {n}"),
    }
}

/// The way of this number or name.
pub fn named(circuit: &Circuit, names: &Names, chosen: Vec<(usize, Way)>, word: &str) -> Result<Way, WayError> {
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
        return Err(WayError::NoNumber { number: word.to_owned(), listed });
    }
    let hint = match plan::nearest_name(word, ways.iter().map(|w| w.name.as_str())) {
        Some(near) => format!("did you mean `{near}`?"),
        None if names.get(word).is_some_and(|found| found.0 == Kind::Track) => {
            format!("`{word}` is a track; ask for the routes to it with `--to \"{word}\"`")
        }
        None if listed == 0 => "no route goes over these tracks one after the other".to_owned(),
        None => {
            let named: Vec<String> = ways[..listed.min(MOST_NAMES)].iter().map(|w| format!("`{}`", w.name)).collect();
            match listed.saturating_sub(MOST_NAMES) {
                0 => format!("there is {}", words::list(&named)),
                more => format!("there is {} and {more} more", named.join(", ")),
            }
        }
    };
    Err(WayError::NoName { name: word.to_owned(), hint })
}

/// The way with the least share of its supply's voltage, the first of two alike.
pub fn worst(
    figures: &Figures,
    ways: &Ways,
    chosen: Vec<(usize, Way)>,
) -> Result<(Way, Option<&'static str>), WayError> {
    if ways.list.is_empty() {
        return Err(WayError::NoWays);
    }
    let share = |index: usize| {
        let line = figures.ways.iter().find(|w| w.way == index);
        line.map_or(f64::INFINITY, |w| w.volts.typical / w.supply_volts)
    };
    let why = match chosen.len() {
        1 => "the only one that fits",
        _ if !figures.all_ways => "the worst of those that were worked out",
        _ => "the worst of all that fit",
    };
    let found = chosen.into_iter().min_by(|a, b| share(a.0).total_cmp(&share(b.0)));
    let (_, way) = found.ok_or(WayError::NotOverThese)?;
    Ok((way, Some(why)))
}
