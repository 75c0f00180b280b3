//! Findings and suspects marked on the drawing: a small number beside the place of each, with a thin line to it.
//!
//! A mark is put where nothing is written and no rail runs; the free places around what it belongs to are tried from near to far.

use crate::address::page_of;
use crate::opened::{Drawn, VersionView};
use drawing::{Frame, Point};
use finding::{Finding, Severity};
use maud::{Markup, html};
use schedule::Job;
use std::ops::Range;
use text::escape_control_chars;

/// Findings that are marked; of more, the last ones are only listed.
const MOST: usize = 99;
/// The radius of a mark, in millimetres of the drawing, and the height of its number.
const RADIUS: f64 = 2.4;
const SIZE: f64 = 2.9;
/// What stays free around a mark.
const AIR: f64 = 0.8;
/// How far a mark may be from its place, from near to far.
const AWAY: [f64; 8] = [6.0, 8.0, 10.5, 13.5, 17.0, 21.0, 26.0, 32.0];
/// How far beyond the drawing's edge a mark may stand, on the margin of the paper.
const BESIDE: f64 = 6.0;
/// Ways around a place that are tried.
const WAYS: usize = 16;

/// A finding with its place on the drawing.
pub(crate) struct Marked<'o> {
    pub finding: &'o Finding,
    /// Its page.
    pub to: String,
    /// The place of what it is about.
    pub at: Point,
}

/// A number on the drawing.
pub(crate) struct Mark {
    pub number: usize,
    /// Its kind, a class of the style sheet: the word of a severity, or `suspect`.
    pub kind: &'static str,
    /// What it says to who touches it, or hears it read.
    pub says: String,
    /// Where it leads.
    pub to: String,
    /// The place of what it is about.
    pub at: Point,
}

impl Marked<'_> {
    /// The finding as a mark with this number.
    pub fn mark(&self, number: usize) -> Mark {
        let severity = self.finding.severity.word();
        let says = format!("{number}, {severity}: {}", escape_control_chars(&self.finding.message).replace('`', ""));
        Mark { number, kind: severity, says, to: self.to.clone(), at: self.at }
    }
}

/// All findings that have a place on a drawing, the worst first.
pub(crate) fn marked<'o>(opened: &VersionView<'o>, drawn: &Drawn<'_>, frame: &Frame) -> Vec<Marked<'o>> {
    let places = PlacesOfThings::new(&drawn.job, frame);
    let mut all: Vec<Marked<'o>> = opened
        .review
        .findings
        .iter()
        .filter_map(|finding| {
            let mut spans = finding.at.iter().chain(&finding.also).map(|label| match &label.expanded {
                Some(place) => place.span.clone(),
                None => label.place.clamped(opened.text),
            });
            spans.find_map(|span| places.of_span(&span)).map(|at| Marked { finding, to: page_of(opened, finding), at })
        })
        .collect();
    all.sort_by_key(|marked| marked.finding.severity);
    all.truncate(MOST);
    all
}

/// Where the things of a plan's text lie on a drawing.
pub(crate) struct PlacesOfThings {
    /// What stands at one place: the words it came from.
    spots: Vec<(Range<usize>, Point)>,
    /// Whole tables: tracks and trackwork, and what moves it.
    tables: Vec<(Range<usize>, Point)>,
}

impl PlacesOfThings {
    pub fn new(job: &Job<'_>, frame: &Frame) -> PlacesOfThings {
        let (circuit, plan, names) = (&job.facts.circuit, job.facts.plan, job.facts.names);
        let mut spots = Vec::new();
        for mark in frame.marks.iter().filter(|mark| !mark.inside) {
            let [before, after] = mark.nodes;
            let span = match mark.edge {
                Some(edge) => circuit.edges.get(edge.index()).map(|edge| edge.span.clone()),
                None => circuit
                    .gaps
                    .iter()
                    .find(|gap| [gap.before, gap.after] == [before, after])
                    .map(|gap| gap.span.clone()),
            };
            spots.extend(span.map(|span| (span, mark.at)));
        }
        let mut tables = Vec::new();
        for (index, track) in plan.track.iter().enumerate() {
            let middle = frame.beds.iter().find(|bed| bed.segment == index).and_then(|bed| half_way(&bed.points));
            tables.extend(middle.map(|at| (whole(&track.place), at)));
        }
        let work =
            |kind, index| frame.works.iter().find(|work| work.kind == kind && work.index == index).map(|work| work.at);
        for (kind, index, place) in trackwork(plan) {
            tables.extend(work(kind, index).map(|at| (whole(place), at)));
        }
        for motor in &plan.motor {
            let moved = motor.moves.0.first().and_then(|moves| names.moved(&moves.value).ok());
            tables.extend(moved.and_then(|m| work(m.kind, m.index)).map(|at| (whole(&motor.place), at)));
        }
        PlacesOfThings { spots, tables }
    }

    /// The place of the smallest thing that some words of the plan are about.
    pub fn of_span(&self, span: &Range<usize>) -> Option<Point> {
        let within = |inner: &Range<usize>, outer: &Range<usize>| outer.start <= inner.start && inner.end <= outer.end;
        let spot = self.spots.iter().filter(|(own, _)| within(span, own) || within(own, span));
        let table = self.tables.iter().filter(|(own, _)| own.contains(&span.start));
        let smallest = |(own, _): &&(Range<usize>, Point)| own.len();
        spot.min_by_key(smallest).or_else(|| table.min_by_key(smallest)).map(|(_, at)| *at)
    }
}

fn whole(place: &plan::value::TablePlace) -> Range<usize> {
    if place.inline { place.header.clone() } else { place.header.start..place.last.max(place.header.end) }
}

fn trackwork(plan: &plan::Plan) -> impl Iterator<Item = (plan::Kind, usize, &plan::value::TablePlace)> {
    use plan::Kind;
    macro_rules! all {
        ($($kind:ident $list:ident),*) => {
            std::iter::empty()$(.chain(plan.$list.iter().enumerate().map(|(i, t)| (Kind::$kind, i, &t.place))))*
        };
    }
    all!(Turnout turnout, Crossing crossing, Slip slip, ThreeWay three_way, Turntable turntable)
}

/// The point half-way along a line.
fn half_way(points: &[Point]) -> Option<Point> {
    let length = |pair: &[Point]| (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
    let mut rest = points.windows(2).map(length).sum::<f64>() / 2.0;
    for pair in points.windows(2) {
        let long = length(pair);
        if long > 0.0 && rest <= long {
            let share = rest / long;
            return Some([0, 1].map(|i| pair[0][i] + (pair[1][i] - pair[0][i]) * share));
        }
        rest -= long;
    }
    points.first().copied()
}

/// The marks as parts of the picture.
pub(crate) fn marks(marks: &[Mark], frame: &Frame) -> String {
    let mut free = FreeSpace::new(frame);
    let mut out = String::new();
    for mark in marks {
        let at = free.place(mark.at);
        free.taken.push(at);
        out.push_str(&one(mark, at).into_string());
        out.push('\n');
    }
    out
}

fn one(mark: &Mark, at: Point) -> Markup {
    let [dx, dy] = [0, 1].map(|i| mark.at[i] - at[i]);
    let far = dx.hypot(dy).max(1e-9);
    let edge = [at[0] + dx / far * RADIUS, at[1] + dy / far * RADIUS];
    let n = |v: f64| format!("{v:.2}");
    html! {
        a.mark.(mark.kind) href=(mark.to) aria-label=(mark.says) tabindex="-1" {
            title { (mark.says) }
            path.lead d=(format!("M{} {}L{} {}", n(edge[0]), n(edge[1]), n(mark.at[0]), n(mark.at[1]))) {}
            // Each kind has a shape of its own, so that none depends on its colour.
            @if mark.kind == Severity::Error.word() {
                rect.sign x=(n(at[0] - RADIUS)) y=(n(at[1] - RADIUS)) width=(n(2.0 * RADIUS)) height=(n(2.0 * RADIUS)) {}
            } @else {
                circle.sign cx=(n(at[0])) cy=(n(at[1])) r=(n(RADIUS)) {}
            }
            text x=(n(at[0])) y=(n(at[1] + SIZE * 0.36)) font-size=(n(SIZE)) text-anchor="middle" { (mark.number) }
        }
    }
}

/// Where a drawing has room.
struct FreeSpace {
    window: [f64; 4],
    labels: Vec<[f64; 4]>,
    lines: Vec<[Point; 2]>,
    /// What is touched to throw trackwork.
    touches: Vec<Point>,
    /// Marks that are there already.
    taken: Vec<Point>,
}

impl FreeSpace {
    fn new(frame: &Frame) -> FreeSpace {
        let [l, t, r, b] = frame.sheets.first().map_or([0.0; 4], |sheet| sheet.window);
        let rails = frame.rails.iter().flat_map(|rail| rail.points.windows(2)).map(|pair| [pair[0], pair[1]]);
        // Signs of feeders and the like stand out from the rail.
        let signs = frame.marks.iter().map(|mark| [mark.at, [0, 1].map(|i| mark.at[i] + 3.0 * mark.out[i])]);
        FreeSpace {
            // The paper around the drawing is free too; below stands the title.
            window: [l - BESIDE, t - BESIDE, r + BESIDE, b + BESIDE / 2.0],
            labels: frame.labels.iter().map(drawing::DrawnLabel::area).collect(),
            lines: rails.chain(signs).collect(),
            touches: frame.works.iter().map(|work| work.at).collect(),
            taken: Vec::new(),
        }
    }

    /// The nearest free place around a point; where there is none, one that at least covers no words and no other mark.
    fn place(&self, of: Point) -> Point {
        let tried = || AWAY.iter().flat_map(|away| (0..WAYS).map(move |way| around(of, *away, way)));
        let first = tried().find(|at| self.is_free(*at) && !self.leads_over_words(of, *at));
        let second = || tried().find(|at| self.is_free(*at));
        let third = || tried().find(|at| self.covers_nothing_said(*at));
        first.or_else(second).or_else(third).unwrap_or_else(|| around(of, AWAY[0], 0))
    }

    fn is_free(&self, at: Point) -> bool {
        let [l, t, r, b] = self.window;
        let inside = l + RADIUS <= at[0] && at[0] <= r - RADIUS && t + RADIUS <= at[1] && at[1] <= b - RADIUS;
        let off_rails = self.lines.iter().all(|line| distance(at, line) > RADIUS + AIR);
        let off_touches = self.touches.iter().all(|touch| (at[0] - touch[0]).hypot(at[1] - touch[1]) > RADIUS + 5.2);
        inside && off_touches && off_rails && self.covers_nothing_said(at)
    }

    fn covers_nothing_said(&self, at: Point) -> bool {
        let near = RADIUS + AIR / 2.0;
        let off = |area: &[f64; 4]| {
            at[0] + near < area[0] || at[0] - near > area[2] || at[1] + near < area[1] || at[1] - near > area[3]
        };
        let apart = |other: &Point| (at[0] - other[0]).hypot(at[1] - other[1]) > 2.0 * RADIUS + AIR;
        self.labels.iter().all(off) && self.taken.iter().all(apart)
    }

    /// Whether the line from a mark to its place would cross words: looked at from step to step.
    fn leads_over_words(&self, of: Point, at: Point) -> bool {
        let steps = 12;
        (1..steps).any(|step| {
            let share = f64::from(step) / f64::from(steps);
            let p = [0, 1].map(|i| of[i] + (at[i] - of[i]) * share);
            self.labels.iter().any(|[l, t, r, b]| *l < p[0] && p[0] < *r && *t < p[1] && p[1] < *b)
        })
    }
}

/// The point so far away on one of the ways around: upwards first, then to its sides in turn.
fn around(of: Point, away: f64, way: usize) -> Point {
    let turn = way.div_ceil(2) as f64 * if way.is_multiple_of(2) { 1.0 } else { -1.0 };
    let angle = std::f64::consts::TAU * turn / WAYS as f64;
    [of[0] + away * angle.sin(), of[1] - away * angle.cos()]
}

fn distance(at: Point, [a, b]: &[Point; 2]) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx * dx + dy * dy;
    let share = if long > 0.0 { (((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
    (at[0] - a[0] - dx * share).hypot(at[1] - a[1] - dy * share)
}

#[cfg(test)]
mod tests {
    use super::{FreeSpace, RADIUS, WAYS, around, distance, half_way};
    use schedule::{Choices, Job};

    /// Marks of every track and every piece of trackwork of every demo plan at once, from above and from below.
    #[test]
    fn marks_stand_on_no_words_no_rail_and_no_other_mark() {
        for demo in crate::demos::DEMOS {
            let reading = plan::read(demo.text);
            let job = Job::new(analysis::Analysis::of(demo.text, &reading.plan, &reading.names), Choices::default());
            let above = drawing::whole(&job);
            for frame in [above.mirrored(), above] {
                let middles = frame.beds.iter().filter_map(|bed| half_way(&bed.points));
                let places: Vec<_> = middles.chain(frame.works.iter().map(|work| work.at)).collect();
                let mut free = FreeSpace::new(&frame);
                for of in &places {
                    let at = free.place(*of);
                    assert!(free.covers_nothing_said(at), "{}: over words at {at:?}", demo.name);
                    for rail in &free.lines {
                        assert!(distance(at, rail) > RADIUS, "{}: over a rail at {at:?}", demo.name);
                    }
                    free.taken.push(at);
                }
            }
        }
    }

    #[test]
    fn ways_around_a_place_are_all_another() {
        let all: std::collections::BTreeSet<_> =
            (0..WAYS).map(|way| around([0.0, 0.0], 10.0, way).map(|v| (v * 1e3).round() as i64)).collect();
        assert_eq!(all.len(), WAYS);
        assert_eq!(around([1.0, 2.0], 10.0, 0), [1.0, -8.0]);
    }

    #[test]
    fn lines_are_measured_to_their_nearest_point() {
        assert_eq!(distance([0.0, 3.0], &[[-1.0, 0.0], [1.0, 0.0]]), 3.0);
        assert_eq!(distance([5.0, 3.0], &[[-1.0, 0.0], [1.0, 0.0]]), 5.0);
        assert_eq!(half_way(&[[0.0, 0.0], [1.0, 0.0], [1.0, 3.0]]), Some([1.0, 1.0]));
    }
}
