//! A sheet of schematics as SVG text. Everything is said by attributes, so that a page can hold it as it is.

use super::sheet::{SchematicSheet, Symbol, SymbolKind};
use crate::frame::Point;
use crate::svg::{Pen, WordAnchor, parts_of};
use schedule::paper::{DrawingParts, DrawnLink};
use std::fmt::Write as _;
use text::xml::{escaped, number as n};

/// The width of lines, millimetres.
const LINE: f64 = 0.3;

/// A sheet as SVG, and with its words apart.
pub fn schematic_svg(sheet: &SchematicSheet, title: &str) -> (String, DrawingParts) {
    let mut pen = Pen { from: ([0.0; 2], 1.0), ..Pen::default() };
    let [width, height] = sheet.size.map(n);
    let title = escaped(title);
    let _ = writeln!(
        pen.out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\" aria-label=\"{title}\">\n<title>{title}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n\
         <g fill=\"none\" stroke=\"#111\" stroke-width=\"{LINE}\" stroke-linecap=\"round\" stroke-linejoin=\"round\">"
    );
    for line in &sheet.lines {
        let data = line.number.map_or_else(String::new, |number| format!(" data-number=\"{number}\""));
        let _ = writeln!(pen.out, "<path{data} d=\"{}\"/>", path(&line.points));
    }
    for symbol in &sheet.symbols {
        let _ = writeln!(pen.out, "{}", drawn(symbol, sheet.letters));
    }
    pen.out.push_str("</g>\n<g fill=\"#111\">\n");
    for dot in &sheet.dots {
        let [x, y] = dot.at.map(n);
        let _ = writeln!(pen.out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", n(0.2 * sheet.letters));
    }
    pen.out.push_str("</g>\n<g fill=\"#111\" font-family=\"'DejaVu Sans',sans-serif\">\n");
    for symbol in &sheet.symbols {
        let letter = match symbol.kind {
            SymbolKind::Motor => "M",
            SymbolKind::Source | SymbolKind::SourceWithBreaker => "G",
            _ => continue,
        };
        let [x, y] = middle(symbol);
        pen.words(sheet.letters, [x, y + 0.36 * sheet.letters], (WordAnchor::Middle, false), "", letter);
    }
    for words in &sheet.words {
        let data = words.number.map_or_else(String::new, |number| format!(" data-number=\"{number}\""));
        let bold = if words.bold { " font-weight=\"bold\"" } else { "" };
        pen.words(sheet.letters, words.at, (WordAnchor::Start, words.bold), &format!("{data}{bold}"), &words.text);
    }
    pen.out.push_str("</g>\n</svg>\n");
    let (svg, mut parts) = parts_of(pen);
    let numbered = sheet.words.iter().filter_map(|words| Some((words.area(sheet.letters), words.number?)));
    parts.links = numbered.map(|(area, number)| DrawnLink { area, number: number.to_string() }).collect();
    (svg, parts)
}

fn path(points: &[Point]) -> String {
    let mut d = String::new();
    for (i, [x, y]) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { "L" }, n(*x), n(*y));
    }
    d
}

fn middle(symbol: &Symbol) -> Point {
    let [l, t, r, b] = symbol.area;
    [(l + r) / 2.0, (t + b) / 2.0]
}

fn line(a: Point, b: Point) -> String {
    format!("<path d=\"{}\"/>", path(&[a, b]))
}

fn ring([x, y]: Point, r: f64, fill: &str) -> String {
    format!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{fill}\"/>", n(x), n(y), n(r))
}

fn drawn(symbol: &Symbol, em: f64) -> String {
    let [l, t, r, b] = symbol.area;
    let m = middle(symbol);
    match symbol.kind {
        SymbolKind::Contact { rests } => contact(symbol, rests, em),
        SymbolKind::Motor => {
            let radius = 1.0 * em;
            line([l, m[1]], [m[0] - radius, m[1]]) + &ring(m, radius, "none") + &line([m[0] + radius, m[1]], [r, m[1]])
        }
        SymbolKind::Source | SymbolKind::SourceWithBreaker => {
            let radius = 1.0 * em;
            let mut out = ring(m, radius, "none") + &line([m[0] + radius, m[1]], [r, m[1]]);
            if symbol.kind == SymbolKind::SourceWithBreaker {
                out += &breaker([l, m[1]], [m[0] - radius, m[1]], em);
            } else {
                out += &line([l, m[1]], [m[0] - radius, m[1]]);
            }
            out
        }
        SymbolKind::Breaker => match symbol.pins.as_slice() {
            [one, other, ..] => breaker(one.at, other.at, em),
            _ => String::new(),
        },
        SymbolKind::Coil | SymbolKind::CoilBehindDiode => {
            let half = 0.9 * em;
            let from = m[0] + 0.4 * em;
            let mut out = boxed([from, m[1] - 0.6 * em, from + 1.2 * half, m[1] + 0.6 * em]);
            out += &line([from + 1.2 * half, m[1]], [r, m[1]]);
            out += &if symbol.kind == SymbolKind::CoilBehindDiode {
                line([l, m[1]], [from, m[1]]) + &diode([m[0] - 0.9 * em, m[1]], em, false)
            } else {
                line([l, m[1]], [from, m[1]])
            };
            out
        }
        SymbolKind::Device => boxed([l + 0.8 * em, t, r - 0.8 * em, b]) + &stubs(symbol, 0.8 * em),
        SymbolKind::Resistor => {
            let half = 1.1 * em;
            boxed([m[0] - half, m[1] - 0.4 * em, m[0] + half, m[1] + 0.4 * em])
                + &line([l, m[1]], [m[0] - half, m[1]])
                + &line([m[0] + half, m[1]], [r, m[1]])
        }
        SymbolKind::Diode => {
            // One each way, behind each other on the paper as they are beside each other in the wire.
            line([l, m[1]], [r, m[1]])
                + &diode([m[0] - 0.8 * em, m[1]], em, false)
                + &diode([m[0] + 0.8 * em, m[1]], em, true)
        }
    }
}

/// From each pin to the edge of a box.
fn stubs(symbol: &Symbol, long: f64) -> String {
    let left = symbol.area[0];
    let stub = |at: Point| line(at, [if (at[0] - left).abs() < 1e-6 { at[0] + long } else { at[0] - long }, at[1]]);
    symbol.pins.iter().map(|pin| stub(pin.at)).collect()
}

fn boxed([l, t, r, b]: [f64; 4]) -> String {
    format!("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\"/>", n(l), n(t), n(r - l), n(b - t))
}

fn diode([x, y]: Point, em: f64, back: bool) -> String {
    let (half, way) = (0.45 * em, if back { -1.0 } else { 1.0 });
    let d = path(&[[x + way * half, y], [x - way * half, y - half], [x - way * half, y + half]]);
    format!("<path d=\"{d}Z\" fill=\"#fff\"/>{}", line([x + way * half, y - half], [x + way * half, y + half]))
}

/// A change-over contact: a ring at each throw, and a blade from the common to the one on which it rests.
fn contact(symbol: &Symbol, rests: usize, em: f64) -> String {
    let (stub, radius) = (1.0 * em, 0.17 * em);
    let Some((common, throws)) = symbol.pins.split_first() else { return String::new() };
    let pivot = [common.at[0] + stub, common.at[1]];
    let mut out = line(common.at, pivot);
    for throw in throws {
        let end = [throw.at[0] - stub, throw.at[1]];
        out += &line(throw.at, end);
        out += &ring(end, radius, "#fff");
    }
    if let Some(throw) = symbol.pins.get(rests) {
        let end = [throw.at[0] - stub, throw.at[1]];
        // A little past the ring, as the moving part of a contact is drawn.
        out += &line(pivot, end);
    }
    out
}

/// A circuit-breaker: a contact that is open on paper, with a cross at its fixed side.
fn breaker(from: Point, to: Point, em: f64) -> String {
    let at = |share: f64| [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
    let (cross, pivot) = (at(0.3), at(0.75));
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let long = dx.hypot(dy).max(1e-6);
    let aside = [-dy / long, dx / long];
    let tip = [cross[0] - aside[0] * 0.5 * em, cross[1] - aside[1] * 0.5 * em];
    let arm = 0.28 * em;
    line(from, cross)
        + &line(pivot, tip)
        + &line(pivot, to)
        + &line([cross[0] - arm, cross[1] - arm], [cross[0] + arm, cross[1] + arm])
        + &line([cross[0] - arm, cross[1] + arm], [cross[0] + arm, cross[1] - arm])
}
