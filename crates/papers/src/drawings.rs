//! The layout drawing on sheets of the binder: from above, and from below for whoever lies under it.

use drawing::{Frame, Look, Subject};
use schedule::Job;
use schedule::paper::{Block, Drawing, Paper};

/// What margins take of the length of a sheet that lies.
const BESIDE: f64 = 20.5;
/// What margins, header and caption take of its width, and in large print.
const ABOVE_AND_BELOW: [f64; 2] = [65.0, 88.0];

/// Both views, as many sheets each as the paper takes.
pub fn papers(job: &Job<'_>) -> Vec<Paper> {
    let [short, long] = job.choices.page.millimetres();
    let aside = ABOVE_AND_BELOW[usize::from(job.choices.large_print)];
    let above = Subject::from_job(job).in_sheets_of([long - BESIDE, short - aside]);
    let below = above.mirrored();
    let (above, below) = rayon::join(
        || view(&above, "layout-from-above", "Layout drawing, from above"),
        || view(&below, "layout-from-below", "Layout drawing, from below"),
    );
    vec![above, below]
}

fn view(frame: &Frame, name: &'static str, title: &str) -> Paper {
    let count = frame.sheets.len();
    let sheets = frame.sheets.iter().enumerate().map(|(at, sheet)| {
        let number = if count == 1 { String::new() } else { format!(", sheet {} of {count}", at + 1) };
        let (svg, parts) = drawing::with_parts(frame, at, &Look::default());
        Block::Drawing(Drawing {
            name: if count == 1 { name.to_owned() } else { format!("{name}-{}", at + 1) },
            caption: format!("{title}{number}: not to scale; left and right are those of the tracks"),
            svg,
            size: sheet.size,
            parts: Some(parts),
            whole: None,
        })
    });
    let mut blocks: Vec<Block> = sheets.collect();
    if !frame.left_out.is_empty() {
        blocks.push(Block::Text(format!("no room on the drawing, but in the lists: {}", frame.left_out.join(", "))));
    }
    Paper::new(name, title, blocks)
}
