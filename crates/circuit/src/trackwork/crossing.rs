//! The crossing of two tracks on the level.
//!
//! Seen from the west, `west 1` is the left of the two tracks there. Track 1 runs from there down to `east 1`, track 2
//! from `west 2` up to `east 2`. `L1` is the left rail of track 1 for somebody who goes east, and so on.
//!
//! ```text
//!  west 1   L1 ────────────── north ────────────── L2   east 2
//!           R1 ─────┐       ╱       ╲       ┌───── R2
//!                   west ──           ── east
//!           L2 ─────┘       ╲       ╱       └───── L1
//!  west 2   R2 ────────────── south ────────────── R1   east 1
//! ```
//! Four places where rails cross. With the tracks as the lines y = ∓a·x and the rails half a gauge g to either side of
//! them, `R1` meets `L2` at x = −g/2a and `L1` meets `R2` at x = +g/2a, both on the axis: the two *acute frogs*, west and
//! east. `L1` meets `L2` and `R1` meets `R2` at x = 0, half a gauge to the north and the south: the two *obtuse
//! crossings*.
//!
//! **Both tracks of one phase** (left rails A): `L1` and `L2` are both A, `R1` and `R2` both B. The obtuse crossings
//! join rails of one pole and are one piece with them for good. At the west frog a train on track 1 has its right
//! wheels (B), one on track 2 its left wheels (A); at the east frog the other way round. So
//!
//! | route | west frog | east frog |
//! |---|---|---|
//! | 1 | B | A |
//! | 2 | A | B |
//!
//! **Of opposite phases** (left rail of track 1 A, of track 2 B): `R1` and `L2` are both B and meet at the west frog,
//! `L1` and `R2` both A at the east frog: now the acute frogs are constant, and the obtuse crossings change:
//! north is A for route 1 and B for route 2, south B and A.
//!
//! Gaps: around whatever changes, the ones on the inside of the diamond are built in. Behind an acute frog that changes,
//! the tracks' own rails take its phase up to a gap of the builder's: the right rail of `west 1`, the left of `west
//! 2`, the left of `east 1` and the right of `east 2`, all seen eastwards.
//!
//! A live crossing has no motor: which route is set follows from a control of something else, its first position
//! setting route 1 and its second route 2, or, since which track is number 1 follows from how they lie, the other way round. With plastic frogs the two routes are independent, and always set.

use super::{LocalControl, LocalStop, Route, Template, TemplateLink, TemplatePort, When, Words};
use plan::tables::{FrogMaking, Phases};

/// Left and right rail of a track at its west end and at its east end, seen eastwards.
pub(super) const WEST: [[usize; 2]; 2] = [[0, 1], [2, 3]];
pub(super) const EAST: [[usize; 2]; 2] = [[4, 5], [6, 7]];
pub(super) const NORTH: usize = 8;
pub(super) const SOUTH: usize = 9;
pub(super) const WEST_FROG: usize = 10;
pub(super) const EAST_FROG: usize = 11;
/// Each rail between its acute frog and its obtuse crossing: `STUB[track][side]`.
pub(super) const STUB: [[usize; 2]; 2] = [[12, 13], [14, 15]];
/// The far side of an obtuse crossing that is cut off, and each rail where it ends before it.
const NORTH_FAR: usize = 16;
const SOUTH_FAR: usize = 17;
const BEFORE: [[usize; 2]; 2] = [[18, 19], [20, 21]];

const NODES: [&str; 22] = [
    "left rail at west 1",
    "right rail at west 1",
    "left rail at west 2",
    "right rail at west 2",
    "left rail at east 1",
    "right rail at east 1",
    "left rail at east 2",
    "right rail at east 2",
    "north crossing",
    "south crossing",
    "west frog",
    "east frog",
    "left rail of track 1 before the east frog",
    "right rail of track 1 behind the west frog",
    "left rail of track 2 behind the west frog",
    "right rail of track 2 before the east frog",
    "north crossing's far side",
    "south crossing's far side",
    "left rail of track 1 before the north crossing",
    "right rail of track 1 behind the south crossing",
    "left rail of track 2 behind the north crossing",
    "right rail of track 2 before the south crossing",
];

/// The words for each rail: `RAILS[track][side]`.
pub(super) const RAILS: [[&str; 2]; 2] =
    [["left rail of track 1", "right rail of track 1"], ["left rail of track 2", "right rail of track 2"]];

/// The lengths in a crossing, in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossingLengths {
    /// From an acute frog to the next obtuse crossing.
    pub span: f64,
    /// From an acute frog outwards to the end of its rails.
    pub tail: f64,
}

impl CrossingLengths {
    /// From end to end.
    pub fn whole(self) -> f64 {
        2.0 * (self.span + self.tail)
    }
}

/// The template of a crossing. `follows`: none where its routes are set by nothing; else whether the first position of
/// what it follows sets route 2.
pub fn crossing(frogs: FrogMaking, phases: Phases, follows: Option<bool>, lengths: CrossingLengths) -> Template {
    let Diamond { links, lines } = diamond(frogs, phases, lengths);
    let [[l1, r1], [l2, r2]] = lines;
    let when =
        |route: u8| follows.map_or_else(When::new, |exchanged| vec![(0, if exchanged { 1 - route } else { route })]);
    let followed = follows.is_some();
    let two = || match follows {
        Some(true) => vec!["route 2".into(), "route 1".into()],
        _ => vec!["route 1".into(), "route 2".into()],
    };
    Template {
        nodes: NODES.map(Words::from).to_vec(),
        links,
        ports: ports(),
        routes: vec![route(0, 0, when(0), lengths, [l1, r1]), route(1, 1, when(1), lengths, [l2, r2])],
        frogs: match (frogs, phases) {
            (FrogMaking::Insulated, _) => Vec::new(),
            (FrogMaking::Live, Phases::Same) => acute_frogs(),
            (FrogMaking::Live, Phases::Opposite) => vec![("north frog", NORTH), ("south frog", SOUTH)],
        },
        controls: if followed { vec![LocalControl { word: "", positions: two() }] } else { Vec::new() },
        illegal: Vec::new(),
    }
}

pub(super) fn nodes() -> Vec<Words> {
    NODES.map(Words::from).to_vec()
}

pub(super) fn acute_frogs() -> Vec<(&'static str, usize)> {
    vec![("west frog", WEST_FROG), ("east frog", EAST_FROG)]
}

/// The four ends; whoever looks in from the east sees left and right exchanged.
pub(super) fn ports() -> Vec<TemplatePort> {
    let swapped = |[left, right]: [usize; 2]| [right, left];
    vec![
        TemplatePort { word: "west 1".into(), inward: WEST[0] },
        TemplatePort { word: "east 1".into(), inward: swapped(EAST[0]) },
        TemplatePort { word: "west 2".into(), inward: WEST[1] },
        TemplatePort { word: "east 2".into(), inward: swapped(EAST[1]) },
    ]
}

/// The route from one of the west ends to one of the east ends, each given as 0 or 1.
pub(super) fn route(
    west: usize,
    east: usize,
    when: When,
    lengths: CrossingLengths,
    rails: [Vec<LocalStop>; 2],
) -> Route {
    Route {
        word: format!("west {} to east {}", west + 1, east + 1).into(),
        ports: (2 * west, Some(2 * east + 1)),
        when,
        length: lengths.whole(),
        rails,
    }
}

/// Rails that cross: what joins them, and the stops of each, `lines[track][side]`.
pub(super) struct Diamond {
    pub(super) links: Vec<TemplateLink>,
    pub(super) lines: [[Vec<LocalStop>; 2]; 2],
}

pub(super) fn diamond(frogs: FrogMaking, phases: Phases, lengths: CrossingLengths) -> Diamond {
    match (frogs, phases) {
        (FrogMaking::Insulated, _) => insulated(lengths),
        (FrogMaking::Live, Phases::Same) => same_phase(lengths),
        (FrogMaking::Live, Phases::Opposite) => opposite_phases(lengths),
    }
}

/// Each rail is one conductor from end to end, bonded past the plastic.
fn insulated(lengths: CrossingLengths) -> Diamond {
    let whole = lengths.whole();
    let mut links = Vec::new();
    let lines = [0, 1].map(|track| {
        [0, 1].map(|side| {
            links.push(TemplateLink::rail(WEST[track][side], EAST[track][side], whole, RAILS[track][side]));
            vec![LocalStop::at(0.0, WEST[track][side]), LocalStop::at(whole, EAST[track][side])]
        })
    });
    Diamond { links, lines }
}

/// Whether a rail meets its acute frog before its obtuse crossing, going east: R1 and L2 do.
fn frog_first(track: usize, side: usize) -> bool {
    track != side
}

/// The obtuse crossings are one with the rails that meet there; the acute frogs are cut off on the inside.
fn same_phase(lengths: CrossingLengths) -> Diamond {
    let CrossingLengths { span, tail } = lengths;
    let (middle, whole) = (tail + span, lengths.whole());
    let mut links = Vec::new();
    let lines = [0, 1].map(|track| {
        [0, 1].map(|side| {
            let (west, east, stub) = (WEST[track][side], EAST[track][side], STUB[track][side]);
            let obtuse = [NORTH, SOUTH][side];
            let words = RAILS[track][side];
            if frog_first(track, side) {
                links.extend([
                    TemplateLink::rail(west, WEST_FROG, tail, words),
                    TemplateLink::rail(stub, obtuse, span, words),
                    TemplateLink::rail(obtuse, east, middle, words),
                ]);
                vec![
                    LocalStop::at(0.0, west),
                    LocalStop::new(tail, WEST_FROG, stub),
                    LocalStop::at(middle, obtuse),
                    LocalStop::at(whole, east),
                ]
            } else {
                links.extend([
                    TemplateLink::rail(west, obtuse, middle, words),
                    TemplateLink::rail(obtuse, stub, span, words),
                    TemplateLink::rail(EAST_FROG, east, tail, words),
                ]);
                vec![
                    LocalStop::at(0.0, west),
                    LocalStop::at(middle, obtuse),
                    LocalStop::new(middle + span, stub, EAST_FROG),
                    LocalStop::at(whole, east),
                ]
            }
        })
    });
    Diamond { links, lines }
}

/// The acute frogs are one with the rails that meet there; the obtuse crossings are cut off on all sides.
fn opposite_phases(lengths: CrossingLengths) -> Diamond {
    let CrossingLengths { span, tail } = lengths;
    let (middle, whole) = (tail + span, lengths.whole());
    // The metal part of an obtuse crossing, from its middle to either side.
    let half = 0.15 * span;
    let mut links = vec![
        TemplateLink::rail(NORTH, NORTH_FAR, 2.0 * half, "north crossing"),
        TemplateLink::rail(SOUTH, SOUTH_FAR, 2.0 * half, "south crossing"),
    ];
    let lines = [0, 1].map(|track| {
        [0, 1].map(|side| {
            let (west, east) = (WEST[track][side], EAST[track][side]);
            let (stub, other) = (STUB[track][side], BEFORE[track][side]);
            let (near, far) = [(NORTH, NORTH_FAR), (SOUTH, SOUTH_FAR)][side];
            let words = RAILS[track][side];
            if frog_first(track, side) {
                links.extend([
                    TemplateLink::rail(west, WEST_FROG, tail, words),
                    TemplateLink::rail(WEST_FROG, stub, span - half, words),
                    TemplateLink::rail(other, east, middle - half, words),
                ]);
                vec![
                    LocalStop::at(0.0, west),
                    LocalStop::at(tail, WEST_FROG),
                    LocalStop::new(middle - half, stub, near),
                    LocalStop::new(middle + half, far, other),
                    LocalStop::at(whole, east),
                ]
            } else {
                links.extend([
                    TemplateLink::rail(west, other, middle - half, words),
                    TemplateLink::rail(stub, EAST_FROG, span - half, words),
                    TemplateLink::rail(EAST_FROG, east, tail, words),
                ]);
                vec![
                    LocalStop::at(0.0, west),
                    LocalStop::new(middle - half, other, near),
                    LocalStop::new(middle + half, far, stub),
                    LocalStop::at(middle + span, EAST_FROG),
                    LocalStop::at(whole, east),
                ]
            }
        })
    });
    Diamond { links, lines }
}
