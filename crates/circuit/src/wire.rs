//! A wire of a feeder, contact or driver: where it starts and ends, what it is made of, how long it runs.

use crate::NodeId;
use crate::reach::Location;
use handbook::Sourced;
use handbook::quantity::Metres;
use plan::At;
use plan::tables::Plug;
use std::ops::Range;

/// How long a wire runs.
#[derive(Clone, Debug, PartialEq)]
pub struct WireRun {
    /// In metres, one way.
    pub metres: f64,
    /// Who says so.
    pub source: RunSource,
    /// How far it is along the track between what it joins, in metres; none where it is not known where one of them is.
    pub way: Option<f64>,
}

/// Who says how long a wire runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RunSource {
    /// The plan, here.
    Plan(Range<usize>),
    /// It follows from where its ends are: along the track, and down through the base.
    Geometry,
    /// Nobody: it is not known where one of its ends is, and the handbook's usual length is calculated with.
    Default,
}

/// What was assumed of a tap whose place the plan does not say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AssumedTap {
    /// The wire joins the bus where that passes nearest.
    NearestPoint,
    /// Nothing says where the bus runs: the sums have it at the far end, the builder joins it where the bus passes nearest.
    FarEnd,
}

/// Where a wire starts.
pub(crate) struct WireStart {
    /// Where on the table, if that is known.
    pub(crate) here: Option<Location>,
    /// The places of buses beside it.
    pub(crate) beside: Vec<(usize, TapPlace)>,
}

/// Where a wire ends.
pub(crate) struct WireEnd {
    pub(crate) node: NodeId,
    /// How far that is from its start along the track, in metres, where that is known.
    pub(crate) way: Option<f64>,
    /// Where on the table, if that is known.
    pub(crate) there: Option<Location>,
}

/// What a wire is made of.
#[derive(Clone)]
pub(crate) struct WireMade<'p> {
    pub(crate) what: &'static str,
    pub(crate) wire: Option<&'p At<String>>,
    pub(crate) length: Option<&'p At<Metres>>,
    /// The plug by which it comes apart, where it says one of its own.
    pub(crate) plug: Option<&'p At<Plug>>,
    pub(crate) way: Option<f64>,
    /// How long it is taken to run where nobody says how far away its other end is, and why.
    pub(crate) usual: Sourced<Metres>,
}

/// Where a wire taps a bus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum TapPlace {
    /// Where the plan says, metres from the start of the bus.
    Said(f64),
    /// Beside what the wire belongs to, as the first track there that runs along the bus says.
    Beside(f64),
    /// Where the bus passes nearest, as far as tracks that lead there say where it runs.
    Nearest(f64),
    /// Nothing says where the bus runs.
    Unknown,
}
