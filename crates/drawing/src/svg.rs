//! A sheet of a frame as SVG text. Every element that stands for a thing of the plan says which in `data-` attributes.

use crate::frame::{
    Area, DrawnLabel, DrawnSheet, EndingKind, Frame, LabelOwner, Mark, MarkKind, Point, RailPiece, ViewSide,
};
use crate::layer::{Layer, Stroke};
use schedule::paper::{DrawingParts, Letters};
use std::fmt::Write as _;
use std::ops::Range;
use text::xml::{escaped, number as n};

mod legend;
mod under;

/// A drawing that is being written.
#[derive(Default)]
pub(crate) struct Pen {
    pub(crate) out: String,
    /// The words so far, and where in `out` they are.
    pub(crate) letters: Vec<(Letters, Range<usize>)>,
    /// Where [0, 0] of what is written now lies on the page, and how many millimetres its unit has.
    pub(crate) from: (Point, f64),
}

/// Where words begin at their place, or have their middle.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum WordAnchor {
    Start,
    Middle,
}

/// How a frame is shown.
#[derive(Clone, Copy, Debug, Default)]
pub struct Look<'l> {
    /// What the rails show, beside where they are.
    pub layer: Option<&'l Layer>,
}

/// How large the letters of a drawing on a screen are, millimetres.
pub(crate) const SCREEN_LETTERS: f64 = 2.4;

/// Whether a drawing is for sheets of paper.
fn is_printed(frame: &Frame) -> bool {
    frame.letters > SCREEN_LETTERS
}

/// The edge of a drawing that stays white, in millimetres: a sheet of a binder has its own.
pub(crate) fn margin(frame: &Frame) -> f64 {
    if is_printed(frame) { 3.0 } else { 10.0 }
}

/// The height of the block with title and legend.
pub(crate) fn title_height(frame: &Frame) -> f64 {
    let rows = if is_printed(frame) { 2.0 + f64::from(u8::from(frame.districts.len() > 1)) } else { 4.0 };
    2.4 + rows * legend::line(frame)
}

/// Colours: tints of districts, which keep apart for all eyes and under black print. Okabe and Ito's colours for all eyes,
/// lightened ("Color universal design", 2008).
const TINTS: [&str; 7] = ["#cfe8f7", "#fbe3bd", "#cdebdf", "#f3d9e7", "#f7f2bf", "#d5dcef", "#f6d5c3"];

const STYLE: &str = ".layout text{font-family:\"DejaVu Sans\",sans-serif;fill:#111}
.layout .bed{fill:none;stroke:#f0f0f0;stroke-width:6.4;stroke-linejoin:round}
.layout .rail{fill:none;stroke:#111;stroke-width:0.45;stroke-linejoin:round}
.layout .thin{fill:none;stroke:#111;stroke-width:0.28}
.layout .bold{fill:none;stroke:#111;stroke-width:0.6}
.layout .full{fill:#111;stroke:none}
.layout .open{fill:#fff;stroke:#111;stroke-width:0.28}
.layout .leader{fill:none;stroke:#777;stroke-width:0.15}
.layout .frame{fill:none;stroke:#111;stroke-width:0.35}
.layout .name{font-weight:bold}
";

fn path(points: &[Point]) -> String {
    let mut d = String::new();
    for (i, [x, y]) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { "L" }, n(*x), n(*y));
    }
    d
}

fn line(a: Point, b: Point) -> String {
    path(&[a, b])
}

fn towards(at: Point, way: Point, by: f64) -> Point {
    [at[0] + way[0] * by, at[1] + way[1] * by]
}

/// The tint of a district.
pub(crate) fn tint(district: usize) -> &'static str {
    TINTS[district % TINTS.len()]
}

fn meets(points: &[Point], area: &Area, by: f64) -> bool {
    let [l, t, r, b] =
        points.iter().fold([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY], |a, p| {
            [a[0].min(p[0]), a[1].min(p[1]), a[2].max(p[0]), a[3].max(p[1])]
        });
    l - by <= area[2] && r + by >= area[0] && t - by <= area[3] && b + by >= area[1]
}

/// Whether a place stands on the sheet that shows this window; a place on a cut stands on one sheet alone.
pub(crate) fn inside(at: Point, [l, t, r, b]: Area) -> bool {
    l <= at[0] && at[0] < r && t <= at[1] && at[1] < b
}

/// A sheet of a frame, counted from 0; an empty text where there is no such sheet.
///
/// `width` and `height` are millimetres. Presentation is by simple class selectors and attributes alone, so that any
/// renderer of SVG draws it alike.
pub fn svg(frame: &Frame, sheet: usize, look: &Look<'_>) -> String {
    written(frame, sheet, look).out
}

/// The same, and with its words apart.
pub fn with_parts(frame: &Frame, sheet: usize, look: &Look<'_>) -> (String, DrawingParts) {
    parts_of(written(frame, sheet, look))
}

/// What was written, and with its words apart.
pub(crate) fn parts_of(pen: Pen) -> (String, DrawingParts) {
    let Pen { out, letters, .. } = pen;
    let mut bare = String::with_capacity(out.len());
    let mut from = 0;
    for (_, at) in &letters {
        bare.push_str(&out[from..at.start]);
        from = at.end;
    }
    bare.push_str(&out[from..]);
    let letters = letters.into_iter().map(|(letters, _)| letters).collect();
    (out, DrawingParts { bare, letters, links: Vec::new() })
}

fn written(frame: &Frame, sheet: usize, look: &Look<'_>) -> Pen {
    let mut pen = Pen { from: ([0.0; 2], 1.0), ..Pen::default() };
    let Some(page) = frame.sheets.get(sheet) else { return pen };
    let out = &mut pen.out;
    let [width, height] = page.size.map(n);
    let view = if frame.view == ViewSide::Below { "from below" } else { "from above" };
    let title = escaped(&format!("{}, seen {view}, sheet {} of {}", frame.name, sheet + 1, frame.sheets.len()));
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" class=\"layout\" viewBox=\"0 0 {width} \
         {height}\" role=\"img\" aria-label=\"{title}\">\n<title>{title}</title>\n<style>\n{STYLE}"
    );
    for (index, class) in look.layer.iter().flat_map(|l| l.classes.iter().enumerate()) {
        let name = look.layer.map_or("", |l| l.name);
        let _ = writeln!(out, ".layout .{name}-{index}{{{}}}", stroke(&class.stroke));
    }
    out.push_str("</style>\n");
    let _ = writeln!(out, "<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>");
    // The window is clipped a hair wide, so that what lies on its edge is whole.
    let [l, t, r, b] = page.window;
    let clip = format!("window{}-{}", if frame.view == ViewSide::Below { "-below" } else { "" }, sheet + 1);
    let _ = writeln!(
        out,
        "<clipPath id=\"{clip}\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></clipPath>",
        n(l - 0.3),
        n(t - 0.3),
        n(r - l + 0.6),
        n(b - t + 0.6)
    );
    let [dx, dy] = offset(frame, page);
    let _ = writeln!(out, "<g transform=\"translate({} {}) scale({})\">", n(dx), n(dy), frame.scale);
    let _ = writeln!(out, "<g clip-path=\"url(#{clip})\">");
    tracks(out, frame, page, look);
    under::under(out, frame);
    out.push_str("</g>\n");
    things(out, frame, page);
    pen.from = ([dx, dy], frame.scale);
    words(&mut pen, frame, sheet);
    cuts(&mut pen, frame, page);
    pen.from = ([0.0; 2], 1.0);
    pen.out.push_str("</g>\n");
    legend::title_block(&mut pen, frame, sheet, look);
    pen.out.push_str("</svg>\n");
    pen
}

/// Where the drawing's [0, 0] lies on the page.
fn offset(frame: &Frame, page: &DrawnSheet) -> Point {
    let [l, t, r, b] = page.window;
    let margin = margin(frame);
    let room = [page.size[0] - 2.0 * margin, page.size[1] - 2.0 * margin - title_height(frame)];
    let drawn = [(r - l) * frame.scale, (b - t) * frame.scale];
    [0, 1].map(|i| margin + (room[i] - drawn[i]).max(0.0) / 2.0 - frame.scale * [l, t][i])
}

/// How a layer's stroke is written.
fn stroke(stroke: &Stroke) -> String {
    let dash = if stroke.dash.is_empty() { String::new() } else { format!(";stroke-dasharray:{}", stroke.dash) };
    format!("stroke:{};stroke-width:{}{dash}", stroke.colour, n(stroke.width))
}

fn tracks(out: &mut String, frame: &Frame, page: &DrawnSheet, look: &Look<'_>) {
    under::squares(out, frame, page);
    let tinted = frame.districts.len() > 1;
    for bed in frame.beds.iter().filter(|b| meets(&b.points, &page.window, 4.0)) {
        let tint = match bed.district {
            Some(d) if tinted => format!(" style=\"stroke:{}\" data-district=\"{d}\"", tint(d)),
            _ => String::new(),
        };
        let _ =
            writeln!(out, "<path class=\"bed\" data-segment=\"{}\"{tint} d=\"{}\"/>", bed.segment, path(&bed.points));
    }
    for work in &frame.works {
        if let Some(radius) = work.pit {
            let [x, y] = work.at.map(n);
            let name = escaped(&work.name);
            let _ = writeln!(
                out,
                "<circle class=\"open\" data-work=\"{name}\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>",
                n(radius)
            );
        }
    }
    for rail in frame.rails.iter().filter(|r| meets(&r.points, &page.window, 1.0)) {
        rail_piece(out, rail, look);
    }
}

fn rail_piece(out: &mut String, rail: &RailPiece, look: &Look<'_>) {
    let RailPiece { edge, segment, side, points, .. } = rail;
    let (number, side) = (edge.index(), side.word());
    let _ = write!(out, "<path class=\"rail");
    let class = look.layer.and_then(|l| l.of.get(edge));
    if let Some(class) = class {
        let name = look.layer.map_or("", |l| l.name);
        let _ = write!(out, " {name}-{class}");
    }
    let _ =
        write!(out, "\" data-edge=\"{number}\" data-segment=\"{segment}\" data-rail=\"{side}\" d=\"{}\"", path(points));
    match look.layer.and_then(|l| l.titles.get(edge)) {
        Some(titles) => {
            let _ = writeln!(out, "><title>{}</title></path>", escaped(titles));
        }
        None => out.push_str("/>\n"),
    }
}

fn things(out: &mut String, frame: &Frame, page: &DrawnSheet) {
    for ending in frame.endings.iter().filter(|e| inside(e.at, page.window)) {
        let [dx, dy] = ending.out;
        let aside = [-dy, dx];
        let at = |along: f64, across: f64| towards(towards(ending.at, ending.out, along), aside, across);
        let track = ending.track;
        let _ = match ending.kind {
            EndingKind::Buffer => {
                let d = format!("{}{}", line(at(0.3, -2.3), at(0.3, 2.3)), line(at(1.5, -1.3), at(1.5, 1.3)));
                writeln!(out, "<path class=\"bold\" data-buffer=\"{track}\" d=\"{d}\"/>")
            }
            EndingKind::Beyond => {
                let d = path(&[at(1.2, -1.9), at(4.6, 0.0), at(1.2, 1.9)]);
                writeln!(out, "<path class=\"thin\" data-beyond=\"{track}\" d=\"{d}\"/>")
            }
        };
    }
    for mark in frame.marks.iter().filter(|m| inside(m.at, page.window)) {
        out.push_str(&symbol(mark));
    }
}

/// The sign of a mark.
pub(crate) fn symbol(mark: &Mark) -> String {
    let Mark { kind, at, out, number, edge, .. } = mark;
    let along = [-out[1], out[0]];
    let place = |aside: f64, on: f64| towards(towards(*at, *out, aside), along, on);
    let mut data = number.map_or_else(String::new, |n| format!(" data-number=\"{n}\""));
    if let Some(edge) = edge {
        let _ = write!(data, " data-edge=\"{}\"", edge.index());
    }
    let circle = |class: &str, at: Point, r: f64, data: &str| {
        format!("<circle class=\"{class}\"{data} cx=\"{}\" cy=\"{}\" r=\"{r}\"/>\n", n(at[0]), n(at[1]))
    };
    match kind {
        MarkKind::Gap => {
            let tick = |on: f64| line(place(-0.8, on), place(0.8, on));
            format!("<path class=\"thin\" data-gap=\"\"{data} d=\"{}{}\"/>\n", tick(-0.55), tick(0.55))
        }
        MarkKind::Soldered => circle("full", *at, 0.4, &format!(" data-joint=\"soldered\"{data}")),
        MarkKind::Sliding => circle("open", *at, 0.55, &format!(" data-joint=\"sliding\"{data}")),
        MarkKind::Feeder => {
            let stem = line(*at, place(1.1, 0.0));
            let head = path(&[place(2.1, 0.0), place(0.9, -0.65), place(0.9, 0.65)]);
            format!(
                "<g data-feeder=\"\"{data}><path class=\"thin\" d=\"{stem}\"/><path class=\"full\" d=\"{head}Z\"/></g>\n"
            )
        }
        MarkKind::Wire => {
            let stem = line(*at, place(1.1, 0.0));
            let ring = circle("open", place(1.6, 0.0), 0.55, "");
            format!("<g data-wire=\"\"{data}><path class=\"thin\" d=\"{stem}\"/>{}</g>\n", ring.trim_end())
        }
        MarkKind::Frog => {
            let d = path(&[place(0.75, 0.0), place(0.0, 0.75), place(-0.75, 0.0), place(0.0, -0.75)]);
            format!("<path class=\"open\" data-frog=\"\" d=\"{d}Z\"/>\n")
        }
    }
}

fn words(pen: &mut Pen, frame: &Frame, sheet: usize) {
    for label in frame.labels.iter().filter(|l| l.sheet == sheet) {
        let DrawnLabel { of, text, size, at, leader, .. } = label;
        if let Some([a, b]) = leader {
            let _ = writeln!(pen.out, "<path class=\"leader\" d=\"{}\"/>", line(*a, *b));
        }
        let bold = matches!(of, LabelOwner::Track(_) | LabelOwner::Work(_) | LabelOwner::Device(_));
        let data = match of {
            LabelOwner::Track(track) => format!(" data-track=\"{track}\""),
            LabelOwner::Work(work) => {
                let work = &frame.works[*work];
                format!(" data-work=\"{}\"", escaped(&work.name))
            }
            LabelOwner::Device(device) => format!(" data-device=\"{}\"", escaped(&frame.devices[*device].name)),
            LabelOwner::Run(_) | LabelOwner::Square => String::new(),
            LabelOwner::Mark(_) | LabelOwner::Ending(_) => format!(" data-number=\"{}\"", escaped(text)),
        };
        pen.words(*size, [at[0], at[1] + 0.36 * size], (WordAnchor::Middle, bold), &data, text);
    }
}

impl Pen {
    /// Words at a place of their base line.
    pub(crate) fn words(&mut self, size: f64, at: Point, (anchor, bold): (WordAnchor, bool), data: &str, words: &str) {
        let middle = anchor == WordAnchor::Middle;
        let start = self.out.len();
        let _ = writeln!(
            self.out,
            "<text{} font-size=\"{}\" x=\"{}\" y=\"{}\" text-anchor=\"{}\"{data}>{}</text>",
            if bold { " class=\"name\"" } else { "" },
            n(size),
            n(at[0]),
            n(at[1]),
            if middle { "middle" } else { "start" },
            escaped(words)
        );
        let (from, scale) = self.from;
        let placed = [0, 1].map(|i| from[i] + at[i] * scale);
        let letters = Letters { at: placed, middle, size: size * scale, bold, text: words.to_owned() };
        self.letters.push((letters, start..self.out.len()));
    }
}

fn cuts(pen: &mut Pen, frame: &Frame, page: &DrawnSheet) {
    let (printed, letters) = (is_printed(frame), frame.letters / frame.scale);
    for cut in &page.cuts {
        let middle = towards(cut.at, cut.out, 3.4);
        let aside = [-cut.out[1], cut.out[0]];
        let bar = line(towards(cut.at, aside, -2.6), towards(cut.at, aside, 2.6));
        let _ = writeln!(pen.out, "<path class=\"thin\" d=\"{bar}\"/>");
        let _ = writeln!(pen.out, "<g data-cut=\"{}\" data-sheet=\"{}\">", cut.letters, cut.to + 1);
        let _ = writeln!(pen.out, "<circle class=\"open\" cx=\"{}\" cy=\"{}\" r=\"2.3\"/>", n(middle[0]), n(middle[1]));
        let size = if printed {
            letters
        } else if cut.letters.len() > 2 {
            1.7
        } else {
            2.3
        };
        pen.words(size, [middle[0], middle[1] + 0.36 * size], (WordAnchor::Middle, false), "", &cut.letters);
        pen.out.push_str("</g>\n");
    }
}
