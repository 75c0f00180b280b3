//! Words beside what they belong to: each at the first of some places where it touches neither a rail nor a sign nor other
//! words; with a thin line to its thing where it cannot stand beside it.

use crate::frame::{Area, DrawnLabel, Frame, LabelOwner, MarkKind, Point};
use crate::line::{along, length, plus};
use crate::shapes::GAUGE;
use crate::sheets::sheet_at;
use crate::{Subject, words};
use std::collections::BTreeMap;

mod under;

use under::{device_names, part_runs, square_names, under_table};

/// The sizes of letters, in the units of a frame.
#[derive(Clone, Copy)]
pub(crate) struct LetterSizes {
    /// Names.
    pub(crate) name: f64,
    /// Numbers.
    pub(crate) number: f64,
    /// Numbers of soldered joints.
    pub(crate) joint: f64,
}

impl LetterSizes {
    /// On a screen, where a drawing is made as large as one wants it.
    pub(crate) const SCREEN: LetterSizes = LetterSizes { name: 2.4, number: 2.0, joint: 1.6 };

    /// On a sheet where nothing is smaller than `letters` millimetres.
    pub(crate) fn printed(letters: f64, scale: f64) -> LetterSizes {
        let size = letters / scale;
        LetterSizes { name: size, number: size, joint: size }
    }
}

/// The height of a box around letters of size 1.
const BOX: f64 = 1.2;
/// Clear space around words.
const CLEAR: f64 = 0.25;
/// The side of a square of the grid in which things are looked up.
const SQUARE: f64 = 6.0;

/// Something that words must keep off.
#[derive(Clone, Copy)]
enum Obstacle {
    Area(Area),
    Line(Point, Point),
}

/// What is where, by squares.
#[derive(Default)]
struct ObstacleGrid {
    taken: Vec<Obstacle>,
    squares: BTreeMap<(i64, i64), Vec<usize>>,
}

fn squares([l, t, r, b]: Area) -> impl Iterator<Item = (i64, i64)> {
    let square = |v: f64| (v / SQUARE).floor() as i64;
    (square(l)..=square(r)).flat_map(move |x| (square(t)..=square(b)).map(move |y| (x, y)))
}

impl ObstacleGrid {
    fn put(&mut self, taken: Obstacle) {
        let area = match taken {
            Obstacle::Area(area) => area,
            Obstacle::Line(a, b) => [a[0].min(b[0]), a[1].min(b[1]), a[0].max(b[0]), a[1].max(b[1])],
        };
        for square in squares(area) {
            // A slope is not in all squares of its box.
            if let Obstacle::Line(a, b) = taken {
                let [x, y] = [square.0 as f64 * SQUARE, square.1 as f64 * SQUARE];
                if !touches(a, b, [x, y, x + SQUARE, y + SQUARE]) {
                    continue;
                }
            }
            self.squares.entry(square).or_default().push(self.taken.len());
        }
        self.taken.push(taken);
    }

    fn is_free(&self, area: Area) -> bool {
        let [l, t, r, b] = area;
        !squares(area).filter_map(|s| self.squares.get(&s)).flatten().any(|&index| match self.taken[index] {
            Obstacle::Area(o) => l < o[2] && o[0] < r && t < o[3] && o[1] < b,
            Obstacle::Line(p, q) => touches(p, q, area),
        })
    }
}

/// Whether a straight line touches an area.
pub(crate) fn touches(a: Point, b: Point, [l, t, r, bottom]: Area) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, way, low, high) in [(a[0], b[0] - a[0], l, r), (a[1], b[1] - a[1], t, bottom)] {
        if way.abs() < 1e-12 {
            if start < low || start > high {
                return false;
            }
            continue;
        }
        let (one, other) = ((low - start) / way, (high - start) / way);
        from = from.max(one.min(other));
        to = to.min(one.max(other));
    }
    from <= to
}

/// Words that want a place.
struct PendingLabel {
    of: LabelOwner,
    text: String,
    size: f64,
    /// Places to try in turn: the middle of the box, and where its line starts, where it needs one.
    places: Vec<(Point, Option<Point>)>,
    /// The thing, for looking farther off with a line; none where the words are left out instead.
    thing: Option<Point>,
    /// Other places of the thing, for looking around those where there is no room around the first.
    elsewhere: Vec<Point>,
}

impl PendingLabel {
    fn extent(&self) -> Point {
        [words::width(&self.text, self.size), BOX * self.size]
    }
}

/// Puts words to everything that has any.
pub(crate) fn label(frame: &mut Frame, subject: &Subject<'_>, sizes: LetterSizes) {
    label_with(frame, subject, sizes, false);
}

/// The same; with what lies under the table where `below`.
pub(crate) fn label_with(frame: &mut Frame, subject: &Subject<'_>, sizes: LetterSizes, below: bool) {
    let mut ground = ObstacleGrid::default();
    for rail in &frame.rails {
        rail.points.windows(2).for_each(|s| ground.put(Obstacle::Line(s[0], s[1])));
    }
    for mark in &frame.marks {
        ground.put(Obstacle::Area(sign(mark.kind, mark.at, mark.out)));
    }
    for ending in &frame.endings {
        let tip = plus(ending.at, ending.out, 5.0);
        let area =
            [ending.at[0].min(tip[0]), ending.at[1].min(tip[1]), ending.at[0].max(tip[0]), ending.at[1].max(tip[1])];
        ground.put(Obstacle::Area([area[0] - 0.3, area[1] - 2.4, area[2] + 0.3, area[3] + 2.4]));
    }
    for work in frame.works.iter().filter(|w| w.pit.is_some()) {
        let r = work.pit.unwrap_or(0.0);
        let rim = |k: usize| {
            let (sin, cos) = (std::f64::consts::TAU * k as f64 / 32.0).sin_cos();
            plus(work.at, [cos, sin], r)
        };
        (0..32).for_each(|k| ground.put(Obstacle::Line(rim(k), rim(k + 1))));
    }
    for cut in frame.sheets.iter().flat_map(|s| &s.cuts) {
        let [x, y] = plus(cut.at, cut.out, 3.4);
        ground.put(Obstacle::Area([x - 2.5, y - 2.5, x + 2.5, y + 2.5]));
    }
    if below {
        under_table(frame, subject, &mut ground);
    }
    let mut wanted = device_names(frame, sizes);
    wanted.extend(numbers(frame, sizes));
    wanted.extend(work_names(frame, sizes));
    wanted.extend(track_names(frame, subject, sizes));
    wanted.extend(joints(frame, sizes));
    for w in wanted {
        put(frame, &mut ground, w);
    }
    square_names(frame, &mut ground, sizes);
    part_runs(frame);
}

/// The box around a mark's sign.
fn sign(kind: MarkKind, at: Point, out: Point) -> Area {
    let tip = match kind {
        MarkKind::Feeder | MarkKind::Wire => 2.2,
        _ => 0.0,
    };
    let end = plus(at, out, tip);
    let r = match kind {
        MarkKind::Soldered => 0.45,
        MarkKind::Sliding | MarkKind::Feeder | MarkKind::Wire => 0.7,
        MarkKind::Gap | MarkKind::Frog => 0.85,
    };
    [at[0].min(end[0]) - r, at[1].min(end[1]) - r, at[0].max(end[0]) + r, at[1].max(end[1]) + r]
}

/// The middle of a box that touches a place from one side, `by` away from it.
fn beside(at: Point, out: Point, by: f64, extent: Point) -> Point {
    let half = (extent[0] * out[0].abs() + extent[1] * out[1].abs()) / 2.0;
    plus(at, out, by + half)
}

fn numbers(frame: &Frame, sizes: LetterSizes) -> Vec<PendingLabel> {
    let shown = |k: MarkKind| matches!(k, MarkKind::Gap | MarkKind::Feeder | MarkKind::Wire | MarkKind::Sliding);
    let marks = frame.marks.iter().enumerate().filter(|(_, m)| shown(m.kind) && !(m.kind == MarkKind::Gap && m.inside));
    marks
        .filter_map(|(index, mark)| {
            let text = mark.number?.to_string();
            let tip = if matches!(mark.kind, MarkKind::Feeder | MarkKind::Wire) { 2.3 } else { 1.2 };
            Some(by_mark(LabelOwner::Mark(index), text, sizes.number, mark.at, mark.out, tip, true))
        })
        .collect()
}

/// Numbers of soldered joints: only where there is room beside them.
fn joints(frame: &Frame, sizes: LetterSizes) -> Vec<PendingLabel> {
    let marks = frame.marks.iter().enumerate().filter(|(_, m)| m.kind == MarkKind::Soldered);
    marks
        .filter_map(|(index, mark)| {
            Some(by_mark(LabelOwner::Mark(index), mark.number?.to_string(), sizes.joint, mark.at, mark.out, 0.8, false))
        })
        .collect()
}

fn by_mark(of: LabelOwner, text: String, size: f64, at: Point, out: Point, tip: f64, must: bool) -> PendingLabel {
    let mut wanted =
        PendingLabel { of, text, size, places: Vec::new(), thing: must.then_some(at), elsewhere: Vec::new() };
    let extent = wanted.extent();
    let along = [-out[1], out[0]];
    let place = |by: f64, shift: f64| beside(plus(at, along, shift), out, by, extent);
    let shifts: &[f64] = if must { &[0.0, 0.8, -0.8, 1.6, -1.6] } else { &[0.0, 0.7, -0.7] };
    wanted.places.extend(shifts.iter().map(|&s| (place(tip, s), None)));
    if must {
        // Beside the sign, and past its end.
        let level = [[extent[0] / 2.0 + 1.1, 0.0], [-extent[0] / 2.0 - 1.1, 0.0]];
        wanted.places.extend(level.map(|l| (plus(plus(at, out, 0.5 * tip + 0.9), l, 1.0), None)));
        let start = plus(at, out, (tip - 0.2).min(1.9));
        for by in [tip + 1.5, tip + 2.7, tip + 4.2] {
            wanted.places.extend([0.0, 1.5, -1.5, 3.0, -3.0].map(|s| (place(by, s), Some(start))));
        }
    }
    wanted
}

fn work_names(frame: &Frame, sizes: LetterSizes) -> Vec<PendingLabel> {
    let works = frame.works.iter().enumerate();
    works
        .map(|(index, work)| {
            let mut wanted = PendingLabel {
                of: LabelOwner::Work(index),
                text: work.name.clone(),
                size: sizes.name,
                places: Vec::new(),
                thing: Some(work.at),
                elsewhere: Vec::new(),
            };
            let extent = wanted.extent();
            let off = work.pit.unwrap_or(GAUGE / 2.0) + 0.7;
            for by in [off, off + 1.5, off + 3.0] {
                for shift in [0.0, -3.0, 3.0, -6.0, 6.0] {
                    for way in [[0.0, -1.0], [0.0, 1.0]] {
                        let line = (by > off + 2.0).then_some(work.at);
                        wanted.places.push((beside(plus(work.at, [1.0, 0.0], shift), way, by, extent), line));
                    }
                }
            }
            wanted
        })
        .collect()
}

/// From one place along a track to the next where its name is tried.
const TRIED: f64 = 4.0;

/// The names of tracks, on each sheet that shows a good part of them.
fn track_names(frame: &Frame, subject: &Subject<'_>, sizes: LetterSizes) -> Vec<PendingLabel> {
    let tinted = frame.districts.len() > 1;
    let mut all = Vec::new();
    for bed in frame.beds.iter().filter(|b| b.segment < subject.circuit.tracks) {
        let Some(track) = subject.plan.track.get(bed.segment) else { continue };
        let mut text = track.name.value.clone();
        if let Some(district) = bed.district.filter(|_| tinted) {
            text = format!("{text} {}", words::district_sign(district));
        }
        let whole = length(&bed.points);
        let count = (whole / TRIED).ceil().max(2.0);
        let mut parts: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
        for step in 1..count as usize {
            let at = whole * step as f64 / count;
            if let Some(sheet) = sheet_at(frame, along(&bed.points, at).0) {
                parts.entry(sheet).or_default().push(at);
            }
        }
        let most = parts.values().map(Vec::len).max().unwrap_or(0);
        for places in parts.into_values().filter(|p| p.len() == most || p.len() >= 5) {
            all.push(track_name(bed.segment, (text.clone(), sizes.name), &bed.points, places));
        }
    }
    all
}

fn track_name(track: usize, (text, size): (String, f64), line: &[Point], mut tried: Vec<f64>) -> PendingLabel {
    // From the middle outwards.
    let middle = tried[tried.len() / 2];
    tried.sort_by(|a, b| (a - middle).abs().total_cmp(&(b - middle).abs()).then(a.total_cmp(b)));
    let mut points = tried.iter().map(|&place| along(line, place).0);
    let mut wanted = PendingLabel {
        of: LabelOwner::Track(track),
        text,
        size,
        places: Vec::new(),
        thing: points.next(),
        elsewhere: points.collect(),
    };
    let extent = wanted.extent();
    for (by, far) in [(0.8, false), (2.2, false), (3.6, false), (5.0, false), (6.4, true)] {
        for &place in &tried {
            let (at, direction) = along(line, place);
            let sides = [[direction[1], -direction[0]], [-direction[1], direction[0]]];
            // Upwards first.
            let order = if sides[0][1] <= sides[1][1] { [0, 1] } else { [1, 0] };
            for side in order {
                wanted.places.push((beside(at, sides[side], GAUGE / 2.0 + by, extent), far.then_some(at)));
            }
        }
    }
    wanted
}

/// Places in rings around a thing, the nearest first.
fn in_rings(thing: Point) -> impl Iterator<Item = Point> {
    (0..30).flat_map(move |ring| {
        let radius = 4.0 + 1.5 * f64::from(ring);
        (0..24).map(move |k| {
            // Upwards and downwards first, then more and more aside.
            let turn = f64::from((k + 1) / 2) * if k % 2 == 0 { 1.0 } else { -1.0 };
            let (sin, cos) = (std::f64::consts::TAU * turn / 24.0 - std::f64::consts::FRAC_PI_2).sin_cos();
            plus(thing, [cos, sin], radius)
        })
    })
}

fn put(frame: &mut Frame, ground: &mut ObstacleGrid, wanted: PendingLabel) {
    let extent = wanted.extent();
    let anchor = wanted.thing.or_else(|| wanted.places.first().map(|p| p.0)).unwrap_or_default();
    let at_home = sheet_at(frame, anchor);
    let area = |at: Point, clear: f64| {
        [0, 1, 2, 3].map(|i| at[i % 2] + (extent[i % 2] / 2.0 + clear) * if i < 2 { -1.0 } else { 1.0 })
    };
    let fits = |frame: &Frame, at: Point| {
        let a = area(at, 0.0);
        let sheet = sheet_at(frame, at)?;
        let [l, t, r, b] = frame.sheets[sheet].window;
        let on_it = l <= a[0] && t <= a[1] && a[2] <= r && a[3] <= b;
        (on_it && Some(sheet) == at_home && ground.is_free(area(at, CLEAR))).then_some(sheet)
    };
    let near = wanted.places.iter().find_map(|&(at, from)| Some((at, from, fits(frame, at)?)));
    let found = near.or_else(|| {
        let mut things = wanted.thing.iter().chain(&wanted.elsewhere);
        things.find_map(|&thing| in_rings(thing).find_map(|at| Some((at, Some(thing), fits(frame, at)?))))
    });
    let Some((at, from, sheet)) = found else {
        if wanted.thing.is_some() {
            frame.left_out.push(wanted.text);
        }
        return;
    };
    ground.put(Obstacle::Area(area(at, CLEAR)));
    let leader = from.map(|from| {
        // To the nearest place of the box.
        let a = area(at, 0.1);
        let to = [from[0].clamp(a[0], a[2]), from[1].clamp(a[1], a[3])];
        [from, to]
    });
    frame.labels.push(DrawnLabel { of: wanted.of, text: wanted.text, size: wanted.size, at, extent, leader, sheet });
}
