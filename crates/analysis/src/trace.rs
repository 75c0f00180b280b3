//! How current gets to a place on the rails in one setting, piece by piece; or what keeps it from there.

use crate::load_case::LoadCase;
use crate::settings::SettingError;
use crate::words::BadReference;
use crate::{Analysis, settings, words};
use circuit::{Circuit, NodeId, PoleId, Probe};
use electrics::{Failed, Feed, Grid, Level};
use finding::Lines;
use handbook::Spread;
use handbook::quantity::Quantity;
use opens::{conductor, opens};
use plan::tables::RailSide;
use plan::{Names, Plan, Terminal};
use walk::CircuitSetting;

mod opens;
mod walk;

pub use walk::joined_poles;

/// A piece of a path: a rail, a wire, a contact, a length of bus.
#[derive(Clone, Debug, PartialEq)]
pub struct PathPiece {
    /// What it is, in words.
    pub name: String,
    /// Its resistance in ohms.
    pub ohms: Spread<f64>,
    /// The line of the plan it comes from, counted from 1.
    pub line: usize,
}

/// The path of least resistance from a pole to the place.
#[derive(Clone, Debug, PartialEq)]
pub struct PolePath {
    /// The pole: `booster.A`.
    pub pole: String,
    /// Its pieces, from the pole on. Pole A begins with the source's own resistance.
    pub pieces: Vec<PathPiece>,
    /// Their sum in ohms.
    pub along: Spread<f64>,
    /// The resistance with all that lies side by side with them, in ohms; none where the poles are shorted.
    pub beside: Option<Spread<f64>>,
}

/// Something open that would have to close.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenPart {
    /// What it is, and when it closes.
    pub words: String,
    /// The line of the plan it comes from.
    pub line: usize,
}

/// What keeps the place from a pole: the fewest open things that would have to close.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// The pole.
    pub pole: String,
    /// What is open on the way; none where nothing that could close leads there.
    pub open: Option<Vec<OpenPart>>,
}

/// One conductor at the place.
#[derive(Clone, Debug, PartialEq)]
pub struct TracedPoint {
    /// What was asked for: `dock 1.right @ 1 m`.
    pub name: String,
    /// The pole it is meant for, where the plan says.
    pub intended_pole: Option<String>,
    /// Paths from every pole it is joined to; two of them are a short.
    pub paths: Vec<PolePath>,
    /// All that is one conductor with it in this setting, in words; only where it is joined to no pole.
    pub conductor: Vec<String>,
    /// What keeps it from each pole; only where it is joined to none.
    pub missing: Vec<Missing>,
}

/// What a train on both rails gets.
#[derive(Clone, Debug, PartialEq)]
pub struct Between {
    /// Why there is no voltage to speak of, where there is none.
    pub why_not: Option<&'static str>,
    /// The supply's voltage.
    pub supply_volts: f64,
    /// Resistance of the loop in ohms, the source's own included.
    pub loop_ohms: Spread<f64>,
    /// Voltage under the train, aged to as-new.
    pub volts: Spread<f64>,
    /// Current of a short made by wheels, aged to as-new, in amperes.
    pub fault_amps: Spread<f64>,
    /// What the train draws, in amperes.
    pub train_amps: f64,
    /// Who says so.
    pub train_from: String,
}

/// An answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// The layout's name.
    pub layout: String,
    /// Every position: what, where it stands, and whether that was said or is its first.
    pub setting: Vec<(String, String, bool)>,
    /// The conductor or, where no rail was named, both rails.
    pub points: Vec<TracedPoint>,
    /// What a train gets, where both rails were asked for.
    pub between: Option<Between>,
}

/// What was asked for: names and nodes.
struct TracedPlace {
    names: Vec<String>,
    nodes: Vec<NodeId>,
    /// The track and the rails of it.
    rails: Option<(usize, Vec<RailSide>)>,
}

/// Why a place cannot be traced.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TraceError {
    /// Its words lead nowhere.
    #[error(transparent)]
    Reference(#[from] BadReference),
    /// The setting does not fit the plan.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// It lies beyond the ends of its track.
    #[error("`{place}` is not on the track: `{track}` runs from 0 to {length}")]
    NotOnTrack {
        /// The place.
        place: String,
        /// The track.
        track: String,
        /// Its length, in words.
        length: String,
    },
    /// Nothing of rail is there.
    #[error("there is no rail at this place")]
    NoRail,
    /// Nothing is wired there.
    #[error("`{0}` is no conductor in this plan")]
    NoConductor(String),
    /// There are no numbers.
    #[error(transparent)]
    NoNumbers(#[from] Failed),
}

impl Analysis<'_> {
    /// Traces a place such as `dock 1.right @ 1 m`, `dock 1 @ 1 m`, `T1.frog` or `M1.2.common`, in a setting such as
    /// `T1=diverging`; what is not named stands in its first position.
    ///
    /// # Errors
    /// When the place or the setting does not fit the plan.
    pub fn trace(&self, place: &str, setting: &[String]) -> Result<Trace, TraceError> {
        let (plan, names) = (self.plan, self.names);
        let probe = rail_place(plan, names, place)?;
        let probes: Vec<Probe> = probe.iter().map(|p| p.0).collect();
        let circuit = Circuit::with_probes(plan, names, &probes);
        let traced = match probe {
            Some((probe, side)) => rails(&circuit, probe, side)?,
            None => terminal(plan, names, &circuit, place)?,
        };
        let named = settings::named(&circuit, setting)?;
        let positions = circuit.complete(&named);
        let shown = circuit.controls.iter().zip(named.iter().zip(&positions)).map(|(control, (said, position))| {
            let at = usize::from(position.unwrap_or(control.usual));
            (control.name.clone(), control.positions.get(at).cloned().unwrap_or_default(), said.is_some())
        });
        let lines = self.lines();
        let setting = CircuitSetting::new(&circuit, &positions);
        let mut points = Vec::new();
        for (index, &node) in traced.nodes.iter().enumerate() {
            let intended = traced.rails.as_ref().and_then(|(track, sides)| {
                circuit.intended_pole[*track][sides[index]].map(|pole| circuit.source_pole(pole))
            });
            points.push(point(&setting, &lines, traced.names[index].clone(), node, intended)?);
        }
        let between = match (traced.rails, traced.nodes.as_slice()) {
            (Some((track, _)), &[left, right]) => Some(between((plan, track), &circuit, &positions, left, right)?),
            _ => None,
        };
        Ok(Trace { layout: self.layout(), setting: shown.collect(), points, between })
    }
}

/// A place on rails, with the rail where one is named; none where the words name a terminal.
fn rail_place(plan: &Plan, names: &Names, place: &str) -> Result<Option<(Probe, Option<RailSide>)>, TraceError> {
    if matches!(names.terminal(plan, place), Ok(Terminal::Frog(..) | Terminal::Contact(_))) {
        return Ok(None);
    }
    let found = names.rail_place(place).map_err(BadReference)?;
    let length = plan.track[found.track].length.value.si();
    let at = found.at.si();
    if !(0.0..=length + 1e-9).contains(&at) {
        let name = &plan.track[found.track].name.value;
        return Err(TraceError::NotOnTrack {
            place: place.to_owned(),
            track: name.clone(),
            length: plan.units().metres(length),
        });
    }
    Ok(Some((Probe { track: found.track, at: at.min(length) }, found.side)))
}

fn rails(circuit: &Circuit, probe: Probe, side: Option<RailSide>) -> Result<TracedPlace, TraceError> {
    let sides = match side {
        None => RailSide::ALL.to_vec(),
        Some(side) => vec![side],
    };
    let track = &circuit.segments[probe.track].name;
    let mut traced = TracedPlace { names: Vec::new(), nodes: Vec::new(), rails: None };
    for &side in &sides {
        let node = circuit.at(probe.track, side, probe.at).ok_or(TraceError::NoRail)?;
        traced.nodes.push(node);
        traced.names.push(format!("{track}.{} @ {}", side.word(), circuit.units.metres(probe.at)));
    }
    traced.rails = Some((probe.track, sides));
    Ok(traced)
}

fn terminal(plan: &Plan, names: &Names, circuit: &Circuit, text: &str) -> Result<TracedPlace, TraceError> {
    let node_name = match names.terminal(plan, text).map_err(BadReference)? {
        // A piece of trackwork's nodes are called by its name and theirs.
        Terminal::Frog(_, _, frog) => {
            let name = text.trim().strip_suffix(&frog).map_or("", |rest| rest.trim_end_matches('.'));
            format!("{name} {frog}")
        }
        _ => text.trim().to_owned(),
    };
    let wired = |n: NodeId| circuit.edges.iter().any(|e| e.a == n || e.b == n);
    let node = NodeId::each(&circuit.nodes).find(|(_, n)| n.name == node_name).map(|(i, _)| i);
    let node = node.filter(|&n| wired(n)).ok_or_else(|| TraceError::NoConductor(text.to_owned()))?;
    Ok(TracedPlace { names: vec![text.trim().to_owned()], nodes: vec![node], rails: None })
}

fn point(
    setting: &CircuitSetting<'_>,
    lines: &Lines<'_>,
    name: String,
    node: NodeId,
    meant: Option<PoleId>,
) -> Result<TracedPoint, TraceError> {
    let circuit = setting.circuit;
    let poles: Vec<PoleId> = circuit.poles().collect();
    let joined: Vec<PoleId> = poles.iter().copied().filter(|&p| setting.joined(p, node)).collect();
    let mut paths = Vec::new();
    for &pole in &joined {
        paths.push(path(setting, lines, pole, node)?);
    }
    let mut point = TracedPoint {
        name,
        intended_pole: meant.map(|p| words::pole(circuit, p)),
        paths,
        conductor: Vec::new(),
        missing: Vec::new(),
    };
    if joined.is_empty() {
        point.conductor = conductor(circuit, &setting.reached(node));
        let mut missing: Vec<(bool, usize, Missing)> = poles
            .iter()
            .map(|&pole| {
                let open = walk::nearest(setting, node, pole).map(|steps| opens(setting, lines, &steps));
                let count = open.as_ref().map_or(usize::MAX, Vec::len);
                (meant != Some(pole), count, Missing { pole: words::pole(circuit, pole), open })
            })
            .collect();
        missing.sort_by_key(|(other, count, _)| (*other, *count));
        point.missing = missing.into_iter().map(|m| m.2).collect();
    }
    Ok(point)
}

fn path(setting: &CircuitSetting<'_>, lines: &Lines<'_>, pole: PoleId, node: NodeId) -> Result<PolePath, TraceError> {
    let circuit = setting.circuit;
    let mut pieces: Vec<PathPiece> = Vec::new();
    for edge in walk::easiest(setting, pole, node) {
        let edge = &circuit.edges[edge];
        match pieces.last_mut() {
            Some(last) if last.name == edge.name => last.ohms = add(last.ohms, edge.ohms),
            _ => {
                let line = lines.line_at(edge.span.start);
                pieces.push(PathPiece { name: edge.name.clone(), ohms: edge.ohms, line });
            }
        }
    }
    let along = pieces.iter().fold(Spread::exactly(0.0), |sum, p| add(sum, p.ohms));
    let beside = if setting.joined(pole.other(), node) {
        None
    } else {
        levels(circuit, &setting.positions, |grid| grid.resistances().to_source(node, pole.source))?
    };
    Ok(PolePath { pole: words::pole(circuit, pole), pieces, along, beside })
}

fn add(one: Spread<f64>, other: Spread<f64>) -> Spread<f64> {
    Spread::new(one.low + other.low, one.typical + other.typical, one.high + other.high)
}

/// A number at each level.
fn levels(
    circuit: &Circuit,
    positions: &[Option<u8>],
    ask: impl Fn(&Grid<'_>) -> Option<f64>,
) -> Result<Option<Spread<f64>>, Failed> {
    let mut grid = Grid::new(circuit, positions, Level::Low)?;
    let mut found = [None; 3];
    for (slot, level) in found.iter_mut().zip(Level::ALL) {
        grid.set(positions, level)?;
        *slot = ask(&grid);
    }
    let [low, typical, high] = found;
    Ok(low.zip(typical).zip(high).map(|((low, typical), high)| Spread::new(low, typical, high)))
}

fn between(
    (plan, track): (&Plan, usize),
    circuit: &Circuit,
    positions: &[Option<u8>],
    left: NodeId,
    right: NodeId,
) -> Result<Between, TraceError> {
    let load_case = LoadCase::from_plan(plan);
    let grid = Grid::new(circuit, positions, Level::Typical)?;
    let feed = grid.feed_between(left, right);
    let nothing = Spread::exactly(0.0);
    let mut between = Between {
        why_not: None,
        supply_volts: 0.0,
        loop_ohms: nothing,
        volts: nothing,
        fault_amps: nothing,
        train_amps: load_case.train_amps,
        train_from: load_case.train_from,
    };
    let source = match feed {
        Feed::Powered { source } => source,
        Feed::Dead => return Ok(Between { why_not: Some("a rail is joined to no pole"), ..between }),
        Feed::SamePole => return Ok(Between { why_not: Some("both rails are on one pole"), ..between }),
        Feed::Shorted => {
            return Ok(Between { why_not: Some("SHORT CIRCUIT: A touches B, and its breaker opens"), ..between });
        }
        Feed::SeveralSources => return Ok(Between { why_not: Some("several supplies act on it"), ..between }),
    };
    // The rails' halves of the circuit meet nowhere but in the source, so their resistances add up.
    let loop_ohms = levels(circuit, positions, |grid| {
        let resistances = grid.resistances();
        Some(resistances.to_source(left, source)? + resistances.to_source(right, source)?)
    })?;
    let Some(ohms) = loop_ohms else {
        return Ok(Between { why_not: Some("a rail is joined to no pole"), ..between });
    };
    let volts = circuit.volts_on(source, track);
    let bridge = load_case.bridge_ohms;
    let under = |r: f64| (volts - between.train_amps * r).max(0.0);
    between.volts = Spread::new(under(ohms.high), under(ohms.typical), under(ohms.low));
    between.fault_amps = Spread::new(
        volts / (ohms.high + bridge.high),
        volts / (ohms.typical + bridge.typical),
        volts / (ohms.low + bridge.low),
    );
    between.supply_volts = circuit.sources[source].volts;
    between.loop_ohms = ohms;
    Ok(between)
}

#[cfg(test)]
mod tests;
