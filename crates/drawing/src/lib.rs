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
mod levels;
mod line;
mod order;
mod place;
mod rails;
mod schematic;
mod shapes;
mod sheets;
mod simplex;
mod svg;
mod under;
mod words;

pub use frame::{
    Area, Bed, DrawnDevice, DrawnLabel, DrawnRun, DrawnSheet, DrawnWork, Ending, EndingKind, Frame, LabelOwner, Mark,
    MarkKind, Point, RailPiece, RunKind, SheetCut, SquareGrid, ViewSide,
};
pub use layer::{Layer, RailClass, Stroke};
pub use schematic::{
    Conductor, Junction, NamedEnd, Pin, SchematicBlock, SchematicOwner, SchematicSheet, SchematicWords, Symbol,
    SymbolKind, contact_trees, schematic_svg, schematics,
};
pub use svg::{Look, svg, with_parts};

use circuit::Circuit;
use graph::Graph;
use labels::LetterSizes;
use place::RoomDemand;
use plan::{Kind, Names, Plan};
use schedule::{Choices, Job, Number, Numbers};
use std::collections::BTreeMap;

/// The smallest letters on sheets of paper, in millimetres, and in large print: a little more than 8 points and than 14.
pub(crate) const LETTERS: [f64; 2] = [2.85, 4.95];

/// What is drawn. Nothing the engines find has a part in where things lie.
#[derive(Clone, Copy)]
pub struct Subject<'s> {
    /// The plan, read without errors.
    pub plan: &'s Plan,
    /// Its names.
    pub names: &'s Names,
    /// Its circuit.
    pub circuit: &'s Circuit,
    /// The numbers of its wires, gaps and joints.
    pub numbers: &'s Numbers,
    /// Paper and print.
    pub choices: Choices,
}

impl<'s> Subject<'s> {
    /// What a job draws.
    pub fn from_job(job: &'s Job<'_>) -> Subject<'s> {
        let facts = &job.facts;
        let (plan, names, circuit) = (facts.plan, facts.names, &facts.circuit);
        Subject { plan, names, circuit, numbers: &job.numbers, choices: job.choices }
    }

    /// The drawing seen from above, cut into sheets of the paper chosen, laid landscape.
    pub fn in_sheets(&self) -> Frame {
        let [short, long] = self.choices.page.millimetres();
        self.in_sheets_of([long, short])
    }

    /// The same in sheets of at most so many millimetres by so many.
    pub fn in_sheets_of(&self, size: Point) -> Frame {
        let large = usize::from(self.choices.large_print);
        let (scale, letters) = ([1.0, 1.3][large], LETTERS[large]);
        let mut bare = self.layout(LetterSizes::printed(letters, scale));
        bare.letters = letters;
        let mut best: Option<Frame> = None;
        for scale in sheets::scales(&bare, size, scale) {
            let mut frame = bare.clone();
            sheets::cut(&mut frame, size, scale);
            labels::label(&mut frame, self, LetterSizes::printed(letters, scale));
            let fewer = best.as_ref().is_none_or(|best| frame.left_out.len() < best.left_out.len());
            if fewer {
                best = Some(frame);
            }
            if best.as_ref().is_some_and(|best| best.left_out.is_empty()) {
                break;
            }
        }
        best.unwrap_or(bare)
    }

    /// The same, with squares; and what lies under the table, seen from below: buses, motors, drivers and supplies with their strips, the
    /// ways of wires, by the same squares.
    pub fn both_views_in_sheets_of(&self, size: Point) -> [Frame; 2] {
        let above = self.in_sheets_with(size, false);
        let below = self.in_sheets_with(size, true).mirrored();
        [above, below]
    }

    /// The squares where each numbered thing on a drawing ends, and those of devices.
    pub fn squares(&self, frame: &Frame) -> (BTreeMap<Number, String>, BTreeMap<(Kind, usize), String>) {
        under::squares(frame, self)
    }

    fn in_sheets_with(&self, size: Point, below: bool) -> Frame {
        let large = usize::from(self.choices.large_print);
        let (usual, letters) = ([1.0, 1.3][large], LETTERS[large]);
        let mut bare = self.layout(LetterSizes::printed(letters, usual));
        bare.letters = letters;
        if below {
            // Joints are made from above.
            bare.marks.retain(|mark| !matches!(mark.kind, MarkKind::Soldered | MarkKind::Sliding));
        }
        let mut best: Option<Frame> = None;
        for scale in sheets::scales(&bare, size, usual) {
            let mut frame = bare.clone();
            sheets::cut(&mut frame, size, scale);
            frame.grid = Some(SquareGrid::over(&frame, scale));
            labels::label_with(&mut frame, self, LetterSizes::printed(letters, scale), below);
            if best.as_ref().is_none_or(|best| frame.left_out.len() < best.left_out.len()) {
                best = Some(frame);
            }
            // In large print a view from below takes no more sheets than it must; what has no room is told beside it.
            let enough = below && large == 1 && frame_is_short(best.as_ref());
            if enough || best.as_ref().is_some_and(|best| best.left_out.is_empty()) {
                break;
            }
        }
        best.unwrap_or(bare)
    }

    /// The drawing seen from above on one sheet, as large as it has to be.
    pub fn whole(&self) -> Frame {
        let mut frame = self.layout(LetterSizes::SCREEN);
        sheets::on_one(&mut frame, 1.0);
        labels::label(&mut frame, self, LetterSizes::SCREEN);
        frame
    }

    /// Everything but sheets and words.
    fn layout(&self, sizes: LetterSizes) -> Frame {
        let Subject { plan, names, circuit, numbers, .. } = *self;
        let graph = Graph::from_plan(plan, names);
        let rooms: Vec<RoomDemand> = plan
            .track
            .iter()
            .zip(&circuit.segments)
            .map(|(track, segment)| {
                let mut places: Vec<f64> =
                    segment.rails.iter().flat_map(|r| r.stops.iter().skip(1)).map(|s| s.x).collect();
                places.sort_by(f64::total_cmp);
                places.dedup_by(|a, b| (*a - *b).abs() < 1e-5);
                let name = words::width(&track.name.value, sizes.name);
                RoomDemand { places: places.len().saturating_sub(1), name, metres: segment.length }
            })
            .collect();
        let placed = place::place(&graph, &rooms);
        let mut frame = rails::lay(plan, circuit, numbers, &graph, &placed);
        frame.name = plan.layout.as_ref().map_or_else(String::new, |l| l.value.name.value.clone());
        frame.flip_y();
        frame
    }
}

/// Whether so few words were left out that they can be told in a line or two.
fn frame_is_short(frame: Option<&Frame>) -> bool {
    frame.is_some_and(|frame| frame.left_out.len() <= 12)
}

/// The drawing of a layout seen from above, cut into sheets of the paper chosen, laid landscape.
///
/// The same job gives the same drawing, to the last digit.
pub fn frame(job: &Job<'_>) -> Frame {
    Subject::from_job(job).in_sheets()
}

/// The same on one sheet, as large as it has to be.
pub fn whole(job: &Job<'_>) -> Frame {
    Subject::from_job(job).whole()
}
