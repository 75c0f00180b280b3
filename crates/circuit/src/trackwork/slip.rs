//! Single and double slips: a crossing with one or two curves between its tracks.
//!
//! Ends and rails are named as at a [crossing]. The first curve, north of the middle, joins `west 1`
//! with `east 2`; a double slip's second one, south of it, joins `west 2` with `east 1`.
//!
//! The blades lie inside the diamond, between the acute frogs. Of a double slip those at the west end, for both tracks,
//! depend on one bar: pulled one way the left blades touch, pushed the other way the right ones. With the bar to the
//! north a train from `west 1` is kept on its own track, to `east 1`, and one from `west 2` is led off to the right,
//! to `east 1` as well; with the bar to the south both go to `east 2`. So **the motor at one end picks the leg at the
//! other**: `through` picks leg 1, `diverging` leg 2, where a plan does not say otherwise. The four settings of the two motors set one route each:
//!
//! | `west` motor | `east` motor | route |
//! |---|---|---|
//! | through | through | west 1 to east 1 |
//! | diverging | diverging | west 2 to east 2 |
//! | diverging | through | west 1 to east 2 (the first curve) |
//! | through | diverging | west 2 to east 1 (the second curve) |
//!
//! An acute frog has the phase of the leg in use at its own end, which the motor at the opposite end picks. With A on the
//! left: `west 1` has its right rail at the west frog (B), `west 2` its left one (A); `east 1` has its left rail at the
//! east frog (A), `east 2` its right one (B).
//!
//! A single slip has no second curve: with the west motor through and the east one diverging no route is set. That is
//! no impossible setting: the points stand so while one motor has moved and the other has not. So it is proved with the
//! others, and no train is over it.
//!
//! The curves join both tracks, so all four legs must agree in phase: all left rails (seen eastwards) are one
//! conductor, and all right ones, but for what lies behind an acute frog. Blades are bonded to the rails they lie on.

use super::crossing::{CrossingLengths, Diamond, EAST, EAST_FROG, STUB, WEST, WEST_FROG};
use super::{LocalControl, LocalStop, Template, TemplateLink, When, crossing};
use plan::tables::{FrogMaking, Phases, SlipKind};

/// Local control: the blades at the west end.
pub const WEST_BLADES: usize = 0;
/// Local control: the blades at the east end.
pub const EAST_BLADES: usize = 1;

/// The template of a slip. `exchanged`: for the blades at the west and at the east end, whether `through` picks leg 2 at the
/// other end.
pub fn slip(kind: SlipKind, frogs: FrogMaking, exchanged: [bool; 2], lengths: CrossingLengths) -> Template {
    let live = frogs == FrogMaking::Live;
    let Diamond { mut links, lines } = crossing::diamond(frogs, Phases::Same, lengths);
    let [[l1, r1], [l2, r2]] = lines;
    // The blades at each end pick the leg at the other.
    let picks = |blades: usize, leg: u8| (blades, if exchanged[blades] { 1 - leg } else { leg });
    let when = |west: u8, east: u8| -> When { vec![picks(WEST_BLADES, east), picks(EAST_BLADES, west)] };
    let mut routes = vec![
        crossing::route(0, 0, when(0, 0), lengths, [l1, r1]),
        crossing::route(1, 1, when(1, 1), lengths, [l2, r2]),
    ];
    let curves: &[(usize, usize)] = if kind == SlipKind::Double { &[(0, 1), (1, 0)] } else { &[(0, 1)] };
    for &(west, east) in curves {
        // The outer rail of a curve goes past the obtuse crossing; the inner one passes both acute frogs.
        let outer = west;
        let rails = [0, 1].map(|side| {
            let words = CURVES[west][side];
            let (from, to, whole) = (WEST[west][side], EAST[east][side], lengths.whole());
            if side == outer || !live {
                links.push(TemplateLink::rail(from, to, whole, words));
                return vec![LocalStop::at(0.0, from), LocalStop::at(whole, to)];
            }
            let (start, end) = (STUB[west][side], STUB[east][side]);
            links.push(TemplateLink::rail(start, end, 2.0 * lengths.span, words));
            vec![
                LocalStop::at(0.0, from),
                LocalStop::new(lengths.tail, WEST_FROG, start),
                LocalStop::new(lengths.tail + 2.0 * lengths.span, end, EAST_FROG),
                LocalStop::at(whole, to),
            ]
        });
        let picked = |leg: usize| u8::from(leg == 1);
        routes.push(crossing::route(west, east, when(picked(west), picked(east)), lengths, rails));
    }
    let blades = |word| LocalControl { word, positions: vec!["through".into(), "diverging".into()] };
    Template {
        nodes: crossing::nodes(),
        links,
        ports: crossing::ports(),
        routes,
        frogs: if live { crossing::acute_frogs() } else { Vec::new() },
        controls: vec![blades("west"), blades("east")],
        illegal: Vec::new(),
    }
}

/// The words for the rails of each curve, by the west end it starts at.
const CURVES: [[&str; 2]; 2] = [
    ["left rail of the north curve", "right rail of the north curve"],
    ["left rail of the south curve", "right rail of the south curve"],
];
