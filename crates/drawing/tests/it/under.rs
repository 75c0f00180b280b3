//! What lies under the table, and the squares that lists name.

use crate::{plans, with};
use drawing::{Area, Frame, LabelOwner, Point, ViewSide};
use std::collections::{BTreeMap, BTreeSet};

/// Sheets of A4 that lie, less their margins.
const SIZE: Point = [276.5, 145.0];

fn each(then: impl Fn(&str, &drawing::Subject<'_>, &[Frame; 2])) {
    let mut list = plans::all();
    list.extend(plans::wired());
    for (name, text) in list {
        with(&text, |subject| then(&name, subject, &subject.both_views_in_sheets_of(SIZE)));
    }
}

fn meet(a: Area, b: Area) -> bool {
    a[0] < b[2] - 1e-6 && b[0] < a[2] - 1e-6 && a[1] < b[3] - 1e-6 && b[1] < a[3] - 1e-6
}

fn crosses(s: &[Point], area: Area) -> bool {
    (1..400).any(|k| {
        let share = f64::from(k) / 400.0;
        let [x, y] = [0, 1].map(|i| s[0][i] + share * (s[1][i] - s[0][i]));
        area[0] + 0.02 < x && x < area[2] - 0.02 && area[1] + 0.02 < y && y < area[3] - 0.02
    })
}

#[test]
fn words_devices_and_runs_under_the_table_keep_off_each_other() {
    each(|name, _, views| {
        for frame in views {
            let boxes: Vec<(Area, &str)> = frame
                .devices
                .iter()
                .map(|device| {
                    let [[x, y], [w, h]] = [device.at, device.size];
                    ([x - w / 2.0, y - h / 2.0, x + w / 2.0, y + h / 2.0], device.name.as_str())
                })
                .collect();
            for (i, one) in frame.labels.iter().enumerate() {
                let area = one.area();
                let on = frame.labels[..i].iter().find(|other| other.sheet == one.sheet && meet(other.area(), area));
                assert!(on.is_none(), "{name}: {} on {:?}", one.text, on.map(|o| &o.text));
                let on = boxes.iter().find(|device| meet(device.0, area));
                assert!(on.is_none(), "{name}: {} on the box of {:?}", one.text, on.map(|o| o.1));
                for piece in frame.runs.iter().flat_map(|run| &run.pieces) {
                    assert!(!piece.windows(2).any(|s| crosses(s, area)), "{name}: a run through {}", one.text);
                }
                let rail = frame.rails.iter().find(|rail| rail.points.windows(2).any(|s| crosses(s, area)));
                assert!(rail.is_none(), "{name}: {} on a rail", one.text);
            }
            for (i, one) in boxes.iter().enumerate() {
                let on = boxes[..i].iter().find(|other| meet(one.0, other.0));
                assert!(on.is_none(), "{name}: {} on {on:?}", one.1);
            }
        }
    });
}

/// A thing is in the same square from above and from below; every numbered thing that lies on the table has one, and so has each motor
/// that throws something.
#[test]
fn squares_are_the_same_from_both_sides() {
    let named = std::cell::Cell::new(0);
    each(|name, subject, [above, below]| {
        assert_eq!((above.view, below.view), (ViewSide::Above, ViewSide::Below));
        let (up, down) = (above.grid.unwrap(), below.grid.unwrap());
        let of = |frame: &Frame, grid: drawing::SquareGrid| -> BTreeMap<_, _> {
            frame.marks.iter().filter_map(|mark| Some((mark.number?, grid.name(mark.at)))).collect()
        };
        let (over, under) = (of(above, up), of(below, down));
        if above.scale == below.scale {
            for (number, square) in &under {
                assert_eq!(Some(square), over.get(number), "{name}: {number}");
            }
        }
        let (squares, devices) = subject.squares(above);
        for (number, square) in &over {
            use schedule::NumberClass::{Feeder, Gap, Wire};
            if matches!(number.class, Feeder | Gap | Wire) {
                let found = squares.get(number).unwrap_or_else(|| panic!("{name}: {number} has no square"));
                assert!(found.split(' ').any(|s| s == square), "{name}: {number} in {found}, drawn in {square}");
                named.set(named.get() + 1);
            }
        }
        for motor in 0..subject.plan.motor.len() {
            assert!(devices.contains_key(&(plan::Kind::Motor, motor)), "{name}: motor {motor} has no square");
            assert!(below.devices.iter().any(|d| (d.kind, d.index) == (plan::Kind::Motor, motor)), "{name}: {motor}");
        }
        // Each square that a list names has its letter and its number at the edge of a sheet.
        let edge: BTreeSet<&str> =
            above.labels.iter().filter(|l| l.of == LabelOwner::Square).map(|l| l.text.as_str()).collect();
        for square in squares.values().flat_map(|squares| squares.split(' ')) {
            let split = square.find(|c: char| c.is_ascii_digit()).unwrap();
            let (column, row) = square.split_at(split);
            assert!(edge.contains(column) && edge.contains(row), "{name}: {square} is at no edge: {edge:?}");
        }
    });
    assert!(named.get() > 500, "{}", named.get());
}
