//! The sheets a drawing is cut into, and the letters that match at the cuts.

use crate::frame::{Area, Frame, Point, Sheet};
use crate::svg::{MARGIN, TITLE};

/// Room around the tracks: for what stands beside them, and for the letters at cuts.
const AROUND: f64 = 8.0;

/// Left, top, right and bottom of all tracks.
pub(crate) fn bounds(frame: &Frame) -> Area {
    let points = frame.beds.iter().flat_map(|b| b.points.iter());
    let pits = frame.works.iter().filter_map(|w| Some((w.at, w.pit?)));
    let corners = pits.flat_map(|([x, y], r)| [[x - r, y - r], [x + r, y + r]]);
    let none = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let all = points
        .copied()
        .chain(corners)
        .fold(none, |a: Area, p: Point| [a[0].min(p[0]), a[1].min(p[1]), a[2].max(p[0]), a[3].max(p[1])]);
    if all[0] <= all[2] { all } else { [0.0; 4] }
}

/// Cuts a drawing into sheets of a size, or puts it on one that holds it.
pub(crate) fn cut(frame: &mut Frame, paper: Option<Point>, scale: f64) {
    let [l, t, r, b] = bounds(frame);
    let window = [l - AROUND, t - AROUND, r + AROUND, b + AROUND];
    frame.scale = scale;
    let _ = paper;
    let size = [
        ((window[2] - window[0]) * scale + 2.0 * MARGIN).max(200.0),
        (window[3] - window[1]) * scale + 2.0 * MARGIN + TITLE,
    ];
    frame.sheets = vec![Sheet { size, window, cuts: Vec::new() }];
}
