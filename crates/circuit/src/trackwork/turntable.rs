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
//! position: whichever rail it is, it has what it touches. A sector plate never turns.

use super::{LinkKind, LocalControl, LocalStop, Route, Template, TemplateLink, TemplatePort, Words};
use plan::tables::DeckPlace;

/// The deck's left and right rail, seen from its A end: where a feed of its own is wired to them.
pub const DECK_MIDDLE: [usize; 2] = [0, 1];
const A_END: [usize; 2] = [2, 3];
const B_END: [usize; 2] = [4, 5];
const FIRST_STALL: usize = 6;

/// What is said of positions in which the deck stands the other way round.
pub const TURNED: &str = " turned";

/// The template of a turntable or sector plate with a deck of this length in metres, and the places where it can stand. `turns`:
/// whether it is another position to stand there the other way round. `touches`: whether the deck's rails touch the stall's.
pub fn turntable(stalls: u32, places: &[DeckPlace], length: f64, turns: bool, touches: bool) -> Template {
    let side_words = ["left deck rail", "right deck rail"];
    let names = ["in the middle", "at its A end", "at its B end"];
    let mut nodes: Vec<Words> =
        names.iter().flat_map(|place| side_words.map(|side| Words::from(format!("{side} {place}")))).collect();
    let mut links = Vec::new();
    for side in 0..2 {
        links.push(TemplateLink::rail(A_END[side], DECK_MIDDLE[side], length / 2.0, side_words[side]));
        links.push(TemplateLink::rail(DECK_MIDDLE[side], B_END[side], length / 2.0, side_words[side]));
    }
    let (mut ports, mut routes, mut positions) = (Vec::new(), Vec::new(), Vec::<Words>::new());
    let rails_of = |stall: u32| [0, 1].map(|side| FIRST_STALL + 2 * (stall as usize - 1) + side);
    for stall in 1..=stalls {
        let word = format!("stall {stall}");
        nodes.extend(["left", "right"].map(|side| Words::from(format!("{side} rail at {word}"))));
        ports.push(TemplatePort { word: word.into(), inward: rails_of(stall) });
    }
    for &place in
        places.iter().filter(|place| place.stall <= stalls && place.beyond.is_none_or(|b| (1..=stalls).contains(&b)))
    {
        let rails = rails_of(place.stall);
        for turned in if turns { &[false, true][..] } else { &[false] } {
            // At this end of the deck, its left rail lies to the left or to the right.
            let (near, far) = if *turned { (B_END, A_END) } else { (A_END, B_END) };
            let position = positions.len() as u8;
            let when = vec![(0, position)];
            let mut touch = |rail: usize, deck: usize, stall: u32| {
                if touches {
                    links.push(TemplateLink {
                        a: rail,
                        b: deck,
                        kind: LinkKind::Contact,
                        when: when.clone(),
                        words: format!("contact of the deck with stall {stall}").into(),
                    });
                }
            };
            let lines = [0, 1].map(|side: usize| {
                let deck = if *turned { 1 - side } else { side };
                touch(rails[side], near[deck], place.stall);
                // Who looks at the deck from over there sees left and right exchanged.
                let there = place.beyond.map(|beyond| rails_of(beyond)[1 - side]);
                if let (Some(there), Some(beyond)) = (there, place.beyond) {
                    touch(there, far[deck], beyond);
                }
                vec![
                    LocalStop::new(0.0, rails[side], near[deck]),
                    LocalStop::at(length / 2.0, DECK_MIDDLE[deck]),
                    there.map_or(LocalStop::at(length, far[deck]), |there| LocalStop::new(length, far[deck], there)),
                ]
            });
            let name: Words = format!("{}{}", place.word(), if *turned { TURNED } else { "" }).into();
            positions.push(name.clone());
            let ends = (place.stall as usize - 1, place.beyond.map(|beyond| beyond as usize - 1));
            routes.push(Route { word: name, ports: ends, when, length, rails: lines });
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
