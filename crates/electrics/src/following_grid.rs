//! The circuit in one setting after another, at all levels, straight and with bent resistances: what differs between two settings is
//! worked out anew, and what is not asked for is not worked out at all.

use crate::grid::refused;
use crate::loops::bend;
use crate::poles::{JoinedPieces, SolidPieces};
use crate::profile::Parabola;
use crate::worst::Setting;
use crate::{Failed, Feed, Grid, Level, Profile, TrainPlace};
use circuit::{Circuit, EdgeId, NodeId, SegmentId};
use network::{PartialFactor, Pattern, Touched};
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
    setting: Setting,
    closed: Vec<bool>,
    joined: JoinedPieces,
    /// For each solid piece the end of a source that it is joined to.
    ends: Vec<Option<u32>>,
    /// By level, straight and bent, for each round of grounds.
    factors: [[Vec<PartialFactor>; 2]; 3],
}

impl GridShape {
    /// That of a grid.
    pub(crate) fn of(grid: &Grid<'_>) -> GridShape {
        let circuit = grid.circuit;
        let mut edges_of = vec![Vec::new(); circuit.controls.len()];
        for (id, edge) in EdgeId::each(&circuit.edges) {
            edge.guard.iter().for_each(|literal| edges_of[literal.control.index()].push(id));
        }
        // The same ends and the same grounds in another order.
        let ends: Vec<(u32, u32)> = (0..circuit.edges.len()).map(|edge| grid.pattern().ends(edge)).collect();
        let pattern = Pattern::shallow(circuit.nodes.len(), &ends, grid.pattern().kept());
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

    /// By how many seconds of their inductance resistances are bent at a level.
    pub(crate) fn bend(&self, level: Level) -> Option<f64> {
        self.bends[level as usize]
    }
}

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
        setting: &[Option<u8>],
    ) -> Result<FollowingGrid<'c>, Failed> {
        let closed: Vec<bool> = circuit.edges.iter().map(|edge| edge.is_closed(setting)).collect();
        let joined = JoinedPieces::from_solid(circuit, &shape.solid, |edge| closed[edge.index()]);
        let ends = joined.first_ends().collect();
        let factors = std::array::from_fn(|_| [Vec::new(), Vec::new()]);
        let mut grid = FollowingGrid { circuit, shape, setting: setting.to_vec(), closed, joined, ends, factors };
        grid.refactor()?;
        Ok(grid)
    }

    /// The resistance that an edge is calculated with.
    fn ohms(&self, edge: EdgeId, level: Level, bent: usize) -> f64 {
        let edge = &self.circuit.edges[edge];
        let seconds = if bent == 1 { self.shape.bends[level as usize].unwrap_or(0.0) } else { 0.0 };
        level.pick(edge.ohms) - seconds * level.pick(edge.henries)
    }

    /// Everything anew.
    fn refactor(&mut self) -> Result<(), Failed> {
        let circuit = self.circuit;
        for (level, bent) in Level::ALL.into_iter().flat_map(|level| [(level, 0), (level, 1)]) {
            if bent == 1 && self.shape.bends[level as usize].is_none() {
                continue;
            }
            let conductance =
                |(id, closed): (EdgeId, &bool)| if *closed { 1.0 / self.ohms(id, level, bent) } else { 0.0 };
            let conductance: Vec<f64> = EdgeId::each(&self.closed).map(conductance).collect();
            let rounds = self.joined.rounds();
            let mut factors = std::mem::take(&mut self.factors[level as usize][bent]);
            factors.truncate(rounds);
            for round in 0..rounds {
                let mut to_ground = vec![0.0; circuit.nodes.len()];
                for (source, _) in self.joined.rank.iter().enumerate().filter(|(_, rank)| **rank == round) {
                    to_ground[self.shape.network_node[circuit.sources[source].plus.index()] as usize] = f64::INFINITY;
                }
                match factors.get_mut(round) {
                    Some(factor) => factor.refactor(&conductance, &to_ground),
                    None => PartialFactor::new(&self.shape.pattern, &conductance, &to_ground).map(|f| factors.push(f)),
                }
                .map_err(|bad| refused(circuit, bad))?;
            }
            self.factors[level as usize][bent] = factors;
        }
        Ok(())
    }

    /// Another setting; tells which segments that may have changed.
    pub(crate) fn set(&mut self, setting: &[Option<u8>]) -> Result<Moved, Failed> {
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
            return Ok(Moved::Segments(Vec::new()));
        }
        let joined = JoinedPieces::from_solid(circuit, &self.shape.solid, |edge| self.closed[edge.index()]);
        let same = joined.same_sources(&self.joined);
        self.joined = joined;
        if !same {
            self.ends = self.joined.first_ends().collect();
            self.refactor()?;
            return Ok(Moved::Everything);
        }
        let mut touched = Touched::default();
        for (level, bent) in Level::ALL.into_iter().flat_map(|level| [(level, 0), (level, 1)]) {
            let conductance = |&id: &EdgeId| {
                (id.index(), if self.closed[id.index()] { 1.0 / self.ohms(id, level, bent) } else { 0.0 })
            };
            let changed: Vec<(usize, f64)> = changes.iter().map(conductance).collect();
            for factor in &mut self.factors[level as usize][bent] {
                factor.amend(&changed, &mut touched).map_err(|bad| refused(circuit, bad))?;
            }
        }
        let mut found = Vec::new();
        for (place, now) in self.joined.first_ends().enumerate() {
            if std::mem::replace(&mut self.ends[place], now) != now {
                in_range(&self.shape.segments_on, (place as u32, place as u32), &mut found);
            }
        }
        if touched.everything {
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

    /// Loop resistance along a segment at a level, straight or bent.
    pub(crate) fn profile(&mut self, segment: SegmentId, level: Level, bent: bool) -> Profile {
        let bent = usize::from(bent);
        let mut factors = std::mem::take(&mut self.factors[level as usize][bent]);
        let of_rail = |source: usize, _: usize, edge: EdgeId, ends: [NodeId; 2]| {
            let factor = &mut factors[self.joined.rank[source]];
            let [start, end] = ends.map(|node| factor.driving_point(self.shape.network_node[node.index()]));
            // As for all resistances: see `Resistances`.
            let bow = (self.ohms(edge, level, bent) - factor.resistance_between_ends(edge.index())).max(0.0);
            Parabola { start, end, bow }
        };
        let profile = Profile::from_rails(self.circuit, segment, |place| self.feed(place), of_rail);
        self.factors[level as usize][bent] = factors;
        profile
    }

    /// How many columns were eliminated or inverted so far.
    pub(crate) fn steps(&self) -> usize {
        self.factors.iter().flatten().flatten().map(PartialFactor::steps).sum()
    }
}

/// Adds the segments at some places, both ends counted in.
fn in_range(list: &[(u32, u32)], (from, to): (u32, u32), found: &mut Vec<SegmentId>) {
    let start = list.partition_point(|at| at.0 < from);
    found.extend(list[start..].iter().take_while(|at| at.0 <= to).map(|at| at.1 as SegmentId));
}
