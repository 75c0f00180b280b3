//! How each piece of trackwork is drawn: where its ports lie, how its routes run between them, and where its frogs are.
//! The only place of this room that knows what a turnout looks like.
//!
//! A member is drawn around its middle, where the centre lines of its routes meet, with its points to the west. It is
//! turned by half, not mirrored, where it stands the other way: so hands stay true.

use crate::graph::members::is_left_leg;
use crate::graph::{Form, Member};
use crate::line::{Point, aside, last_crossing, rounded, tidy, unit};
use circuit::WorkLengths;
use plan::tables::Hand;

/// From the one rail's middle to the other's.
pub(crate) const GAUGE: f64 = 2.6;
/// From one level to the next.
pub(crate) const LEVEL: f64 = 15.0;
/// How far a slope runs for each millimetre it climbs.
pub(crate) const RUN: f64 = 2.2;
/// The radius of bends.
pub(crate) const BEND: f64 = 9.0;
/// From the middle of a turnout to its points, and to the far ends of its legs.
const POINTS: f64 = 3.0;
const LEG: f64 = 10.0;
/// From the middle of a crossing to its ends, along its axis.
const DIAMOND: f64 = 9.5;
/// From the foot of a triangle's head to its legs and points.
const HEAD: f64 = 12.5;
/// How far behind the points a blade is drawn to begin: where it can be distinguished from its stock rail.
pub(crate) const TOE: f64 = POINTS + 1.8;

/// How far the tracks at a member's ports lie above it, in levels, as seen with the member not turned.
pub(crate) type Climbs = Vec<Option<i64>>;

/// A member as drawn around [0, 0], not turned.
#[derive(Clone, Debug)]
pub(crate) struct Shape {
    /// For each port its place, and the direction out of the member there.
    pub ports: Vec<(Point, Point)>,
    form: Form,
}

fn sloped(x: f64, slope: f64) -> Point {
    [x, x * slope / RUN]
}

fn heading(slope: f64) -> Point {
    unit([1.0, slope / RUN])
}

impl Shape {
    pub(crate) fn from_member(member: &Member, climbs: &Climbs) -> Shape {
        let climb = |word: &str| {
            let port = member.ports.iter().position(|p| p.word == word);
            port.and_then(|p| climbs[p]).map_or(0, i64::signum)
        };
        let back = |p: Point| [-p[0], -p[1]];
        let ports: Vec<(Point, Point)> = match member.form {
            Form::Join => vec![([0.0, 0.0], [-1.0, 0.0]), ([0.0, 0.0], [1.0, 0.0])],
            Form::Turnout { hand, apex: true } => (member.ports.iter())
                .map(|p| match p.word.as_str() {
                    "points" => ([0.0, HEAD], [0.0, 1.0]),
                    leg if is_left_leg(hand, leg) => ([HEAD, 0.0], [1.0, 0.0]),
                    _ => ([-HEAD, 0.0], [-1.0, 0.0]),
                })
                .collect(),
            Form::Turnout { hand, .. } => {
                let (through, diverging) = if hand == Hand::Wye { ("left", "right") } else { ("through", "diverging") };
                let [p, t, d] = turnout_slopes(hand, climb("points"), climb(through), climb(diverging));
                vec![(sloped(-POINTS, p), back(heading(p))), (sloped(LEG, t), heading(t)), (sloped(LEG, d), heading(d))]
            }
            Form::ThreeWay => {
                let leg = |slope| (sloped(LEG + 3.0, slope), heading(slope));
                vec![([-POINTS, 0.0], [-1.0, 0.0]), leg(1.0), leg(0.0), leg(-1.0)]
            }
            Form::Diamond => (member.ports.iter())
                .map(|p| {
                    // Track 1 falls eastwards, track 2 climbs.
                    let slope = if p.word.ends_with('1') { -1.0 } else { 1.0 };
                    let east = if p.word.starts_with("east") { 1.0 } else { -1.0 };
                    let out = heading(slope);
                    (sloped(east * DIAMOND, slope), [east * out[0], east * out[1]])
                })
                .collect(),
            Form::Turntable => {
                let stalls = member.ports.len();
                let (step, radius) = table(stalls);
                let mut list = vec![([-radius, 0.0], [-1.0, 0.0])];
                let middle = (stalls as f64 - 2.0) / 2.0;
                list.extend((1..stalls).map(|stall| {
                    let (sin, cos) = ((middle - (stall - 1) as f64) * step).sin_cos();
                    ([radius * cos, radius * sin], [cos, sin])
                }));
                list
            }
        };
        Shape { ports, form: member.form }
    }

    /// How far it reaches from its middle westwards and eastwards.
    pub(crate) fn reach(&self) -> [f64; 2] {
        self.ports.iter().fold([0.0; 2], |[w, e], (p, _)| [f64::max(w, -p[0]), f64::max(e, p[0])])
    }

    /// The radius of a turntable's pit; none of all else.
    pub(crate) fn pit(&self) -> Option<f64> {
        (self.form == Form::Turntable).then(|| table(self.ports.len()).1)
    }

    /// The centre line of a route from one port to another, or to the far end of a turntable's deck.
    pub(crate) fn centre_line(&self, from: usize, to: Option<usize>) -> Vec<Point> {
        let start = self.ports[from].0;
        let Some(to) = to else { return vec![start, [-start[0], -start[1]]] };
        let end = self.ports[to].0;
        match self.form {
            Form::Turnout { apex: true, .. } => rounded(&[start, [0.0, 0.0], end], BEND),
            Form::Diamond if (self.ports[from].1[1] > 0.0) == (self.ports[to].1[1] > 0.0) => {
                // A slip's curve, which stays on its side of the middle.
                let x = 0.3 * GAUGE * RUN;
                let y = start[1].signum() * x / RUN;
                rounded(&[start, [-x, y], [x, y], end], BEND)
            }
            Form::Diamond => vec![start, end],
            // Not rounded: the inner rail of so tight a bend would fold.
            _ => tidy(&[start, [0.0, 0.0], end]),
        }
    }

    /// For a rail of a route (0 left, 1 right, seen along it): places known in metres from its start, and where they are
    /// drawn.
    pub(crate) fn anchors(
        &self,
        from: usize,
        to: Option<usize>,
        side: usize,
        lengths: &WorkLengths,
    ) -> Vec<(f64, Point)> {
        let Some(to) = to else { return Vec::new() };
        let rail = |from, to, side| rail(&self.centre_line(from, Some(to)), side);
        match self.form {
            Form::Turnout { .. } => {
                let left = self.left_leg();
                // The rail that lies inwards: the right one of the left leg, the left one of the other.
                let inward = usize::from(to == left);
                if side != inward {
                    return Vec::new();
                }
                let (mine, theirs) = (rail(from, to, inward), rail(from, 3 - to, 1 - inward));
                last_crossing(&mine, &theirs).map(|p| (lengths.lead, p)).into_iter().collect()
            }
            Form::ThreeWay => three_way_anchors(&rail, to, side, lengths.lead),
            Form::Diamond => {
                let half = GAUGE / 2.0;
                // Half a gauge aside of a slope of 1 in `RUN`, on the axis and above the middle.
                let (acute, obtuse) = (half * RUN.hypot(1.0), half * RUN.hypot(1.0) / RUN);
                let (tail, span) = (lengths.tail, lengths.span);
                let west = from == 2;
                let straight = (to == 1) != west;
                let mut list = Vec::new();
                let east_leg = usize::from(to == 3);
                if straight {
                    let y = if side == 0 { obtuse } else { -obtuse };
                    list.push((tail + span, [0.0, y]));
                    // R1 and L2 pass the west frog, L1 and R2 the east one.
                    let frog_first = usize::from(west) != side;
                    list.push(if frog_first { (tail, [-acute, 0.0]) } else { (tail + 2.0 * span, [acute, 0.0]) });
                } else if side != 1 - east_leg {
                    list.extend([(tail, [-acute, 0.0]), (tail + 2.0 * span, [acute, 0.0])]);
                }
                list.sort_by(|a, b| a.0.total_cmp(&b.0));
                list
            }
            _ => Vec::new(),
        }
    }

    fn left_leg(&self) -> usize {
        match self.form {
            Form::Turnout { hand: Hand::Left, .. } => 2,
            _ => 1,
        }
    }
}

fn three_way_anchors(
    rail: &impl Fn(usize, usize, usize) -> Vec<Point>,
    to: usize,
    side: usize,
    lead: f64,
) -> Vec<(f64, Point)> {
    let centre = || last_crossing(&rail(0, 1, 1), &rail(0, 3, 0));
    let meets = |port: usize, side: usize, middle: usize| last_crossing(&rail(0, port, side), &rail(0, 2, middle));
    let list = match (to, side) {
        (1, 1) => vec![(lead * std::f64::consts::FRAC_1_SQRT_2, centre()), (lead, meets(1, 1, 0))],
        (3, 0) => vec![(lead * std::f64::consts::FRAC_1_SQRT_2, centre()), (lead, meets(3, 0, 1))],
        (2, 0) => vec![(lead, meets(1, 1, 0))],
        (2, 1) => vec![(lead, meets(3, 0, 1))],
        _ => Vec::new(),
    };
    list.into_iter().filter_map(|(x, p)| Some((x, p?))).collect()
}

/// A rail of a centre line: 0 left, 1 right.
pub(crate) fn rail(centre: &[Point], side: usize) -> Vec<Point> {
    aside(centre, if side == 0 { GAUGE / 2.0 } else { -GAUGE / 2.0 })
}

/// The angle from stall to stall and the radius of a turntable's pit.
fn table(stalls: usize) -> (f64, f64) {
    let step = (2.2 / (stalls.max(3) as f64 - 2.0)).min(0.5);
    (step, (0.7 * GAUGE / (step / 2.0).sin()).max(9.0))
}

/// Slopes of a turnout's points, through and diverging leg, by where the tracks behind them go.
fn turnout_slopes(hand: Hand, points: i64, through: i64, diverging: i64) -> [f64; 3] {
    let aside: i64 = if hand == Hand::Left { 1 } else { -1 };
    let away = aside as f64;
    if through != -aside {
        // Wyes fork evenly where both of their tracks leave the level.
        return [0.0, 0.0, away];
    }
    if diverging == aside {
        return [0.0, -away, away];
    }
    // The road goes level, the lead climbs past it; straight through where it came in on the same slope.
    [if points == aside { -away } else { 0.0 }, -away, 0.0]
}
