//! The three-way turnout, its three tracks leaving one set of points.
//!
//! ```text
//!  left stock  ═════════════════════════════════════  left track, left rail
//!                                      ┌────────────  left track, right rail
//!    lM ─────────────────────────── FL ──────────────  middle track, left rail
//!    lR ─────────┐            rL┌──────┘
//!                FC ────────────
//!    rL ─────────┘            lR└──────┐
//!    rM ─────────────────────────── FR ──────────────  middle track, right rail
//!                                      └────────────  right track, left rail
//!  right stock ═════════════════════════════════════  right track, right rail
//! ```
//! Small letters are rails, named by the side and the track they lead to: `rL` is the left track's right rail. `rL` and
//! `lR` cross in the centre frog; farther on `rL` crosses `lM` in the left frog, and `lR` crosses `rM` in the right one.
//! With both side tracks of one radius the centre frog lies at 1/√2 of the way to the other two (the offset of a curve
//! grows with the square of the way; `rL` and `lR` have to come half a gauge each to meet, and a whole one to meet
//! the middle track's rails).
//!
//! Two motors: the left blades (`lM` and `rL`) and the right blades (`rM` and `lR`). Each motor is set through or
//! diverging; both diverging would lead left and right wheels apart, and never happens.
//!
//! With A on the left, whichever wheel passes a frog gives it its phase: set to the left `rL` is under a right
//! wheel, so FC and FL are B; in the middle FL is under a left and FR under a right wheel; to the right FC and FR are
//! A. The frog that no wheel passes may be on either. So FL and FC both do with one contact of the left blades' motor
//! (through A, diverging B), FR with one of the right blades' motor (through B, diverging A).
//!
//! The blades are bonded to their stock rails, whatever the frogs are made of. With live frogs, gaps before each frog
//! are built in; the rail from FC on is one with FC up to the gap before the next frog. Gaps behind FL and FR are the
//! builder's, in the tracks: the left track's right rail, both rails of the middle track, the right track's left rail.

use super::{LinkKind, LocalControl, LocalStop, Route, Template, TemplateLink, TemplatePort, When, Words};
use plan::tables::FrogMaking;

/// Local control: the left blades.
pub const LEFT_BLADES: usize = 0;
/// Local control: the right blades.
pub const RIGHT_BLADES: usize = 1;
/// Where the centre frog lies on the way from the points to the other two.
const CENTRE_FROG: f64 = std::f64::consts::FRAC_1_SQRT_2;

const POINTS: [usize; 2] = [0, 1];
/// Ends of the stock rails: the left track's left rail, the right track's right rail.
const STOCK_END: [usize; 2] = [2, 3];
/// The middle track's rails: at the blade, before the frog, at the end.
const MIDDLE_BLADE: [usize; 2] = [4, 5];
const MIDDLE_CLOSURE: [usize; 2] = [6, 7];
const MIDDLE_END: [usize; 2] = [8, 9];
/// The inner rail of the left and of the right track: at the blade, before FC, before FL or FR, at the end.
const INNER_BLADE: [usize; 2] = [10, 11];
const INNER_CLOSURE: [usize; 2] = [12, 13];
const INNER_STUB: [usize; 2] = [14, 15];
const INNER_END: [usize; 2] = [16, 17];
const SIDE_FROG: [usize; 2] = [18, 19];
const CENTRE: usize = 20;

const NODES: [&str; 21] = [
    "left rail at the points",
    "right rail at the points",
    "left stock rail's end",
    "right stock rail's end",
    "middle track's left blade",
    "middle track's right blade",
    "middle track's left closure rail",
    "middle track's right closure rail",
    "middle track's left rail behind the left frog",
    "middle track's right rail behind the right frog",
    "left track's right blade",
    "right track's left blade",
    "left track's right closure rail",
    "right track's left closure rail",
    "rail between the centre and the left frog",
    "rail between the centre and the right frog",
    "left track's right rail behind the left frog",
    "right track's left rail behind the right frog",
    "left frog",
    "right frog",
    "centre frog",
];

/// The template of a three-way turnout. `lead` (points to the left and right frog) and `tail` (from there to the
/// far ends) in metres.
pub fn three_way(frogs: FrogMaking, lead: f64, tail: f64) -> Template {
    let (length, to_centre) = (lead + tail, CENTRE_FROG * lead);
    let live = frogs == FrogMaking::Live;
    let touching = |a, b, when, words: &'static str| TemplateLink {
        a,
        b,
        kind: LinkKind::Touching,
        when: vec![when],
        words: words.into(),
    };
    let mut links = Vec::new();
    for side in 0..2 {
        let stock = ["left stock rail", "right stock rail"][side];
        let middle = ["middle track's left rail", "middle track's right rail"][side];
        let inner = ["left track's right rail", "right track's left rail"][side];
        links.extend([
            TemplateLink::rail(POINTS[side], STOCK_END[side], length, stock),
            TemplateLink::bond(MIDDLE_BLADE[side], POINTS[side], "bond from blade to stock rail"),
            // The blade of the left track's right rail lies on the right stock rail.
            TemplateLink::bond(INNER_BLADE[side], POINTS[1 - side], "bond from blade to stock rail"),
            touching(
                MIDDLE_BLADE[side],
                POINTS[side],
                (side, 0),
                ["middle track's left blade", "middle track's right blade"][side],
            ),
            // Thrown, the left blades lead to the left track.
            touching(
                INNER_BLADE[side],
                POINTS[1 - side],
                (side, 1),
                ["left track's right blade", "right track's left blade"][side],
            ),
        ]);
        if live {
            links.extend([
                TemplateLink::rail(MIDDLE_BLADE[side], MIDDLE_CLOSURE[side], lead, middle),
                TemplateLink::rail(INNER_BLADE[side], INNER_CLOSURE[side], to_centre, inner),
                TemplateLink::rail(CENTRE, INNER_STUB[side], lead - to_centre, inner),
                TemplateLink::rail(SIDE_FROG[side], INNER_END[side], tail, inner),
                TemplateLink::rail(SIDE_FROG[side], MIDDLE_END[side], tail, middle),
            ]);
        } else {
            links.extend([
                TemplateLink::rail(MIDDLE_BLADE[side], MIDDLE_END[side], length, middle),
                TemplateLink::rail(INNER_BLADE[side], INNER_END[side], length, inner),
            ]);
        }
    }
    let stock = |side: usize| vec![LocalStop::at(0.0, POINTS[side]), LocalStop::at(length, STOCK_END[side])];
    let middle = |side: usize| {
        let mut stops = vec![LocalStop::new(0.0, POINTS[side], MIDDLE_BLADE[side])];
        if live {
            stops.push(LocalStop::new(lead, MIDDLE_CLOSURE[side], SIDE_FROG[side]));
        }
        stops.push(LocalStop::at(length, MIDDLE_END[side]));
        stops
    };
    let inner = |side: usize| {
        let mut stops = vec![LocalStop::new(0.0, POINTS[1 - side], INNER_BLADE[side])];
        if live {
            stops.push(LocalStop::new(to_centre, INNER_CLOSURE[side], CENTRE));
            stops.push(LocalStop::new(lead, INNER_STUB[side], SIDE_FROG[side]));
        }
        stops.push(LocalStop::at(length, INNER_END[side]));
        stops
    };
    let when = |left: u8, right: u8| -> When { vec![(LEFT_BLADES, left), (RIGHT_BLADES, right)] };
    let route = |word: &'static str, port: usize, when: When, rails| Route {
        word: word.into(),
        ports: (0, Some(port)),
        when,
        length,
        rails,
    };
    let blades = |word| LocalControl { word, positions: vec!["through".into(), "diverging".into()] };
    Template {
        nodes: NODES.map(Words::from).to_vec(),
        links,
        // Whoever looks in from behind the frogs sees left and right exchanged.
        ports: vec![
            TemplatePort { word: "points".into(), inward: POINTS },
            TemplatePort { word: "left".into(), inward: [INNER_END[0], STOCK_END[0]] },
            TemplatePort { word: "middle".into(), inward: [MIDDLE_END[1], MIDDLE_END[0]] },
            TemplatePort { word: "right".into(), inward: [STOCK_END[1], INNER_END[1]] },
        ],
        routes: vec![
            route("left", 1, when(1, 0), [stock(0), inner(0)]),
            route("middle", 2, when(0, 0), [middle(0), middle(1)]),
            route("right", 3, when(0, 1), [inner(1), stock(1)]),
        ],
        frogs: if live {
            vec![("left frog", SIDE_FROG[0]), ("right frog", SIDE_FROG[1]), ("centre frog", CENTRE)]
        } else {
            Vec::new()
        },
        controls: vec![blades("left"), blades("right")],
        illegal: vec![when(1, 1)],
    }
}
