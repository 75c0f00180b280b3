//! The layout drawing on sheets of the binder: from above, and from below for whoever lies under it.

use crate::schematics::{self, CrossReferences, strip_words};
use drawing::{Frame, Look, Subject, ViewSide};
use schedule::Job;
use schedule::paper::{Block, Drawing, Paper};
use schedule::places::PlaceNames;

/// What margins take of the length of a sheet that lies.
const BESIDE: f64 = 20.5;
/// What margins, header and caption take of its width, and in large print.
const ABOVE_AND_BELOW: [f64; 2] = [65.0, 88.0];

/// Both views, as many sheets each as the paper takes, and the schematics; and what refers to them.
pub(crate) fn papers(job: &Job<'_>) -> (Vec<Paper>, CrossReferences) {
    let [short, long] = job.choices.page.millimetres();
    let aside = ABOVE_AND_BELOW[usize::from(job.choices.large_print)];
    let subject = Subject::from_job(job);
    let [above, below] = subject.both_views_in_sheets_of([long - BESIDE, short - aside]);
    let mut to = CrossReferences::default();
    let (squares, devices) = subject.squares(&above);
    to.squares = squares;
    let places = PlaceNames::new(&job.facts.circuit, job.facts.plan, job.choices.units);
    let strips = devices.into_iter();
    to.strip_squares = strips.map(|((kind, index), square)| (strip_words(places.name(kind, index)), square)).collect();
    let (above, below) = rayon::join(
        || view(&above, "layout-from-above", "Layout drawing, from above"),
        || view(&below, "layout-from-below", "Layout drawing, from below"),
    );
    let schematics = schematics::paper(job, &mut to);
    ([above, below].into_iter().chain(schematics).collect(), to)
}

/// What is to be known of a view.
fn says(frame: &Frame) -> &'static str {
    match frame.view {
        ViewSide::Above => "not to scale; left and right are those of the tracks",
        ViewSide::Below => {
            "not to scale. Broken line: bus. Box: device with its strip. Thin line: wires, the way they run"
        }
    }
}

/// So many words that had no room are told under the drawing; of more there is a paragraph.
const TOLD_BELOW: usize = 12;

fn view(frame: &Frame, name: &'static str, title: &str) -> Paper {
    let count = frame.sheets.len();
    let left_out = match frame.left_out.len() {
        0 => String::new(),
        _ => format!("no room on the drawing, but in the lists: {}", frame.left_out.join(", ")),
    };
    let below = frame.left_out.len() <= TOLD_BELOW && !left_out.is_empty();
    let sheets = frame.sheets.iter().enumerate().map(|(at, sheet)| {
        let number = if count == 1 { String::new() } else { format!(", sheet {} of {count}", at + 1) };
        let (svg, parts) = drawing::with_parts(frame, at, &Look::default());
        let told = if below && at + 1 == count { format!("; {left_out}") } else { String::new() };
        Block::Drawing(Drawing {
            name: if count == 1 { name.to_owned() } else { format!("{name}-{}", at + 1) },
            caption: format!("{title}{number}: {}{told}", says(frame)),
            svg,
            size: sheet.size,
            parts: Some(parts),
            whole: None,
        })
    });
    let mut blocks: Vec<Block> = sheets.collect();
    if !left_out.is_empty() && !below {
        blocks.push(Block::Text(left_out));
    }
    Paper::new(name, title, blocks)
}
