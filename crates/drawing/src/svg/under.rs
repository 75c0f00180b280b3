//! Squares, and what lies under the table, as SVG text.

use super::{line, path};
use crate::frame::{DrawnSheet, Frame, RunKind};
use std::fmt::Write as _;
use text::xml::{escaped, number as n};

/// Every other square tinted, so that one finds it from the edge.
pub(super) fn squares(out: &mut String, frame: &Frame, page: &DrawnSheet) {
    let Some(grid) = frame.grid else { return };
    let [l, t, r, b] = page.window;
    let [one, other] = [grid.square([l + 1e-6, t + 1e-6]), grid.square([r - 1e-6, b - 1e-6])];
    for column in one[0].min(other[0])..=one[0].max(other[0]) {
        for row in one[1]..=other[1] {
            if (column + row) % 2 == 1 {
                continue;
            }
            let ([from, to], [top, bottom]) = (grid.column(column), grid.row(row));
            let _ = writeln!(
                out,
                "<rect fill=\"#f3f3f3\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
                n(from),
                n(top),
                n(to - from),
                n(bottom - top)
            );
        }
    }
}

/// What lies under the table.
pub(super) fn under(out: &mut String, frame: &Frame) {
    for run in &frame.runs {
        let (class, dash) = match run.kind {
            RunKind::Bus(_) => ("bold", " stroke-dasharray=\"2.4 0.8\""),
            RunKind::Wires => ("leader", ""),
        };
        for piece in &run.pieces {
            let _ = writeln!(out, "<path class=\"{class}\"{dash} d=\"{}\"/>", path(piece));
        }
    }
    for device in &frame.devices {
        let [x, y] = device.at;
        let [w, h] = device.size;
        let name = escaped(&device.name);
        // The strip is the part with a line across.
        let _ = writeln!(
            out,
            "<g data-device=\"{name}\"><rect class=\"open\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/><path class=\"thin\" d=\"{}\"/></g>",
            n(x - w / 2.0),
            n(y - h / 2.0),
            n(w),
            n(h),
            line([x - w / 2.0, y + h / 6.0], [x + w / 2.0, y + h / 6.0])
        );
    }
}
