//! The drawing with its things made links: a touched turnout is thrown, touched rail tells what is known of it.
//!
//! The drawing itself, line by line, is that of the papers. Here its styles go to the style sheet, since the pages allow
//! none inside them, and links are put around what stands for a thing of the plan.

use crate::address::{LayerName, Shown, Zoom, address};
use crate::marked::{self, Mark, Marked};
use crate::opened::Drawn;
use circuit::{Circuit, ControlId, EdgeId, RailOwner};
use drawing::{Frame, Layer, Look, layers};
use maud::{Markup, PreEscaped, html};
use plan::tables::RailSide;
use schedule::Number;
use std::fmt::Write as _;
use text::escape_control_chars;

/// How far around the middle of trackwork a touch is meant for it, in millimetres of the drawing.
const TOUCH: f64 = 5.0;

/// Pixels of a screen to a millimetre of the drawing: names of 2.4 mm have 11 pixels, and the 10 mm of a turnout's place 46.
const NAMES_SCALE: f64 = 4.6;
/// The smallest numbers, of 1.6 mm, have 11 pixels.
const NUMBERS_SCALE: f64 = 6.9;
/// Letters that are smaller, in millimetres, are left out where names alone are shown.
const NAMES_LETTERS: f64 = 2.39;
/// Lines of a drawing beyond which marks of feeders, joints and gaps are left out with their numbers.
const LONG: usize = 4_000;

/// Why there is no drawing with a layer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(crate) enum NoLayer {
    /// There are no numbers.
    #[error(transparent)]
    NoNumbers(#[from] electrics::Failed),
    /// The plan does not tell what its rails do over the year.
    #[error("the plan does not tell how its rails move: {0} is not there")]
    Untold(String),
}

/// The drawing, or why there is none.
pub(crate) fn drawing(drawn: &Drawn<'_>, shown: &Shown, marked: &[Marked<'_>]) -> Result<Markup, NoLayer> {
    let layer = layer(drawn, shown)?;
    let frame = drawn.seen(shown.below);
    let svg = drawing::svg(frame, 0, &Look { layer: layer.as_ref() });
    let marks: Vec<Mark> = marked.iter().zip(1..).map(|(marked, number)| marked.mark(number)).collect();
    let marks = if shown.zoom == Zoom::Whole { String::new() } else { marked::marks(&marks, frame) };
    Ok(PreEscaped(sized(linked(&svg, drawn, shown, &marks), shown.zoom)))
}

/// The drawing as large as its letters can be read; the whole of it as wide as the screen.
fn sized(svg: String, zoom: Zoom) -> String {
    let Some((head, rest)) = svg.split_once('>') else { return svg };
    let millimetres = |name: &str| -> Option<f64> { head.split_once(name)?.1.split_once("mm\"")?.0.parse().ok() };
    let (Some(width), Some(height)) = (millimetres(" width=\""), millimetres(" height=\"")) else { return svg };
    let size =
        |scale: f64| format!(" width=\"{:.0}\" height=\"{:.0}\"", (width * scale).ceil(), (height * scale).ceil());
    let size = match zoom {
        Zoom::Whole => String::new(),
        Zoom::Names => size(NAMES_SCALE),
        Zoom::Numbers => size(NUMBERS_SCALE),
    };
    let head = head.replacen(&format!(" width=\"{width}mm\" height=\"{height}mm\""), &size, 1);
    format!("{}>{rest}", head.replacen("class=\"layout\"", &format!("class=\"layout {}\"", zoom.word()), 1))
}

/// Whether a line of a drawing is left out: what could not be read.
fn is_left_out(line: &str, zoom: Zoom, long: bool) -> bool {
    let is_letters = line.starts_with("<text");
    match zoom {
        Zoom::Numbers => false,
        Zoom::Whole => is_letters || line.contains("class=\"leader\"") || data(line, "number").is_some(),
        Zoom::Names => {
            let size =
                line.split_once("font-size=\"").and_then(|(_, rest)| rest.split('"').next()?.parse::<f64>().ok());
            (is_letters && size.is_some_and(|size| size < NAMES_LETTERS))
                || line.contains("class=\"leader\"")
                || (long && data(line, "number").is_some())
        }
    }
}

/// The drawing with nothing to touch: of a text that is no more.
pub(crate) fn past(drawn: &Drawn<'_>, shown: &Shown) -> Result<Markup, NoLayer> {
    let layer = layer(drawn, shown)?;
    let svg = drawing::svg(drawn.seen(shown.below), 0, &Look { layer: layer.as_ref() });
    Ok(PreEscaped(styleless(&svg).map(|line| line + "\n").collect()))
}

/// What is shown around marks at least, in millimetres of the drawing.
const AROUND: f64 = 40.0;

/// What of a drawing lies around marks: left, top, width and height.
fn around(svg: &str, marks: &[Mark]) -> Option<[f64; 4]> {
    let window = svg.split_once(" viewBox=\"")?.1.split('"').next()?;
    let window: Vec<f64> = window.split(' ').filter_map(|v| v.parse().ok()).collect();
    let [left, top, width, height] = window[..] else { return None };
    // Where the drawing lies on its sheet, and how large.
    let (shift, rest) = svg.split_once("translate(")?.1.split_once(") scale(")?;
    let (x, y) = shift.split_once(' ')?;
    let (shift, scale): ([f64; 2], f64) = ([x.parse().ok()?, y.parse().ok()?], rest.split(')').next()?.parse().ok()?);
    let span = |axis: usize, from: f64, long: f64| {
        let places = || marks.iter().map(|mark| shift[axis] + scale * mark.at[axis]);
        let low = (places().fold(f64::INFINITY, f64::min) - AROUND).max(from);
        let high = (places().fold(f64::NEG_INFINITY, f64::max) + AROUND).min(from + long);
        (low, high - low)
    };
    let ((left, width), (top, height)) = (span(0, left, width), span(1, top, height));
    (width > 0.0 && height > 0.0).then_some([left, top, width, height])
}

/// What lies around marks of a drawing, with nothing to touch but them, its names large enough to be read.
pub(crate) fn with_marks(frame: &Frame, marks: &[Mark]) -> Markup {
    let mut svg = drawing::svg(frame, 0, &Look { layer: None });
    if let (Some([left, top, width, height]), Some((head, rest))) = (around(&svg, marks), svg.split_once('>')) {
        let set = |head: String, name: &str, value: String| match head.split_once(&format!(" {name}=\"")) {
            Some((before, old)) => {
                let after = old.split_once('"').map_or("", |(_, after)| after);
                format!("{before} {name}=\"{value}\"{after}")
            }
            None => head,
        };
        let head = set(head.to_owned(), "width", format!("{width:.2}mm"));
        let head = set(head, "height", format!("{height:.2}mm"));
        let head = set(head, "viewBox", format!("{left:.2} {top:.2} {width:.2} {height:.2}"));
        svg = format!("{head}>{rest}");
    }
    let long = svg.lines().count() > LONG;
    let (mut out, mut is_marked) = (String::with_capacity(svg.len()), false);
    for line in styleless(&svg).filter(|line| !is_left_out(line, Zoom::Names, long)) {
        if !is_marked && line.starts_with("<text") {
            out.push_str(&marked::marks(marks, frame));
            is_marked = true;
        }
        out.push_str(&line);
        out.push('\n');
    }
    PreEscaped(sized(out.replacen("role=\"img\"", "role=\"group\"", 1), Zoom::Names))
}

/// The lines of a drawing without its styles, which are in the style sheet.
fn styleless(svg: &str) -> impl Iterator<Item = String> {
    let mut in_style = false;
    svg.lines().filter_map(move |line| {
        in_style |= line == "<style>";
        let shown = (!in_style).then(|| without_style(line));
        in_style &= line != "</style>";
        shown
    })
}

pub(crate) fn layer(drawn: &Drawn<'_>, shown: &Shown) -> Result<Option<Layer>, NoLayer> {
    let (facts, positions) = (&drawn.job.facts, &shown.positions);
    Ok(Some(match shown.layer {
        LayerName::None => return Ok(None),
        LayerName::Phase => layers::phase(facts, positions),
        LayerName::Volts => layers::volts(facts, positions)?,
        LayerName::Fault => layers::fault(facts, positions)?,
        LayerName::Failures => layers::failures(facts),
        LayerName::Movement => layers::movement(facts).ok_or_else(|| {
            let missing = facts.movement().err().map(|m| m.missing.join(", ")).unwrap_or_default();
            NoLayer::Untold(missing)
        })?,
    }))
}

/// The strokes of every layer as rules of a style sheet, as a plan that has all layers shows them.
pub(crate) fn layer_rules() -> String {
    let mut rules = std::collections::BTreeSet::new();
    let text = crate::demos::DEMOS.iter().find(|d| d.name == "thistle-dock-mended").map_or("", |d| d.text);
    let reading = plan::read(text);
    let facts = analysis::Analysis::of(text, &reading.plan, &reading.names);
    let positions = vec![Some(0); facts.circuit.controls.len()];
    let all = [
        Some(layers::phase(&facts, &positions)),
        layers::volts(&facts, &positions).ok(),
        layers::fault(&facts, &positions).ok(),
        layers::movement(&facts),
        Some(layers::failures(&facts)),
    ];
    for layer in all.iter().flatten() {
        for (index, class) in layer.classes.iter().enumerate() {
            let stroke = &class.stroke;
            // Black on paper is the ink of the page, which is light in the dark.
            let colour = if stroke.colour == "#000" { "var(--ink)" } else { stroke.colour };
            let dash = if stroke.dash.is_empty() { "none" } else { stroke.dash };
            rules.insert(format!(
                ".layout .{}-{index}{{stroke:{};stroke-width:{};stroke-dasharray:{dash}}}\n",
                layer.name, colour, stroke.width
            ));
        }
    }
    rules.into_iter().collect()
}

fn linked(svg: &str, drawn: &Drawn<'_>, shown: &Shown, marks: &str) -> String {
    let mut out = String::with_capacity(svg.len() * 2);
    // The setting is the same in the address of every place; on a long plan there are thousands.
    let set = shown.address(drawn.circuit(), "", &[]).replacen('?', "&", 1);
    let mut touched = false;
    let long = svg.lines().count() > LONG;
    for line in styleless(svg) {
        if !touched && line.starts_with("</svg") {
            touches(&mut out, drawn, shown);
            touched = true;
        }
        if is_left_out(&line, shown.zoom, long) {
            continue;
        }
        if !touched && line.starts_with("<text") {
            touches(&mut out, drawn, shown);
            out.push_str(marks);
            touched = true;
        }
        match target(&line, drawn, &set) {
            Some((to, name)) => {
                // The key that goes from link to link stops at turnouts alone; all places are in lists too.
                let tab = " tabindex=\"-1\"";
                let anchor = html! { (to) }.into_string();
                let label = html! { (name) }.into_string();
                let _ = writeln!(out, "<a href=\"{anchor}\" aria-label=\"{label}\"{tab}>{line}</a>");
            }
            None => {
                out.push_str(&line);
                out.push('\n');
            }
        }
    }
    // A picture is one thing to a reader of screens; with links inside it is a group.
    out.replacen("role=\"img\"", "role=\"group\"", 1)
}

/// The tints of districts as attributes: the pages allow no styles inside them.
fn without_style(line: &str) -> String {
    let Some((before, rest)) = line.split_once(" style=\"") else { return line.to_owned() };
    let Some((style, after)) = rest.split_once('"') else { return line.to_owned() };
    let mut out = before.to_owned();
    for rule in style.split(';') {
        if let Some((name, value)) = rule.split_once(':') {
            let _ = write!(out, " {name}=\"{value}\"");
        }
    }
    out.replace("class=\"bed\"", "class=\"bed tinted\"") + after
}

fn data<'l>(line: &'l str, name: &str) -> Option<&'l str> {
    // What stands before a name is looked at after it, so that nothing is put together for each line.
    let value = |(at, _)| {
        let before = line[..at].ends_with(" data-");
        let rest = line[at + name.len()..].strip_prefix("=\"").filter(|_| before)?;
        rest.split_once('"').map(|r| r.0)
    };
    line.match_indices(name).find_map(value)
}

/// Where an element leads, and what to call that; `set` is what addresses say of the setting.
fn target(line: &str, drawn: &Drawn<'_>, set: &str) -> Option<(String, String)> {
    let circuit = drawn.circuit();
    let place = |at: &str| address("/place", &[("at", at)]) + set;
    if line.starts_with("<path class=\"rail") {
        let edge = EdgeId::new(data(line, "edge")?.parse().ok()?);
        let segment = data(line, "segment")?.parse().ok()?;
        let side = if data(line, "rail")? == RailSide::Right.word() { RailSide::Right } else { RailSide::Left };
        let name = &circuit.edges.get(edge.index())?.name;
        let at = place_of_rail(drawn, segment, side, edge)?;
        return Some((place(&at), escape_control_chars(name)));
    }
    if line.starts_with("<path class=\"bed") {
        let segment = circuit.segments.get(data(line, "segment")?.parse::<usize>().ok()?)?;
        return Some(match &segment.owner {
            RailOwner::Track(_) => (place(&segment.name), escape_control_chars(&segment.name)),
            RailOwner::Work { kind, index, .. } => {
                let work = drawn.above.works.iter().find(|w| w.kind == *kind && w.index == *index)?;
                (place(&work.name), escape_control_chars(&work.name))
            }
        });
    }
    if line.starts_with("<text") {
        if let Some(track) = data(line, "track").and_then(|t| t.parse::<usize>().ok()) {
            let name = &circuit.segments.get(track)?.name;
            return Some((place(name), escape_control_chars(name)));
        }
        if let Some(number) = data(line, "number").filter(|n| is_number(n)) {
            return Some((place(number), number.to_owned()));
        }
        return None;
    }
    let number = data(line, "number").filter(|n| is_number(n))?;
    Some((place(number), number.to_owned()))
}

/// Whether words are the number of a thing, such as `F-12`.
pub(crate) fn is_number(words: &str) -> bool {
    words.parse::<Number>().is_ok()
}

/// The middle of a piece of rail, in words that a trace takes; the piece of trackwork by its name.
fn place_of_rail(drawn: &Drawn<'_>, segment: usize, side: RailSide, edge: circuit::EdgeId) -> Option<String> {
    let s = drawn.circuit().segments.get(segment)?;
    match &s.owner {
        RailOwner::Track(_) => {
            let line = &s.rails[side];
            let at = line.pieces.iter().position(|&piece| piece == edge)?;
            let middle = (line.stops.get(at)?.x + line.stops.get(at + 1)?.x) / 2.0;
            let rail = side.word();
            Some(format!("{}.{rail} @ {:.3} m", s.name, middle))
        }
        RailOwner::Work { kind, index, .. } => {
            drawn.above.works.iter().find(|w| w.kind == *kind && w.index == *index).map(|w| w.name.clone())
        }
    }
}

/// The controls of a piece of trackwork, by its name.
pub(crate) fn controls_of(drawn: &Drawn<'_>, kind: plan::Kind, index: usize) -> Vec<ControlId> {
    drawn.circuit().work_controls.get(&(kind, index)).cloned().unwrap_or_default()
}

/// What a touch on a piece of trackwork does.
pub(crate) fn throw_words(circuit: &Circuit, shown: &Shown, control: ControlId, work: &str) -> String {
    let (_, now) = shown.words(circuit, control);
    let thrown = shown.thrown(circuit, control);
    let (_, then) = thrown.words(circuit, control);
    format!("throw {}: it stands {now}, set it {then}", escape_control_chars(work))
}

/// A round place to touch over each piece of trackwork that moves.
fn touches(out: &mut String, drawn: &Drawn<'_>, shown: &Shown) {
    // Of the whole on a small screen no turnout is as large as a finger; the list below the drawing throws them.
    if shown.zoom == Zoom::Whole {
        return;
    }
    let circuit = drawn.circuit();
    let frame = drawn.seen(shown.below);
    for work in &frame.works {
        let Some(&control) = controls_of(drawn, work.kind, work.index).first() else { continue };
        let thrown = shown.thrown(circuit, control);
        let (control_name, _) = shown.words(circuit, control);
        let (_, then) = thrown.words(circuit, control);
        let to = thrown.address(circuit, "/", &[]);
        let name = throw_words(circuit, shown, control, &work.name);
        let touch = html! {
            a.throw href=(to) aria-label=(name) data-key={ "drawn " (escape_control_chars(&work.name)) }
                data-control=(control_name) data-then=(then) {
                title { (name) }
                circle.touch cx=(format!("{:.2}", work.at[0])) cy=(format!("{:.2}", work.at[1])) r=(TOUCH) {}
            }
        };
        out.push_str(&touch.into_string());
        out.push('\n');
    }
}
