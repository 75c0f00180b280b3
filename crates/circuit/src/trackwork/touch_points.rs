//! A turnout in the hand: the points of it that a meter can touch, what it joins in each position, a drawing
//! of it, and what to know of its wiring type.
//!
//! What is joined comes from the template, nothing else.

use super::{Local, Template, When, Words, simple};
use plan::tables::{Hand, Wiring};

/// Every wiring type, in the order of the language.
pub const WIRINGS: [Wiring; 7] = [
    Wiring::InsulatedRouted,
    Wiring::InsulatedBonded,
    Wiring::MetalTip,
    Wiring::LiveRouted,
    Wiring::LiveAssisted,
    Wiring::LiveBonded,
    Wiring::LiveUnfed,
];

/// A point that a meter can touch on any simple turnout, left and right as seen from the points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TouchPoint {
    /// The left stock rail.
    StockLeft,
    /// The right stock rail.
    StockRight,
    /// The left blade with its closure rail.
    ClosureLeft,
    /// The right blade with its closure rail.
    ClosureRight,
    /// The frog.
    Frog,
    /// The rail that starts at the frog and belongs to the through track.
    BehindThrough,
    /// The rail that starts at the frog and belongs to the diverging track.
    BehindDiverging,
}

impl TouchPoint {
    /// All of them.
    pub const ALL: [TouchPoint; 7] = [
        TouchPoint::StockLeft,
        TouchPoint::StockRight,
        TouchPoint::ClosureLeft,
        TouchPoint::ClosureRight,
        TouchPoint::Frog,
        TouchPoint::BehindThrough,
        TouchPoint::BehindDiverging,
    ];

    /// Its letters, as in the drawing: `SL`.
    pub fn letters(self) -> &'static str {
        match self {
            TouchPoint::StockLeft => "SL",
            TouchPoint::StockRight => "SR",
            TouchPoint::ClosureLeft => "CL",
            TouchPoint::ClosureRight => "CR",
            TouchPoint::Frog => "F",
            TouchPoint::BehindThrough => "XS",
            TouchPoint::BehindDiverging => "XD",
        }
    }

    /// What it is, in words.
    pub fn words(self, hand: Hand) -> &'static str {
        match (self, hand) {
            (TouchPoint::StockLeft, _) => "left stock rail",
            (TouchPoint::StockRight, _) => "right stock rail",
            (TouchPoint::ClosureLeft, _) => "left closure rail",
            (TouchPoint::ClosureRight, _) => "right closure rail",
            (TouchPoint::Frog, _) => "frog",
            (TouchPoint::BehindThrough, Hand::Wye) => "rail behind the frog, left track",
            (TouchPoint::BehindDiverging, Hand::Wye) => "rail behind the frog, right track",
            (TouchPoint::BehindThrough, _) => "rail behind the frog, through track",
            (TouchPoint::BehindDiverging, _) => "rail behind the frog, diverging track",
        }
    }

    /// The same point of the turnout's mirror image.
    pub fn mirrored(self) -> TouchPoint {
        match self {
            TouchPoint::StockLeft => TouchPoint::StockRight,
            TouchPoint::StockRight => TouchPoint::StockLeft,
            TouchPoint::ClosureLeft => TouchPoint::ClosureRight,
            TouchPoint::ClosureRight => TouchPoint::ClosureLeft,
            other => other,
        }
    }

    /// The local node it lies on; none where a template has no node of that name.
    pub fn local(self, template: &Template) -> Option<Local> {
        let name = match self {
            TouchPoint::StockLeft => "left rail at the points",
            TouchPoint::StockRight => "right rail at the points",
            TouchPoint::ClosureLeft => "left closure rail",
            TouchPoint::ClosureRight => "right closure rail",
            TouchPoint::Frog => "frog",
            TouchPoint::BehindThrough => "end behind the frog, through",
            TouchPoint::BehindDiverging => "end behind the frog, diverging",
        };
        template.nodes.iter().position(|n| *n == name)
    }
}

/// A turnout as it comes, with nothing wired to it and nothing joined to its ends.
#[derive(Clone, Debug)]
pub struct Loose {
    template: Template,
}

impl Loose {
    /// The turnout of a wiring type and hand.
    pub fn new(wiring: Wiring, hand: Hand) -> Loose {
        // Lengths have no part in what is joined.
        Loose { template: simple::turnout(wiring, hand, 0.1, 0.1) }
    }

    /// The names of its positions.
    pub fn positions(&self) -> &[Words] {
        &self.template.controls[0].positions
    }

    /// Whether an ohmmeter between two points finds them joined in a position. Touched to one and the same
    /// point at two places it tells whether that is metal.
    pub fn joined(&self, points: [TouchPoint; 2], position: u8) -> bool {
        self.same(points, Some(position))
    }

    /// Points that are one conductor for good (`None`) or in a position, each group in the order of the
    /// points; what is not metal is in no group.
    pub fn groups(&self, position: Option<u8>) -> Vec<Vec<TouchPoint>> {
        let mut groups: Vec<Vec<TouchPoint>> = Vec::new();
        for point in TouchPoint::ALL.into_iter().filter(|&p| self.same([p, p], None)) {
            match groups.iter_mut().find(|g| self.same([g[0], point], position)) {
                Some(group) => group.push(point),
                None => groups.push(vec![point]),
            }
        }
        groups
    }

    fn same(&self, points: [TouchPoint; 2], position: Option<u8>) -> bool {
        let template = &self.template;
        let [Some(from), Some(to)] = points.map(|p| p.local(template)) else { return false };
        let closed = |when: &When| when.iter().all(|&(_, at)| Some(at) == position);
        let metal = |node: Local| template.links.iter().any(|l| l.a == node || l.b == node);
        if !metal(from) || !metal(to) {
            return false;
        }
        let mut reached = vec![false; template.nodes.len()];
        let mut queue = vec![from];
        reached[from] = true;
        while let Some(at) = queue.pop() {
            for link in template.links.iter().filter(|l| closed(&l.when)) {
                for (here, there) in [(link.a, link.b), (link.b, link.a)] {
                    if here == at && !std::mem::replace(&mut reached[there], true) {
                        queue.push(there);
                    }
                }
            }
        }
        reached[to]
    }
}

/// What to know of a wiring type beside what it joins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TypeWords {
    /// What it is.
    pub title: &'static str,
    /// Where gaps must stand.
    pub gaps: &'static str,
    /// What feeds the frog.
    pub frog: &'static str,
    /// What goes wrong with it.
    pub goes_wrong: &'static str,
}

/// Words for a wiring type. Common practice, no source; they follow from the geometry.
pub fn words(wiring: Wiring) -> TypeWords {
    let (title, gaps, frog, goes_wrong) = match wiring {
        Wiring::InsulatedRouted => (
            "plastic frog; each closure rail is fed through its own blade",
            "none",
            "nothing to feed: plastic",
            "the inner rail of the track that is not set floats; it relies on the contact of the blades",
        ),
        Wiring::InsulatedBonded => (
            "plastic frog; each closure rail is bonded to its stock rail",
            "none",
            "nothing to feed: plastic",
            "a dead length at the frog; broad wheels can bridge XS and XD where they meet",
        ),
        Wiring::MetalTip => (
            "as insulated-bonded, with a metal frog tip that is a conductor of its own",
            "none: four are built in around F",
            "a change-over contact, or nothing",
            "a frog on the wrong phase shorts, but only while a wheel bridges its gaps",
        ),
        Wiring::LiveRouted => (
            "blades, closure rails and frog are one conductor, fed by the blade that touches",
            "in XS and in XD, before anything that is fed from elsewhere",
            "the blade that touches",
            "both rails of the track that is not set are on one phase; all current passes a blade",
        ),
        Wiring::LiveAssisted => (
            "as live-routed, helped by a change-over contact",
            "in XS and in XD, always",
            "a change-over contact, with the blade that touches",
            "a contact that does not change together with the blades shorts at each throw",
        ),
        Wiring::LiveBonded => (
            "blades bonded to their stock rails; the frog, cut off by gaps, is fed by a contact",
            "in XS and in XD; two more, between CL, CR and F, are built in",
            "a change-over contact",
            "the robust form; but with its two contact wires exchanged it shorts under every wheel",
        ),
        Wiring::LiveUnfed => (
            "as live-bonded, with a frog that is fed by nothing",
            "in XS and in XD; two more, between CL, CR and F, are built in",
            "nothing",
            "dead over the frog and the rails behind it, up to their gaps",
        ),
    };
    TypeWords { title, gaps, frog, goes_wrong }
}

/// A drawing of the rails, seen from above with the points to the left, naming the points to touch.
pub fn drawing(hand: Hand) -> String {
    // The upper one of the two rails behind the frog leads on from the lower closure rail.
    let (upper, lower) = match hand {
        Hand::Left => (["XD", "diverging track"], ["XS", "through track"]),
        Hand::Right => (["XS", "through track"], ["XD", "diverging track"]),
        Hand::Wye => (["XS", "left track"], ["XD", "right track"]),
    };
    format!(
        "  points                      frog
  ══ SL ══════════════════════════════════════════════
                                                       {}
       ───────── CL ─────────┐   ┌───────── {} ────────
                               F
       ───────── CR ─────────┘   └───────── {} ────────
                                                       {}
  ══ SR ══════════════════════════════════════════════
",
        upper[1], upper[0], lower[0], lower[1]
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    /// Groups in one line: `SL+CL, SR+CR, F+XS+XD`.
    fn groups(wiring: Wiring, hand: Hand, position: Option<u8>) -> String {
        let group = |g: &Vec<TouchPoint>| g.iter().map(|p| p.letters()).collect::<Vec<_>>().join("+");
        Loose::new(wiring, hand).groups(position).iter().map(group).collect::<Vec<_>>().join(", ")
    }

    #[test]
    fn all_types_are_here() {
        assert_eq!(WIRINGS.map(Wiring::word), Wiring::WORDS);
    }

    #[test]
    fn all_points_are_found_on_all_turnouts() {
        for wiring in WIRINGS {
            for hand in [Hand::Left, Hand::Right, Hand::Wye] {
                let template = simple::turnout(wiring, hand, 0.1, 0.1);
                let mut locals: Vec<_> = TouchPoint::ALL.iter().map(|p| p.local(&template).unwrap()).collect();
                locals.sort_unstable();
                locals.dedup();
                assert_eq!(locals.len(), TouchPoint::ALL.len(), "{wiring:?} {hand:?}");
            }
        }
    }

    /// The table of the turnouts' conductors, right-hand, seen from the points. Source: derived from first
    /// principles, checked by hand with a pencil and two colours; common practice, no source.
    #[test]
    fn conductors_of_a_right_hand_turnout() {
        let check = |wiring, always: &str, through: &str, diverging: &str| {
            assert_eq!(groups(wiring, Hand::Right, None), always, "{wiring:?}");
            assert_eq!(groups(wiring, Hand::Right, Some(0)), through, "{wiring:?} through");
            assert_eq!(groups(wiring, Hand::Right, Some(1)), diverging, "{wiring:?} diverging");
        };
        let bonded = "SL+CL+XD, SR+CR+XS";
        check(Wiring::InsulatedRouted, "SL, SR, CL+XD, CR+XS", "SL, SR+CR+XS, CL+XD", "SL+CL+XD, SR, CR+XS");
        check(Wiring::InsulatedBonded, bonded, bonded, bonded);
        let tip = "SL+CL+XD, SR+CR+XS, F";
        check(Wiring::MetalTip, tip, tip, tip);
        for routed in [Wiring::LiveRouted, Wiring::LiveAssisted] {
            check(routed, "SL, SR, CL+CR+F+XS+XD", "SL, SR+CL+CR+F+XS+XD", "SL+CL+CR+F+XS+XD, SR");
        }
        for cut in [Wiring::LiveBonded, Wiring::LiveUnfed] {
            let all = "SL+CL, SR+CR, F+XS+XD";
            check(cut, all, all, all);
        }
    }

    #[test]
    fn a_left_hand_turnout_is_the_mirror_image() {
        for wiring in WIRINGS {
            let (left, right) = (Loose::new(wiring, Hand::Left), Loose::new(wiring, Hand::Right));
            for position in [0, 1] {
                for one in TouchPoint::ALL {
                    for other in TouchPoint::ALL {
                        assert_eq!(
                            left.joined([one.mirrored(), other.mirrored()], position),
                            right.joined([one, other], position),
                            "{wiring:?}, {one:?} to {other:?} in {position}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_drawing_names_each_point_once() {
        for hand in [Hand::Left, Hand::Right, Hand::Wye] {
            let drawing = drawing(hand);
            for point in TouchPoint::ALL {
                let times = drawing.split([' ', '\n']).filter(|w| *w == point.letters()).count();
                assert_eq!(times, 1, "{point:?} in\n{drawing}");
            }
            assert!(drawing.lines().all(|l| l.chars().count() <= 76), "{drawing}");
        }
    }
}
