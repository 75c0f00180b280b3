//! What parts may resist after some years.
//!
//! Around the handbook's band: what is typical when new, what its upper end says of the aged. Each part is drawn about a median
//! that climbs with the years; all contacts of a layout age alike in part (dust, damp, how often it runs), and all its rail is of
//! one alloy: both are factors in common.

use circuit::{Circuit, Edge, EdgeKind, Part, WorkPiece};

/// Years after which a thing that ages has gone 63 % of the way to the aged end of its band. Our own default.
const AGEING_YEARS: f64 = 8.0;
/// Spread (of the logarithm) of what is soldered, tapped or crimped, when new: a third to three times, twice the spread away. As the
/// cold tests have it.
const JOINT_SPREAD: f64 = 0.5;
/// The same of what is pressed together.
const PRESSED_SPREAD: f64 = 0.4;
/// The same of a wire of which the length is planned, not measured, and of a bus.
const WIRE_SPREAD: f64 = 0.17;
const BUS_SPREAD: f64 = 0.07;
/// The same of one length of rail against the others of its kind.
const RAIL_SPREAD: f64 = 0.1;
/// The same of what is inside a supply.
const SOURCE_SPREAD: f64 = 0.2;
/// What solder and taps come to when aged, as a factor: the handbook has one value only.
const AGED_JOINT: f64 = 10.0;

/// Factors that many parts share.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shared {
    /// How far the contacts of this layout have aged.
    Ageing,
    /// The alloy of its rail.
    Alloy,
}

/// How many there are.
pub const SHARED: usize = 2;

/// What a part resists at some age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resistance {
    /// Its mean in ohms.
    pub mean: f64,
    /// Its standard deviation in ohms, that of what it shares with others left out.
    pub spread: f64,
    /// The standard deviation in ohms of what it shares with others, and with which.
    pub shared: Option<(Shared, f64)>,
}

/// How far a thing has aged, from 0 to 1.
fn aged(years: f64) -> f64 {
    1.0 - (-years.max(0.0) / AGEING_YEARS).exp()
}

/// Of every edge of a circuit after so many years.
pub fn resistances(circuit: &Circuit, years: f64) -> Vec<Resistance> {
    circuit.edges.iter().map(|edge| resistance(edge, aged(years))).collect()
}

fn resistance(edge: &Edge, aged: f64) -> Resistance {
    let band = edge.ohms;
    // From new to aged, in logarithms; none where the plan gives a measured value.
    let climb = if band.typical > 0.0 { (band.high / band.typical).max(1.0).ln() } else { 0.0 };
    let measured = band.low == band.high;
    let pressed = |climb: f64| (0.5 * climb * aged, (PRESSED_SPREAD.powi(2) + (0.2 * climb * aged).powi(2)).sqrt());
    let joint = (
        0.3 * AGED_JOINT.ln() * aged,
        (JOINT_SPREAD.powi(2) + (0.1 * AGED_JOINT.ln() * aged).powi(2)).sqrt(),
        Some((Shared::Ageing, 0.1 * aged * AGED_JOINT.ln())),
    );
    let (up, own, shared) = match (edge.kind, &edge.part) {
        (EdgeKind::Rail, _) => {
            let alloy = if band.low > 0.0 { (band.high / band.low).ln() / 4.0 } else { 0.0 };
            (0.0, RAIL_SPREAD, (alloy > 0.0).then_some((Shared::Alloy, alloy)))
        }
        (EdgeKind::Source, _) => (0.0, SOURCE_SPREAD, None),
        (EdgeKind::SlidingJoint | EdgeKind::Blade | EdgeKind::Contact, _) => {
            let (up, own) = pressed(climb);
            (up, own, Some((Shared::Ageing, 0.1 * climb * aged)))
        }
        (_, Part::BusLead { .. } | Part::Common { .. }) => joint,
        (_, Part::Work { piece: WorkPiece::Bond | WorkPiece::PastFrog, .. }) => joint,
        (EdgeKind::SolderedJoint | EdgeKind::Tap, _) if !measured || band.typical > 0.0 => joint,
        (EdgeKind::BusWire, _) => (0.0, BUS_SPREAD, None),
        _ => (0.0, WIRE_SPREAD, None),
    };
    let median = band.typical.max(1e-6) * up.exp();
    let both = own * own + shared.map_or(0.0, |(_, s)| s * s);
    // Mean and deviation of what is distributed evenly in its logarithm (log-normal).
    let mean = median * (0.5 * both).exp();
    let deviation = |s: f64| mean * ((s * s).exp() - 1.0).sqrt();
    Resistance { mean, spread: deviation(own), shared: shared.map(|(which, s)| (which, deviation(s))) }
}
