//! A turnout's template as a drawing.

use super::geometry::{SpotKind, TemplateSpot, TurnoutGeometry};
use super::{Slot, WIRE_HOLE};
use schedule::Units;
use schedule::paper::Drawing;
use std::fmt::Write as _;

/// What is free beside everything, and above and below it, millimetres.
const FREE: [f64; 2] = [4.0, 8.0];
/// The size of words, millimetres: a little more than 8 points.
pub const LETTERS: f64 = 2.85;
/// The same in large print: a little more than 14 points.
pub const LARGE_LETTERS: f64 = 4.95;
/// What must stand on one sheet with the frog, millimetres to each side.
const AROUND_FROG: f64 = 25.0;
/// The hole under a frog.
const FROG_HOLE: f64 = WIRE_HOLE * 1e3;

/// A drawing under way: y downwards, in millimetres, the points at `[0, 0]`.
struct TemplateInk {
    body: String,
    /// The size of words.
    letters: f64,
}

impl TemplateInk {
    fn through(&mut self, points: &[[f64; 2]], style: &str) {
        let path: Vec<String> = points.iter().map(|[x, y]| format!("{x:.3} {:.3}", -y)).collect();
        let _ = writeln!(self.body, "<path d=\"M{}\" fill=\"none\" {style}/>", path.join("L"));
    }

    fn cross(&mut self, [x, y]: [f64; 2], arm: f64) {
        self.through(&[[x - arm, y], [x + arm, y]], THIN);
        self.through(&[[x, y - arm], [x, y + arm]], THIN);
    }

    fn hole(&mut self, [x, y]: [f64; 2], diameter: f64) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{x:.3}\" cy=\"{:.3}\" r=\"{:.3}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.25\"/>",
            -y,
            diameter / 2.0
        );
        self.cross([x, y], diameter / 2.0 + 1.2);
    }

    fn words(&mut self, [x, y]: [f64; 2], anchor: &str, words: &str) {
        let _ = writeln!(
            self.body,
            "<text x=\"{x:.3}\" y=\"{:.3}\" font-family=\"DejaVu Sans, sans-serif\" font-size=\"{}\" text-anchor=\"{anchor}\">{}</text>",
            -y,
            self.letters,
            text::xml::escaped(words)
        );
    }
}

const THIN: &str = "stroke=\"#000\" stroke-width=\"0.13\"";
const EDGE: &str = "stroke=\"#000\" stroke-width=\"0.25\"";
const SAW: &str = "stroke=\"#000\" stroke-width=\"0.7\"";
const RAIL: &str = "stroke=\"#555\" stroke-width=\"0.3\"";
const CENTRE: &str = "stroke=\"#000\" stroke-width=\"0.18\" stroke-dasharray=\"6 1.2 1 1.2\"";

/// The template of a turnout with what is drilled around it. Its caption says what it is of, but not whose it is.
pub fn drawing(
    shape: &TurnoutGeometry,
    slot: Option<&Slot>,
    spots: &[TemplateSpot],
    (units, letters): (Units, f64),
) -> Drawing {
    let mut ink = TemplateInk { body: String::new(), letters };
    let half = shape.gauge / 2.0;
    for leg in &shape.legs {
        for off in [half, -half] {
            ink.through(&beside(leg, off), RAIL);
        }
        ink.through(leg, CENTRE);
    }
    // The points, and what lies before them.
    ink.through(&[[-BEFORE, 0.0], [0.0, 0.0]], CENTRE);
    for off in [half, -half] {
        ink.through(&[[-BEFORE, off], [0.0, off]], RAIL);
    }
    let wide = half + 6.0;
    ink.through(&[[0.0, -wide], [0.0, wide]], EDGE);
    ink.words([1.0, wide - 0.5], "start", "tips of the points");
    for ([x, y], heading) in shape.ends {
        let (sin, cos) = heading.sin_cos();
        let across = |off: f64| [x - off * sin, y + off * cos];
        ink.through(&[across(-half - 2.0), across(half + 2.0)], EDGE);
    }
    throw_hole(&mut ink, slot, half);
    ink.hole(shape.frog, FROG_HOLE);
    // Told outside the rails, on the nearer side, at the end of a thin line.
    let [x, y] = shape.frog;
    let legs = shape.legs.each_ref().map(|leg| height(leg, x));
    let (below, above) = (legs[0].min(legs[1]) - half - 7.0, legs[0].max(legs[1]) + half + 5.0);
    let (words, from, to) = if y - below <= above - y {
        (below, y - FROG_HOLE / 2.0 - 1.2, below + letters)
    } else {
        (above, y + FROG_HOLE / 2.0 + 1.2, above - 1.0)
    };
    ink.through(&[[x, from], [x, to]], THIN);
    ink.words([x, words], "middle", "frog wire, where the frog has one");
    for spot in spots {
        track_to(&mut ink, spot, half);
    }
    for spot in spots {
        self::spot(&mut ink, spot);
    }
    let (svg, size, [left, top]) = framed(&ink, shape, spots);
    let [x, y] = shape.frog;
    let [x, y] = [x - left, -y - top];
    let whole = Some([x - AROUND_FROG, y - AROUND_FROG, x + AROUND_FROG, y + AROUND_FROG]);
    let [lead, tail] = shape.lengths.map(|length| super::length(length / 1e3, units));
    let mut caption = format!("No. {}, {}, lead {lead}, tail {tail}", shown(shape.number), shape.hand.word());
    if shape.guessed {
        caption.push_str(" (partly estimated: measure your turnout)");
    }
    let hole = slot.map_or_else(
        || "hole for the throw wire not known, measure from your motor".to_owned(),
        |slot| {
            format!(
                "slot for the throw wire {} by {}",
                super::length(slot.long, units),
                super::length(slot.wide, units)
            )
        },
    );
    Drawing {
        name: String::new(),
        caption: format!("{caption}; {hole}; seen from above"),
        svg,
        size,
        parts: None,
        whole,
    }
}

/// What is drawn of the track before the points.
pub const BEFORE: f64 = 6.0;

/// A number without zeros that say nothing: `5`, `7.53`.
fn shown(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn throw_hole(ink: &mut TemplateInk, slot: Option<&Slot>, half: f64) {
    if let Some(slot) = slot {
        let (high, wide) = (slot.long * 1e3, slot.wide * 1e3);
        let _ = writeln!(
            ink.body,
            "<rect x=\"{:.3}\" y=\"{:.3}\" width=\"{wide:.3}\" height=\"{high:.3}\" rx=\"{:.3}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.25\"/>",
            -wide / 2.0,
            -high / 2.0,
            wide / 2.0
        );
    }
    ink.cross([0.0, 0.0], half * 0.9);
    let words = if slot.is_some() { "slot for the throw wire" } else { "throw wire: measure from your motor" };
    ink.words([1.0, -half - 4.2 - ink.letters], "start", words);
}

/// The rails of the track next to the turnout, as far as a spot on it and a little further.
fn track_to(ink: &mut TemplateInk, spot: &TemplateSpot, half: f64) {
    let (sin, cos) = spot.heading.sin_cos();
    let end = spot.along + 4.0;
    for off in [half, 0.0, -half] {
        let at = |along: f64| [spot.from[0] + along * cos - off * sin, spot.from[1] + along * sin + off * cos];
        ink.through(&[at(0.0), at(end)], if off == 0.0 { CENTRE } else { RAIL });
    }
}

fn spot(ink: &mut TemplateInk, spot: &TemplateSpot) {
    let [x, y] = spot.at;
    let (sin, cos) = spot.heading.sin_cos();
    // Outwards from its own track.
    let is_above = y > spot.from[1] + spot.along * sin;
    let off = match spot.kind {
        SpotKind::Feeder => {
            ink.hole(spot.at, WIRE_HOLE * 1e3);
            3.6
        }
        SpotKind::Gap => {
            // The rail is cut square.
            let end = |off: f64| [x - off * sin, y + off * cos];
            ink.through(&[end(-2.6), end(2.6)], SAW);
            3.4
        }
    };
    // Its letter alone: a hole and a cut do not look alike.
    ink.words([x, if is_above { y + off } else { y - off - ink.letters * 0.7 }], "middle", &spot.words);
}

/// How high a line is at `x`.
fn height(line: &[[f64; 2]], x: f64) -> f64 {
    let piece = line.windows(2).find(|piece| piece[1][0] >= x && piece[1][0] > piece[0][0]);
    let at = |[from, to]: [[f64; 2]; 2]| from[1] + (to[1] - from[1]) * (x - from[0]) / (to[0] - from[0]);
    piece.map_or(0.0, |piece| at([piece[0], piece[1]]))
}

/// A line so far to the left of another.
fn beside(line: &[[f64; 2]], off: f64) -> Vec<[f64; 2]> {
    let direction = |a: [f64; 2], b: [f64; 2]| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = dx.hypot(dy).max(1e-12);
        [dx / length, dy / length]
    };
    let distinct: Vec<[f64; 2]> = line
        .iter()
        .enumerate()
        .filter(|(at, p)| *at == 0 || direction_is_clear(line[at - 1], **p))
        .map(|(_, p)| *p)
        .collect();
    (0..distinct.len())
        .map(|at| {
            let before = distinct[at.saturating_sub(1)];
            let after = distinct[(at + 1).min(distinct.len() - 1)];
            let [dx, dy] = direction(before, after);
            let [x, y] = distinct[at];
            [x - off * dy, y + off * dx]
        })
        .collect()
}

fn direction_is_clear(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).hypot(a[1] - b[1]) > 1e-6
}

/// The drawing with its size around it.
fn framed(ink: &TemplateInk, shape: &TurnoutGeometry, spots: &[TemplateSpot]) -> (String, [f64; 2], [f64; 2]) {
    let half = shape.gauge / 2.0;
    let mut points: Vec<[f64; 2]> = vec![[-BEFORE, half + 4.0], [-BEFORE, -half - 4.0]];
    points.extend(shape.ends.iter().flat_map(|([x, y], _)| [[*x, y + half], [*x, y - half]]));
    points.extend(spots.iter().map(|spot| spot.at));
    // Words stand outside the rails.
    let words = 2.0 * (ink.letters - LETTERS);
    points.extend([[0.0, half + 6.0 + words], [0.0, -half - 7.0 - words]]);
    let bound = |axis: usize, least: bool| {
        let values = points.iter().map(|p| p[axis]);
        if least {
            values.fold(f64::INFINITY, f64::min) - FREE[axis]
        } else {
            values.fold(f64::NEG_INFINITY, f64::max) + FREE[axis]
        }
    };
    let (left, right, low, high) = (bound(0, true), bound(0, false), bound(1, true), bound(1, false));
    let size = [right - left, high - low].map(|length| (length * 10.0).ceil() / 10.0);
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.1}mm\" height=\"{h:.1}mm\" viewBox=\"{left:.3} {top:.3} {w:.1} {h:.1}\">\n{}</svg>\n",
        ink.body,
        w = size[0],
        h = size[1],
        top = -high,
    );
    (svg, size, [left, -high])
}
