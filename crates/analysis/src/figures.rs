//! The numbers of a plan, as a report shows them: the worst place of each track, and what it depends on.

use crate::load_case::LoadCase;
use crate::numbers::{self, Bounds, Promised, Worse, Zones};
use crate::track_line::{InSettings, amounts, track_line};
use crate::way_lines::way_lines;
use circuit::ways::Ways;
use circuit::{Circuit, Origin};
use electrics::commutation::SquareLoop;
use electrics::worst::{Setting, WorstSearch};
use electrics::{
    AskedTrack, Demand, Extreme, Extremes, Failed, Grid, Level, LoopHenries, Passed, StandingTrain, TrackFailure,
    TrainPlace,
};
use handbook::quantity::Quantity;
use handbook::{Spread, limits};
use plan::Plan;
use proof::Promises;
use std::ops::Range;
use std::rc::Rc;

pub use crate::track_line::TrackLine;
pub use crate::way_lines::WayLine;

/// A part of the loop resistance of the worst place.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// What: `rail resistance, code 100 nickel silver`.
    pub name: String,
    /// Its value in words.
    pub value: String,
    /// Who says so.
    pub origin: Origin,
    /// Its share of the loop resistance.
    pub share: f64,
    /// By how many volts the answer moves as the input goes through its band.
    pub swing_volts: f64,
}

/// The numbers of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// What was asked.
    pub load_case: LoadCase,
    /// Tracks that are promised power in some setting, in the order of the plan.
    pub tracks: Vec<TrackLine>,
    /// Routes with power somewhere, of those that were worked out.
    pub ways: Vec<WayLine>,
    /// Whether those are all there are.
    pub all_ways: bool,
    /// Tracks of which nothing is known: not fed unless contacts are closed, and in no setting that was tried.
    pub tracks_left_out: usize,
    /// What the worst place of all depends on, the greatest share first.
    pub contributions: Vec<Contribution>,
    /// The track of the worst place of all: an index into `tracks`.
    pub worst: Option<usize>,
}

/// Tracks of which it is worked out what a single failure leaves: of more, the weakest.
pub const MOST_FAILED: usize = 1_000;

/// Those tracks, in the order of the plan.
fn failures_asked(figures: &Figures) -> Vec<&TrackLine> {
    let mut asked: Vec<&TrackLine> = figures.tracks.iter().collect();
    if asked.len() > MOST_FAILED {
        let margin = |line: &TrackLine| line.margin.map_or(f64::INFINITY, |margin| margin.typical);
        asked.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
        asked.truncate(MOST_FAILED);
        asked.sort_by_key(|line| line.track);
    }
    asked
}

/// What the worst single failure leaves of each track, in the setting in which a short there draws least: of those tracks whose
/// breaker a short trips now, and may not trip then.
pub fn openings(circuit: &Circuit, figures: &Figures) -> Vec<TrackFailure> {
    let asked = |line: &TrackLine| {
        let margin = line.margin.filter(|m| m.typical >= 1.0)?.typical;
        let below = line.noticed.amps().typical / margin;
        let setting = line.fault_setting.clone();
        Some(AskedTrack { track: line.track, setting, below, senses: line.noticed.senses })
    };
    let of: Vec<AskedTrack> = failures_asked(figures).into_iter().filter_map(asked).collect();
    let demand = figures.load_case.demand(&[]);
    electrics::failures(circuit, &of, &demand).unwrap_or_default()
}

/// Works them out; none where nothing feeds the layout, where it is shorted in every setting, or where a resistance is no
/// number to go on with.
pub fn figures(plan: &Plan, circuit: &Circuit, ways: &Ways, promises: &Promises) -> Option<Figures> {
    let routes = |zones: &Zones, demand: &Demand<'_>, search: &mut WorstSearch<'_, Promised<'_>>, bounds: &Bounds| {
        way_lines(circuit, ways, (zones, demand), search, bounds).ok()
    };
    let found = tracks_of(plan, circuit, promises, |zones| 0..zones.list.len(), routes)?;
    let Found { load_case, worst, settings, mut grid, tracks, powered, besides: (ways, all_ways) } = found;
    let tracks_left_out = worst.iter().filter(|(worse, _, known)| !known && worse.extremes().is_none()).count();
    let worst = (0..tracks.len()).min_by(|&a, &b| share_left(&tracks[a]).total_cmp(&share_left(&tracks[b])));
    let contributions = worst
        .and_then(|w| powered.iter().find(|p| p.0 == tracks[w].track))
        .and_then(|p| contributions((circuit, &settings), &mut grid, &p.1.volts.typical, load_case.train_amps))
        .unwrap_or_default();
    Some(Figures { load_case, tracks, ways, all_ways, tracks_left_out, contributions, worst })
}

/// The numbers of one track alone, in a fraction of the time; none where [`figures`] has none of it.
pub fn line_of_track(plan: &Plan, circuit: &Circuit, promises: &Promises, track: usize) -> Option<TrackLine> {
    let found = tracks_of(plan, circuit, promises, |zones| zones.range(track), |_, _, _, _| Some(()))?;
    found.tracks.into_iter().find(|line| line.track == track)
}

/// What was found of the tracks that were asked for.
struct Found<'c, T> {
    load_case: LoadCase,
    worst: Vec<(Worse, bool, bool)>,
    settings: Vec<Setting>,
    grid: Grid<'c>,
    tracks: Vec<TrackLine>,
    powered: Vec<Powered>,
    /// What the same search was asked for besides.
    besides: T,
}

/// Searches for the worst of some zones, and for something besides while the search knows them.
fn tracks_of<'c, T>(
    plan: &Plan,
    circuit: &'c Circuit,
    promises: &Promises,
    asked: impl FnOnce(&Zones) -> Range<usize>,
    besides: impl FnOnce(&Zones, &Demand<'_>, &mut WorstSearch<'_, Promised<'_>>, &Bounds) -> Option<T>,
) -> Option<Found<'c, T>> {
    if circuit.sources.is_empty() || promises.zones().is_empty() {
        return None;
    }
    let load_case = LoadCase::from_plan(plan);
    let standing: Vec<StandingTrain> = load_case.standing.iter().map(|s| s.1).collect();
    let demand = load_case.demand(&standing);
    let (promised, zones) = (Promised(promises), Zones::new(circuit, promises));
    let mut search = numbers::search(circuit, &promised, &zones, demand).ok()?;
    let open: Setting = vec![None; circuit.controls.len()];
    let open = search.bound(&open)?;
    let asked = asked(&zones);
    let mut bounds: Bounds = vec![Rc::default(); zones.list.len()];
    for zone in asked.clone() {
        bounds[zone] = search.met(zone, open).ok()?;
    }
    let worst = worst_of_tracks(circuit, promises, (&zones, &demand), &mut search, (open, &bounds, asked)).ok()?;
    let besides = besides(&zones, &demand, &mut search, &bounds)?;
    let settings = search.into_settings();
    let mut grid = Grid::new(circuit, &[], Level::Typical).ok()?;
    let (tracks, powered) = track_lines((circuit, &settings), &worst, &load_case, &mut grid)?;
    Some(Found { load_case, worst, settings, grid, tracks, powered, besides })
}

/// A track that is powered, with what is worst of it, and whether that is exact.
type Powered = (usize, Extremes, bool);

/// The lines of the tracks that are powered, and what they come from.
fn track_lines(
    (circuit, settings): InSettings<'_>,
    worst: &[(Worse, bool, bool)],
    load_case: &LoadCase,
    grid: &mut Grid<'_>,
) -> Option<(Vec<TrackLine>, Vec<Powered>)> {
    let powered: Vec<Powered> = worst
        .iter()
        .enumerate()
        .filter_map(|(track, (worse, exact, _))| Some((track, worse.extremes()?, *exact)))
        .collect();
    let passed = breakers_passed((circuit, settings), grid, &powered)?;
    let henries = loop_henries((circuit, settings), &powered)?;
    let tracks = powered
        .iter()
        .zip(passed.iter().zip(henries))
        .map(|((track, extremes, exact), (passed, henries))| {
            let decoder = henries.map(|henries| {
                let volts = amounts(&extremes.volts);
                let ohms = extremes.volts.map(|found| found.at.loop_ohms);
                // Volts go from aged to new.
                let ohms = Spread::new(ohms.high, ohms.typical, ohms.low);
                (decoder_band(volts, ohms, henries, load_case), henries)
            });
            track_line((circuit, settings), *track, (extremes, *exact), passed, load_case, decoder)
        })
        .collect();
    Some((tracks, powered))
}

/// For each track the worst of it, whether that is exact, and whether it is known at all in which settings it is fed; of those zones that
/// are asked.
fn worst_of_tracks(
    circuit: &Circuit,
    promises: &Promises,
    (zones, demand): (&Zones, &Demand<'_>),
    search: &mut WorstSearch<'_, Promised<'_>>,
    (open, bounds, asked): (usize, &Bounds, Range<usize>),
) -> Result<Vec<(Worse, bool, bool)>, Failed> {
    let mut tracks = vec![(Worse::default(), true, true); circuit.tracks];
    let nothing: Setting = vec![None; circuit.controls.len()];
    let given = search.given(&nothing);
    // Where not all can be asked: first what has no bound, since contacts feed it, then the worst. Of what contacts feed those first
    // that depend on few positions: from one to the next a setting changes little.
    let ohms = |zone: usize| bounds[zone][1].map_or(f64::INFINITY, |met| met.ohms.loop_ohms);
    let positions = |zone: usize| {
        let implied = bounds[zone][1].is_none().then(|| promises.implied(zone, &nothing)).flatten();
        implied.map_or(0, |set| set.iter().flatten().count())
    };
    let own = asked.filter(|&z| zones.list[z].0 < circuit.tracks);
    let mut order: Vec<(usize, f64, usize)> = own.map(|zone| (zone, ohms(zone), positions(zone))).collect();
    order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.2.cmp(&b.2)));
    let order = order.into_iter().map(|o| o.0);
    for zone in order {
        let (worse, exact, known) = &mut tracks[zones.list[zone].0];
        let is_known = promises.zones()[zone].is_known();
        let answer = if is_known { search.worst_given(zone, given)? } else { Default::default() };
        if answer.exact {
            worse.meet(circuit, demand, &answer);
            continue;
        }
        *exact = false;
        match bounds[zone][1] {
            // No setting is worse than this.
            Some(_) => worse.meet_in(circuit, demand, &bounds[zone], open),
            None => {
                worse.meet(circuit, demand, &answer);
                *known = false;
            }
        }
    }
    Ok(tracks)
}

fn share_left(line: &TrackLine) -> f64 {
    line.volts.typical / line.supply_volts
}

/// For each track that is powered, the breakers that a short at its worst place passes.
fn breakers_passed(
    in_settings: InSettings<'_>,
    grid: &mut Grid<'_>,
    tracks: &[(usize, Extremes, bool)],
) -> Option<Vec<Vec<Passed>>> {
    if let ([_], [_]) = (&in_settings.0.breakers[..], &in_settings.0.sources[..]) {
        // All that a source gives passes the only breaker.
        return Some(vec![vec![Passed { breaker: 0, share: 1.0 }]; tracks.len()]);
    }
    let faults: Vec<&Extreme> = tracks.iter().map(|t| &t.1.fault_amps.typical).collect();
    let all = (0..faults.len()).collect();
    let mut passed = vec![Vec::new(); faults.len()];
    by_setting(in_settings, grid, &faults, all, |i, grid, place| {
        passed[i] = grid.breakers_passed(place);
        Some(())
    })?;
    Some(passed)
}

/// For each track that is powered, the inductance of the loop at the place of its least voltage.
fn loop_henries(in_settings: InSettings<'_>, tracks: &[(usize, Extremes, bool)]) -> Option<Vec<Option<Spread<f64>>>> {
    let (circuit, settings) = in_settings;
    let mut grid = LoopHenries::from_circuit(circuit).ok()?;
    let places: Vec<&Extreme> = tracks.iter().map(|t| &t.1.volts.typical).collect();
    let mut asked: Vec<usize> = (0..places.len()).collect();
    asked.sort_by(|&a, &b| settings.get(places[a].setting).cmp(&settings.get(places[b].setting)));
    let mut henries = vec![None; places.len()];
    for i in asked {
        grid.set(settings.get(places[i].setting)?);
        henries[i] = Some(grid.at(&places[i].at.place).ok()??);
    }
    Some(henries)
}

/// Asks something at some of the places; the grid is set once for each setting that has one.
fn by_setting(
    (_, settings): InSettings<'_>,
    grid: &mut Grid<'_>,
    places: &[&Extreme],
    mut asked: Vec<usize>,
    mut ask: impl FnMut(usize, &Grid<'_>, &TrainPlace) -> Option<()>,
) -> Option<()> {
    asked.sort_by_key(|&i| places[i].setting);
    let mut set = None;
    for i in asked {
        let setting = places[i].setting;
        if set.replace(setting) != Some(setting) {
            grid.set(settings.get(setting)?, Level::Typical).ok()?;
        }
        ask(i, grid, &places[i].at.place)?;
    }
    Some(())
}

/// What a decoder sees at a place of this loop resistance and inductance, where its rails have some volts under a train: aged
/// with the shortest ones, as usual, as new with the longest.
pub fn decoder_band(rail_volts: Spread<f64>, ohms: Spread<f64>, henries: Spread<f64>, asked: &LoadCase) -> Spread<f64> {
    let amps = asked.train_amps;
    let of = |rail_volts: f64, ohms: f64, henries: f64, half_bit: f64| {
        // StandingTrain trains take theirs before it comes to the loop.
        let volts = rail_volts + amps * ohms;
        SquareLoop { volts, ohms, henries, hertz: 0.5 / half_bit }.rectified(amps).volts()
    };
    Spread::new(
        of(rail_volts.low, ohms.high, henries.high, asked.half_bit.low),
        of(rail_volts.typical, ohms.typical, henries.typical, asked.half_bit.typical),
        of(rail_volts.high, ohms.low, henries.low, asked.half_bit.high),
    )
}

/// The parts of the loop resistance at a place, by where they come from.
fn contributions(
    (circuit, settings): InSettings<'_>,
    grid: &mut Grid<'_>,
    found: &Extreme,
    amps: f64,
) -> Option<Vec<Contribution>> {
    grid.set(settings.get(found.setting)?, Level::Typical).ok()?;
    let shares = grid.shares(&found.at.place)?;
    let total: f64 = shares.iter().map(|s| s.ohms).sum();
    Some(
        shares
            .iter()
            .map(|s| {
                let input = &circuit.inputs[s.input];
                Contribution {
                    name: input.name.clone(),
                    value: input.value.clone(),
                    origin: input.origin.clone(),
                    share: s.ohms / total,
                    swing_volts: s.swing() * amps,
                }
            })
            .collect(),
    )
}

/// The frequency of a track signal of ones.
pub fn track_hertz() -> f64 {
    0.5 / limits::ONE_HALF_BIT.value.typical.si()
}
