//! The names of squares, of what lies under the table, and lines parted where words stand on them.

use super::{BOX, LetterSizes, Obstacle, ObstacleGrid, PendingLabel, beside, in_rings};
use crate::frame::{Area, DrawnLabel, Frame, LabelOwner, Point};
use crate::sheets::sheet_at;
use crate::words::letters_of;
use crate::{Subject, words};

/// The letters of columns and the numbers of rows, at the edges of each sheet, where nothing is drawn.
pub(super) fn square_names(frame: &mut Frame, ground: &mut ObstacleGrid, sizes: LetterSizes) {
    let Some(grid) = frame.grid else { return };
    let size = sizes.number;
    for (sheet, page) in frame.sheets.iter().enumerate() {
        let [l, t, r, b] = page.window;
        let [first, last] = [grid.square([l + 1e-6, t + 1e-6]), grid.square([r - 1e-6, b - 1e-6])];
        for axis in 0..2 {
            for index in first[axis].min(last[axis])..=first[axis].max(last[axis]) {
                let text = if axis == 0 { letters_of(index) } else { (index + 1).to_string() };
                let extent = [words::width(&text, size), BOX * size];
                let [from, to] = if axis == 0 { grid.column(index) } else { grid.row(index) };
                let [low, high] = [page.window[axis], page.window[axis + 2]];
                let (from, to) = (from.max(low) + extent[axis] / 2.0 + 0.5, to.min(high) - extent[axis] / 2.0 - 0.5);
                if to < from {
                    continue;
                }
                let other = 1 - axis;
                let edges = [
                    page.window[other] + extent[other] / 2.0 + 0.3,
                    page.window[other + 2] - extent[other] / 2.0 - 0.3,
                ];
                // At the first edge where there is room, from the middle of the square outwards.
                let middle = (from + to) / 2.0;
                let steps =
                    (0..=20).flat_map(|k| [1.0, -1.0].map(|way| middle + way * f64::from(k) / 40.0 * (to - from)));
                let places = edges.into_iter().flat_map(|edge| steps.clone().map(move |at| (edge, at)));
                let free = places.map(|(edge, at)| if axis == 0 { [at, edge] } else { [edge, at] }).find(|&at| {
                    let area = [
                        at[0] - extent[0] / 2.0,
                        at[1] - extent[1] / 2.0,
                        at[0] + extent[0] / 2.0,
                        at[1] + extent[1] / 2.0,
                    ];
                    ground.is_free(area)
                });
                let Some(at) = free else { continue };
                let label = DrawnLabel { of: LabelOwner::Square, text, size, at, extent, leader: None, sheet };
                ground.put(Obstacle::Area(label.area()));
                frame.labels.push(label);
            }
        }
    }
}

/// Puts devices where there is room beside what they belong to.
pub(super) fn under_table(frame: &mut Frame, subject: &Subject<'_>, ground: &mut ObstacleGrid) {
    let sheets = frame.clone();
    let mut room = |of: Point, size: Point| {
        let home = sheet_at(&sheets, of)?;
        let [l, t, r, b] = sheets.sheets[home].window;
        let area =
            |at: Point| [at[0] - size[0] / 2.0, at[1] - size[1] / 2.0, at[0] + size[0] / 2.0, at[1] + size[1] / 2.0];
        let fits = |at: &Point| {
            let a = area(*at);
            l <= a[0] && t <= a[1] && a[2] <= r && a[3] <= b && ground.is_free(area(*at).map(|v| v))
        };
        let at = in_rings(of).find(fits)?;
        ground.put(Obstacle::Area(area(at)));
        Some(at)
    };
    crate::under::put(frame, subject, &mut room);
}

/// The names of devices, and of buses at their starts.
pub(super) fn device_names(frame: &Frame, sizes: LetterSizes) -> Vec<PendingLabel> {
    let named = |of: LabelOwner, text: &str, at: Point, half: Point| {
        let mut wanted = PendingLabel {
            of,
            text: text.to_owned(),
            size: sizes.name,
            places: Vec::new(),
            thing: Some(at),
            elsewhere: Vec::new(),
        };
        let extent = wanted.extent();
        for way in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
            let by = half[0] * f64::abs(way[0]) + half[1] * f64::abs(way[1]) + 0.5;
            wanted.places.push((beside(at, way, by, extent), None));
        }
        wanted
    };
    let devices = frame.devices.iter().enumerate();
    devices
        .map(|(index, device)| {
            named(LabelOwner::Device(index), &device.name, device.at, device.size.map(|length| length / 2.0))
        })
        .collect()
}

/// Takes out of the runs what lies under words, boxes and signs, so that no line runs through them.
pub(super) fn part_runs(frame: &mut Frame) {
    let devices = frame.devices.iter().map(|device| {
        let [w, h] = device.size;
        [device.at[0] - w / 2.0, device.at[1] - h / 2.0, device.at[0] + w / 2.0, device.at[1] + h / 2.0]
    });
    let areas: Vec<Area> = frame.labels.iter().map(DrawnLabel::area).chain(devices).collect();
    for run in &mut frame.runs {
        for area in &areas {
            run.pieces = run.pieces.iter().flat_map(|piece| outside(piece, *area)).collect();
        }
    }
}

/// The parts of a line outside an area.
fn outside(line: &[Point], [l, t, r, b]: Area) -> Vec<Vec<Point>> {
    let mut pieces: Vec<Vec<Point>> = vec![Vec::new()];
    for s in line.windows(2) {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        let mut meets = true;
        for (start, way, low, high) in [(s[0][0], s[1][0] - s[0][0], l, r), (s[0][1], s[1][1] - s[0][1], t, b)] {
            if way.abs() < 1e-12 {
                meets &= low < start && start < high;
            } else {
                let (one, other) = ((low - start) / way, (high - start) / way);
                from = from.max(one.min(other));
                to = to.min(one.max(other));
            }
        }
        let at = |share: f64| [0, 1].map(|i| s[0][i] + share * (s[1][i] - s[0][i]));
        let add = |points: &[Point], pieces: &mut Vec<Vec<Point>>| {
            if let Some(last) = pieces.last_mut() {
                let rest = points.iter().skip(usize::from(last.last() == points.first()));
                last.extend(rest);
            }
        };
        if meets && from < to - 1e-9 {
            if from > 1e-9 {
                add(&[s[0], at(from)], &mut pieces);
            }
            pieces.push(Vec::new());
            if to < 1.0 - 1e-9 {
                add(&[at(to), s[1]], &mut pieces);
            }
        } else {
            add(s, &mut pieces);
        }
    }
    pieces.retain(|piece| piece.len() > 1);
    pieces
}
