//! What a rail belongs to where a track does not say: what the rail it goes on in belongs to, if that is not ambiguous.
//!
//! Only rails with a feeder that would otherwise go nowhere are looked at: a rail that is fed by contacts alone stays as it is.

use super::ordinary::{OrdinaryTable, Words};
use super::scene::Scene;
use std::collections::{BTreeMap, VecDeque};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A track as far as it matters here.
struct Piece {
    name: String,
    /// What its `from` and its `to` end join, and where that is said.
    ends: [Option<(String, Range<usize>)>; 2],
    /// What its left and its right rail belong to.
    rails: [Option<String>; 2],
    /// The rails that a feeder asks about.
    asked: [bool; 2],
    /// Whether its ends are joined by gaps.
    parted: bool,
}

impl Piece {
    /// Whether a feeder asks what a rail belongs to, and nothing says it.
    fn lacks(&self) -> bool {
        (0..2).any(|side| self.asked[side] && self.rails[side].is_none())
    }
}

/// Says in a table of its own what each such rail belongs to.
pub(super) fn inherit(root: &DeTable<'_>, scene: &mut Scene<'_, '_>) {
    let Some(DeValue::Array(items)) = root.get("track").map(|found| found.get_ref()) else { return };
    let own: Vec<Piece> = items.iter().filter_map(own_piece).collect();
    if !own.iter().any(Piece::lacks) {
        return;
    }
    let mut pieces = own;
    let count = pieces.len();
    pieces.extend(scene.tables.iter().filter(|table| table.kind == "track" && !table.adds).filter_map(written_piece));
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    for (index, piece) in pieces.iter().enumerate() {
        at.entry(piece.name.clone()).or_insert(index);
    }
    // What composites add to tracks, and what overrides what they stand for.
    for table in scene.tables.iter().filter(|table| table.kind == "track") {
        let Some(&index) = table.name.as_ref().and_then(|name| at.get(name)) else { continue };
        let Some(more) = written_piece(table) else { continue };
        let piece = &mut pieces[index];
        for k in 0..2 {
            piece.ends[k] = piece.ends[k].take().or(more.ends[k].clone());
            piece.rails[k] = piece.rails[k].take().or(more.rails[k].clone());
        }
    }
    let links = links(&pieces, &at);
    let mut said: Vec<(usize, usize, String, Range<usize>)> = Vec::new();
    let mut open: VecDeque<usize> = (0..count).filter(|&index| pieces[index].lacks()).collect();
    // What is known of a track is asked again of those beside it: each rail becomes known once.
    while let Some(index) = open.pop_front() {
        for side in 0..2 {
            if !pieces[index].asked[side] || pieces[index].rails[side].is_some() {
                continue;
            }
            let Some((conductor, of)) = agreed(&pieces, &links[index], side) else { continue };
            pieces[index].rails[side] = Some(conductor.clone());
            said.push((index, side, conductor, of));
            open.extend(
                links[index].iter().map(|link| link.other).filter(|&other| other < count && pieces[other].lacks()),
            );
        }
    }
    said.sort_by_key(|(index, side, ..)| (*index, *side));
    for (index, side, conductor, of) in said {
        let mut table = OrdinaryTable::adding("track", &pieces[index].name, &of);
        table.set(["left", "right"][side], Words::text(&conductor, &of));
        scene.push(table);
    }
}

/// The tracks that end at each end of trackwork, with their end.
fn joined(pieces: &[Piece]) -> BTreeMap<&str, (usize, usize)> {
    let mut joined = BTreeMap::new();
    for (index, piece) in pieces.iter().enumerate() {
        for end in 0..2 {
            if let Some((words, _)) = &piece.ends[end] {
                joined.entry(words.as_str()).or_insert((index, end));
            }
        }
    }
    joined
}

/// A track that goes on from another.
struct Link {
    other: usize,
    /// Whether it runs on as the other does: where one ends the other starts.
    runs_on: bool,
    /// The words that say so.
    of: Range<usize>,
}

/// The tracks that go on from each, over turnouts too; none beyond a gap.
fn links(pieces: &[Piece], at: &BTreeMap<String, usize>) -> Vec<Vec<Link>> {
    let joined = joined(pieces);
    let of_end = |index: usize, end: usize| -> Vec<Link> {
        let piece = &pieces[index];
        let Some((words, of)) = &piece.ends[end] else { return Vec::new() };
        let Some((name, port)) = words.rsplit_once('.') else { return Vec::new() };
        let at_port = |port: &str| joined.get(format!("{name}.{port}").as_str()).copied();
        let others: Vec<(usize, bool)> = match (at.get(name), port) {
            (Some(&other), "from") => vec![(other, end == 1)],
            (Some(&other), "to") => vec![(other, end == 0)],
            (None, "points") => {
                let legs = ["through", "diverging", "left", "right"].into_iter().filter_map(at_port);
                legs.map(|(other, theirs)| (other, theirs != end)).collect()
            }
            (None, "through" | "diverging" | "left" | "right") => {
                at_port("points").into_iter().map(|(other, theirs)| (other, theirs != end)).collect()
            }
            _ => Vec::new(),
        };
        let goes_on = |other: &(usize, bool)| other.0 != index && !pieces[other.0].parted && !piece.parted;
        others.into_iter().filter(goes_on).map(|(other, runs_on)| Link { other, runs_on, of: of.clone() }).collect()
    };
    (0..pieces.len()).map(|index| [0, 1].into_iter().flat_map(|end| of_end(index, end)).collect()).collect()
}

/// What the rails that go on from a rail belong to, where they all say the same.
fn agreed(pieces: &[Piece], links: &[Link], side: usize) -> Option<(String, Range<usize>)> {
    let mut found: Option<(String, Range<usize>)> = None;
    for link in links {
        let Some(conductor) = &pieces[link.other].rails[if link.runs_on { side } else { 1 - side }] else { continue };
        match &found {
            Some((known, _)) if known != conductor => return None,
            Some(_) => {}
            None => found = Some((conductor.clone(), link.of.clone())),
        }
    }
    found
}

fn text_of(table: &DeTable<'_>, key: &str) -> Option<(String, Range<usize>)> {
    let found = table.get(key)?;
    match found.get_ref() {
        DeValue::String(text) => Some((text.clone().into_owned(), found.span())),
        _ => None,
    }
}

fn own_piece(item: &Spanned<DeValue<'_>>) -> Option<Piece> {
    let DeValue::Table(table) = item.get_ref() else { return None };
    let mut asked = [false, false];
    if let Some(DeValue::Array(feeders)) = table.get("feeders").map(|found| found.get_ref()) {
        for feeder in feeders.iter() {
            match feeder.get_ref() {
                DeValue::Table(feeder) if feeder.contains_key("to") => {}
                DeValue::Table(feeder) => match text_of(feeder, "rail") {
                    Some((rail, _)) if rail == "left" => asked[0] = true,
                    Some((rail, _)) if rail == "right" => asked[1] = true,
                    _ => asked = [true, true],
                },
                _ => asked = [true, true],
            }
        }
    }
    Some(Piece {
        name: text_of(table, "name")?.0,
        ends: ["from", "to"].map(|end| text_of(table, end)),
        rails: ["left", "right"].map(|rail| text_of(table, rail).map(|(words, _)| words)),
        asked,
        parted: text_of(table, "joint").is_some_and(|(joint, _)| joint == "gap"),
    })
}

fn written_piece(table: &OrdinaryTable) -> Option<Piece> {
    Some(Piece {
        name: table.name.clone()?,
        ends: ["from", "to"].map(|end| Some((table.text(end)?, table.of.clone()))),
        rails: ["left", "right"].map(|rail| table.text(rail)),
        asked: [false, false],
        parted: table.text("joint").is_some_and(|joint| joint == "gap"),
    })
}
