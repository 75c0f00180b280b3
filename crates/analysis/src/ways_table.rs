//! Every way a train can be lined, what to set for it and what it gets; and which storage tracks are live then.

use crate::Analysis;
use crate::figures::{Figures, WayLine};
use crate::throwing::{Throw, Throwing};
use crate::words::{self, BadReference};
use circuit::ways::{RouteEnd, Ways};
use circuit::{Circuit, EdgeKind, Literal, Way};
use electrics::{Grid, Level};
use handbook::Spread;
use handbook::quantity::Units;
use plan::tables::Live;
use plan::{Kind, Names, Plan};
use proof::{Conditions, Storage, StorageStanding};
use std::collections::BTreeSet;

/// Ways to print. What is asked for is reported of each way that goes over the named tracks, in that order.
#[derive(Clone, Debug, Default)]
pub struct WantedWays {
    /// Only ways that go over this track before they come to `to`.
    pub from: Option<String>,
    /// Only ways that end on this track or go over it.
    pub to: Option<String>,
}

/// The ways of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct WaysTable {
    /// The layout's name.
    pub layout: String,
    /// In which units lengths are said.
    pub units: Units,
    /// How many ways were found in all.
    pub found: usize,
    /// Whether these are all there are.
    pub complete: bool,
    /// Routes of trackwork that a train can use and that none of them goes over: `T1 through`.
    pub left_out: Vec<String>,
    /// The ways that were asked for, those with the same destination together, in the order of the plan.
    pub ways: Vec<WayRow>,
    /// What a train draws, in amperes, and who says so; none where nothing feeds the rails.
    pub train: Option<(f64, String)>,
    /// Which storage tracks are live; none where the plan has no `[storage]`.
    pub storage: Option<StorageTable>,
}

/// One way.
#[derive(Clone, Debug, PartialEq)]
pub struct WayRow {
    /// Its name: `approach to dock 1`.
    pub name: String,
    /// The track it starts on.
    pub from: String,
    /// The track it ends on.
    pub to: String,
    /// Positions to set, in the order in which a train comes to them.
    pub set: Vec<(String, String)>,
    /// Its motors in groups that their supplies can throw together; none where no supply says what it gives.
    pub throws: Option<Vec<Throw>>,
    /// Its length in metres.
    pub length: f64,
    /// Whether it ends where the train waits for what it came over to be thrown.
    pub ends_in_loop: bool,
    /// Its numbers; none where no place of it is powered.
    pub numbers: Option<WayLine>,
}

/// Ways against storage tracks.
#[derive(Clone, Debug, PartialEq)]
pub struct StorageTable {
    /// When the plan says they are to be live.
    pub policy: String,
    /// The storage tracks.
    pub tracks: Vec<String>,
    /// For each way of the table, which of them are live; empty where nothing could be proved.
    pub live: Vec<Vec<StorageStanding>>,
    /// What feeds each of them, in the same order.
    pub feeds: Vec<TrackFeed>,
}

/// The contacts in the feed of a storage track at its worst place.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackFeed {
    /// The track.
    pub track: String,
    /// The positions that its current depends on there; none where it is powered in no setting.
    pub set: Option<Vec<(String, String)>>,
    /// The contacts and blades its current passes.
    pub contacts: Vec<String>,
    /// What they add to the loop, in ohms.
    pub ohms: Spread<f64>,
    /// Their share of the loop, as usual and aged. The loop is all between the supply and the rails, the supply's own
    /// resistance included, the wheels that make a short not.
    pub share: [f64; 2],
}

impl Analysis<'_> {
    /// The ways of the plan.
    ///
    /// # Errors
    /// When a name is no track.
    pub fn ways_table(&self, wanted: &WantedWays) -> Result<WaysTable, BadReference> {
        let from = wanted.from.as_deref().map(|name| track(self.names, name)).transpose()?;
        let to = wanted.to.as_deref().map(|name| track(self.names, name)).transpose()?;
        Ok(self.ways_over(from, to))
    }

    /// All ways of the plan.
    pub fn all_ways(&self) -> WaysTable {
        self.ways_over(None, None)
    }

    fn ways_over(&self, from: Option<usize>, to: Option<usize>) -> WaysTable {
        let (plan, names, circuit) = (self.plan, self.names, &self.circuit);
        let (ways, figures) = (self.ways(), self.figures());
        let chosen = chosen(circuit, ways, from, to);
        let throwing = Throwing::new(plan, names, circuit);
        let rows = chosen.iter().map(|(index, way)| row((circuit, &throwing), way, *index, figures));
        WaysTable {
            layout: self.layout(),
            units: self.plan.units(),
            found: ways.list.len(),
            complete: ways.complete,
            left_out: ways.works_left_out.iter().map(|&s| circuit.segments[s].name.clone()).collect(),
            ways: rows.collect(),
            train: figures.map(|f| (f.load_case.train_amps, f.load_case.train_from.clone())),
            storage: storage(plan, names, circuit, figures, &chosen),
        }
    }
}

/// The ways over these tracks as they are listed, each with its index among all ways.
pub fn chosen(circuit: &Circuit, ways: &Ways, from: Option<usize>, to: Option<usize>) -> Vec<(usize, Way)> {
    let mut chosen: Vec<(usize, Way)> = Vec::new();
    for (index, way) in ways.list.iter().enumerate() {
        chosen.extend(turned(circuit, way, from, to).map(|way| (index, way)));
    }
    let ends = |way: &Way| {
        let tracks: Vec<usize> = way.steps.iter().map(|s| s.0).filter(|&s| s < circuit.tracks).collect();
        (tracks.last().copied(), tracks.first().copied())
    };
    chosen.sort_by_key(|(_, way)| ends(way));
    chosen
}

/// The track of a name.
///
/// # Errors
/// Where there is none.
pub fn track(names: &Names, name: &str) -> Result<usize, BadReference> {
    names.of_kind(name, &[Kind::Track]).map(|found| found.1).map_err(BadReference)
}

/// A way, turned round if need be, that goes over `from` and after it over `to`; none where it does not.
fn turned(circuit: &Circuit, way: &Way, from: Option<usize>, to: Option<usize>) -> Option<Way> {
    let fits = |way: &Way| {
        let at = |track: usize| way.steps.iter().position(|s| s.0 == track);
        match (from.map(at), to.map(at)) {
            (Some(None), _) | (_, Some(None)) => false,
            (Some(Some(from)), Some(Some(to))) => from < to,
            _ => true,
        }
    };
    let ends_right = |way: &Way| {
        let tracks: Vec<usize> = way.steps.iter().map(|s| s.0).filter(|&s| s < circuit.tracks).collect();
        // Of the two directions, the one that starts or ends where it is asked to.
        !(from.is_some() && tracks.last().copied() == from || to.is_some() && tracks.first().copied() == to)
    };
    let back = back(circuit, way);
    if fits(way) && (back.is_none() || ends_right(way)) {
        return Some(way.clone());
    }
    back.filter(|way| fits(way))
}

/// A way gone the other way round; none of one track alone, which has no direction, and of a circle.
pub fn back(circuit: &Circuit, way: &Way) -> Option<Way> {
    let is_circle = way.ends.contains(&RouteEnd::Circle);
    let tracks = way.steps.iter().filter(|s| s.0 < circuit.tracks).count();
    (!is_circle && tracks > 1).then(|| way.turned_round(circuit))
}

/// Positions to set for a way, in the order in which a train comes to them.
pub fn to_set(circuit: &Circuit, way: &Way) -> Vec<(String, String)> {
    let mut set: Vec<Literal> = Vec::new();
    let mut is_set = vec![false; circuit.controls.len()];
    for literal in way.steps.iter().flat_map(|s| &circuit.segments[s.0].guard) {
        // A way has each control in one position.
        if !std::mem::replace(&mut is_set[literal.control], true) {
            set.push(*literal);
        }
    }
    words::setting(circuit, &set)
}

fn row((circuit, throwing): (&Circuit, &Throwing<'_>), way: &Way, index: usize, figures: Option<&Figures>) -> WayRow {
    let mut tracks = way.steps.iter().filter(|s| s.0 < circuit.tracks).map(|s| &circuit.segments[s.0].name);
    let from = tracks.next().cloned().unwrap_or_default();
    WayRow {
        name: way.name.clone(),
        to: tracks.next_back().unwrap_or(&from).clone(),
        from,
        set: to_set(circuit, way),
        throws: throwing.order(circuit, way),
        length: way.steps.iter().map(|s| circuit.segments[s.0].length).sum(),
        ends_in_loop: way.ends_in_loop(),
        numbers: figures.and_then(|f| f.ways.iter().find(|w| w.way == index).cloned()),
    }
}

fn storage(
    plan: &Plan,
    names: &Names,
    circuit: &Circuit,
    figures: Option<&Figures>,
    chosen: &[(usize, Way)],
) -> Option<StorageTable> {
    let storage = crate::storage(plan, names)?;
    let live = Conditions::from_circuit(circuit).ok().and_then(|conditions| {
        let of_way = |way: &Way| {
            let set: Vec<Literal> =
                way.setting.iter().map(|(&control, &position)| Literal { control, position }).collect();
            storage
                .tracks
                .iter()
                .map(|&track| conditions.standing(track, storage.pick_up, &set).ok())
                .collect::<Option<Vec<_>>>()
        };
        chosen.iter().map(|(_, way)| of_way(way)).collect::<Option<Vec<_>>>()
    });
    let mut grid = Grid::new(circuit, &[], Level::Typical).ok();
    let feeds = storage.tracks.iter().map(|&track| {
        let line = figures.and_then(|f| f.tracks.iter().find(|t| t.track == track));
        let found = line.and_then(|line| feed((plan, circuit), &line.volts_setting, track, grid.as_mut()?));
        found.unwrap_or_else(|| TrackFeed {
            track: circuit.segments[track].name.clone(),
            set: None,
            contacts: Vec::new(),
            ohms: Spread::exactly(0.0),
            share: [0.0; 2],
        })
    });
    Some(StorageTable {
        policy: policy_words(&storage, circuit),
        tracks: storage.tracks.iter().map(|&t| circuit.segments[t].name.clone()).collect(),
        live: live.unwrap_or_default(),
        feeds: feeds.collect(),
    })
}

/// The policy of the storage tracks; where there are several, each with its tracks.
fn policy_words(storage: &Storage, circuit: &Circuit) -> String {
    let policies: BTreeSet<Live> = storage.live.iter().copied().collect();
    if policies.len() < 2 {
        return policies.first().map_or("", |live| live.word()).to_owned();
    }
    let of = |live: &Live| {
        let tracks = storage.tracks.iter().zip(&storage.live).filter(|(_, of)| *of == live);
        let names: Vec<String> = tracks.map(|(&track, _)| circuit.segments[track].name.clone()).collect();
        format!("{} for {}", live.word(), crate::words::list(&names))
    };
    policies.iter().map(of).collect::<Vec<_>>().join("; ")
}

/// The contacts that the current of a fault at a track's worst place passes.
fn feed(
    (plan, circuit): (&Plan, &Circuit),
    setting: &[Option<u8>],
    track: usize,
    grid: &mut Grid<'_>,
) -> Option<TrackFeed> {
    grid.set(setting, Level::Typical).ok()?;
    let place = grid.resistances().profile(track).worst()?.place;
    let mut contacts = Vec::new();
    let mut depends_on: Vec<Literal> = Vec::new();
    let (mut ohms, mut share) = ([0.0; 3], [0.0; 3]);
    for (slot, level) in Level::ALL.into_iter().enumerate() {
        grid.set(setting, level).ok()?;
        let whole = grid.resistances().loop_ohms(&place)?;
        for (edge, amps) in grid.carried(&place)? {
            let edge = &circuit.edges[edge];
            if matches!(edge.kind, EdgeKind::Contact | EdgeKind::Blade) {
                ohms[slot] += level.pick(edge.ohms) * amps * amps;
                if level == Level::Typical {
                    contacts.push(edge.part.throw_words(plan));
                    depends_on.extend(&edge.guard);
                }
            }
        }
        share[slot] = ohms[slot] / whole;
    }
    depends_on.sort_unstable();
    depends_on.dedup();
    let [low, typical, high] = ohms;
    Some(TrackFeed {
        track: circuit.segments[track].name.clone(),
        set: Some(words::setting(circuit, &depends_on)),
        contacts,
        ohms: Spread::new(low, typical, high),
        share: [share[1], share[2]],
    })
}

#[cfg(test)]
mod tests;
