//! Drawings of the demo plans and of yards made for the purpose, checked by geometry.

use crate::{plans, with};
use circuit::{EdgeId, EdgeKind, NodeId, RailOwner};
use drawing::{Area, DrawnLabel, Frame, MarkKind, Point, Subject, ViewSide};
use plan::Kind;
use plan::tables::RailSide;
use std::collections::{BTreeMap, BTreeSet};

/// From rail to rail, and from level to level, as drawn.
const GAUGE: f64 = 2.6;
const LEVEL: f64 = 15.0;

/// Calls with each plan there is to try, whole and cut into sheets.
fn each(then: impl Fn(&str, &Subject<'_>, &Frame)) {
    for (name, text) in plans::all() {
        with(&text, |subject| {
            then(&name, subject, &subject.whole());
            then(&format!("{name}, in sheets"), subject, &subject.in_sheets());
        });
    }
}

fn meet(a: Area, b: Area) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Whether a straight line comes into an area, identified by places along it.
fn crosses(a: Point, b: Point, area: Area) -> bool {
    (0..=40).any(|k| {
        let s = f64::from(k) / 40.0;
        let [x, y] = [0, 1].map(|i| a[i] + s * (b[i] - a[i]));
        area[0] < x && x < area[2] && area[1] < y && y < area[3]
    })
}

fn distance(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[test]
fn words_keep_off_each_other_and_off_rails_and_signs() {
    each(|name, _, frame| {
        for (i, one) in frame.labels.iter().enumerate() {
            let area = one.area();
            let other = frame.labels[..i].iter().find(|o| o.sheet == one.sheet && meet(o.area(), area));
            assert!(other.is_none(), "{name}: {} on {:?}", one.text, other.map(|o: &DrawnLabel| &o.text));
            for rail in &frame.rails {
                let on = rail.points.windows(2).any(|s| crosses(s[0], s[1], area));
                assert!(!on, "{name}: {} on rail {}", one.text, rail.edge.index());
            }
            let mark = frame.marks.iter().find(|m| {
                let [x, y] = m.at;
                meet(area, [x - 0.3, y - 0.3, x + 0.3, y + 0.3])
            });
            assert!(mark.is_none(), "{name}: {} on {mark:?}", one.text);
            let [l, t, r, b] = frame.sheets[one.sheet].window;
            assert!(
                l <= area[0] && t <= area[1] && area[2] <= r && area[3] <= b,
                "{name}: {} leaves its sheet",
                one.text
            );
        }
        assert!(frame.left_out.is_empty(), "{name}: no room for {:?}", frame.left_out);
    });
}

/// The widths that boxes of words are given hold what the words take: measured in DejaVu Sans Bold at 100 units of size,
/// by the font's own advance widths (as its file tells them, per 2048 units of em).
#[test]
fn boxes_hold_their_words() {
    // Advance widths of the bold face, units of 1/2048 em: from the font's horizontal metrics.
    let advance: BTreeMap<char, f64> = [
        ('F', 1399.0),
        ('G', 1681.0),
        ('W', 2259.0),
        ('J', 762.0),
        ('1', 1425.0),
        ('r', 1010.0),
        ('o', 1407.0),
        ('a', 1382.0),
        ('d', 1466.0),
        (' ', 713.0),
        ('w', 1892.0),
        ('e', 1389.0),
        ('s', 1219.0),
        ('t', 979.0),
        ('l', 702.0),
    ]
    .into();
    for (_, text) in plans::all().into_iter().take(3) {
        with(&text, |subject| {
            for label in subject.whole().labels {
                let known = label.text.chars().all(|c| advance.contains_key(&c));
                let taken: f64 = label.text.chars().filter_map(|c| advance.get(&c)).sum::<f64>() / 2048.0 * label.size;
                assert!(!known || taken <= label.extent[0] + 1e-9, "{}: {taken} in {}", label.text, label.extent[0]);
            }
        });
    }
}

#[test]
fn each_piece_gap_joint_and_feeder_is_drawn_once() {
    each(|name, subject, frame| {
        let circuit = subject.circuit;
        let mut drawn: BTreeMap<EdgeId, usize> = BTreeMap::new();
        frame.rails.iter().for_each(|r| *drawn.entry(r.edge).or_default() += 1);
        let pieces: BTreeSet<EdgeId> =
            circuit.segments.iter().flat_map(|s| s.rails.iter().flat_map(|r| r.pieces.iter().copied())).collect();
        assert_eq!(drawn.keys().copied().collect::<BTreeSet<_>>(), pieces, "{name}");
        assert!(drawn.values().all(|&n| n == 1), "{name}");
        let mut wanted: BTreeMap<MarkKind, usize> = BTreeMap::new();
        for edge in &circuit.edges {
            let kind = match edge.kind {
                EdgeKind::SolderedJoint => MarkKind::Soldered,
                EdgeKind::SlidingJoint => MarkKind::Sliding,
                EdgeKind::Feeder => MarkKind::Feeder,
                _ => continue,
            };
            *wanted.entry(kind).or_default() += 1;
        }
        let gaps: BTreeSet<_> = circuit.gaps.iter().map(|g| (g.before.min(g.after), g.before.max(g.after))).collect();
        wanted.insert(MarkKind::Gap, gaps.len());
        wanted.insert(MarkKind::Frog, circuit.frogs.len());
        wanted.retain(|_, n| *n > 0);
        let mut found: BTreeMap<MarkKind, usize> = BTreeMap::new();
        let marks = frame.marks.iter().filter(|m| m.kind != MarkKind::Wire);
        marks.for_each(|m| *found.entry(m.kind).or_default() += 1);
        // Bonds inside trackwork are soldered, and no joints.
        assert_eq!(found, wanted, "{name}");
        let numbers: Vec<_> = frame.marks.iter().filter_map(|m| m.number).collect();
        assert_eq!(numbers.iter().collect::<BTreeSet<_>>().len(), numbers.len(), "{name}: a number twice");
    });
}

/// Where rails of two segments meet at a port, their drawn ends are one place; and left is left all along.
#[test]
fn rails_meet_at_ports_and_left_is_left() {
    each(|name, subject, frame| {
        let circuit = subject.circuit;
        // The drawn places of each node.
        let mut at: BTreeMap<NodeId, Vec<Point>> = BTreeMap::new();
        for rail in &frame.rails {
            for (node, place) in rail.nodes.into_iter().zip([rail.points[0], *rail.points.last().unwrap()]) {
                at.entry(node).or_default().push(place);
            }
        }
        let joints =
            circuit.edges.iter().filter(|e| matches!(e.kind, EdgeKind::SolderedJoint | EdgeKind::SlidingJoint));
        let mut joined = 0;
        for joint in joints {
            let (Some(a), Some(b)) = (at.get(&joint.a), at.get(&joint.b)) else { continue };
            let near = a.iter().flat_map(|p| b.iter().map(|q| distance(*p, *q))).fold(f64::INFINITY, f64::min);
            assert!(near < 1e-3, "{name}: {} is {near} mm apart", joint.name);
            joined += 1;
        }
        assert!(joined > 0, "{name}");
        for rail in &frame.rails {
            let bed = frame.beds.iter().find(|b| b.segment == rail.segment).unwrap();
            let middle = |p: &[Point]| {
                let s = &p[(p.len() - 1) / 2..];
                ([(s[0][0] + s[1][0]) / 2.0, (s[0][1] + s[1][1]) / 2.0], [s[1][0] - s[0][0], s[1][1] - s[0][1]])
            };
            let (place, way) = middle(&rail.points);
            let centre = bed.points.windows(2).map(|s| {
                let d = [s[1][0] - s[0][0], s[1][1] - s[0][1]];
                let t = (((place[0] - s[0][0]) * d[0] + (place[1] - s[0][1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]))
                    .clamp(0.0, 1.0);
                let foot = [s[0][0] + t * d[0], s[0][1] + t * d[1]];
                (distance(foot, place), [place[0] - foot[0], place[1] - foot[1]], d)
            });
            let (off, aside, along) = centre.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
            assert!(
                (off - GAUGE / 2.0).abs() < 0.25,
                "{name}: rail {} is {off} mm from its centre line",
                rail.edge.index()
            );
            // On paper y grows downwards: what is left of the way has a negative cross product.
            let left = along[0] * aside[1] - along[1] * aside[0] < 0.0;
            assert_eq!(left, rail.side == RailSide::Left, "{name}: rail {}", rail.edge.index());
            assert!(
                way[0] * along[0] + way[1] * along[1] > 0.0,
                "{name}: rail {} lies backwards: {:?}, {} of {}",
                rail.edge.index(),
                rail.points,
                rail.side.index(),
                rail.segment
            );
        }
    });
}

/// Seen from the points of a turnout, its diverging leg leaves to the side of its hand.
#[test]
fn turnouts_diverge_to_their_hand() {
    each(|name, subject, frame| {
        let circuit = subject.circuit;
        let route = |index: usize, end: &str| {
            circuit.segments.iter().position(|s| {
                matches!(&s.owner, RailOwner::Work { kind: Kind::Turnout, index: i, ends } if *i == index && ends[1] == end)
            })
        };
        for (index, turnout) in subject.plan.turnout.iter().enumerate() {
            use plan::tables::Hand;
            let (left, right) = match turnout.hand.value {
                Hand::Left => ("diverging", "through"),
                Hand::Right => ("through", "diverging"),
                Hand::Wye => ("left", "right"),
            };
            let leg = |word: &str| {
                let segment = route(index, word).unwrap();
                let points = &frame.beds.iter().find(|b| b.segment == segment).unwrap().points;
                [points[0], *points.last().unwrap()]
            };
            let ([from, to_left], [_, to_right]) = (leg(left), leg(right));
            let (a, b) = ([to_left[0] - from[0], to_left[1] - from[1]], [to_right[0] - from[0], to_right[1] - from[1]]);
            // From the left leg to the right one is a turn clockwise, on paper with y downwards a positive one.
            assert!(a[0] * b[1] - a[1] * b[0] > 0.0, "{name}: {}", turnout.name.value);
        }
    });
}

#[test]
fn roads_of_a_ladder_are_parallel_and_evenly_spaced() {
    for (turnouts, hand) in [(3, "left"), (8, "right"), (30, "left")] {
        with(&plans::stub_ladder(turnouts, hand), |subject| {
            let frame = subject.whole();
            let level = |name: &str| {
                let track = subject.plan.track.iter().position(|t| t.name.value == name).unwrap();
                let points = &frame.beds.iter().find(|b| b.segment == track).unwrap().points;
                let [.., before, last] = points[..] else { panic!("{name} has no length") };
                assert!((before[1] - last[1]).abs() < 1e-6, "{name} does not lie level");
                last[1]
            };
            let levels: Vec<f64> = (1..=turnouts + 1).map(|k| level(&format!("road {k}"))).collect();
            let way = if hand == "left" { LEVEL } else { -LEVEL };
            assert!(levels.windows(2).all(|l| (l[1] - l[0] - way).abs() < 1e-6), "{levels:?}");
            // The middles of the turnouts lie on one straight line.
            let line: Vec<Point> = frame.works.iter().map(|w| w.at).collect();
            for three in line.windows(3) {
                let [a, b] = [0, 1].map(|i| [three[i + 1][0] - three[i][0], three[i + 1][1] - three[i][1]]);
                assert!((a[0] * b[1] - a[1] * b[0]).abs() < 1e-6, "the lead bends at {:?}", three[1]);
            }
        });
    }
}

#[test]
fn the_view_from_below_is_the_exact_mirror_image() {
    each(|name, _, frame| {
        let below = frame.mirrored();
        assert_eq!(below.view, ViewSide::Below);
        let flat = |f: &Frame| -> Vec<Point> {
            let rails = f.rails.iter().flat_map(|r| r.points.iter());
            let beds = f.beds.iter().flat_map(|b| b.points.iter());
            let things = f.marks.iter().map(|m| &m.at).chain(f.endings.iter().map(|e| &e.at));
            let words = f.labels.iter().map(|l| &l.at).chain(f.labels.iter().flat_map(|l| l.leader.iter().flatten()));
            let cuts = f.sheets.iter().flat_map(|s| s.cuts.iter().map(|c| &c.at));
            rails
                .chain(beds)
                .chain(things)
                .chain(words)
                .chain(f.works.iter().map(|w| &w.at))
                .chain(cuts)
                .copied()
                .collect()
        };
        let (one, other) = (flat(frame), flat(&below));
        assert_eq!(one.len(), other.len());
        let sum = one[0][0] + other[0][0];
        for (a, b) in one.iter().zip(&other) {
            assert!((a[0] + b[0] - sum).abs() < 1e-9 && a[1] == b[1], "{name}: {a:?} and {b:?}");
        }
        let texts = |f: &Frame| f.labels.iter().map(|l| (l.text.clone(), l.extent)).collect::<Vec<_>>();
        assert_eq!(texts(frame), texts(&below));
        let svg = drawing::svg(&below, 0, &drawing::Look::default());
        assert!(svg.contains("from below") && !svg.contains("scale(-"), "{name}");
        let back = below.mirrored();
        assert!(flat(&back).iter().zip(&one).all(|(a, b)| distance(*a, *b) < 1e-9), "{name}");
    });
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    for (name, text) in plans::all() {
        let draw = || with(&text, |subject| drawing::svg(&subject.in_sheets(), 0, &drawing::Look::default()));
        assert_eq!(draw(), draw(), "{name}");
    }
}
