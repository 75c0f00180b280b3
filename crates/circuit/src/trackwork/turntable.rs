//! Turntables and sector plates.
//!
//! The deck is a piece of track. It stands before one stall at a time: its position is the stall it is lined with. Its far
//! end has a stop, but where another stall lies opposite: then the deck joins the two, and that is one position for both.
//!
//! ```text
//!            stall k                deck
//!   left  ───────────•   ═══════ left rail ═════════  A end ─▶ B end
//!   right ───────────•   ═══════ right rail ════════
//! ```
//! Before a stall, each deck rail touches the rail of the stall that it meets, by a contact that is open otherwise;
//! with `joint = "gap"` nothing joins them, and only wheels do. The power comes over in either direction: a deck without
//! a feed of its own has the phase of the stall it is lined with, and a stall without one is live only while the deck is
//! before it.
//!
//! A deck with a feed of its own can stand before a stall either way round. Turned by half, its B end is at the stall
//! and its left rail on the right: a position of its own, `stall 1 turned`. A deck fed by its stall needs no such
//! position: whichever rail it is, it has what it touches. A sector plate never turns; several tracks may lie side by side on
//! it, and then one position puts as many of them before stalls as there are stalls beside each other.

use super::{LinkKind, LocalControl, LocalStop, Route, Template, TemplateLink, TemplatePort, Words};
use handbook::quantity::Quantity;
use plan::tables::Turntable;

/// The nodes of each track of a deck: left and right rail in the middle, at its A end, at its B end.
const OF_TRACK: usize = 6;

/// The left and right rail of a deck's track, seen from its A end: where a feed of its own is wired to them.
pub fn deck_middle(track: usize) -> [usize; 2] {
    [0, 1].map(|side| OF_TRACK * track + side)
}

fn deck_end(track: usize, far: bool) -> [usize; 2] {
    deck_middle(track).map(|middle| middle + if far { 4 } else { 2 })
}

/// What is said of positions in which the deck stands the other way round.
pub const TURNED: &str = " turned";

/// The template of a turntable or sector plate, and the positions of its deck. `touches`: whether the deck's rails touch the stall's.
pub fn turntable(table: &Turntable, touches: bool) -> Template {
    let (stalls, length, tracks) = (table.stall_count(), table.length.value.si(), table.deck_tracks() as usize);
    let turns: &[bool] = if table.turns() { &[false, true] } else { &[false] };
    let ends = ["in the middle", "at its A end", "at its B end"];
    let mut nodes: Vec<Words> = Vec::new();
    let mut links = Vec::new();
    for track in 0..tracks {
        let deck = if tracks > 1 { format!("deck track {} ", track + 1) } else { "deck ".to_owned() };
        let rails = ["left", "right"].map(|side| format!("{side} {deck}rail"));
        nodes.extend(ends.iter().flat_map(|end| rails.each_ref().map(|rail| Words::from(format!("{rail} {end}")))));
        let (middle, near, far) = (deck_middle(track), deck_end(track, false), deck_end(track, true));
        for (side, rail) in rails.into_iter().enumerate() {
            links.push(TemplateLink::rail(near[side], middle[side], length / 2.0, rail.clone()));
            links.push(TemplateLink::rail(middle[side], far[side], length / 2.0, rail));
        }
    }
    let (mut ports, mut routes, mut positions) = (Vec::new(), Vec::new(), Vec::<Words>::new());
    let rails_of = |stall: u32| [0, 1].map(|side| OF_TRACK * tracks + 2 * (stall as usize - 1) + side);
    for stall in 1..=stalls {
        let word = format!("stall {stall}");
        nodes.extend(["left", "right"].map(|side| Words::from(format!("{side} rail at {word}"))));
        ports.push(TemplatePort { word: word.into(), inward: rails_of(stall) });
    }
    let exists = |stall: u32| (1..=stalls).contains(&stall);
    for position in table.positions() {
        if !position.places.iter().all(|place| exists(place.stall) && place.beyond.is_none_or(exists)) {
            continue;
        }
        for &turned in turns {
            let turned_word = if turned { TURNED } else { "" };
            let when = vec![(0, positions.len() as u8)];
            positions.push(format!("{}{turned_word}", position.word).into());
            for place in &position.places {
                let (rails, track) = (rails_of(place.stall), place.track as usize);
                let middle = deck_middle(track);
                // At this end of the deck, its left rail lies to the left or to the right.
                let (near, far) = (deck_end(track, turned), deck_end(track, !turned));
                let deck = if tracks > 1 { format!("deck track {}", track + 1) } else { "the deck".to_owned() };
                let mut touch = |rail: usize, end: usize, stall: u32| {
                    if touches {
                        links.push(TemplateLink {
                            a: rail,
                            b: end,
                            kind: LinkKind::Contact,
                            when: when.clone(),
                            words: format!("contact of {deck} with stall {stall}").into(),
                        });
                    }
                };
                let lines = [0, 1].map(|side: usize| {
                    let own = if turned { 1 - side } else { side };
                    touch(rails[side], near[own], place.stall);
                    // Who looks at the deck from over there sees left and right exchanged.
                    let there = place.beyond.map(|beyond| rails_of(beyond)[1 - side]);
                    if let (Some(there), Some(beyond)) = (there, place.beyond) {
                        touch(there, far[own], beyond);
                    }
                    vec![
                        LocalStop::new(0.0, rails[side], near[own]),
                        LocalStop::at(length / 2.0, middle[own]),
                        there.map_or(LocalStop::at(length, far[own]), |there| LocalStop::new(length, far[own], there)),
                    ]
                });
                let on = if tracks > 1 { format!("track {} at ", track + 1) } else { String::new() };
                let word = format!("{on}{}{turned_word}", place.word()).into();
                let ends = (place.stall as usize - 1, place.beyond.map(|beyond| beyond as usize - 1));
                routes.push(Route { word, ports: ends, when: when.clone(), length, rails: lines });
            }
        }
    }
    Template {
        nodes,
        links,
        ports,
        routes,
        frogs: Vec::new(),
        controls: vec![LocalControl { word: "", positions }],
        illegal: Vec::new(),
    }
}
