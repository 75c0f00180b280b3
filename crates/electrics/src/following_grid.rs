//! The circuit in one setting after another, at all levels, straight and with bent resistances: what differs between two settings is
//! worked out anew, and what is not asked for is not worked out at all.

use crate::grid::refused;
use crate::loops::bend;
use crate::poles::{JoinedPieces, NetworkPieces, SolidPieces};
use crate::profile::Parabola;
use crate::settings::Setting;
use crate::{Failed, Feed, Grid, Level, Profile, TrainPlace};
use circuit::{Circuit, EdgeId, NodeId, SegmentId};
use network::{EdgeChange, PartialFactor, Pattern, SearchTree, SolveMemory, Touched};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::rc::Rc;

/// What is the same in all settings.
pub(crate) struct GridShape {
    pattern: Pattern,
    network_node: Vec<u32>,
    solid: SolidPieces,
    /// For each control the edges that it closes and opens.
    edges_of: Vec<Vec<EdgeId>>,
    /// By how many seconds of their inductance resistances are bent, at each level; none where no supply reverses.
    bends: [Option<f64>; 3],
    /// Positions in the order of elimination, and the segments of their nodes.
    segments_at: Vec<(u32, u32)>,
    /// Solid pieces, and the segments that lie on them.
    segments_on: Vec<(u32, u32)>,
}

/// A grid that follows from setting to setting.
pub(crate) struct FollowingGrid<'c> {
    circuit: &'c Circuit,
    shape: Rc<GridShape>,
    variants: Vec<Variant>,
    setting: Setting,
    closed: Vec<bool>,
    joined: JoinedPieces,
    /// For each solid piece the end of a source that it is joined to.
    ends: Vec<Option<u32>>,
    /// By variant.
    factors: Vec<VariantFactors>,
}

/// With which values a network is calculated.
#[derive(Clone, Copy)]
pub(crate) struct Variant {
    /// Of the resistances.
    ohms: Level,
    /// Of the inductances, and by how many seconds of them each resistance is less.
    henries: Level,
    seconds: f64,
}

/// The factors of one variant.
#[derive(Default)]
struct VariantFactors {
    /// For each round of grounds; none before they are asked for.
    rounds: Vec<PartialFactor>,
    /// Edges that were opened or closed since.
    pending: Vec<EdgeId>,
    /// Whether other sources are grounds since.
    regrounded: bool,
}

impl Variant {
    /// As usual, with each resistance less by so many seconds of the inductance at a level.
    pub(crate) fn usual(henries: Level, seconds: f64) -> Variant {
        Variant { ohms: Level::Typical, henries, seconds }
    }
}

impl GridShape {
    /// That of a grid.
    pub(crate) fn of(grid: &Grid<'_>) -> GridShape {
        let circuit = grid.circuit;
        let mut edges_of = vec![Vec::new(); circuit.controls.len()];
        for (id, edge) in EdgeId::each(&circuit.edges) {
            edge.guard.iter().for_each(|literal| edges_of[literal.control.index()].push(id));
        }
        // In a small network no way to the root is long.
        let pattern = if circuit.nodes.len() <= SMALL {
            grid.pattern().clone()
        } else {
            let ends: Vec<(u32, u32)> = (0..circuit.edges.len()).map(|edge| grid.pattern().ends(edge)).collect();
            Pattern::shallow(circuit.nodes.len(), &ends, grid.pattern().kept())
        };
        let square_wave = circuit.sources.iter().any(|s| s.square_wave);
        let solid = SolidPieces::from_circuit(circuit);
        let (mut segments_at, mut segments_on) = (Vec::new(), Vec::new());
        for (number, segment) in (0..).zip(&circuit.segments) {
            for node in segment.rails.iter().flat_map(|line| &line.stops).flat_map(|stop| [stop.before, stop.after]) {
                segments_at.push((pattern.position(grid.network_node(node)), number));
                segments_on.push((solid.of[node], number));
            }
        }
        for list in [&mut segments_at, &mut segments_on] {
            list.sort_unstable();
            list.dedup();
        }
        GridShape {
            pattern,
            network_node: grid.network_node.clone(),
            solid,
            edges_of,
            bends: Level::ALL.map(|level| bend(circuit, level).filter(|_| square_wave)),
            segments_at,
            segments_on,
        }
    }

    /// The nodes of the network at the stops of a segment, each once, in order.
    fn nodes_of(&self, circuit: &Circuit, segment: SegmentId) -> Vec<u32> {
        let stops = circuit.segments[segment].rails.iter().flat_map(|line| &line.stops);
        let mut nodes: Vec<u32> =
            stops.flat_map(|stop| [stop.before, stop.after]).map(|node| self.network_node[node.index()]).collect();
        nodes.sort_unstable();
        nodes.dedup();
        nodes
    }

    /// Its pattern.
    pub(crate) fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// Each level straight, and behind it bent, where anything is bent.
    pub(crate) fn levels(&self) -> Vec<Variant> {
        let bent = self.bends.iter().any(Option::is_some);
        let of_level = |level: Level| {
            let variant = |seconds: f64| Variant { ohms: level, henries: level, seconds };
            let bent = bent.then(|| variant(self.bends[level as usize].unwrap_or(0.0)));
            std::iter::once(variant(0.0)).chain(bent)
        };
        Level::ALL.into_iter().flat_map(of_level).collect()
    }

    /// Which of [`GridShape::levels`] a level is.
    pub(crate) fn level(&self, level: Level, bent: bool) -> usize {
        let each = if self.bends.iter().any(Option::is_some) { 2 } else { 1 };
        each * level as usize + usize::from(bent)
    }

    /// By how many seconds of their inductance resistances are bent at a level.
    pub(crate) fn bend(&self, level: Level) -> Option<f64> {
        self.bends[level as usize]
    }
}

/// Networks of no more nodes than this keep their order of elimination.
const SMALL: usize = 4_000;

/// Segments whose numbers may have changed.
pub(crate) enum Moved {
    /// All of them may.
    Everything,
    /// These, some more than once.
    Segments(Vec<SegmentId>),
}

impl<'c> FollowingGrid<'c> {
    /// In a setting.
    pub(crate) fn new(
        circuit: &'c Circuit,
        shape: Rc<GridShape>,
        variants: Vec<Variant>,
        setting: &[Option<u8>],
    ) -> FollowingGrid<'c> {
        let closed: Vec<bool> = circuit.edges.iter().map(|edge| edge.is_closed(setting)).collect();
        let joined = JoinedPieces::from_solid(circuit, &shape.solid, |edge| closed[edge.index()]);
        let ends = joined.first_ends().collect();
        let factors = variants.iter().map(|_| VariantFactors::default()).collect();
        let mut setting = setting.to_vec();
        setting.resize(circuit.controls.len(), None);
        FollowingGrid { circuit, shape, variants, setting, closed, joined, ends, factors }
    }

    /// The resistance that an edge is calculated with.
    fn ohms(&self, edge: EdgeId, variant: usize) -> f64 {
        let edge = &self.circuit.edges[edge];
        let Variant { ohms, henries, seconds } = self.variants[variant];
        ohms.pick(edge.ohms) - seconds * henries.pick(edge.henries)
    }

    fn conductance(&self, edge: EdgeId, variant: usize) -> f64 {
        if self.closed[edge.index()] { 1.0 / self.ohms(edge, variant) } else { 0.0 }
    }

    /// Brings the factors of a variant to the present setting.
    fn follow(&mut self, variant: usize, touched: &mut Touched) -> Result<(), Failed> {
        let circuit = self.circuit;
        let VariantFactors { mut rounds, mut pending, regrounded } = std::mem::take(&mut self.factors[variant]);
        if rounds.is_empty() || regrounded {
            let all = EdgeId::all(self.closed.len());
            let conductance: Vec<f64> = all.map(|edge| self.conductance(edge, variant)).collect();
            rounds.truncate(self.joined.rounds());
            for round in 0..self.joined.rounds() {
                let mut to_ground = vec![0.0; circuit.nodes.len()];
                for (source, _) in self.joined.rank.iter().enumerate().filter(|(_, rank)| **rank == round) {
                    to_ground[self.shape.network_node[circuit.sources[source].plus.index()] as usize] = f64::INFINITY;
                }
                match rounds.get_mut(round) {
                    Some(factor) => factor.refactor(&conductance, &to_ground),
                    None => PartialFactor::new(&self.shape.pattern, &conductance, &to_ground).map(|f| rounds.push(f)),
                }
                .map_err(|bad| refused(circuit, bad))?;
            }
        } else if !pending.is_empty() {
            // What was opened and closed again has its own value in the end.
            let changes: Vec<(usize, f64)> =
                pending.iter().map(|&edge| (edge.index(), self.conductance(edge, variant))).collect();
            for factor in &mut rounds {
                factor.amend(&changes, touched).map_err(|bad| refused(circuit, bad))?;
            }
        }
        pending.clear();
        self.factors[variant] = VariantFactors { rounds, pending, regrounded: false };
        Ok(())
    }

    /// Another setting, of which nothing is worked out yet; whether that grounds other sources.
    pub(crate) fn turn_to(&mut self, setting: &[Option<u8>]) -> bool {
        let circuit = self.circuit;
        let mut changes: Vec<EdgeId> = Vec::new();
        for (control, _) in self.setting.iter().zip(setting).enumerate().filter(|(_, (was, is))| was != is) {
            for &edge in &self.shape.edges_of[control] {
                let closed = circuit.edges[edge].is_closed(setting);
                if std::mem::replace(&mut self.closed[edge.index()], closed) != closed {
                    changes.push(edge);
                }
            }
        }
        self.setting.clear();
        self.setting.extend_from_slice(setting);
        if changes.is_empty() {
            return false;
        }
        let joined = JoinedPieces::from_solid(circuit, &self.shape.solid, |edge| self.closed[edge.index()]);
        let other_grounds = !joined.same_sources(&self.joined);
        self.joined = joined;
        for factors in &mut self.factors {
            factors.regrounded |= other_grounds;
            factors.pending.extend_from_slice(&changes);
        }
        other_grounds
    }

    /// Another setting; tells which segments that may have changed.
    pub(crate) fn set(&mut self, setting: &[Option<u8>]) -> Result<Moved, Failed> {
        let other_grounds = self.turn_to(setting);
        let mut touched = Touched::default();
        for variant in 0..self.variants.len() {
            self.follow(variant, &mut touched)?;
        }
        let mut found = Vec::new();
        for (place, now) in self.joined.first_ends().enumerate() {
            if std::mem::replace(&mut self.ends[place], now) != now {
                in_range(&self.shape.segments_on, (place as u32, place as u32), &mut found);
            }
        }
        if touched.everything || other_grounds {
            return Ok(Moved::Everything);
        }
        touched.ranges().iter().for_each(|&range| in_range(&self.shape.segments_at, range, &mut found));
        Ok(Moved::Segments(found))
    }

    fn feed(&self, place: &TrainPlace) -> Feed {
        if place.rail.iter().any(|edge| !self.closed[edge.index()]) {
            return Feed::Dead;
        }
        let [left, right] = place.rail.map(|edge| self.circuit.edges[edge].a);
        self.joined.feed(left, right)
    }

    /// The factors of a variant, brought to the present setting.
    fn factors(&mut self, variant: usize) -> Result<&mut Vec<PartialFactor>, Failed> {
        self.follow(variant, &mut Touched::default())?;
        Ok(&mut self.factors[variant].rounds)
    }

    /// Loop resistance along a segment.
    pub(crate) fn profile(&mut self, segment: SegmentId, variant: usize) -> Result<Profile, Failed> {
        self.profile_with(segment, variant, |_, _, parabola| parabola)
    }

    /// The same with each rail piece's parabola changed: by the source that feeds it and the nodes at its ends.
    fn profile_with(
        &mut self,
        segment: SegmentId,
        variant: usize,
        change: impl Fn(usize, [NodeId; 2], Parabola) -> Parabola,
    ) -> Result<Profile, Failed> {
        let mut factors = std::mem::take(self.factors(variant)?);
        let of_rail = |source: usize, _: usize, edge: EdgeId, ends: [NodeId; 2]| {
            change(source, ends, self.along(&mut factors[self.joined.rank[source]], edge, ends, variant))
        };
        let profile = Profile::from_rails(self.circuit, segment, |place| self.feed(place), of_rail);
        self.factors[variant].rounds = factors;
        Ok(profile)
    }

    /// As for all resistances: see [`Resistances`](crate::Resistances).
    fn along(&self, factor: &mut PartialFactor, edge: EdgeId, ends: [NodeId; 2], variant: usize) -> Parabola {
        let [start, end] = ends.map(|node| factor.driving_point(self.shape.network_node[node.index()]));
        let bow = (self.ohms(edge, variant) - factor.resistance_between_ends(edge.index())).max(0.0);
        Parabola { start, end, bow }
    }

    /// Loop resistance at a place; none where it is not powered.
    pub(crate) fn loop_ohms(&mut self, place: &TrainPlace, variant: usize) -> Result<Option<f64>, Failed> {
        let mut factors = std::mem::take(self.factors(variant)?);
        let ohms = match self.feed(place) {
            Feed::Powered { source } => {
                let rail = |side: usize| {
                    let (edge, factor) = (place.rail[side], &mut factors[self.joined.rank[source]]);
                    let ends = &self.circuit.edges[edge];
                    self.along(factor, edge, [ends.a, ends.b], variant).at(place.fraction[side])
                };
                let [left, right] = [0, 1].map(rail);
                Some(left + right)
            }
            _ => None,
        };
        self.factors[variant].rounds = factors;
        Ok(ohms)
    }

    /// Loop resistance along a segment with a closed edge opened (see [`OpenedEdge`](crate::OpenedEdge)). None where the edge is open
    /// already, joined to no source, or the only way between what lies before and behind it, and where the segment's numbers do
    /// not change.
    pub(crate) fn opened(
        &mut self,
        segment: SegmentId,
        variant: usize,
        edge: EdgeId,
        memory: &mut SolveMemory,
    ) -> Result<Option<Profile>, Failed> {
        let part = self.joined.part_of(self.circuit.edges[edge].a).filter(|_| self.closed[edge.index()]);
        let Some(part) = part else { return Ok(None) };
        let nodes = self.shape.nodes_of(self.circuit, segment);
        let conductance = self.conductance(edge, variant);
        let rounds: Vec<Option<usize>> = (0..self.circuit.sources.len())
            .map(|source| {
                let own = self.joined.part_of(self.circuit.sources[source].plus) == Some(part);
                own.then_some(self.joined.rank[source])
            })
            .collect();
        let mut known: BTreeMap<usize, (EdgeChange, Vec<f64>)> = BTreeMap::new();
        let factors = self.factors(variant)?;
        for &round in rounds.iter().flatten() {
            let Entry::Vacant(entry) = known.entry(round) else { continue };
            let between = factors[round].resistance_between_ends(edge.index());
            let change = EdgeChange::new(between, -conductance).filter(|change| !change.cuts());
            let Some(change) = change else { return Ok(None) };
            entry.insert((change, factors[round].across(edge.index(), &nodes, memory)));
        }
        if !known.values().any(|(_, across)| across.iter().any(|across| across.abs() > NOTHING)) {
            return Ok(None);
        }
        let network_node = self.shape.clone();
        let opened = |source: usize, ends: [NodeId; 2], before: Parabola| {
            let Some((change, across)) = rounds[source].and_then(|round| known.get(&round)) else { return before };
            let at = |node: NodeId| {
                let place = nodes.binary_search(&network_node.network_node[node.index()]);
                place.map_or(0.0, |place| across[place])
            };
            Parabola::opened(before, change, ends.map(at))
        };
        Ok(Some(self.profile_with(segment, variant, opened)?))
    }

    /// Goes through the closed edges by the volts between their ends for an ampere into any stop of a segment, as far as `go_on` says
    /// of the position of a column and the volts below it.
    pub(crate) fn search_from(
        &mut self,
        segment: SegmentId,
        variant: usize,
        (tree, memory): (&SearchTree, &mut SolveMemory),
        go_on: impl Fn(usize, f64) -> bool,
        mut meet: impl FnMut(EdgeId, f64),
    ) -> Result<(), Failed> {
        let nodes = self.shape.nodes_of(self.circuit, segment);
        for factor in self.factors(variant)? {
            for &node in &nodes {
                factor.search_from(node, (tree, memory), &go_on, |edge, volts| meet(EdgeId::new(edge), volts));
            }
        }
        Ok(())
    }

    /// Whether what positions close now joins no two pieces in two ways, of which each hangs together by itself.
    pub(crate) fn is_forest(&self, pieces: &NetworkPieces) -> bool {
        pieces.is_forest(|edge| self.closed[edge.index()])
    }

    /// How many columns were eliminated or inverted so far.
    pub(crate) fn steps(&self) -> usize {
        let rounds = self.factors.iter().flat_map(|factors| &factors.rounds);
        rounds.map(PartialFactor::steps).sum()
    }
}

/// Below this what an opened edge lifts a node by, in ohms, is rounding.
const NOTHING: f64 = 1e-9;

/// Adds the segments at some places, both ends counted in.
fn in_range(list: &[(u32, u32)], (from, to): (u32, u32), found: &mut Vec<SegmentId>) {
    let start = list.partition_point(|at| at.0 < from);
    found.extend(list[start..].iter().take_while(|at| at.0 <= to).map(|at| at.1 as SegmentId));
}
