//! The simple turnout in its seven wiring types, and the wye turnout.
//!
//! Seen from the points, the *near* side is the one the turnout diverges to. The stock rail of the
//! far side runs on into the through track, that of the near side into the diverging track. Behind
//! the points lie two blades with their closure rails: the near one belongs to the through route and
//! leads to the through track's near rail, the far one to the diverging route and the diverging
//! track's far rail. Both cross at the frog.
//!
//! ```text
//!  far stock  ═══════════════════════════════════════  through track, far rail
//!  far blade    ───far closure──┐   ┌─XT── near rail ─  through track, near rail
//!                               FROG
//!  near blade   ──near closure──┘   └─XD── far rail ──  diverging track, far rail
//!  near stock ═══════════════════════════════════════  diverging track, near rail
//! ```
//! The far blade touches the far stock rail when the turnout diverges, the near blade the near stock
//! rail when it is set through: so the frog must always carry the phase of the stock rail that the
//! closed blade touches.

use super::{LinkKind, LocalControl, LocalStop, Route, Template, TemplateLink, TemplatePort, Words};
use plan::tables::{Hand, Wiring};

/// Position index: set through (a wye turnout: to its left track).
pub const THROUGH: u8 = 0;
/// Position index: set diverging (a wye turnout: to its right track).
pub const DIVERGING: u8 = 1;

const POINTS_FAR: usize = 0;
const POINTS_NEAR: usize = 1;
const FAR_STOCK_END: usize = 2;
const NEAR_STOCK_END: usize = 3;
const FAR_BLADE: usize = 4;
const NEAR_BLADE: usize = 5;
const FAR_CLOSURE: usize = 6;
const NEAR_CLOSURE: usize = 7;
const FROG: usize = 8;
const FROG_HEEL: usize = 9;
const THROUGH_STUB: usize = 10;
const DIVERGING_STUB: usize = 11;
const THROUGH_END: usize = 12;
const DIVERGING_END: usize = 13;

/// The template of a simple turnout. `lead` (points to frog) and `tail` (frog to far ends) in metres.
///
/// A wye turnout is the simple turnout with its through track to the left: far is left, near is right.
pub fn turnout(wiring: Wiring, hand: Hand, lead: f64, tail: f64) -> Template {
    let near_is_left = hand == Hand::Left;
    let far = |left, right| if near_is_left { right } else { left };
    let near = |left, right| if near_is_left { left } else { right };
    let names: [&'static str; 2] = if hand == Hand::Wye { ["left", "right"] } else { ["through", "diverging"] };
    // The metal part of a plastic-bodied frog.
    let tip = 0.3 * lead.min(tail);
    let length = lead + tail;

    let rail = |a, b, metres, words| TemplateLink::rail(a, b, metres, words);
    let bond = |a, b, words| TemplateLink::bond(a, b, words);
    let past_frog = |a, b| TemplateLink { kind: LinkKind::PastFrog, ..TemplateLink::bond(a, b, "bond past the frog") };
    let blade = |a, b, position, words: &'static str| TemplateLink {
        a,
        b,
        kind: LinkKind::Blade,
        when: vec![(0, position)],
        words: words.into(),
    };
    let touching = |blade: TemplateLink| TemplateLink { kind: LinkKind::Touching, ..blade };
    let mut links = vec![
        rail(POINTS_FAR, FAR_STOCK_END, length, far("left stock rail", "right stock rail")),
        rail(POINTS_NEAR, NEAR_STOCK_END, length, near("left stock rail", "right stock rail")),
        rail(FAR_BLADE, FAR_CLOSURE, lead, far("left closure rail", "right closure rail")),
        rail(NEAR_BLADE, NEAR_CLOSURE, lead, near("left closure rail", "right closure rail")),
    ];
    match wiring {
        Wiring::InsulatedRouted | Wiring::LiveRouted | Wiring::LiveAssisted => links.extend([
            blade(FAR_BLADE, POINTS_FAR, DIVERGING, far("left blade", "right blade")),
            blade(NEAR_BLADE, POINTS_NEAR, THROUGH, near("left blade", "right blade")),
        ]),
        Wiring::InsulatedBonded | Wiring::MetalTip | Wiring::LiveBonded | Wiring::LiveUnfed => links.extend([
            bond(FAR_BLADE, POINTS_FAR, "bond from blade to stock rail"),
            bond(NEAR_BLADE, POINTS_NEAR, "bond from blade to stock rail"),
            touching(blade(FAR_BLADE, POINTS_FAR, DIVERGING, far("left blade", "right blade"))),
            touching(blade(NEAR_BLADE, POINTS_NEAR, THROUGH, near("left blade", "right blade"))),
        ]),
    }
    // What lies at and behind the frog, for both routes: the rail that starts there.
    let (through_words, diverging_words) = ("rail behind the frog, through", "rail behind the frog, diverging");
    match wiring {
        Wiring::InsulatedRouted | Wiring::InsulatedBonded => links.extend([
            past_frog(FAR_CLOSURE, DIVERGING_STUB),
            past_frog(NEAR_CLOSURE, THROUGH_STUB),
            rail(THROUGH_STUB, THROUGH_END, tail, through_words),
            rail(DIVERGING_STUB, DIVERGING_END, tail, diverging_words),
        ]),
        Wiring::MetalTip => links.extend([
            past_frog(FAR_CLOSURE, DIVERGING_STUB),
            past_frog(NEAR_CLOSURE, THROUGH_STUB),
            rail(FROG, FROG_HEEL, tip, "frog"),
            rail(THROUGH_STUB, THROUGH_END, tail - tip, through_words),
            rail(DIVERGING_STUB, DIVERGING_END, tail - tip, diverging_words),
        ]),
        Wiring::LiveRouted | Wiring::LiveAssisted => links.extend([
            bond(FAR_CLOSURE, FROG, "closure rail into the frog"),
            bond(NEAR_CLOSURE, FROG, "closure rail into the frog"),
            rail(FROG, THROUGH_END, tail, through_words),
            rail(FROG, DIVERGING_END, tail, diverging_words),
        ]),
        Wiring::LiveBonded | Wiring::LiveUnfed => links
            .extend([rail(FROG, THROUGH_END, tail, through_words), rail(FROG, DIVERGING_END, tail, diverging_words)]),
    }

    let stop = LocalStop::new;
    let stock_line = |from, to| vec![stop(0.0, from, from), stop(length, to, to)];
    let frog_line = |points, blade, closure, stub, end| {
        let mut stops = vec![stop(0.0, points, blade)];
        match wiring {
            Wiring::InsulatedRouted | Wiring::InsulatedBonded => stops.push(stop(lead, closure, stub)),
            Wiring::MetalTip => {
                stops.push(stop(lead, closure, FROG));
                stops.push(stop(lead + tip, FROG_HEEL, stub));
            }
            _ => stops.push(stop(lead, closure, FROG)),
        }
        stops.push(stop(length, end, end));
        stops
    };
    // Left and right from what lies on the far and on the near side, seen from the points.
    fn sides<T>(near_is_left: bool, far: T, near: T) -> [T; 2] {
        if near_is_left { [near, far] } else { [far, near] }
    }
    let through_rails = sides(
        near_is_left,
        stock_line(POINTS_FAR, FAR_STOCK_END),
        frog_line(POINTS_NEAR, NEAR_BLADE, NEAR_CLOSURE, THROUGH_STUB, THROUGH_END),
    );
    let diverging_rails = sides(
        near_is_left,
        frog_line(POINTS_FAR, FAR_BLADE, FAR_CLOSURE, DIVERGING_STUB, DIVERGING_END),
        stock_line(POINTS_NEAR, NEAR_STOCK_END),
    );
    // Whoever looks in from behind the frog sees left and right exchanged.
    let from_behind = |far, near| sides(!near_is_left, far, near);
    Template {
        nodes: [
            far("left rail at the points", "right rail at the points"),
            near("left rail at the points", "right rail at the points"),
            far("left stock rail's end", "right stock rail's end"),
            near("left stock rail's end", "right stock rail's end"),
            far("left blade", "right blade"),
            near("left blade", "right blade"),
            far("left closure rail", "right closure rail"),
            near("left closure rail", "right closure rail"),
            "frog",
            "frog's heel",
            "rail behind the frog, through",
            "rail behind the frog, diverging",
            "end behind the frog, through",
            "end behind the frog, diverging",
        ]
        .map(Words::from)
        .to_vec(),
        links,
        ports: vec![
            TemplatePort { word: "points".into(), inward: sides(near_is_left, POINTS_FAR, POINTS_NEAR) },
            TemplatePort { word: names[0].into(), inward: from_behind(FAR_STOCK_END, THROUGH_END) },
            TemplatePort { word: names[1].into(), inward: from_behind(DIVERGING_END, NEAR_STOCK_END) },
        ],
        routes: vec![
            Route {
                word: names[0].into(),
                ports: (0, Some(1)),
                when: vec![(0, THROUGH)],
                length,
                rails: through_rails,
            },
            Route {
                word: names[1].into(),
                ports: (0, Some(2)),
                when: vec![(0, DIVERGING)],
                length,
                rails: diverging_rails,
            },
        ],
        frogs: match wiring {
            Wiring::InsulatedRouted | Wiring::InsulatedBonded => Vec::new(),
            _ => vec![("frog", FROG)],
        },
        controls: vec![LocalControl { word: "", positions: names.map(Words::from).to_vec() }],
        illegal: Vec::new(),
    }
}
