//! Lines through points: rounded, moved aside, cut, crossed. Lengths in millimetres on paper, y upwards while a drawing is
//! being laid out.

/// A place on the drawing.
pub type Point = [f64; 2];

/// How many straight bits a rounded corner is drawn with, for each right angle.
const BITS: f64 = 8.0;

pub(crate) fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

pub(crate) fn plus(a: Point, b: Point, times: f64) -> Point {
    [a[0] + times * b[0], a[1] + times * b[1]]
}

pub(crate) fn distance(a: Point, b: Point) -> f64 {
    let d = minus(a, b);
    d[0].hypot(d[1])
}

pub(crate) fn unit(a: Point) -> Point {
    let length = a[0].hypot(a[1]);
    if length > 0.0 { [a[0] / length, a[1] / length] } else { [1.0, 0.0] }
}

/// Takes out points that lie on each other, and those in the middle of straight lines.
pub(crate) fn tidy(points: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    for &point in points {
        if kept.last().is_some_and(|&last| distance(last, point) < 1e-6) {
            continue;
        }
        if let [.., before, last] = kept[..] {
            let (a, b) = (unit(minus(last, before)), unit(minus(point, last)));
            if (a[0] * b[1] - a[1] * b[0]).abs() < 1e-9 && a[0] * b[0] + a[1] * b[1] > 0.0 {
                kept.pop();
            }
        }
        kept.push(point);
    }
    kept
}

/// Rounds the corners of a line to a radius, or to what there is room for.
pub(crate) fn rounded(points: &[Point], radius: f64) -> Vec<Point> {
    let points = tidy(points);
    let mut line = Vec::with_capacity(points.len());
    for (i, &corner) in points.iter().enumerate() {
        if i == 0 || i + 1 == points.len() {
            line.push(corner);
            continue;
        }
        let (before, after) = (unit(minus(points[i - 1], corner)), unit(minus(points[i + 1], corner)));
        let inner = (before[0] * after[0] + before[1] * after[1]).clamp(-1.0, 1.0).acos();
        // Some of the first and last piece stays straight, so that lines meet on one direction.
        let half = |n: usize| if n == 0 || n + 1 == points.len() { 0.8 } else { 0.5 };
        let room = (distance(points[i - 1], corner) * half(i - 1)).min(distance(points[i + 1], corner) * half(i + 1));
        let tangent = (radius / (inner / 2.0).tan()).min(room);
        let (start, end) = (plus(corner, before, tangent), plus(corner, after, tangent));
        let turn = std::f64::consts::PI - inner;
        let bits = ((turn / std::f64::consts::FRAC_PI_2) * BITS).ceil().max(1.0);
        let r = tangent * (inner / 2.0).tan();
        let middle = unit(plus(before, after, 1.0));
        let centre = plus(corner, middle, r / (inner / 2.0).sin());
        let from = minus(start, centre);
        let to = minus(end, centre);
        let sense = if from[0] * to[1] - from[1] * to[0] > 0.0 { 1.0 } else { -1.0 };
        line.push(start);
        for bit in 1..bits as usize {
            let (sin, cos) = (sense * turn * bit as f64 / bits).sin_cos();
            line.push([centre[0] + from[0] * cos - from[1] * sin, centre[1] + from[0] * sin + from[1] * cos]);
        }
        line.push(end);
    }
    tidy(&line)
}

/// The line so far to the left of this one (y upwards), its corners mitred.
pub(crate) fn aside(points: &[Point], left: f64) -> Vec<Point> {
    let count = points.len();
    (0..count)
        .map(|i| {
            let into = unit(minus(points[i], points[i.saturating_sub(1)]));
            let out = unit(minus(points[(i + 1).min(count - 1)], points[i]));
            let (into, out) = match i {
                0 => (out, out),
                _ if i + 1 == count => (into, into),
                _ => (into, out),
            };
            let normals = [[-into[1], into[0]], [-out[1], out[0]]];
            let mean = plus(normals[0], normals[1], 1.0);
            let square = mean[0] * mean[0] + mean[1] * mean[1];
            // Twice the mean over the square of it is the mitre; a line that turns back has none.
            if square < 0.1 { plus(points[i], normals[0], left) } else { plus(points[i], mean, 2.0 * left / square) }
        })
        .collect()
}

pub(crate) fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| distance(w[0], w[1])).sum()
}

/// The place so far along a line, and the direction there; beyond its ends, the ends.
pub(crate) fn along(points: &[Point], mut at: f64) -> (Point, Point) {
    for pair in points.windows(2) {
        let step = distance(pair[0], pair[1]);
        if at <= step && step > 0.0 {
            let direction = unit(minus(pair[1], pair[0]));
            return (plus(pair[0], direction, at.max(0.0)), direction);
        }
        at -= step;
    }
    match points {
        [.., before, last] => (*last, unit(minus(*last, *before))),
        [only] => (*only, [1.0, 0.0]),
        [] => ([0.0, 0.0], [1.0, 0.0]),
    }
}

/// The part of a line between two places along it.
pub(crate) fn part(points: &[Point], from: f64, to: f64) -> Vec<Point> {
    let mut cut = vec![along(points, from).0];
    let mut at = 0.0;
    for pair in points.windows(2) {
        at += distance(pair[0], pair[1]);
        if at > from + 1e-9 && at < to - 1e-9 {
            cut.push(pair[1]);
        }
    }
    cut.push(along(points, to).0);
    cut
}

/// How far along a line the place nearest to a point lies.
pub(crate) fn nearest(points: &[Point], to: Point) -> f64 {
    let (mut best, mut found, mut at) = (f64::INFINITY, 0.0, 0.0);
    for pair in points.windows(2) {
        let step = distance(pair[0], pair[1]);
        let direction = unit(minus(pair[1], pair[0]));
        let d = minus(to, pair[0]);
        let t = (d[0] * direction[0] + d[1] * direction[1]).clamp(0.0, step);
        let off = distance(plus(pair[0], direction, t), to);
        if off < best - 1e-9 {
            (best, found) = (off, at + t);
        }
        at += step;
    }
    found
}

/// Where two straight lines cross, inside both.
pub(crate) fn cross(a: [Point; 2], b: [Point; 2]) -> Option<Point> {
    let (u, v, w) = (minus(a[1], a[0]), minus(b[1], b[0]), minus(b[0], a[0]));
    let det = u[0] * v[1] - u[1] * v[0];
    if det.abs() < 1e-12 {
        return None;
    }
    let (s, t) = ((w[0] * v[1] - w[1] * v[0]) / det, (w[0] * u[1] - w[1] * u[0]) / det);
    let inside = -1e-9..=1.0 + 1e-9;
    (inside.contains(&s) && inside.contains(&t)).then(|| plus(a[0], u, s))
}

/// Where two lines cross last, counted along the first.
pub(crate) fn last_crossing(one: &[Point], other: &[Point]) -> Option<Point> {
    one.windows(2).rev().find_map(|a| other.windows(2).rev().find_map(|b| cross([a[0], a[1]], [b[0], b[1]])))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_moved_aside_keeps_its_distance() {
        let line = rounded(&[[0.0, 0.0], [20.0, 0.0], [40.0, 10.0], [60.0, 10.0]], 9.0);
        for (left, sign) in [(1.3, 1.0), (-1.3, -1.0)] {
            for point in aside(&line, left) {
                let (foot, direction) = along(&line, nearest(&line, point));
                let off = minus(point, foot);
                let side = direction[0] * off[1] - direction[1] * off[0];
                assert!((side * sign - 1.3).abs() < 0.05, "{point:?} is {side} aside");
            }
        }
    }

    #[test]
    fn a_corner_is_rounded_to_its_radius() {
        let line = rounded(&[[0.0, 0.0], [20.0, 0.0], [20.0, 20.0]], 5.0);
        for point in &line[1..line.len() - 1] {
            assert!((distance(*point, [15.0, 5.0]) - 5.0).abs() < 1e-9, "{point:?}");
        }
    }
}
