//! What a drawing shows of its rails beside where they are: for each piece of rail one of a few classes.

use circuit::EdgeId;
use std::collections::BTreeMap;

/// How the rails of a class are drawn: distinguished by line, by hue for all eyes, and in black and white.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// The colour, as SVG has it.
    pub colour: &'static str,
    /// The width in millimetres.
    pub width: f64,
    /// Lengths of dash and space, as SVG has them; a whole line where empty.
    pub dash: &'static str,
}

/// A class of rails.
#[derive(Clone, Debug, PartialEq)]
pub struct RailClass {
    /// What it means, for the legend.
    pub says: String,
    /// How it is drawn.
    pub stroke: Stroke,
}

/// What the rails show.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layer {
    /// Its name, which its classes begin with: `phase`.
    pub name: &'static str,
    /// What it is about, for the title: `phases with T1 = diverging`.
    pub title: String,
    /// Its classes, in the order of the legend.
    pub classes: Vec<RailClass>,
    /// The class of each piece of rail that has one.
    pub of: BTreeMap<EdgeId, usize>,
    /// Words on a piece of rail, such as its volts.
    pub titles: BTreeMap<EdgeId, String>,
}
