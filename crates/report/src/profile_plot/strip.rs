//! The rails of a way under its plot: what stands where, and what it is called.

use super::{EDGE, LEFT, RIGHT, SIZE, across};
use crate::svg::{Svg, TextAnchor, cut, width};
use analysis::way_profile::WayProfile;
use analysis::way_profile::marks::WayMarkKind;
use plan::tables::RailSide;
use text::xml::number as n;

/// Heights of the rail that is on the left as the train goes, and of the other.
const RAILS: [f64; 2] = [616.0, 640.0];
/// Height of the first row of names, and from row to row.
const NAMES: f64 = 672.0;
const ROW: f64 = 14.0;
/// Rows of names there is room for.
const ROWS: usize = 6;
/// Letters of a name that must be left where it is cut short.
const LEAST_CUT: usize = 6;
/// Half the width of a gap as it is drawn.
const HALF_GAP: f64 = 4.0;

/// The distance along the way, in metres.
pub(crate) fn axis(svg: &mut Svg, profile: &WayProfile, y: f64) {
    let rough = profile.length / 10.0;
    let decade = 10f64.powf(rough.max(1e-3).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|first| first * decade).into_iter().find(|s| *s >= rough).unwrap_or(1.0);
    let mut count = 0.0;
    while count * step <= profile.length + 1e-9 {
        let x = across(profile, count * step);
        svg.line("frame", [x, y], [x, y + 5.0]);
        svg.text("quiet", SIZE, [x, y + 18.0], TextAnchor::Middle, &format!("{} m", n(count * step)));
        count += 1.0;
    }
}

/// The rails, what stands along them, the names of tracks and trackwork, and the key.
pub(crate) fn strip(svg: &mut Svg, profile: &WayProfile) {
    for (y, word) in RAILS.into_iter().zip(["left", "right"]) {
        svg.text("quiet", SIZE, [LEFT - 8.0, y + 4.0], TextAnchor::End, word);
    }
    for along in profile.steps.iter().map(|s| s.from).chain([profile.length]) {
        let x = across(profile, along);
        svg.line("thin", [x, RAILS[0] - 5.0], [x, RAILS[1] + 5.0]);
    }
    let mut gaps: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
    for mark in &profile.marks {
        let x = across(profile, mark.along);
        for side in RailSide::ALL.into_iter().filter(|&side| mark.rails[side]) {
            // As the train goes.
            let side = if profile.steps[mark.step].turned { side.other() } else { side };
            match mark.kind {
                WayMarkKind::Gap => gaps[side].push(x),
                kind => glyph(svg, kind, x, RAILS[side], if side == RailSide::Left { -1.0 } else { 1.0 }),
            }
        }
    }
    for (gaps, y) in gaps.iter_mut().zip(RAILS) {
        gaps.sort_by(f64::total_cmp);
        let mut from = LEFT;
        for &x in gaps.iter() {
            if x - HALF_GAP > from {
                svg.line("rail", [from, y], [x - HALF_GAP, y]);
            }
            gap(svg, x, y);
            from = x + HALF_GAP;
        }
        if from < RIGHT {
            svg.line("rail", [from, y], [RIGHT, y]);
        }
    }
    names(svg, profile);
    key(svg);
}

/// The two ends of a rail at a gap.
fn gap(svg: &mut Svg, x: f64, y: f64) {
    for side in [-HALF_GAP, HALF_GAP] {
        svg.line("thin", [x + side, y - 6.0], [x + side, y + 6.0]);
    }
}

/// A mark on a rail; `outward` is the way off the track.
fn glyph(svg: &mut Svg, kind: WayMarkKind, x: f64, y: f64, outward: f64) {
    match kind {
        WayMarkKind::Feeder | WayMarkKind::ContactFeed => {
            let class = if kind == WayMarkKind::Feeder { "full" } else { "open" };
            let base = y + outward * 13.0;
            svg.through(class, &[[x, y + outward * 3.0], [x - 5.0, base], [x + 5.0, base]], true);
        }
        WayMarkKind::Gap => gap(svg, x, y),
        WayMarkKind::Frog => {
            svg.through("open", &[[x - 5.0, y], [x, y - 5.0], [x + 5.0, y], [x, y + 5.0]], true);
        }
        WayMarkKind::SlidingJoint => svg.line("rail", [x, y - 5.0], [x, y + 5.0]),
        WayMarkKind::SolderedJoint => svg.circle("full", [x, y], 2.8),
        WayMarkKind::StockJoint => svg.line("thin", [x, y - 3.0], [x, y + 3.0]),
    }
}

/// The names of tracks and trackwork, each to the right of a line where it starts. A name under which others start goes
/// into a row below theirs, so that no line runs through words; one for which no row is left is cut short.
fn names(svg: &mut Svg, profile: &WayProfile) {
    let mut placed: Vec<(f64, usize, String)> = Vec::new();
    let mut left_out = 0;
    for step in profile.steps.iter().rev() {
        let x = across(profile, step.from) + 4.0;
        let mut words = cut(SIZE, &step.label, EDGE - x);
        let under = |words: &str, placed: &[(f64, usize, String)]| {
            let end = x + width(SIZE, words) + 8.0;
            placed.iter().filter(|other| other.0 < end).map(|other| other.1 + 1).max().unwrap_or(0)
        };
        let mut row = under(&words, &placed);
        if row >= ROWS {
            // To the first of those that leave no row under them.
            let full = placed.iter().filter(|other| other.1 + 1 >= ROWS).map(|other| other.0);
            words = cut(SIZE, &words, full.fold(EDGE, f64::min) - 8.0 - x);
            row = under(&words, &placed);
        }
        // Two letters of a name tell nobody anything.
        if row >= ROWS || (words != step.label && words.chars().count() < LEAST_CUT) {
            left_out += 1;
        } else {
            placed.push((x, row, words));
        }
    }
    for (x, row, words) in placed.iter().rev() {
        let y = NAMES + ROW * *row as f64;
        svg.line("lead", [x - 4.0, RAILS[1] + 5.0], [x - 4.0, y]);
        svg.text("", SIZE, [*x, y], TextAnchor::Start, words);
    }
    if left_out > 0 {
        let names = if left_out == 1 { "name" } else { "names" };
        let shown = format!("{left_out} {names} left out for want of room");
        svg.text("quiet", SIZE, [EDGE, 787.0], TextAnchor::End, &shown);
    }
}

/// What the marks mean.
fn key(svg: &mut Svg) {
    const Y: f64 = 770.0;
    let mut x = LEFT;
    let kinds = [
        (WayMarkKind::Feeder, "feeder"),
        (WayMarkKind::ContactFeed, "wire from a contact"),
        (WayMarkKind::Gap, "gap"),
        (WayMarkKind::Frog, "frog"),
        (WayMarkKind::SlidingJoint, "sliding joint"),
        (WayMarkKind::SolderedJoint, "soldered joint"),
        (WayMarkKind::StockJoint, "joint between lengths of rail"),
    ];
    for (kind, words) in kinds {
        if kind == WayMarkKind::Gap {
            svg.line("rail", [x - 2.0, Y - 4.0], [x + 6.0 - HALF_GAP, Y - 4.0]);
            svg.line("rail", [x + 6.0 + HALF_GAP, Y - 4.0], [x + 14.0, Y - 4.0]);
        } else if kind != WayMarkKind::Feeder && kind != WayMarkKind::ContactFeed {
            svg.line("rail", [x - 2.0, Y - 4.0], [x + 14.0, Y - 4.0]);
        }
        let up = if matches!(kind, WayMarkKind::Feeder | WayMarkKind::ContactFeed) { 4.0 } else { -4.0 };
        glyph(svg, kind, x + 6.0, Y + if up > 0.0 { 3.0 } else { up }, -1.0);
        svg.text("quiet", SIZE, [x + 20.0, Y], TextAnchor::Start, words);
        x += 20.0 + width(SIZE, words) + 18.0;
    }
}
