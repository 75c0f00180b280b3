//! The laid-out drawing of a layout: where each rail lies on paper, with its gaps, joints, feeders and names.
//!
//! ```text
//! plan ─▶ graph ─▶ order ─▶ levels ─▶ place ─▶ rails ─▶ sheets ─▶ labels = Frame ─▶ SVG
//!         faces    what is   how high  how far  stops on  cuts and   words
//!                  above     (exact)   east     the rails letters    without overlap
//! ```
//!
//! [`frame`] lays out, [`svg`] writes. Neither knows volts: what the rails show beside where they are is a [`Layer`], worked
//! out in [`layers`] from what the engines found.

mod draw;
mod frame;
mod graph;
mod labels;
mod layer;
pub mod layers;
mod legend;
mod levels;
mod line;
mod members;
mod order;
mod place;
mod rails;
mod shapes;
mod sheets;
mod simplex;
mod svg;
mod turned;
mod words;

pub use frame::{
    Area, Bed, Cut, Ending, EndingKind, Frame, Label, Mark, MarkKind, Of, Point, RailPiece, Sheet, View, Work,
};
pub use layer::{Class, Layer, Stroke};
pub use svg::{Look, svg};

use graph::Graph;
use place::Room;
use schedule::Job;

/// The drawing of a layout seen from above, cut into sheets of the paper chosen, laid landscape.
///
/// The same job gives the same drawing, to the last digit.
pub fn frame(job: &Job<'_>) -> Frame {
    let [short, long] = job.choices.page.millimetres();
    let scale = if job.choices.large_print { 1.4 } else { 1.0 };
    let mut frame = laid(job);
    sheets::cut(&mut frame, Some([long, short]), scale);
    labels::label(&mut frame, job);
    frame
}

/// The same on one sheet, as large as it has to be.
pub fn whole(job: &Job<'_>) -> Frame {
    let mut frame = laid(job);
    sheets::cut(&mut frame, None, 1.0);
    labels::label(&mut frame, job);
    frame
}

/// Everything but sheets and words.
fn laid(job: &Job<'_>) -> Frame {
    let (plan, circuit) = (job.facts.plan, &job.facts.circuit);
    let graph = Graph::of(plan, job.facts.names);
    let rooms: Vec<Room> = plan
        .track
        .iter()
        .zip(&circuit.segments)
        .map(|(track, segment)| {
            let mut places: Vec<f64> = segment.rails.iter().flat_map(|r| r.stops.iter().skip(1)).map(|s| s.x).collect();
            places.sort_by(f64::total_cmp);
            places.dedup_by(|a, b| (*a - *b).abs() < 1e-5);
            let name = words::width(&track.name.value, labels::NAME);
            Room { places: places.len().saturating_sub(1), name, metres: segment.length }
        })
        .collect();
    let placed = place::place(&graph, &rooms);
    let mut frame = rails::lay(plan, circuit, &job.numbers, &graph, &placed);
    frame.name = plan.layout.as_ref().map_or_else(String::new, |l| l.value.name.value.clone());
    frame.turn_over();
    frame
}
