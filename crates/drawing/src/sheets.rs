//! The sheets a drawing is cut into, and the letters that match at the cuts.
//!
//! It is cut into columns where the fewest things stand, and each column into rows where the fewest tracks run. A sheet that
//! would show nothing is left out.

use crate::frame::{Area, DrawnSheet, Frame, Point, SheetCut};
use crate::svg::{inside, margin, title_height};
use crate::words::letters_of;

/// Room around the tracks, for what stands beside them.
const AROUND: f64 = 9.0;
/// Room around a window, for the letters at its cuts.
const LETTERS: f64 = 7.0;
/// A drawing may be shown smaller, so that it takes fewer sheets, by so much at the most.
const SMALLEST: f64 = 0.8;
/// By so much at the most where that puts all of it on one sheet and there is room for all words; they are no smaller.
const ON_ONE: f64 = 0.6;
/// How much smaller or larger than usual a drawing is tried: larger, its letters have more room beside its tracks.
const LARGER: [f64; 9] = [SMALLEST, 0.85, 0.9, 0.95, 1.0, 1.1, 1.2, 1.3, 1.45];
/// From one place to try for a cut to the next.
const STEP: f64 = 2.0;

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

/// A drawing and the room around it.
fn whole(frame: &Frame) -> Area {
    let [l, t, r, b] = bounds(frame);
    [l - AROUND, t - AROUND, r + AROUND, b + AROUND]
}

/// What of a sheet of paper the drawing itself may take.
fn room(frame: &Frame, paper: Point) -> Point {
    let (title, margin) = (title_height(frame), margin(frame));
    [paper[0] - 2.0 * margin, paper[1] - 2.0 * margin - title]
}

/// The scales that are worth trying on sheets of a size, best first: those that take fewest sheets, of these the largest alone.
pub(crate) fn scales(frame: &Frame, paper: Point, usual: f64) -> Vec<f64> {
    let (all, room) = (whole(frame), room(frame, paper));
    let fit = (room[0] / (all[2] - all[0])).min(room[1] / (all[3] - all[1])).min(usual);
    let mut tried: Vec<(usize, f64)> = Vec::new();
    if fit >= ON_ONE * usual {
        tried.push((1, fit));
    }
    for by in LARGER {
        tried.push((windows(frame, all, room, by * usual).windows.len().max(1), by * usual));
    }
    tried.sort_by(|one, other| one.0.cmp(&other.0).then(other.1.total_cmp(&one.1)));
    tried.dedup_by_key(|tried| tried.0);
    tried.into_iter().map(|tried| tried.1).collect()
}

/// Puts a drawing on one sheet that holds it.
pub(crate) fn on_one(frame: &mut Frame, scale: f64) {
    let all = whole(frame);
    let (title, margin) = (title_height(frame), margin(frame));
    let [wide, high] = [all[2] - all[0], all[3] - all[1]];
    let size = [(wide * scale + 2.0 * margin).max(240.0), high * scale + 2.0 * margin + title];
    frame.scale = scale;
    frame.sheets = vec![DrawnSheet { size, window: all, cuts: Vec::new() }];
}

/// Cuts a drawing into sheets of a size at a scale.
pub(crate) fn cut(frame: &mut Frame, paper: Point, scale: f64) {
    let (all, room) = (whole(frame), room(frame, paper));
    let (title, margin) = (title_height(frame), margin(frame));
    let [wide, high] = [all[2] - all[0], all[3] - all[1]];
    frame.scale = scale;
    if wide * scale <= room[0] + 1e-6 && high * scale <= room[1] + 1e-6 {
        // No larger than it has to be, so that whoever sets it on a page need not make it smaller.
        let size = [(wide * scale + 2.0 * margin).max(paper[0].min(240.0)), high * scale + 2.0 * margin + title];
        frame.sheets = vec![DrawnSheet { size, window: all, cuts: Vec::new() }];
        return;
    }
    let Windows { windows, columns, rows } = windows(frame, all, room, scale);
    let edges = [columns, rows.concat()];
    frame.sheets = windows.into_iter().map(|window| DrawnSheet { size: paper, window, cuts: Vec::new() }).collect();
    letters(frame, &edges);
}

/// The parts of a drawing that its sheets show.
struct Windows {
    windows: Vec<Area>,
    columns: Vec<f64>,
    rows: Vec<Vec<f64>>,
}

/// Cuts a drawing into windows that sheets with so much room hold at a scale.
fn windows(frame: &Frame, all: Area, room: Point, scale: f64) -> Windows {
    let most = room.map(|m| m / scale - 2.0 * LETTERS);
    let columns = split(all[0], all[2], most[0], &crowd_along(frame));
    let mut rows = Vec::new();
    for column in columns.windows(2) {
        let crowd = crowd_across(frame, column[0], column[1]);
        let Some(span) = crowd.span else {
            rows.push(Vec::new());
            continue;
        };
        rows.push(split(span[0] - AROUND, span[1] + AROUND, most[1], &crowd.crowd));
    }
    let mut windows: Vec<Area> = Vec::new();
    for (column, rows) in columns.windows(2).zip(&rows) {
        windows.extend(rows.windows(2).map(|row| [column[0], row[0], column[1], row[1]]));
    }
    windows.retain(|w| frame.beds.iter().any(|b| b.points.windows(2).any(|s| passes([s[0], s[1]], w))));
    Windows { windows, columns, rows }
}

/// Where things crowd: from, to, and how bad it is to cut there.
type Crowd = Vec<(f64, f64, i64)>;

/// Places where to cut what lies between two ends into parts no longer than `most`, ends included.
fn split(from: f64, to: f64, most: f64, crowd: &Crowd) -> Vec<f64> {
    let mut cuts = vec![from];
    let mut start = from;
    while to - start > most {
        let parts = ((to - start) / most).ceil();
        // The last two parts share what is left.
        let longest = most.min(if parts <= 2.0 { (to - start) * 0.6 } else { most });
        // No part so short that it would take one more.
        let slack = longest - (to - start - (parts - 1.0) * most);
        let steps = (slack.clamp(0.0, 0.35 * most) / STEP) as usize;
        let bad = |at: f64| -> i64 { crowd.iter().filter(|c| c.0 <= at && at <= c.1).map(|c| c.2).sum() };
        let best = (0..=steps).map(|s| start + longest - s as f64 * STEP).min_by_key(|&at| bad(at));
        start = best.unwrap_or(start + longest);
        cuts.push(start);
    }
    cuts.push(to);
    cuts
}

fn crowd_along(frame: &Frame) -> Crowd {
    let marks = frame.marks.iter().map(|m| (m.at[0] - 3.0, m.at[0] + 3.0, 3));
    let works = frame.works.iter().map(|w| {
        let reach = w.pit.unwrap_or(12.0);
        (w.at[0] - reach, w.at[0] + reach, 8)
    });
    let endings = frame.endings.iter().map(|e| (e.at[0] - 5.0, e.at[0] + 5.0, 3));
    marks.chain(works).chain(endings).collect()
}

struct ColumnContent {
    crowd: Crowd,
    /// Top and bottom of what lies in the column.
    span: Option<[f64; 2]>,
}

fn crowd_across(frame: &Frame, left: f64, right: f64) -> ColumnContent {
    let mut across = ColumnContent { crowd: Vec::new(), span: None };
    for bed in &frame.beds {
        for s in bed.points.windows(2) {
            if s[0][0].max(s[1][0]) < left || s[0][0].min(s[1][0]) > right {
                continue;
            }
            let (low, high) = (s[0][1].min(s[1][1]), s[0][1].max(s[1][1]));
            let span = across.span.get_or_insert([low, high]);
            *span = [span[0].min(low), span[1].max(high)];
            let level = high - low < 0.1 * (s[0][0] - s[1][0]).abs();
            across.crowd.push(if level { (low - 4.0, high + 4.0, 20) } else { (low, high, 1) });
        }
    }
    for work in frame.works.iter().filter(|w| left <= w.at[0] && w.at[0] <= right) {
        let reach = work.pit.unwrap_or(5.0);
        across.crowd.push((work.at[1] - reach, work.at[1] + reach, 8));
    }
    across
}

/// Whether a straight line has a part of some length in an area.
fn passes(line: [Point; 2], area: &Area) -> bool {
    let beside = |i: usize| line[0][i].max(line[1][i]) < area[i] || line[0][i].min(line[1][i]) > area[i + 2];
    if beside(0) || beside(1) {
        return false;
    }
    let at = |t: f64| [0, 1].map(|i| line[0][i] + t * (line[1][i] - line[0][i]));
    crossings(line, &[vec![area[0], area[2]], vec![area[1], area[3]]])
        .windows(2)
        .any(|t| inside(at((t[0] + t[1]) / 2.0), *area))
}

/// Where a straight line meets upright and level lines, 0 at its start and 1 at its end, with both of these.
fn crossings([a, b]: [Point; 2], edges: &[Vec<f64>; 2]) -> Vec<f64> {
    let mut list = vec![0.0, 1.0];
    for (axis, edges) in edges.iter().enumerate() {
        let way = b[axis] - a[axis];
        if way.abs() > 1e-9 {
            list.extend(edges.iter().map(|e| (e - a[axis]) / way).filter(|t| (0.0..=1.0).contains(t)));
        }
    }
    list.sort_by(f64::total_cmp);
    list
}

/// The sheet that shows a place.
pub(crate) fn sheet_at(frame: &Frame, at: Point) -> Option<usize> {
    frame.sheets.iter().position(|s| inside(at, s.window))
}

/// Gives each place where a track is cut its letters, on both sheets.
fn letters(frame: &mut Frame, edges: &[Vec<f64>; 2]) {
    let mut found: Vec<(Point, Point, [usize; 2])> = Vec::new();
    for line in frame.beds.iter().flat_map(|b| b.points.windows(2)) {
        let line = [line[0], line[1]];
        let at = |t: f64| [0, 1].map(|i| line[0][i] + t * (line[1][i] - line[0][i]));
        let list = crossings(line, edges);
        for t in list.windows(3).filter(|t| t[1] - t[0] > 1e-9 && t[2] - t[1] > 1e-9) {
            let sides = [(t[0] + t[1]) / 2.0, (t[1] + t[2]) / 2.0].map(|t| sheet_at(frame, at(t)));
            let [Some(one), Some(other)] = sides else { continue };
            if one != other {
                let place = at(t[1]);
                let window = frame.sheets[one].window;
                // Out of the first sheet, square to the edge that is crossed.
                let off = [window[0] - place[0], window[1] - place[1], place[0] - window[2], place[1] - window[3]];
                let edge = (0..4).min_by(|&i, &j| off[i].abs().total_cmp(&off[j].abs())).unwrap_or(2);
                found.push((place, [[-1.0, 0.0], [0.0, -1.0], [1.0, 0.0], [0.0, 1.0]][edge], [one, other]));
            }
        }
    }
    found.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]).then(a.0[1].total_cmp(&b.0[1])));
    let mut kept: Vec<Point> = Vec::new();
    for (at, out, [one, other]) in found {
        // Two routes through one turnout are cut at one place.
        if kept.iter().rev().take(8).any(|k| (k[0] - at[0]).hypot(k[1] - at[1]) < 2.0) {
            continue;
        }
        let name = letters_of(kept.len());
        kept.push(at);
        frame.sheets[one].cuts.push(SheetCut { letters: name.clone(), at, out, to: other });
        frame.sheets[other].cuts.push(SheetCut { letters: name, at, out: [-out[0], -out[1]], to: one });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_behind_z() {
        assert_eq!([0, 25, 26, 27, 701, 702].map(letters_of), ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }

    #[test]
    fn a_length_is_cut_where_nothing_stands() {
        let crowd = vec![(90.0, 100.0, 5)];
        let cuts = split(0.0, 250.0, 100.0, &crowd);
        assert!(cuts.windows(2).all(|c| c[1] - c[0] <= 100.0), "{cuts:?}");
        assert!(cuts.iter().all(|c| !(90.0..=100.0).contains(c)), "{cuts:?}");
    }
}
