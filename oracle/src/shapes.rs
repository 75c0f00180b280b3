//! Long plans by the word for their shape and their size: what benchmarks, counts and figures are made of.

use crate::ladders::{LadderShape, plan};
use crate::long_plans::{chain, passing_loops};
use crate::museum::{self, Faults};
use std::fmt::Write as _;

/// All shapes.
pub const SHAPES: [&str; 11] = [
    "ladder",
    "tree",
    "yards",
    "double",
    "museum",
    "museum-gaps",
    "museum-feeders",
    "loops",
    "line",
    "feeders",
    "mesh",
];

/// A plan of a shape: so many turnouts, tracks of a line, loops, feeders or toggles. None where there is no such shape.
pub fn text_of(shape: &str, size: usize) -> Option<String> {
    let museum = |faults| museum::plan(size.div_ceil(museum::TURNOUTS), faults);
    Some(match shape {
        "ladder" => plan(LadderShape::Ladder, size),
        "tree" => plan(LadderShape::LadderWithTree, size),
        "yards" => plan(LadderShape::Yards, size),
        "double" => plan(LadderShape::DoubleEnded, size),
        "museum" => museum(Faults::None),
        "museum-gaps" => museum(Faults::GapsMissing(2)),
        "museum-feeders" => museum(Faults::FeedersCrossed(5)),
        "loops" => passing_loops(size),
        "line" => chain(size),
        "feeders" => feeders(size),
        "mesh" => mesh(size),
        _ => return None,
    })
}

/// One track with a feeder every ten centimetres.
pub fn feeders(feeders: usize) -> String {
    let mut list = String::new();
    for tenth in 0..feeders {
        let _ = write!(list, "\"{}.{} m\", ", tenth / 10, tenth % 10);
    }
    let length = feeders.div_ceil(10);
    format!(
        "[layout]\nname = \"x\"\nscale = \"OO\"\n[[supply]]\nname = \"s\"\nvoltage = \"15 V\"\ntrips = {{ at = \"4.5 A\" }}\n\
         [[bus]]\nname = \"b\"\nsupply = \"s\"\nwire = \"2.5 mm²\"\nlength = \"10 m\"\n[[track]]\nname = \"lead\"\n\
         from = \"beyond\"\nto = \"buffer\"\nlength = \"{length} m\"\nleft = \"b.A\"\nright = \"b.B\"\nfeeders = [{list}]\n"
    )
}

/// Tracks whose left rails toggles join each to the next and to the fifth after it, round and round.
pub fn mesh(toggles: usize) -> String {
    let tracks = (toggles / 2).max(1);
    let mut text = String::from(
        "[layout]\nname = \"x\"\nscale = \"OO\"\n[[supply]]\nname = \"booster\"\nvoltage = \"15 V\"\n\
         trips = { at = \"4.5 A\" }\n[[bus]]\nname = \"bus\"\nsupply = \"booster\"\nwire = \"2.5 mm²\"\nlength = \"10 m\"\n\
         [[track]]\nname = \"lead\"\nfrom = \"beyond\"\nto = \"buffer\"\nlength = \"1 m\"\nleft = \"bus.A\"\n\
         right = \"bus.B\"\nfeeders = [\"0.5 m\"]\n",
    );
    let mut toggle = 0;
    let mut join = |text: &mut String, from: &str, to: &str| {
        let _ =
            write!(text, "[[toggle]]\nname = \"S{toggle}\"\ncontact = [{{ common = \"{from}\", on = \"{to}\" }}]\n");
        toggle += 1;
    };
    let left = |track: usize| format!("g{}.left @ 0.5 m", track % tracks);
    join(&mut text, "bus.A", &left(0));
    for track in 0..tracks {
        for step in [1, 5] {
            // One pair of neighbours has none, so that there are as many toggles as were asked for.
            if !(track == 0 && step == 1) {
                join(&mut text, &left(track), &left(track + step));
            }
        }
    }
    for track in 0..tracks {
        let _ = write!(
            text,
            "[[track]]\nname = \"g{track}\"\nfrom = \"beyond\"\nto = \"beyond\"\nlength = \"1 m\"\nright = \"bus.B\"\n\
             feeders = [{{ at = \"0.1 m\", rail = \"right\" }}]\n"
        );
    }
    text
}
